"""What leaves the house, from outside: stills beside each other, clips, pages, points."""
import csv
import io
import json
import os
import pathlib
import pty
import re
import resource
import shutil
import signal
import struct
import subprocess
import tempfile
import time
import unittest

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
RATE, FRAMES, CLICK_S = 30, 45, 0.9


def run(*words, **options):
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, errors="replace",
                          timeout=300, stdin=subprocess.DEVNULL, check=False, **options)


def probe(path, *entries):
    done = subprocess.run(["ffprobe", "-v", "error", "-of", "json", *entries, str(path)],
                          capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def picture_times(path):
    packets = probe(path, "-select_streams", "v", "-show_entries", "packet=pts_time")["packets"]
    return sorted(float(packet["pts_time"]) for packet in packets)


def pixel(path, at_s, x, y):
    """RGB of the picture that is shown at a time."""
    done = subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-i", str(path), "-ss", f"{at_s:.5f}",
                           "-frames:v", "1", "-vf", f"scale=in_color_matrix=bt709,format=rgb24,crop=1:1:{x}:{y}",
                           "-f", "rawvideo", "-"], capture_output=True, check=True)
    return tuple(done.stdout[:3])


def film(path):
    """Grey, with a click at CLICK_S: what is drawn is all that has colour."""
    subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-y", "-f", "lavfi", "-i",
                    f"color=c=0x606060:size=720x960:rate={RATE}:duration={FRAMES / RATE}", "-f", "lavfi", "-i",
                    f"aevalsrc='if(between(t,{CLICK_S},{CLICK_S}+0.004),0.9*sin(2*PI*3000*t),0)':s=48000:d={FRAMES / RATE}",
                    "-vf", "scale=out_color_matrix=bt709", "-colorspace", "bt709", "-pix_fmt", "yuv420p",
                    "-c:v", "libx264", "-c:a", "aac", "-shortest", str(path)], check=True)


POINTS = {"right_shoulder": [340.5, 380.2], "left_shoulder": [420.7, 372.9], "right_elbow": [270.3, 352.6],
          "right_hand": [300.9, 410.4], "right_hip": [352.1, 560.8], "left_hip": [402.6, 557.3],
          "racquet_butt": [298.2, 405.7], "racquet_tip": [322.4, 590.1], "right_ankle": [340.0, 800.3],
          "left_ankle": [410.0, 795.6]}
MOMENTS = {"trophy": 11, "drop": 19, "contact": 27}


def write_review(path, **members):
    document = json.loads(path.read_text())
    document["moments"] = [{"name": name, "frame": frame} for name, frame in MOMENTS.items()]
    document["marks"] = [{"frame": frame, "points": {name: {"at": at, "by": "tap"} for name, at in POINTS.items()}}
                         for frame in MOMENTS.values()]
    document["scales"] = [{"id": "tape", "method": "line", "frame": 0, "a": [103.2, 860.4], "b": [611.8, 858.1],
                           "distance_m": 2.0}]
    document["scale"] = "tape"
    document.update(members)
    path.write_text(json.dumps(document))


class Deliver(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.source = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-deliver-"))
        film(cls.source / "serve.mp4")
        done = run("new", cls.source / "serve.mp4")
        assert done.returncode == 0, done.stderr
        write_review(cls.source / "serve.review.json")

    @classmethod
    def tearDownClass(cls):
        shutil.rmtree(cls.source)

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-deliver-"))
        for name in ("serve.mp4", "serve.review.json"):
            shutil.copy(self.source / name, self.folder)
        self.review = self.folder / "serve.review.json"
        self.before = sorted(os.listdir(self.folder))

    def tearDown(self):
        shutil.rmtree(self.folder)

    def assert_refused(self, done, *phrases):
        self.assertIn(done.returncode, (1, 2), done.stderr)
        self.assertEqual(len(done.stderr.splitlines()), 1, done.stderr)
        for phrase in phrases:
            self.assertIn(phrase, done.stderr)
        self.assertEqual(sorted(os.listdir(self.folder)), self.before)

    def assert_done(self, done):
        self.assertEqual(done.returncode, 0, done.stderr)

    # --- stills

    def size(self, path):
        stream = probe(path, "-show_streams")["streams"][0]
        return stream["width"], stream["height"]

    def test_two_moments_stand_beside_each_other(self):
        out = self.folder / "two.png"
        self.assert_done(run("still", self.review, "--moment", "trophy", "--beside", "drop", "-o", out))
        self.assertEqual(self.size(out)[0], 1440)

    def test_a_row_holds_all_moments(self):
        out = self.folder / "row.png"
        self.assert_done(run("still", self.review, "--row", "all", "--path", "-o", out))
        self.assertEqual(self.size(out)[0], 1620)
        some = self.folder / "some.png"
        self.assert_done(run("still", self.review, "--row", "trophy,drop,contact", "--path", "-o", some))
        self.assertEqual(out.read_bytes(), some.read_bytes())

    def test_the_same_moment_of_another_review_is_compared(self):
        other = self.folder / "other.review.json"
        write_review(shutil.copy(self.review, other), reviewed="2027-04-01")
        out = self.folder / "both.pdf"
        self.assert_done(run("still", self.review, "--moment", "drop", "--other", other, "-o", out))
        self.assertTrue(out.read_bytes().startswith(b"%PDF-1."))

    def test_mistaken_calls_of_still_are_told(self):
        out = ("-o", self.folder / "x.png")
        self.assert_refused(run("still", self.review, "--row", "drop", *out), "two moments or more")
        self.assert_refused(run("still", self.review, "--row", "all", "--beside", "drop", *out), "exclude each other")
        self.assert_refused(run("still", self.review, "--frame", "3", "--other", self.review, *out), "--moment")
        self.assert_refused(run("still", self.review, "--moment", "drop", "--beside", "jump", *out), "no moment 'jump'")
        self.assert_refused(run("still", self.review, "--row", "drop,drop,drop,drop,drop,drop,drop", *out), "6")

    # --- clips

    def clip(self, name, *words):
        out = self.folder / name
        done = run("clip", self.review, "-o", out, *words)
        self.assert_done(done)
        return out

    def test_a_clip_is_what_phones_play(self):
        out = self.clip("a.mp4", "--slow", 4, "--hold", 0.5)
        stream = probe(out, "-show_streams")["streams"][0]
        self.assertEqual((stream["codec_name"], stream["profile"], stream["pix_fmt"]), ("h264", "High", "yuv420p"))
        self.assertEqual((stream["color_space"], stream["color_range"]), ("bt709", "tv"))
        self.assertLessEqual(stream["level"], 52)
        self.assertEqual(stream["width"] % 2 + stream["height"] % 2, 0)
        boxes, bytes_, at = [], out.read_bytes(), 0
        while at < len(bytes_):
            size, kind = struct.unpack(">I4s", bytes_[at:at + 8])
            boxes.append(kind)
            at += size
        self.assertLess(boxes.index(b"moov"), boxes.index(b"mdat"), "the index stands at the head")

    def test_times_and_holds_are_those_asked_for(self):
        first, last, slow, hold = 9, 30, 5, 0.7
        out = self.clip("a.mp4", "--from", first, "--to", last, "--slow", slow, "--hold", hold)
        expected, now = [], 0.0
        for frame in range(first, last + 1):
            length = slow / RATE + (hold if frame in MOMENTS.values() else 0.0)
            count = max(1, int(-(-length // 0.1000001)))
            expected += [now + i * length / count for i in range(count)]
            now += length
        times = picture_times(out)
        self.assertEqual(len(times), len(expected))
        for got, wanted in zip(times, expected):
            self.assertAlmostEqual(got, wanted, delta=1e-4)
        self.assertAlmostEqual(float(probe(out, "-show_format")["format"]["duration"]), now, delta=2e-3)
        decoded = probe(out, "-count_frames", "-select_streams", "v", "-show_entries", "stream=nb_read_frames")
        self.assertEqual(int(decoded["streams"][0]["nb_read_frames"]), len(expected))

    def test_the_overlay_has_its_colours_in_the_picture_of_its_frame_only(self):
        out = self.clip("a.mp4", "--from", 17, "--to", 21, "--slow", 6, "--hold", 1)
        x, y = (round(v) for v in POINTS["right_elbow"])
        drop_s = 2 * 6 / RATE
        for at, there in ((drop_s - 0.15, False), (drop_s + 0.05, True), (drop_s + 0.9, True), (drop_s + 1.35, False)):
            red, green, blue = pixel(out, at, x, y)
            wanted = (0xE6, 0x9F, 0x00) if there else (0x60, 0x60, 0x60)
            for got, hue in zip((red, green, blue), wanted):
                self.assertAlmostEqual(got, hue, delta=22, msg=f"at {at}: {(red, green, blue)}")

    def heard(self, path):
        raw = subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-i", str(path), "-map", "a", "-ac", "1", "-ar",
                              "48000", "-f", "s16le", "-"], capture_output=True, check=True).stdout
        samples = struct.unpack(f"<{len(raw) // 2}h", raw)
        return next(i for i, sample in enumerate(samples) if abs(sample) > 6000) / 48000

    def test_the_click_is_heard_where_it_was_and_after_a_hold_later(self):
        plain = self.clip("a.mp4", "--from", 3, "--to", 40, "--slow", 1, "--hold", 0)
        self.assertAlmostEqual(self.heard(plain), CLICK_S - 3 / RATE, delta=0.5 / RATE)
        held = self.clip("b.mp4", "--from", 3, "--to", 40, "--slow", 1, "--hold", 0.4)
        self.assertAlmostEqual(self.heard(held), CLICK_S - 3 / RATE + 2 * 0.4, delta=0.5 / RATE)
        self.assertEqual(probe(held, "-select_streams", "a", "-show_streams")["streams"][0]["codec_name"], "aac")

    def test_another_speed_has_no_sound_and_says_so(self):
        done = run("clip", self.review, "-o", self.folder / "a.mp4", "--slow", 2)
        self.assertIn("--slow 1", done.stdout)
        self.assertEqual(len(probe(self.folder / "a.mp4", "-show_streams")["streams"]), 1)

    def test_webm_is_vp9_with_opus(self):
        out = self.clip("a.webm", "--from", "drop", "--to", "contact", "--slow", 1, "--hold", 0)
        codecs = {stream["codec_name"] for stream in probe(out, "-show_streams")["streams"]}
        self.assertEqual(codecs, {"vp9", "opus"})
        self.assertEqual(len(picture_times(out)), MOMENTS["contact"] - MOMENTS["drop"] + 1)

    def test_mistaken_calls_of_clip_are_told(self):
        self.assert_refused(run("clip", self.review), "-o")
        self.assert_refused(run("clip", self.review, "-o", self.folder / "a.avi"), ".mp4")
        out = ("-o", self.folder / "a.mp4")
        self.assert_refused(run("clip", self.review, *out, "--from", "bounce"), "no such moment")
        self.assert_refused(run("clip", self.review, *out, "--from", 30, "--to", 20), "before it begins")
        self.assert_refused(run("clip", self.review, *out, "--to", 45), "0 to 44")
        self.assert_refused(run("clip", self.review, *out, "--slow", "nan"), "--slow")

    def test_what_cannot_be_written_is_told_and_leaves_nothing(self):
        self.assert_refused(run("clip", self.review, "-o", self.folder / "nowhere" / "a.mp4"), "No such file")
        self.assert_refused(run("clip", self.review, "-o", self.folder), ".mp4")
        limit = lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (20000, 20000))
        self.assert_refused(run("clip", self.review, "-o", self.folder / "a.mp4", preexec_fn=limit), "a.mp4")

    def test_an_interrupt_leaves_nothing(self):
        out = self.folder / "a.webm"
        child = subprocess.Popen([PROGRAM, "clip", str(self.review), "-o", str(out), "--slow", "100"],
                                 stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        deadline = time.monotonic() + 20
        while len(os.listdir(self.folder)) == len(self.before) and time.monotonic() < deadline:
            time.sleep(0.01)
        self.assertGreater(len(os.listdir(self.folder)), len(self.before), "it has begun to write")
        child.send_signal(signal.SIGINT)
        _, told = child.communicate(timeout=60)
        self.assertEqual(child.returncode, 1)
        self.assertIn("given up", told)
        self.assertEqual(sorted(os.listdir(self.folder)), self.before)

    def test_a_page_given_up_or_without_room_leaves_nothing(self):
        child = subprocess.Popen([PROGRAM, "report", str(self.review), "-o", str(self.folder / "a.html")],
                                 stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        deadline = time.monotonic() + 20
        while len(os.listdir(self.folder)) == len(self.before) and time.monotonic() < deadline:
            time.sleep(0.01)
        child.send_signal(signal.SIGTERM)
        _, told = child.communicate(timeout=60)
        self.assertEqual((child.returncode, told.count("\n")), (1, 1))
        self.assertIn("given up", told)
        self.assertEqual(sorted(os.listdir(self.folder)), self.before)
        for size in (20000, 60000):  # within the clip, within the page
            limit = lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
            more = () if size == 20000 else ("--no-clip",)
            self.assert_refused(run("report", self.review, "-o", self.folder / "a.html", *more, preexec_fn=limit),
                                "cannot write")
        self.assert_refused(run("report", self.review, "-o", self.folder / "nowhere" / "a.html"), "nowhere")

    def test_progress_with_time_left_is_shown_on_a_terminal_only(self):
        self.assertEqual(run("clip", self.review, "-o", self.folder / "a.mp4").stderr, "")
        ours, theirs = pty.openpty()
        child = subprocess.Popen([PROGRAM, "clip", str(self.review), "-o", str(self.folder / "b.webm"), "--slow", "20"],
                                 stdout=subprocess.DEVNULL, stderr=theirs)
        os.close(theirs)
        told = b""
        while True:
            try:
                part = os.read(ours, 4096)
            except OSError:
                break
            if not part:
                break
            told += part
        self.assertEqual(child.wait(timeout=60), 0)
        os.close(ours)
        self.assertRegex(told.decode(), r"clip +\d+ %, \d+ s left")
        shares = [int(share) for share in re.findall(r"(\d+) %", told.decode())]
        self.assertEqual(shares, sorted(shares))

    def test_two_reviews_run_beside_each_other_locked_at_a_moment(self):
        other = self.folder / "other.review.json"
        shutil.copy(self.review, other)
        document = json.loads(other.read_text())
        for entry in document["moments"] + document["marks"]:
            entry["frame"] -= 4  # the same clip, marked 4 frames sooner
        other.write_text(json.dumps(document))
        out = self.folder / "pair.mp4"
        self.before = sorted(os.listdir(self.folder))
        self.assert_refused(run("clip", self.review, "--beside", other, "--lock", "bounce", "-o", out), "no moment")
        self.assert_refused(run("clip", self.review, "--beside", other, "--from", 3, "-o", out), "leave out")
        done = run("clip", self.review, "--beside", other, "--lock", "drop", "--slow", 2, "--hold", 1, "-o", out)
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        facts = probe(out, "-show_entries", "stream=codec_name,width,height:format=duration")
        self.assertEqual([stream["codec_name"] for stream in facts["streams"]], ["h264"])
        # 0.3 s before the first trophy to 0.3 s after the last contact, as far as both clips go
        seconds = (27 - 19 + 9) / RATE  # at real speed, after the lock; 15 frames are there before it
        whole = (min(15, 8 + 9) / RATE + seconds) * 2 + 1
        self.assertAlmostEqual(float(facts["format"]["duration"]), whole, delta=0.08)
        size = facts["streams"][0]
        # The hold: both show their drop, with the arm in its hue, in the same place of their panels.
        lock = 15 / RATE * 2 + 0.5
        frame = self.folder / "lock.png"
        subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-i", str(out), "-ss", f"{lock:.3f}", "-frames:v", "1",
                        "-vf", "scale=in_color_matrix=bt709,format=rgb24", str(frame)], check=True)
        orange = []
        for left in (0, size["width"] // 2 + 3):
            done = subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-i", str(frame), "-vf",
                                   f"format=rgb24,crop={size['width'] // 2 - 6}:{size['height'] // 2}:{left}:0", "-f",
                                   "rawvideo", "-"], capture_output=True, check=True).stdout
            width = size["width"] // 2 - 6
            near = [i for i in range(0, len(done), 3) if abs(done[i] - 0xE6) < 30 and abs(done[i + 1] - 0x9F) < 30
                    and done[i + 2] < 40]
            self.assertGreater(len(near), 50)
            orange.append((sum(i // 3 % width for i in near) / len(near), sum(i // 3 // width for i in near) / len(near)))
        self.assertLess(abs(orange[0][1] - orange[1][1]), 12)  # labels lie as they find room
        self.assertLess(abs(orange[0][0] - orange[1][0]), 12)

    # --- points

    def test_points_go_out_as_csv_and_come_back_equal(self):
        table = self.folder / "points.csv"
        self.assert_done(run("export", self.review, "--csv", table))
        rows = list(csv.DictReader(io.StringIO(table.read_text())))
        self.assertEqual(len(rows), len(POINTS) * len(MOMENTS))
        for row in rows:
            self.assertEqual([float(row["x_px"]), float(row["y_px"])], POINTS[row["point"]])
            self.assertAlmostEqual(float(row["clip_s"]), int(row["frame"]) / RATE, places=4)
        self.assert_done(run("import", self.review, "--csv", table, "-o", self.folder / "back.review.json"))
        again = self.folder / "again.csv"
        self.assert_done(run("export", self.folder / "back.review.json", "--csv", again))
        self.assertEqual(table.read_bytes(), again.read_bytes())

    def test_points_go_out_as_coco_and_come_back_equal(self):
        out = self.folder / "points.json"
        self.assert_done(run("export", self.review, "--coco", out))
        coco = json.loads(out.read_text())
        names = coco["categories"][0]["keypoints"]
        # the 17 of COCO, in its order
        self.assertEqual(names[:17], ["nose", "left_eye", "right_eye", "left_ear", "right_ear", "left_shoulder",
                                      "right_shoulder", "left_elbow", "right_elbow", "left_wrist", "right_wrist",
                                      "left_hip", "right_hip", "left_knee", "right_knee", "left_ankle", "right_ankle"])
        frames = {image["id"]: image["frame"] for image in coco["images"]}
        self.assertEqual(sorted(frames.values()), sorted(MOMENTS.values()))
        for annotation in coco["annotations"]:
            self.assertEqual(len(annotation["keypoints"]), 3 * len(names))
            self.assertEqual(annotation["num_keypoints"], len(POINTS))
            for index, name in enumerate(names):
                x, y, seen = annotation["keypoints"][3 * index:3 * index + 3]
                self.assertEqual([x, y, seen], [*POINTS[name], 2] if name in POINTS else [0, 0, 0])
        # from another program: no member of ours, the frame in the file's name
        for image in coco["images"]:
            del image["frame"]
        out.write_text(json.dumps(coco))
        self.assert_done(run("import", self.review, "--coco", out, "-o", self.folder / "back.review.json"))
        again = self.folder / "again.csv"
        self.assert_done(run("export", self.folder / "back.review.json", "--csv", again))
        first = self.folder / "first.csv"
        self.assert_done(run("export", self.review, "--csv", first))
        self.assertEqual(first.read_bytes(), again.read_bytes())

    def test_points_that_are_none_are_refused_by_their_row(self):
        table, back = self.folder / "points.csv", ("-o", self.folder / "back.review.json")
        self.before.append("points.csv")
        self.before.sort()
        for text, phrase in (("frame,point,x_px\r\n", "'y_px'"), ("frame,point,x_px,y_px\n3,right_elbow,1,nan\n", "row 2"),
                             ("frame,point,x_px,y_px\n3,nose,1,2\n45,nose,1,2\n", "row 3"),
                             ("frame,point,x_px,y_px\n3,\"nose,1,2\n", "quote"), ("", "'frame'"),
                             ("frame,point,x_px,y_px\n3,nose,1e7,2\n", "nose")):
            table.write_text(text)
            self.assert_refused(run("import", self.review, "--csv", table, *back), phrase)
        for text, phrase in (("[]", "images"), ("{", "points.csv"),
                             ('{"images":[],"annotations":[{"image_id":1}],"categories":[]}', "no frame"),
                             ('{"images":[{"id":1,"frame":3}],"annotations":[{"image_id":1,"category_id":1,"keypoints":[1,2]}],'
                              '"categories":[{"id":1,"keypoints":["nose"]}]}', "three numbers")):
            table.write_text(text)
            self.assert_refused(run("import", self.review, "--coco", table, *back), phrase)

    def test_no_review_is_written_over_and_none_loses_its_clip(self):
        table = self.folder / "points.csv"
        self.assert_done(run("export", self.review, "--csv", table))
        self.before = sorted(os.listdir(self.folder))
        self.assert_refused(run("import", self.review, "--csv", table, "-o", self.review), "is there already")
        self.assert_refused(run("import", self.review, "--csv", table, "-o", "/tmp/serveplumb-elsewhere.review.json"),
                            "folder")


if __name__ == "__main__":
    unittest.main()
