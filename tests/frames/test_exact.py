"""Every frame of every awkward clip, in every order, against ffmpeg's own straight decode.

The outside judge is `ffmpeg -noautorotate -i CLIP -map 0:v:0 -fps_mode passthrough -autoscale 0 -f framemd5 -`.
It numbers as we do: pictures that an edit list cuts away (packets marked to be discarded) and
pictures at the head of a clip that lack what they are predicted from are neither shown nor counted.
"""
import itertools
import json
import os
import pathlib
import re
import shutil
import subprocess
import tempfile
import unittest

import fields
from awkward import CLIPS, FIELDS, JOIN

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
REAL_CLIPS = pathlib.Path(__file__).resolve().parents[2].parent / "shared" / "clips"
ORDERS = (["forward"], ["backward"], ["random", "--seed", "977"])

# Indexes are kept here and not in the person's folder.
CACHE = tempfile.TemporaryDirectory(prefix="serveplumb-cache-")
ENVIRONMENT = dict(os.environ, XDG_CACHE_HOME=CACHE.name)

# What ffmpeg shows of the clips that begin in the middle: fewer than they hold packets.
FEWER = {"edit_list.mp4", "edit_list_with_sound.mov", "edit_list_open_gop.mp4",
         "cut_in_a_group.ts", "hevc_begins_open.mp4", "hevc_begins_open.ts"}


def run(*words):
    return subprocess.run(list(map(str, words)), capture_output=True, text=True, errors="replace",
                          timeout=120, stdin=subprocess.DEVNULL, check=False, env=ENVIRONMENT)


def straight_decode(clip):
    done = run("ffmpeg", "-v", "error", "-nostdin", "-noautorotate", "-i", clip, "-map", "0:v:0",
               "-fps_mode", "passthrough", "-autoscale", "0", "-f", "framemd5", "-")
    lines = [line for line in done.stdout.splitlines() if not line.startswith("#")]
    return [line.split(",")[5].strip() for line in lines]


def packets(clip):
    done = run("ffprobe", "-v", "error", "-select_streams", "v:0", "-count_packets", "-show_entries",
               "stream=nb_read_packets", "-of", "csv=p=0", clip)
    return int(done.stdout.split()[0])


def visit(clip, order):
    """[(frame number, hash)] in visiting order, and what was said on the error stream."""
    done = run(PROGRAM, "frames", clip, "--hash", "--order", *order)
    rows = [line.split() for line in done.stdout.splitlines()]
    return [(int(number), hash_) for number, hash_ in rows], done.stderr


def facts(clip):
    done = run(PROGRAM, "facts", clip, "--json")
    if done.returncode != 0:
        raise AssertionError(done.stderr)
    return json.loads(done.stdout)


class Workshop:
    """The clips, each made when it is first asked for."""

    def __init__(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-frames-"))

    def clip(self, name):
        path = self.folder / name
        if not path.exists():
            words = [re.sub(r"\{([^{}]+)\}", lambda found: str(self.clip(found[1])), word)
                     for word in CLIPS[name]]
            if words[0] == FIELDS:
                path.write_bytes(fields.stream(frames=41, group=9, seed=11))
                return path
            if words[0] == JOIN:
                path.write_bytes(b"".join(pathlib.Path(word).read_bytes() for word in words[1:]))
                return path
            done = run("ffmpeg", "-v", "error", "-nostdin", "-y", *words, path)
            if done.returncode != 0:
                raise AssertionError(f"cannot make {name}: {done.stderr}")
        return path

    def close(self):
        shutil.rmtree(self.folder)


class Visits(unittest.TestCase):
    def check_every_order(self, path):
        expected = straight_decode(path)
        self.assertGreater(len(expected), 5, f"ffmpeg shows too little of {path.name}")
        for order in ORDERS:
            visited, said = visit(path, order)
            self.assertEqual(said, "", f"{path.name} {order}")
            self.assertEqual(sorted(n for n, _ in visited), list(range(len(expected))),
                             f"{path.name} {order}")
            wrong = [n for n, hash_ in visited if hash_ != expected[n]]
            self.assertEqual(wrong, [], f"{path.name} {order}: frames that are not the named ones")
        return expected


class AwkwardClips(Visits):
    @classmethod
    def setUpClass(cls):
        cls.workshop = Workshop()

    @classmethod
    def tearDownClass(cls):
        cls.workshop.close()

    def check_clip(self, name):
        path = self.workshop.clip(name)
        shown = self.check_every_order(path)
        if name in FEWER:
            self.assertLess(len(shown), packets(path), "this clip was to hold more than it shows")


    def test_edits_that_repeat_and_leave_out_give_the_frames_named_in_every_order(self):
        edits = [(0.5, -1), (1.0, 0.4), (0.7, 2.1), (0.8, 0.2)]
        for name in ("b_frames.mp4", "negative_offsets.mp4", "intra_refresh.mp4"):
            path = self.workshop.folder / f"edits_of_{name}"
            path.write_bytes(with_edits(self.workshop.clip(name).read_bytes(), edits))
            self.assertEqual(len(self.check_every_order(path)), 75)


def add_clip(name):
    def test(self):
        self.check_clip(name)
    word = re.sub(r"\W", "_", name)
    setattr(AwkwardClips, f"test_{word}_gives_the_frames_named_in_every_order", test)


for clip_name in CLIPS:
    if not clip_name.endswith(".h264"):
        add_clip(clip_name)


class RealClips(Visits):
    def test_real_clips_give_the_frames_named_in_every_order(self):
        found = sorted(REAL_CLIPS.glob("*.mp4"))
        if not found:
            self.skipTest("no real clips: ../shared/clips is not there")
        for path in found:
            with self.subTest(path.name):
                self.check_every_order(path)


class Facts(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.workshop = Workshop()

    @classmethod
    def tearDownClass(cls):
        cls.workshop.close()

    def check_facts(self, name, **expected):
        found = facts(self.workshop.clip(name))
        for key, value in expected.items():
            if isinstance(value, float):
                self.assertAlmostEqual(found[key], value, places=4, msg=f"{name}: {key}")
            else:
                self.assertEqual(found[key], value, f"{name}: {key}")
        return found

    def test_a_plain_clip_is_told_as_it_was_made(self):
        self.check_facts("b_frames.mp4", container="mov/mp4", codec="h264", pixel_format="yuv420p",
                         width=176, height=144, bits=8, full_range=False, frames=90, rate=30.0,
                         duration_s=3.0, variable_rate=False, times_guessed=False,
                         sound={"codec": "aac", "rate": 44100, "channels": 1})

    def test_wide_pixels_widen_the_upright_picture(self):
        self.check_facts("wide_pixels.mp4", width=235, height=144, coded_width=176,
                         sample_aspect=[4, 3])

    def test_ten_bits_and_full_range_are_told(self):
        self.check_facts("hevc_ten_bit.mp4", bits=10, pixel_format="yuv420p10le")
        self.check_facts("full_range.mp4", full_range=True)

    def test_interlaced_material_is_told(self):
        self.check_facts("interlaced.ts", interlaced=True)

    def test_two_fields_in_packets_of_their_own_are_one_frame(self):
        for name in ("fields.ts", "fields.mkv", "fields.mp4"):
            found = self.check_facts(name, frames=41, interlaced=True, width=160, height=128)
            self.assertAlmostEqual(found["duration_s"], 41 / 25, delta=0.0015, msg=name)

    def test_times_go_on_where_a_clock_begins_anew(self):
        times = self.check_facts("wraps.ts", frames=90)["times_s"]
        for n, time_s in enumerate(times):
            self.assertAlmostEqual(time_s, n / 30, delta=0.0011, msg=f"frame {n}")

    def test_a_gap_in_the_times_is_told(self):
        self.check_facts("gap.ts", frames=90, variable_rate=True, step_max_s=5 + 1 / 30, step_max_frame=45)

    def test_a_variable_rate_tells_the_longest_step(self):
        # Frames 3, 10, ... and 40 to 52 were left out: 34 frames come before the gap of 14 steps.
        self.check_facts("variable.mp4", variable_rate=True, step_min_s=1 / 30, step_max_s=14 / 30,
                         step_max_frame=33)

    def test_rounded_times_are_no_variable_rate(self):
        self.check_facts("open_gop.mkv", variable_rate=False)

    def test_times_begin_with_frame_0_wherever_the_clip_begins(self):
        for name in ("late_first.mp4", "late_first.mkv", "edit_list.mp4", "with_sound.ts"):
            times = facts(self.workshop.clip(name))["times_s"]
            for n, time_s in enumerate(times):
                self.assertAlmostEqual(time_s, n / 30, delta=0.00101, msg=f"{name}: frame {n}")

    def test_missing_and_doubled_times_are_put_in_order_and_told(self):
        self.check_facts("no_pts.avi", times_guessed=True, rate=30.0)
        for name in ("doubled_times.mkv", "contradicting_times.mkv"):
            times = self.check_facts(name, times_guessed=True, frames=90)["times_s"]
            self.assertTrue(all(a < b for a, b in zip(times, times[1:])), name)

    def test_recordings_joined_end_to_end_follow_each_other_in_time(self):
        found = self.check_facts("two_recordings.ts", times_guessed=True, frames=135)
        steps = [b - a for a, b in zip(found["times_s"], found["times_s"][1:])]
        for n, step in enumerate(steps):
            self.assertAlmostEqual(step, 1 / 30, delta=0.002, msg=f"after frame {n}")

    def test_a_fast_rate_is_suspected_to_be_slow_motion(self):
        self.check_facts("rates_240.mp4", rate=240.0, slow_motion_suspected=True)
        self.check_facts("b_frames.mp4", slow_motion_suspected=False)

    def test_the_rate_of_the_camera_is_read_where_a_phone_wrote_it(self):
        path = self.workshop.folder / "shot_at_240.mp4"
        done = run("ffmpeg", "-v", "error", "-nostdin", "-i", self.workshop.clip("b_frames.mp4"),
                   "-c", "copy", "-movflags", "use_metadata_tags", "-metadata",
                   "com.android.capture.fps=239.76", path)
        self.assertEqual(done.returncode, 0, done.stderr)
        found = facts(path)
        self.assertAlmostEqual(found["capture_rate"], 239.76, places=3)
        self.assertTrue(found["slow_motion_suspected"])


def find_box(data, names):
    """Offsets of the boxes along a path (ISO/IEC 14496-12, 4.2)."""
    offsets, start, end = [], 0, len(data)
    for name in names:
        while data[start + 4:start + 8] != name:
            start += int.from_bytes(data[start:start + 4], "big")
            if start >= end:
                raise AssertionError(f"no box {name}")
        offsets.append(start)
        start, end = start + 8, start + int.from_bytes(data[start:start + 4], "big")
    return offsets


def with_edits(data, edits):
    """The same mp4, its tables at the end, with other edits: (seconds, media time), -1 for empty
    (ISO/IEC 14496-12, 8.6.6)."""
    data = bytearray(data)

    def timescale(*names):
        place = find_box(data, names)[-1] + 20
        return int.from_bytes(data[place:place + 4], "big")
    movie, media = timescale(b"moov", b"mvhd"), timescale(b"moov", b"trak", b"mdia", b"mdhd")
    path = find_box(data, [b"moov", b"trak", b"edts", b"elst"])
    old = int.from_bytes(data[path[-1]:path[-1] + 4], "big")
    rows = b"".join(int(seconds * movie).to_bytes(4, "big")
                    + (int(at * media) if at >= 0 else -1).to_bytes(4, "big", signed=True)
                    + bytes((0, 1, 0, 0)) for seconds, at in edits)
    box = b"elst" + bytes(4) + len(edits).to_bytes(4, "big") + rows
    data[path[-1]:path[-1] + old] = (len(box) + 4).to_bytes(4, "big") + box
    for place in path[:-1]:
        size = int.from_bytes(data[place:place + 4], "big") + len(box) + 4 - old
        data[place:place + 4] = size.to_bytes(4, "big")
    return bytes(data)


def with_matrix(data, a, b, c, d):
    """The same mp4 with another display matrix in its track header (ISO/IEC 14496-12, 8.3.2)."""
    place = data.index(b"tkhd") + 4 + 40
    unity = [0x00010000, 0, 0, 0, 0x00010000, 0, 0, 0, 0x40000000]
    stored = b"".join(value.to_bytes(4, "big") for value in unity)
    if data[place:place + 36] != stored:
        raise AssertionError("the matrix is not where it was looked for")
    values = [a * 0x10000, b * 0x10000, 0, c * 0x10000, d * 0x10000, 0, 0, 0, 0x40000000]
    changed = b"".join(value.to_bytes(4, "big", signed=True) for value in values)
    return data[:place] + changed + data[place + 36:]


def corners(gray, width, height):
    """Mean brightness of the four quarters, row by row."""
    def mean(x0, y0):
        rows = [gray[y * width + x0:y * width + x0 + width // 2] for y in range(y0, y0 + height // 2)]
        return sum(map(sum, rows)) / (width * height / 4)
    return [mean(x, y) for y in (0, height - height // 2) for x in (0, width - width // 2)]


class Orientation(unittest.TestCase):
    """Which way up, judged by what ffmpeg shows when it turns by itself."""

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-turn-"))
        plain = self.folder / "plain.mp4"
        draw = "geq=lum='40+60*gt(X\\,W/2)+120*gt(Y\\,H/2)':cb=128:cr=128"
        done = run("ffmpeg", "-v", "error", "-nostdin", "-f", "lavfi", "-i",
                   f"color=size=96x64:rate=10:duration=0.6,format=yuv420p,{draw}", "-c:v", "libx264",
                   "-qp", "4", plain)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.plain = plain.read_bytes()

    def tearDown(self):
        shutil.rmtree(self.folder)

    def shown_by_ffmpeg(self, path, width, height):
        done = subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-i", str(path), "-frames:v", "1",
                               "-pix_fmt", "gray", "-f", "rawvideo", "-"], capture_output=True,
                              check=True, timeout=60)
        self.assertEqual(len(done.stdout), width * height)
        return corners(done.stdout, width, height)

    def turned(self, mirrored, rotation_deg):
        """The stored corners after our facts: flipped first, then turned clockwise."""
        rows = [[40, 100], [160, 220]]
        if mirrored:
            rows = [list(reversed(row)) for row in rows]
        for _ in range(rotation_deg // 90):
            rows = [list(row) for row in zip(*reversed(rows))]
        return rows[0] + rows[1]

    def test_all_eight_orientations_are_told_as_ffmpeg_shows_them(self):
        seen = set()
        straight = [(a, 0, 0, d) for a, d in itertools.product((1, -1), repeat=2)]
        lying = [(0, b, c, 0) for b, c in itertools.product((1, -1), repeat=2)]
        for matrix in straight + lying:
            with self.subTest(matrix=matrix):
                path = self.folder / "turned.mp4"
                path.write_bytes(with_matrix(self.plain, *matrix) if matrix != (1, 0, 0, 1)
                                 else self.plain)
                found = facts(path)
                expected_size = (96, 64) if matrix in straight else (64, 96)
                self.assertEqual((found["width"], found["height"]), expected_size)
                shown = self.shown_by_ffmpeg(path, found["width"], found["height"])
                told = self.turned(found["mirrored"], found["rotation_deg"])
                order = sorted(range(4), key=lambda i: shown[i])
                self.assertEqual(order, sorted(range(4), key=lambda i: told[i]), f"{shown} {told}")
                seen.add((found["mirrored"], found["rotation_deg"]))
        self.assertEqual(len(seen), 8)


if __name__ == "__main__":
    unittest.main()
