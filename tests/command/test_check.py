"""`serveplumb check` from outside: text and JSON, the drop's caution with every shoulder entry, and the
coach's own checks file."""
import json
import os
import pathlib
import re
import shutil
import subprocess
import tempfile
import unittest

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
ROOT = pathlib.Path(__file__).resolve().parents[2]

SHOULDERS = ("unknown", "healthy", "past_trouble", "current_trouble")
STATUSES = {"met", "not_met", "within_error", "for_the_eye", "not_from_this_view", "too_coarse", "points_missing"}
# Upright pixels of a made-up frame of 320 x 180, 2 cm a pixel; hand and racquet tip above the elbow.
SHALLOW = {"right_elbow": [150, 70], "right_hand": [140, 52], "racquet_tip": [120, 30],
           "right_hip": [160, 110], "left_hip": [170, 111]}
DEEP = {"right_elbow": [150, 70], "right_hand": [140, 90], "racquet_tip": [120, 140],
        "right_hip": [160, 110], "left_hip": [170, 111]}
WARM = "Warm up first, build strength for it over weeks"
ASK = "please see a physiotherapist or physician first"


def flat(text):
    """Without the breaks of lines."""
    return re.sub(r"\s+", " ", text)


class Check(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.source = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-check-"))
        subprocess.run(["ffmpeg", "-v", "error", "-f", "lavfi", "-i", "testsrc2=size=320x180:rate=30:duration=1",
                        "-pix_fmt", "yuv420p", str(cls.source / "serve.mp4")], check=True,
                       stdin=subprocess.DEVNULL)
        checks = json.loads((ROOT / "assets" / "checks.json").read_text("utf-8"))["checks"]
        cls.ids = [check["id"] for check in checks]
        cls.advice = [check[part] for check in checks if check["moment"] == "drop" for part in ("why", "work")]

    @classmethod
    def tearDownClass(cls):
        shutil.rmtree(cls.source)

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-check-"))
        self.config = self.folder / "config"
        self.own = self.config / "serveplumb" / "checks.json"
        self.own.parent.mkdir(parents=True)
        shutil.copy(self.source / "serve.mp4", self.folder / "serve.mp4")
        self.review = self.folder / "serve.review.json"
        self.assertEqual(self.run_program("new", self.folder / "serve.mp4").returncode, 0)

    def tearDown(self):
        shutil.rmtree(self.folder)

    def run_program(self, *words):
        environment = dict(os.environ, XDG_CONFIG_HOME=str(self.config))
        return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, timeout=120,
                              stdin=subprocess.DEVNULL, check=False, env=environment)

    def check(self, *words):
        done = self.run_program("check", self.review, *words)
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        return done.stdout

    def edit(self, **members):
        document = json.loads(self.review.read_text())
        document.update(members)
        self.review.write_text(json.dumps(document))

    def serve(self, points, shoulder="unknown"):
        self.edit(moments=[{"name": "drop", "frame": 9}], points_sd_px=0.3,
                  scales=[{"id": "base", "method": "line", "frame": 0, "a": [60, 150], "b": [265.74, 150],
                           "distance_m": 4.1148, "sd_px": 1}], scale="base",
                  player={"hand": "right", "shoulder": shoulder},
                  marks=[{"frame": 9, "points": {name: {"at": at} for name, at in points.items()}}])

    # --- the caution goes everywhere with the advice

    def test_with_each_shoulder_entry_the_right_caution_is_in_every_output(self):
        for points, moment in ((SHALLOW, "above"), (DEEP, "below")):
            for shoulder in SHOULDERS:
                self.serve(points, shoulder)
                for words in ((), ("--all",), ("--json",), ("--units", "imperial")):
                    with self.subTest(drop=moment, shoulder=shoulder, words=words):
                        text = flat(self.check(*words))
                        right, wrong = (WARM, ASK) if shoulder == "healthy" else (ASK, WARM)
                        self.assertIn(right, text)
                        self.assertNotIn(wrong, text)
                        self.assertIn("Not medical advice", text)
                        self.assertIn("Elliott, Fleisig, Nicholls and Escamilla 2003", text)
                        self.assertNotIn("_trouble", text)

    def test_the_advice_on_the_drop_is_held_back_unless_the_shoulder_is_healthy(self):
        for shoulder in SHOULDERS:
            self.serve(SHALLOW, shoulder)
            for words in ((), ("--all",), ("--json",)):
                with self.subTest(shoulder=shoulder, words=words):
                    text = flat(self.check(*words))
                    told = [part for part in self.advice if part in text]
                    self.assertEqual(bool(told), shoulder == "healthy", told)

    def test_advice_on_the_drop_stands_in_one_paragraph_with_its_caution(self):
        self.serve(SHALLOW, "healthy")
        findings = json.loads(self.check("--json"))["findings"]
        advised = [finding for finding in findings if any(part in json.dumps(finding) for part in self.advice)]
        self.assertEqual({finding["id"] for finding in advised}, {"hand_low_in_drop", "tip_low_in_drop"})
        for finding in advised:
            self.assertIn(WARM, finding["advice"])
            for member, value in finding.items():
                if member != "advice":
                    self.assertFalse(any(part in json.dumps(value) for part in self.advice), member)

    def test_own_words_stand_with_the_caution(self):
        self.serve(SHALLOW, "past_trouble")
        self.edit(findings=[{"check": "tip_low_in_drop", "text": "Only the mirror this week."}])
        text = flat(self.check())
        self.assertRegex(text, "Only the mirror this week. Caution: Advice to change the drop is held back")

    def test_own_words_of_any_length_do_not_push_the_caution_out(self):
        for shoulder in SHOULDERS:
            self.serve(SHALLOW, shoulder)
            self.edit(findings=[{"check": "tip_low_in_drop", "text": "Slowly and gently. " * 3400}])
            for words in ((), ("--json",)):
                with self.subTest(shoulder=shoulder, words=words):
                    text = flat(self.check(*words))
                    after = text[text.rindex("Slowly and gently."):]
                    self.assertIn(WARM if shoulder == "healthy" else ASK, after[:400])

    # --- the two outputs

    def test_the_json_holds_every_check_with_a_status_and_words(self):
        self.serve(DEEP)
        report = json.loads(self.check("--json"))
        self.assertEqual(report["view"], "side")
        self.assertEqual(report["review"], str(self.review))
        self.assertEqual(sorted(finding["id"] for finding in report["findings"]), sorted(self.ids))
        for finding in report["findings"]:
            self.assertIn(finding["status"], STATUSES)
            self.assertTrue(finding["says"], finding)
            self.assertTrue(finding["source"], finding)
            self.assertFalse(finding["seen"])
        found = {finding["id"]: finding for finding in report["findings"]}
        hand = found["hand_low_in_drop"]
        self.assertEqual((hand["status"], hand["group"], hand["frame"]), ("met", "good", 9))
        measure = hand["measures"][0]
        self.assertEqual((measure["id"], measure["at_least"], measure["at_most"]), ("hand_elbow_gap", None, 0))
        self.assertAlmostEqual(measure["value"], -0.4, places=6)
        self.assertLess(measure["high"], 0)
        self.assertEqual(hand["points"], ["right_elbow", "right_hand"])
        self.assertEqual(report["next_clip"]["view"], "back")

    def test_text_and_json_say_the_same(self):
        self.serve(SHALLOW, "healthy")
        report, text = json.loads(self.check("--json")), flat(self.check("--all"))
        for finding in report["findings"]:
            for member in ("title", "says", "published", "advice", "place_why", "source"):
                self.assertIn(flat(finding[member]), text)
        self.assertIn(flat(report["next_clip"]["text"]), text)
        for caution in report["cautions"]:
            self.assertIn(flat(caution), text)

    def test_at_most_two_are_unfolded_to_work_on_first(self):
        self.serve(SHALLOW, "healthy")
        text = self.check()
        self.assertEqual(re.findall(r"^  (\d)\. (.*?)  \(frame 9\)$", text, re.M),
                         [("1", "Hand at or below the elbow in the drop"), ("2", "Racquet tip low in the drop")])
        self.assertIn("\nTo work on first\n", text)
        self.assertIn("Number 1 by its weight, 9 of 10.", flat(text))
        self.assertLessEqual(max(map(len, text.splitlines())), 96)

    def test_units_change_what_people_read(self):
        self.serve(DEEP)
        metric, imperial = self.check(), self.check("--units", "imperial")
        self.assertIn("Hand-elbow gap -40", metric)
        self.assertIn("looked for: 0 cm or less", flat(metric))
        self.assertIn("Hand-elbow gap -1", imperial)
        self.assertIn(" in or less", flat(imperial))
        numbers = [[finding["measures"] for finding in json.loads(self.check("--json", *words))["findings"]]
                   for words in ((), ("--units", "imperial"))]
        self.assertEqual(*numbers)

    def test_judgements_and_order_of_the_coach_are_followed(self):
        self.serve(SHALLOW, "healthy")
        self.edit(judgements=[{"check": "pronation", "verdict": "not_met", "frame": 20, "text": "Palm in."}],
                  findings=[{"check": "pronation", "order": 0.5}])
        found = {finding["id"]: finding for finding in json.loads(self.check("--json"))["findings"]}
        self.assertEqual(found["pronation"]["place"], 1)
        self.assertEqual(found["pronation"]["says"], "By the coach's eye: not met, on frame 20. Palm in.")
        self.assertIn("because the coach put it there", found["pronation"]["place_why"])
        self.assertEqual(found["tip_low_in_drop"]["group"], "later")

    # --- the coach's own file

    def test_an_own_file_adds_and_changes(self):
        self.serve(DEEP)
        self.own.write_text(json.dumps({"format": "serveplumb-checks", "version": 1, "checks": [
            {"id": "tempo", "off": True}, {"id": "pronation", "title": "Palm out at the end"}]}))
        found = {finding["id"]: finding for finding in json.loads(self.check("--json"))["findings"]}
        self.assertNotIn("tempo", found)
        self.assertEqual(found["pronation"]["title"], "Palm out at the end")

    def test_an_invalid_own_file_is_one_line_and_the_built_in_checks_are_used(self):
        self.serve(DEEP)
        expected = self.check("--json")
        for text, phrase in (("{", ""), ("[]", "object"),
                             ('{"format": "serveplumb-checks", "version": 1, "checks": [{"id": "tempo", '
                              '"wieght": 2}]}', "checks[0].wieght")):
            with self.subTest(text=text):
                self.own.write_text(text)
                done = self.run_program("check", self.review, "--json")
                self.assertEqual(done.returncode, 0)
                self.assertEqual(len(done.stderr.splitlines()), 1, done.stderr)
                self.assertIn(str(self.own), done.stderr)
                self.assertIn(phrase, done.stderr)
                self.assertIn("the built-in checks are used", done.stderr)
                self.assertEqual(done.stdout, expected)

    # --- bad input

    def test_what_is_wrong_is_one_line(self):
        for words, code in (((), 2), ((self.folder / "none.json",), 1), ((self.folder / "serve.mp4",), 1),
                            ((self.review, "--wibble"), 2), ((self.review, "--units", "yards"), 2)):
            with self.subTest(words=words):
                done = self.run_program("check", *words)
                self.assertEqual(done.returncode, code)
                self.assertEqual(len(done.stderr.splitlines()), 1, done.stderr)
                self.assertEqual(done.stdout, "")

    def test_help_lists_it(self):
        self.assertIn("serveplumb check REVIEW", self.run_program("help").stdout)
        self.assertIn("--all", self.run_program("help", "check").stdout)


if __name__ == "__main__":
    unittest.main()
