"""The command line from outside: output, messages, exit codes, and that nothing is lost."""
import csv
import hashlib
import io
import json
import os
import pathlib
import resource
import shutil
import subprocess
import tempfile
import unittest

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))


def run(*words, **options):
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, errors="replace",
                          timeout=120, stdin=subprocess.DEVNULL, check=False, **options)


def make_clip(path, *more, size="320x180", rate=30, seconds=1):
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-f", "lavfi", "-i",
                    f"testsrc2=size={size}:rate={rate}:duration={seconds}", "-pix_fmt", "yuv420p",
                    *more, str(path)], check=True, stdin=subprocess.DEVNULL)


class Command(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.source = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-command-"))
        make_clip(cls.source / "serve.mp4", "-bf", "2")

    @classmethod
    def tearDownClass(cls):
        shutil.rmtree(cls.source)

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-command-"))
        self.clip = self.folder / "serve.mp4"
        shutil.copy(self.source / "serve.mp4", self.clip)
        self.review = self.folder / "serve.review.json"

    def tearDown(self):
        shutil.rmtree(self.folder)

    def new(self, *more):
        done = run("new", self.clip, *more)
        self.assertEqual(done.returncode, 0, done.stderr)

    def edit(self, **members):
        document = json.loads(self.review.read_text())
        document.update(members)
        self.review.write_text(json.dumps(document))

    def assert_refused(self, done, *phrases):
        """One clear line on the error stream, a non-zero exit, no crash."""
        self.assertIn(done.returncode, (1, 2), done.stderr)
        self.assertEqual(len(done.stderr.splitlines()), 1, done.stderr)
        self.assertTrue(done.stderr.startswith("serveplumb: "), done.stderr)
        for phrase in phrases:
            self.assertIn(phrase, done.stderr)

    # --- what there is

    def test_help_lists_every_command_and_each_has_its_own(self):
        overview = run("help").stdout
        for command in ("facts", "frames", "new", "validate", "measure", "still"):
            self.assertIn(f"serveplumb {command}", overview)
            own = run("help", command)
            self.assertEqual(own.returncode, 0)
            self.assertIn(command, own.stdout)
            self.assertEqual(own.stdout, run(command, "--help").stdout)

    def test_version_is_told(self):
        self.assertRegex(run("--version").stdout, r"^serveplumb \d+\.\d+\.\d+\n$")

    def test_facts_agree_with_ffprobe(self):
        facts = json.loads(run("facts", self.clip, "--json").stdout)
        probe = json.loads(subprocess.run(
            ["ffprobe", "-v", "error", "-select_streams", "v", "-count_frames", "-show_streams",
             "-of", "json", str(self.clip)], capture_output=True, text=True, check=True).stdout)["streams"][0]
        self.assertEqual(facts["codec"], probe["codec_name"])
        self.assertEqual((facts["width"], facts["height"]), (probe["width"], probe["height"]))
        self.assertEqual(facts["frames"], int(probe["nb_read_frames"]))
        self.assertEqual(len(facts["times_s"]), facts["frames"])
        self.assertAlmostEqual(facts["rate"], 30, places=3)
        self.assertIn("320 x 180", run("facts", self.clip).stdout)

    def test_each_order_visits_each_frame_once_with_the_same_hash(self):
        hashes = {}
        for order in ("forward", "backward", "random"):
            done = run("frames", self.clip, "--hash", "--order", order, "--seed", 7)
            self.assertEqual(done.returncode, 0, done.stderr)
            rows = [line.split() for line in done.stdout.splitlines()]
            self.assertEqual(len(rows), 30)
            hashes[order] = dict(rows)
        self.assertEqual(hashes["forward"], hashes["backward"])
        self.assertEqual(hashes["forward"], hashes["random"])

    # --- reviews

    def test_new_writes_what_was_said_and_validates(self):
        self.new("--hand", "left", "--view", "back", "--stature", "1.82", "--racquet", "0.69", "--slowdown", "8")
        document = json.loads(self.review.read_text())
        self.assertEqual(document["clip"]["file"], "serve.mp4")
        self.assertEqual(document["clip"]["sha256"], hashlib.sha256(self.clip.read_bytes()).hexdigest())
        self.assertEqual(document["clip"]["frames"], 30)
        self.assertEqual(document["clip"]["slowdown"], 8)
        self.assertEqual((document["player"]["hand"], document["player"]["stature_m"]), ("left", 1.82))
        self.assertEqual((document["view"], document["net"]), ("back", "away"))
        self.assertEqual(run("validate", self.review).returncode, 0)

    def test_new_never_replaces_a_review(self):
        self.new()
        before = self.review.read_bytes()
        self.assert_refused(run("new", self.clip, "--hand", "left"), "is there already")
        self.assertEqual(self.review.read_bytes(), before)

    def test_a_review_elsewhere_still_finds_its_clip(self):
        other = self.folder / "elsewhere"
        other.mkdir()
        self.assertEqual(run("new", self.clip, "-o", other / "a.review.json").returncode, 0)
        self.assertEqual(run("measure", other / "a.review.json").returncode, 0)

    def test_new_works_from_within_the_folder(self):
        self.assertEqual(run("new", "serve.mp4", cwd=self.folder).returncode, 0)
        self.assertEqual(json.loads(self.review.read_text())["clip"]["file"], "serve.mp4")
        self.assertEqual(run("measure", "serve.review.json", cwd=self.folder).returncode, 0)

    def test_an_empty_review_explains_every_absence(self):
        self.new()
        readout = json.loads(run("measure", self.review, "--json").stdout)
        self.assertGreater(len(readout["measures"]), 25)
        for measure in readout["measures"]:
            self.assertNotIn(measure["status"], ("ok", "projected"))
            self.assertIsNone(measure["value"])
            self.assertTrue(measure["note"], measure)
        rows = list(csv.DictReader(io.StringIO(run("measure", self.review, "--csv").stdout)))
        self.assertEqual([row["id"] for row in rows], [measure["id"] for measure in readout["measures"]])

    def test_units_change_what_people_read_and_not_the_files(self):
        self.new()
        self.edit(moments=[{"name": "drop", "frame": 9}],
                  scales=[{"id": "base", "method": "line", "frame": 0, "a": [10.5, 150], "b": [283.2, 151],
                           "distance_m": 4.1148, "sd_px": 1}], scale="base",
                  marks=[{"frame": 9, "points": {"right_elbow": {"at": [120.25, 60.5], "by": "tap"},
                                                 "right_hand": {"at": [110.5, 71.75], "by": "tap"}}}])
        metric, imperial = run("measure", self.review), run("measure", self.review, "--units", "imperial")
        self.assertEqual(metric.returncode, 0, metric.stderr)
        self.assertIn(" cm", metric.stdout)
        self.assertIn(" in", imperial.stdout)
        self.assertNotIn(" cm ", imperial.stdout)
        self.assertEqual(run("measure", self.review, "--json").stdout,
                         run("measure", self.review, "--json", "--units", "imperial").stdout)

    def test_a_still_is_a_png_of_at_least_the_frame_s_size(self):
        self.new()
        self.edit(moments=[{"name": "drop", "frame": 9}])
        picture = self.folder / "drop.png"
        done = run("still", self.review, "--moment", "drop", "-o", picture)
        self.assertEqual(done.returncode, 0, done.stderr)
        head = picture.read_bytes()[:24]
        self.assertEqual(head[:8], b"\x89PNG\r\n\x1a\n")
        self.assertGreaterEqual(int.from_bytes(head[16:20], "big"), 320)

    # --- bad input: one clear line, non-zero exit, nothing lost

    def test_called_wrongly(self):
        for words, phrase in [(("wibble",), "wibble"), (("--wibble",), "--wibble"), (("facts",), "needs a CLIP"),
                              (("facts", "a", "b"), "'b'"), (("facts", self.clip, "--wibble"), "--wibble"),
                              (("new", self.clip, "--hand", "both"), "right or left"),
                              (("new", self.clip, "--stature", "nan"), "--stature nan"),
                              (("new", self.clip, "--stature", "182"), "0.5 to 2.6"),
                              (("new", self.clip, "-o"), "needs a value"),
                              (("frames", self.clip), "--hash"),
                              (("frames", self.clip, "--hash", "--order", "sideways"), "sideways"),
                              (("frames", self.clip, "--hash", "--seed", "x"), "--seed x"),
                              (("help", "wibble"), "wibble")]:
            with self.subTest(words=words):
                done = run(*words)
                self.assert_refused(done, phrase)
                self.assertEqual(done.returncode, 2)
        self.assertFalse(self.review.exists())

    def test_files_that_are_no_clip(self):
        (self.folder / "empty.mp4").write_bytes(b"")
        (self.folder / "text.mp4").write_text("not a video, only words\n" * 50)
        (self.folder / "noise.mp4").write_bytes(bytes(range(256)) * 64)
        subprocess.run(["ffmpeg", "-v", "error", "-f", "lavfi", "-i", "sine=duration=1",
                        str(self.folder / "sound.m4a")], check=True, stdin=subprocess.DEVNULL)
        (self.folder / "list.mp4").write_text("#EXTM3U\n#EXTINF:1,\nserve.mp4\n")
        (self.folder / "cut.mp4").write_bytes(self.clip.read_bytes()[:2000])
        for name in ("absent.mp4", "empty.mp4", "text.mp4", "noise.mp4", "sound.m4a", "list.mp4", "cut.mp4", "."):
            for command in (("facts",), ("frames", "--hash"), ("new",)):
                with self.subTest(name=name, command=command):
                    path = self.folder / name
                    self.assert_refused(run(command[0], path, *command[1:]), name if name != "." else "")
        self.assertEqual(sorted(path.name for path in self.folder.glob("*.review.json")), [])

    def test_a_clip_s_name_cannot_name_a_protocol_or_a_list(self):
        for name in ("concat:a|b", "http://127.0.0.1/x.mp4", "file:/etc/passwd", "pipe:0"):
            with self.subTest(name=name):
                self.assert_refused(run("facts", name))

    def test_a_review_of_another_clip_is_refused(self):
        self.new()
        make_clip(self.clip, "-bf", "2", "-crf", "40")
        before = self.review.read_bytes()
        for words in (("measure", self.review), ("still", self.review, "--frame", "3", "-o", self.folder / "x.png")):
            self.assert_refused(run(*words), "not the clip of this review", "SHA-256")
        make_clip(self.clip, seconds=2)
        self.assert_refused(run("measure", self.review), "60 frames", "30")
        self.assertEqual(self.review.read_bytes(), before)
        self.assertFalse((self.folder / "x.png").exists())

    def test_a_clip_that_is_gone_is_told_with_its_place(self):
        self.new()
        self.clip.unlink()
        self.assert_refused(run("measure", self.review), str(self.clip))

    def test_bad_reviews_name_the_place_and_what_was_expected(self):
        self.new()
        good = self.review.read_text()
        document = json.loads(good)

        def changed(**members):
            return json.dumps({**document, **members})
        clip = document["clip"]
        bad = [
            ("{", ""), ("", ""), ("[]", "object"), (good + "x", ""), (good.replace('"version": 1', '"version": 01'), ""),
            (changed(format="other"), "format"), (changed(version=2), "newer"), (changed(version="1"), "version"),
            (changed(clip={**clip, "frames": "thirty"}), "clip.frames"),
            (changed(clip={**clip, "frames": 0}), "clip.frames"),
            (changed(clip={**clip, "sha256": "abc"}), "clip.sha256"),
            (changed(view="above"), "view"),
            (changed(moments=[{"name": "drop", "frame": 30}]), "moments[0].frame"),
            (changed(moments=[{"name": "drop", "frame": 1}, {"name": "drop", "frame": 2}]), "moments[1]"),
            (changed(marks=[{"frame": 1, "points": {"ball": {"at": [1]}}}]), "marks[0].points.ball.at"),
            (changed(marks=[{"frame": 1, "points": {"ball": {"at": [1, "2"]}}}]), "marks[0].points.ball.at[1]"),
            (changed(marks=[{"frame": 1, "points": {"ball": {"at": [1, 1e6]}}}]), "marks[0].points.ball.at"),
            (changed(scale="nowhere"), "scale"),
            (good.replace('"points_sd_px": 1.5', '"points_sd_px": NaN'), ""),
            (good.replace('"points_sd_px": 1.5', '"points_sd_px": 1e999'), "points_sd_px"),
            (good.replace('"view"', '"view": "side", "view"'), "view"),
        ]
        for text, phrase in bad:
            with self.subTest(text=text[:60], phrase=phrase):
                self.assertNotEqual(text, good)
                self.review.write_text(text)
                self.assert_refused(run("validate", self.review), phrase, self.review.name)
                self.assert_refused(run("measure", self.review), phrase)
                self.assertEqual(self.review.read_text(), text)

    def test_unwritable_places_lose_nothing(self):
        self.new()
        target = self.folder / "drop.png"
        target.write_bytes(b"older")
        # A file-size limit fails the write in the middle, also for root, who may write anywhere.
        def small():
            resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
        done = run("still", self.review, "--frame", "3", "-o", target, preexec_fn=small)
        self.assert_refused(done, "drop.png")
        self.assertEqual(target.read_bytes(), b"older")
        self.assert_refused(run("still", self.review, "--frame", "3", "-o", self.folder / "no" / "a.png"), "a.png")
        self.assert_refused(run("still", self.review, "--frame", "3", "-o", self.folder), "")
        self.assert_refused(run("new", self.clip, "-o", self.folder / "no" / "a.review.json"), "a.review.json")
        self.assertEqual(sorted(path.name for path in self.folder.iterdir()),
                         ["drop.png", "serve.mp4", "serve.review.json"])

    @unittest.skipIf(os.geteuid() == 0 and shutil.which("setpriv") is None, "needs an ordinary user")
    def test_a_read_only_folder_is_told_and_unchanged(self):
        if "/coverage/" in PROGRAM:
            self.skipTest("an ordinary user cannot write the counts of lines, which is said on the error stream")
        os.chmod(self.folder, 0o555)
        try:
            command = [PROGRAM, "new", str(self.clip)]
            if os.geteuid() == 0:
                command = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups", *command]
            done = subprocess.run(command, capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False)
            if done.returncode in (126, 127):
                self.skipTest("an ordinary user cannot run the program where it lies")
            self.assert_refused(done, "serve.review.json")
            self.assertFalse(self.review.exists())
        finally:
            os.chmod(self.folder, 0o755)

    def test_a_full_disk_under_the_output_is_told(self):
        with open("/dev/full", "w", encoding="utf-8") as full:
            done = subprocess.run([PROGRAM, "facts", str(self.clip)], stdout=full, stderr=subprocess.PIPE, text=True,
                                  check=False)
        self.assertEqual(done.returncode, 1)
        self.assertIn("could not be written", done.stderr)

    def test_a_still_of_no_such_frame_or_moment_is_refused(self):
        self.new()
        target = self.folder / "x.png"
        self.assert_refused(run("still", self.review, "--moment", "drop", "-o", target), "drop")
        self.assert_refused(run("still", self.review, "--frame", "30", "-o", target), "30")
        self.assert_refused(run("still", self.review, "--frame", "-1", "-o", target), "-1")
        self.assert_refused(run("still", self.review, "-o", target), "--moment")
        self.assertFalse(target.exists())


if __name__ == "__main__":
    unittest.main()
