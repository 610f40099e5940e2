"""`serveplumb progress` from outside: what is read, what is left out and why, what is kept, and the thread from
one day to the next in `check`. The serves are invented points on a made-up clip."""
import html
import json
import os
import pathlib
import re
import shutil
import subprocess
import tempfile
import unittest

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
HAND_ABOVE, HAND_BELOW = 41, 97  # y of the hand; the elbow's is 70
DAYS = ("2027-03-14", "2027-03-21", "2027-04-02")
WARM = "Warm up first, build strength for it over weeks"
ASK = "please see a physiotherapist or physician first"


class Progress(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.source = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-progress-"))
        subprocess.run(["ffmpeg", "-v", "error", "-f", "lavfi", "-i", "testsrc2=size=320x180:rate=30:duration=1",
                        "-pix_fmt", "yuv420p", str(cls.source / "serve.mp4")], check=True, stdin=subprocess.DEVNULL)
        subprocess.run([PROGRAM, "new", str(cls.source / "serve.mp4")], check=True, stdout=subprocess.DEVNULL)

    @classmethod
    def tearDownClass(cls):
        shutil.rmtree(cls.source)

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-progress-"))
        self.cache = self.folder / "cache"
        self.serves = self.folder / "serves"
        self.serves.mkdir()
        self.page = self.folder / "page.html"
        shutil.copy(self.source / "serve.mp4", self.serves)
        for i, day in enumerate(DAYS):
            for nth in range(3):
                hand = HAND_ABOVE + (HAND_BELOW - HAND_ABOVE) * i / 2 + 1.3 * nth
                self.review(f"{day}-{nth}", day, hand)

    def tearDown(self):
        shutil.rmtree(self.folder)

    def review(self, name, day, hand_y, **members):
        document = json.loads((self.source / "serve.review.json").read_text())
        points = {"right_elbow": [150, 70], "right_hand": [140, hand_y], "racquet_tip": [120, hand_y + 41],
                  "right_hip": [160, 110], "left_hip": [170, 111]}
        document.update(reviewed=day, moments=[{"name": "drop", "frame": 9}], points_sd_px=0.3, scale="base",
                        scales=[{"id": "base", "method": "line", "frame": 0, "a": [60, 150], "b": [265.74, 150],
                                 "distance_m": 4.1148, "sd_px": 1}],
                        player={"name": "Zo\u00eb", "hand": "right", "shoulder": "healthy"},
                        marks=[{"frame": 9, "points": {name: {"at": at} for name, at in points.items()}}])
        document.update(members)
        path = self.serves / f"{name}.review.json"
        path.write_text(json.dumps(document))
        return path

    def run_program(self, *words):
        environment = dict(os.environ, XDG_CACHE_HOME=str(self.cache), XDG_CONFIG_HOME=str(self.folder / "none"))
        return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, timeout=120,
                              stdin=subprocess.DEVNULL, check=False, env=environment)

    def progress(self, *words):
        done = self.run_program("progress", self.serves, "-o", self.page, *words)
        self.assertEqual((done.returncode, done.stdout), (0, f"{self.page}\n"), done.stderr)
        return done.stderr, self.page.read_text()

    def words(self, page):
        return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", page)))

    # --- what is on it

    def test_each_measure_stands_over_the_days_with_each_serve(self):
        complaints, page = self.progress()
        self.assertEqual(complaints, "")
        self.assertIn("9 serves reviewed on 3 days, 2027-03-14 to 2027-04-02", self.words(page))
        gap = page[page.index("hand-elbow gap, drop</h3>"):]
        gap = gap[:gap.index("</figure>")]
        self.assertEqual(gap.count('class="serve"'), 9)
        self.assertEqual(gap.count('class="span"'), 9, "each with its interval")
        self.assertEqual(len(re.findall(r"<li>2027-\d\d-\d\d: .*?\(.*? to .*?\), mean of 3 serves</li>", gap)), 3)

    def test_what_changed_is_said_to_have_and_what_did_not_is_not(self):
        _, page = self.progress()
        rows = dict(re.findall(r'<tr><th scope="row">(.*?)<br>.*?</th><td><b>(.*?)</b>', page, re.S))
        self.assertEqual(rows["hand-elbow gap, drop"], "changed")
        self.assertIn("not comparable", rows.values())
        for day, hand in zip(DAYS, (60, 60.2, 59.9)):
            for nth in range(3):
                self.review(f"{day}-{nth}", day, hand + 1.3 * nth)
        _, page = self.progress()
        rows = dict(re.findall(r'<tr><th scope="row">(.*?)<br>.*?</th><td><b>(.*?)</b>', page, re.S))
        self.assertEqual(rows["hand-elbow gap, drop"], "within error")
        self.assertNotIn("changed", rows.values())

    def test_the_name_stands_there_only_when_asked_for_and_the_shoulder_never(self):
        _, page = self.progress()
        self.assertNotIn("Zo\u00eb", page)
        self.assertIn("Zo\u00eb", self.progress("--with-name")[1])
        for word in ("_trouble", "shoulder history"):
            self.assertNotIn(word, page)

    def test_with_each_shoulder_entry_the_right_caution_is_on_it(self):
        for shoulder in ("unknown", "healthy", "past_trouble", "current_trouble"):
            for day in DAYS:
                for nth in range(3):
                    self.review(f"{day}-{nth}", day, 60, player={"hand": "right", "shoulder": shoulder})
            text = self.words(self.progress()[1])
            right, wrong = (WARM, ASK) if shoulder == "healthy" else (ASK, WARM)
            self.assertIn(right, text)
            self.assertNotIn(wrong, text)
            self.assertNotIn(shoulder.replace("_", " ") if "_" in shoulder else "_trouble", text)

    def test_views_stand_apart(self):
        self.review("behind", DAYS[2], 60, view="back", net="away")
        text = self.words(self.progress()[1])
        self.assertIn("Seen from the side, right-handed", text)
        self.assertIn("Seen from the back, right-handed", text)
        self.assertIn("One day only", text)

    def test_speeds_of_a_table_and_of_reviews_stand_by_day(self):
        table = self.folder / "speeds.csv"
        table.write_text("date,speed (km/h)\n2027-03-14,118\n2027-03-14,121\n2027-03-14,116.5\n2027-03-14,oops\n"
                         "2027-04-02,131\n2027-04-02,133.5\n2027-04-02,129\n")
        self.review("more", DAYS[2], HAND_BELOW, speeds=[{"date": DAYS[2], "value": 36.5, "unit": "m/s"}])
        complaints, page = self.progress("--speeds", table)
        text = self.words(page)
        self.assertIn("speeds.csv", complaints)
        self.assertIn("oops", complaints)
        self.assertRegex(text, r"2027-04-02 4 serves 131\.2 km/h mean, 95 % interval [\d.]+ km/h to [\d.]+ km/h")
        self.assertIn("best 121.0 km/h", text)
        self.assertIn("Welch", text)

    # --- what was asked

    def asked(self, day=DAYS[0], name=None):
        self.review(name or f"{day}-0", day, HAND_ABOVE,
                    findings=[{"check": "hand_low_in_drop", "seen": "not_met-0123456789abcdef"},
                              {"check": "racquet_along_body", "seen": "not_met-0123456789abcdef"},
                              {"check": "tempo", "seen": "met-0123456789abcdef"}])

    def check(self, name):
        done = self.run_program("check", self.serves / f"{name}.review.json", "--json")
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        return {asked["id"]: asked for asked in json.loads(done.stdout)["asked"]}

    def test_check_asks_back_what_the_last_day_asked(self):
        self.asked()
        found = self.check(f"{DAYS[1]}-1")
        self.assertEqual(sorted(found), ["hand_low_in_drop", "racquet_along_body"])
        self.assertEqual(found["hand_low_in_drop"]["asked_on"], DAYS[0])
        self.assertEqual(found["hand_low_in_drop"]["now"], "within_error")
        self.assertIn("Now: not seen.", found["racquet_along_body"]["words"])
        text = re.sub(r"\s+", " ", self.run_program("check", self.serves / f"{DAYS[1]}-1.review.json").stdout)
        self.assertIn(found["hand_low_in_drop"]["words"], text)
        self.assertEqual(self.check(f"{DAYS[0]}-1"), {}, "the first day is asked nothing")
        self.assertEqual(self.check(f"{DAYS[2]}-1"), {}, "the day between asked nothing")

    def test_other_players_and_broken_reviews_ask_nothing(self):
        self.asked()
        (self.serves / "broken.review.json").write_text('{"reviewed": "2027-03-20", ')
        self.review(f"{DAYS[1]}-1", DAYS[1], HAND_BELOW, player={"name": "Ana", "hand": "right"})
        self.assertEqual(self.check(f"{DAYS[1]}-1"), {})
        self.review(f"{DAYS[1]}-1", DAYS[1], HAND_BELOW, player={"name": "Zo\u00eb", "hand": "left"})
        self.assertEqual(self.check(f"{DAYS[1]}-1"), {})
        self.review(f"{DAYS[1]}-1", DAYS[1], HAND_BELOW, player={"hand": "right"})
        self.assertEqual(self.check(f"{DAYS[1]}-1")["hand_low_in_drop"]["now"], "met")

    def test_the_page_holds_the_thread_and_answers_only_what_the_coach_has_seen(self):
        self.asked()
        text = self.words(self.progress()[1])
        self.assertIn("Asked on 2027-03-14 , seen on 2027-03-21", text)
        self.assertIn("Hand at or below the elbow in the drop: within error", text)
        self.assertIn("Racquet along the hitting-side edge of the body in the drop: not seen", text)
        for nth in range(3):
            self.review(f"{DAYS[1]}-{nth}", DAYS[1], HAND_BELOW)
        self.assertIn("Hand at or below the elbow in the drop: your coach has not said yet",
                      self.words(self.progress()[1]))
        self.assertIn("Did what was worked on change?", text)

    # --- what is left out, and what is kept

    def test_what_cannot_be_read_is_named_and_the_rest_is_there(self):
        (self.serves / "broken.review.json").write_text("{")
        self.review("lost", DAYS[1], 60, clip={**json.loads((self.source / "serve.review.json").read_text())["clip"],
                                               "file": "gone.mp4"})
        complaints, page = self.progress()
        lines = complaints.splitlines()
        self.assertEqual(len(lines), 2)
        self.assertIn("broken.review.json", lines[0])
        self.assertIn("gone.mp4", lines[1])
        self.assertIn("2 reviews could not be read and are not part of this.", self.words(page))
        self.assertIn("9 serves reviewed on 3 days", self.words(page))

    def test_a_review_without_a_day_is_put_by_its_file_and_says_so(self):
        path = self.review("undated", "", 60)
        document = json.loads(path.read_text())
        del document["reviewed"]
        path.write_text(json.dumps(document))
        os.utime(path, (1806000000, 1806000000))  # 2027-03-25
        text = self.words(self.progress()[1])
        self.assertIn("1 review names no day", text)
        self.assertIn("10 serves reviewed on 4 days", text)

    def test_folders_that_hold_nothing_and_mistaken_calls_are_told(self):
        empty = self.folder / "empty"
        empty.mkdir()
        for words, code, phrase in (((empty, "-o", self.page), 2, "no review"), ((self.serves,), 2, "-o"),
                                    ((self.folder / "none", "-o", self.page), 1, "cannot look into"),
                                    ((self.serves, "-o", self.page, "-j", "0"), 2, "1 to 64"),
                                    ((self.serves, "-o", self.page, "--units", "ells"), 2, "ells"),
                                    ((self.serves, "-o", self.page, "--speeds", empty / "x.csv"), 1, "x.csv")):
            with self.subTest(words=words):
                done = self.run_program("progress", *words)
                self.assertEqual((done.returncode, done.stdout), (code, ""), done.stderr)
                self.assertEqual(len(done.stderr.splitlines()), 1, done.stderr)
                self.assertIn(phrase, done.stderr)
                self.assertFalse(self.page.exists())

    def kept(self):
        return sorted((self.cache / "serveplumb" / "kept").iterdir())

    def test_what_is_kept_gives_the_same_page_and_damage_to_it_does_not_show(self):
        _, first = self.progress()
        self.assertEqual(len(self.kept()), 9 + 1, "nine readouts, one moment side by side")
        self.assertEqual(self.progress()[1], first)
        for file in self.kept():
            file.write_bytes(file.read_bytes()[:-40] + b"x" * 40)
        self.assertEqual(self.progress()[1], first)
        for file in self.kept():
            file.write_bytes(file.read_bytes()[:100])
        self.assertEqual(self.progress()[1], first)
        shutil.rmtree(self.cache)
        self.cache.write_text("no folder")
        self.assertEqual(self.progress()[1], first)
        self.assertEqual(self.progress("-j", "1")[1], first)

    def test_whoever_measures_leaves_the_readout_for_the_history(self):
        for words in (("measure", "NAME"), ("measure", "NAME", "--csv"), ("check", "NAME"),
                      ("export", "NAME", "--csv", self.folder / "points.csv"),
                      ("still", "NAME", "--moment", "drop", "-o", self.folder / "drop.png"),
                      ("report", "NAME", "--no-clip", "-o", self.folder / "one.html")):
            with self.subTest(words=words):
                shutil.rmtree(self.cache, ignore_errors=True)
                name = self.serves / f"{DAYS[1]}-1.review.json"
                done = self.run_program(*(name if word == "NAME" else word for word in words))
                self.assertEqual(done.returncode, 0, done.stderr)
                self.assertEqual(len(self.kept()), 1)
        shutil.rmtree(self.cache)
        _, first = self.progress()
        made = {file.name: file.read_bytes() for file in self.kept()}
        shutil.rmtree(self.cache)
        self.assertEqual(self.run_program("measure", "--csv", *self.serves.glob("*.review.json")).returncode, 0)
        for file in self.kept():
            self.assertEqual(file.read_bytes(), made[file.name], "what was left is what the history makes itself")
        self.assertEqual(len(self.kept()), 9)
        self.assertEqual(self.progress()[1], first)

    def test_of_what_is_kept_the_oldest_goes(self):
        folder = self.cache / "serveplumb" / "kept"
        folder.mkdir(parents=True)
        for i in range(4020):
            file = folder / f"{i:016x}"
            file.touch()
            os.utime(file, (1700000000 + i, 1700000000 + i))
        self.progress("--no-pictures")
        left = sorted(file.name for file in folder.iterdir())
        self.assertEqual(len(left), 4000)
        self.assertNotIn(f"{28:016x}", left)
        self.assertIn(f"{29:016x}", left)

    def test_a_review_or_a_clip_that_changed_is_read_out_anew(self):
        _, first = self.progress()
        self.review(f"{DAYS[2]}-2", DAYS[2], HAND_ABOVE)
        _, second = self.progress()
        self.assertNotEqual(first, second)
        with open(self.serves / "serve.mp4", "ab") as clip:
            clip.write(b"more")
        done = self.run_program("progress", self.serves, "-o", self.page)
        self.assertEqual(done.returncode, 2)
        self.assertIn("is not the clip of this review", done.stderr)

    # --- the day

    def test_a_new_review_says_its_day(self):
        clip = self.folder / "new.mp4"
        shutil.copy(self.source / "serve.mp4", clip)
        for words, pattern in (((), r"^20\d\d-\d\d-\d\d$"), (("--day", "2026-02-28"), "^2026-02-28$")):
            review = self.folder / "new.review.json"
            review.unlink(missing_ok=True)
            self.assertEqual(self.run_program("new", clip, *words).returncode, 0)
            self.assertRegex(json.loads(review.read_text())["reviewed"], pattern)
        review.unlink()
        done = self.run_program("new", clip, "--day", "28.2.2026")
        self.assertEqual(done.returncode, 2)
        self.assertIn("2027-03-14", done.stderr)


if __name__ == "__main__":
    unittest.main()
