"""compare, speeds and measure over many reviews, from outside: output, messages, exit codes, nothing lost."""
import csv
import io
import json
import os
import pathlib
import random
import shutil
import subprocess
import tempfile
import unittest

from scipy import stats

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
# Places invented, roughly a server in a picture of 320 x 180.
POINTS = {
    "trophy": {"right_shoulder": (152, 71), "left_shoulder": (167, 65), "right_elbow": (139, 69), "right_hand": (136, 53),
               "right_hip": (156, 102), "left_hip": (165, 100), "left_hand": (174, 36)},
    "drop": {"right_shoulder": (154, 66), "left_shoulder": (168, 65), "right_elbow": (142, 60), "right_hand": (147, 65),
             "right_hip": (156, 99), "left_hip": (166, 99), "racquet_butt": (147, 63), "racquet_tip": (150, 93)},
}
FRAMES = {"trophy": 8, "drop": 15}


def run(*words, **options):
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, errors="replace",
                          timeout=120, stdin=subprocess.DEVNULL, check=False, **options)


class Change(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.source = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-change-"))
        subprocess.run(["ffmpeg", "-v", "error", "-y", "-f", "lavfi", "-i", "testsrc2=size=320x180:rate=30:duration=1",
                        "-pix_fmt", "yuv420p", str(cls.source / "serve.mp4")], check=True, stdin=subprocess.DEVNULL)
        run("new", cls.source / "serve.mp4")
        cls.empty = json.loads((cls.source / "serve.review.json").read_text())

    @classmethod
    def tearDownClass(cls):
        shutil.rmtree(cls.source)

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-change-"))
        shutil.copy(self.source / "serve.mp4", self.folder)

    def tearDown(self):
        shutil.rmtree(self.folder)

    def review(self, name, hand_lower=0.0, seed=0, folder=None, **members):
        """A review whose hand in the drop is so many pixels lower, all taps shaken by their deviation."""
        dice = random.Random(f"{name}{seed}")
        document = json.loads(json.dumps(self.empty))
        document["moments"] = [{"name": name_, "frame": frame} for name_, frame in FRAMES.items()]
        document["marks"] = [{"frame": FRAMES[moment], "points": {
            point: {"at": [x + dice.gauss(0, 0.5), y + dice.gauss(0, 0.5)
                           + (hand_lower if moment == "drop" and point == "right_hand" else 0)]}
            for point, (x, y) in points.items()}} for moment, points in POINTS.items()]
        document["points_sd_px"] = 0.5
        document["scales"] = [{"id": "line", "method": "line", "frame": 0, "a": [20, 160], "b": [300, 160],
                               "distance_m": 5.2}]
        document["scale"] = "line"
        document.update(members)
        document["clip"]["file"] = str(self.folder / "serve.mp4")
        path = (folder or self.folder) / f"{name}.review.json"
        path.write_text(json.dumps(document))
        return path

    def assert_refused(self, done, *phrases):
        self.assertIn(done.returncode, (1, 2), done.stderr)
        self.assertEqual(len(done.stderr.splitlines()), 1, done.stderr)
        self.assertTrue(done.stderr.startswith("serveplumb: "), done.stderr)
        for phrase in phrases:
            self.assertIn(phrase, done.stderr)

    def compared(self, *words):
        done = run("compare", *words, "--json")
        self.assertEqual(done.returncode, 0, done.stderr)
        return json.loads(done.stdout)["comparisons"]

    # --- compare

    def test_a_lower_hand_of_single_serves_is_told_of_these_serves(self):
        a, b = self.review("a"), self.review("b", hand_lower=22)
        (comparison,) = self.compared(a, b)
        changes = {(c["id"], c["moment"]): c for c in comparison["changes"]}
        gap = changes["hand_elbow_gap", "drop"]
        self.assertEqual((gap["verdict"], gap["of"], gap["reason"]), ("changed", "these_serves", ""))
        self.assertLess(gap["difference"]["high"], 0)
        self.assertAlmostEqual(gap["difference"]["value"], gap["after"]["value"] - gap["before"]["value"])
        self.assertEqual(changes["trunk_lean", "trophy"]["verdict"], "within_error")
        speed = changes["racquet_head_speed", "contact"]
        self.assertEqual((speed["verdict"], speed["reason"]), ("not_comparable", "no_number"))
        self.assertEqual(comparison["compared"], sum(c["reason"] == "" for c in comparison["changes"]))
        people = run("compare", a, b).stdout
        self.assertIn("these serves differ", people)
        self.assertIn("A difference is no cause", people)
        self.assertNotIn("because", people.lower().replace("because the", ""))

    def test_three_serves_a_day_in_folders_say_that_it_changed(self):
        for day, lower in (("march", 0), ("may", 22)):
            (self.folder / day).mkdir()
            for n in range(3):
                self.review(f"{day}{n}", hand_lower=lower, folder=self.folder / day)
        (comparison,) = self.compared(self.folder / "march", self.folder / "may", "--measures", "hand_elbow_gap")
        (gap,) = comparison["changes"]
        self.assertEqual((gap["verdict"], gap["of"], gap["before"]["serves"]), ("changed", "player", 3))
        self.assertGreater(gap["before"]["scatter_sd"], 0)
        self.assertEqual(gap["detectable"], gap["detectable_alone"])
        commas = ",".join(str(p) for p in sorted((self.folder / "march").glob("*.json")))
        (again,) = self.compared(commas, self.folder / "may", "--measures", "hand_elbow_gap")
        self.assertEqual(again["changes"][0]["difference"], gap["difference"])

    def test_the_same_camera_and_few_measures_tell_smaller_changes(self):
        a, b = self.review("a"), self.review("b")
        lean = lambda *words: {c["moment"]: c for c in self.compared(a, b, *words)[0]["changes"]
                               if c["id"] == "trunk_lean"}["trophy"]
        other, same = lean(), lean("--same-camera")
        self.assertLess(same["detectable"], other["detectable"])
        self.assertLess(lean("--measures", "trunk_lean")["detectable"], other["detectable"])

    def test_each_view_that_both_have_is_compared_and_no_angle_across_views(self):
        side, back = self.review("side"), self.review("back", view="back", net="away")
        both = self.compared(f"{side},{back}", f"{back},{side}")
        self.assertEqual([c["before"]["view"] for c in both], ["side", "back"])
        (across,) = self.compared(side, back)
        reasons = {(c["id"], c["moment"]): c["reason"] for c in across["changes"]}
        self.assertEqual(reasons["elbow_angle", "drop"], "other_view")
        self.assertEqual(reasons["hand_elbow_gap", "drop"], "")

    def test_another_scale_says_where_the_same_one_is_to_be_had(self):
        toss = {"id": "toss", "method": "toss", "from_frame": 2, "to_frame": 12}
        line = {"id": "line", "method": "line", "frame": 0, "a": [20, 160], "b": [300, 160], "distance_m": 5.2}
        ball = [{"frame": f, "points": {"ball": {"at": [180 + 0.2 * f, 40 + 0.9 * (f - 7) ** 2 * 0.59]}}}
                for f in range(2, 13)]
        a = self.review("a")
        b = self.review("b", scales=[line, toss], scale="toss")
        document = json.loads(b.read_text())
        for mark in ball:
            same = [m for m in document["marks"] if m["frame"] == mark["frame"]]
            (same[0]["points"].update(mark["points"]) if same else document["marks"].append(mark))
        b.write_text(json.dumps(document))
        gap = [c for c in self.compared(a, b)[0]["changes"] if c["id"] == "hand_elbow_gap"][0]
        self.assertEqual(gap["reason"], "other_scale", gap["words"])
        self.assertIn("has a scale by a line too", gap["words"])

    def test_what_cannot_be_compared_is_one_clear_line(self):
        a = self.review("a")
        (self.folder / "none").mkdir()
        self.assert_refused(run("compare", a), "BEFORE AFTER")
        self.assert_refused(run("compare", a, a, a), "has no place for")
        self.assert_refused(run("compare", a, self.folder / "gone.review.json"), "gone.review.json")
        self.assert_refused(run("compare", a, self.folder / "none"), "holds no review")
        self.assert_refused(run("compare", a, f"{a},"), "ends with a comma")
        self.assert_refused(run("compare", a, f"{a},,{a}"), "between the commas")
        self.assert_refused(run("compare", a, a, "--measures", "elbow_angel"), "elbow_angel")
        self.assert_refused(run("compare", a, a, "--units", "cubits"), "metric")
        left = self.review("left", player={"hand": "left"})
        self.assert_refused(run("compare", f"{a},{left}", a), "left-hander")

    def test_serves_of_a_view_that_one_side_lacks_are_told(self):
        side, back = self.review("side"), self.review("back", view="back", net="away")
        done = run("compare", f"{side},{back}", side)
        self.assertIn("left out", done.stdout)
        self.assertIn(f"{back} (back view)", done.stdout)
        told = json.loads(run("compare", f"{side},{back}", side, "--json").stdout)
        self.assertEqual(told["left_out"], [str(back)])

    def test_a_clip_on_both_sides_and_the_drop_bring_their_cautions(self):
        a, b = self.review("a"), self.review("b", hand_lower=22)
        cautions = " ".join(self.compared(a, b)[0]["cautions"])
        self.assertIn("what differs there is the tapping", cautions)
        self.assertIn("deeper is not better", cautions)
        self.assertIn("physiotherapist", cautions)
        lean = " ".join(self.compared(a, b, "--measures", "trunk_lean")[0]["cautions"])
        self.assertNotIn("deeper", lean)

    def test_a_measure_and_the_speed_changed_together_and_no_cause_is_named(self):
        for day, lower, speeds in (("2027-03-14", 0, (141, 139)), ("2027-04-11", 22, (150, 152))):
            (self.folder / day).mkdir()
            for n in range(3):
                self.review(f"{day}-{n}", hand_lower=lower, folder=self.folder / day, reviewed=day,
                            speeds=[{"value": v + n / 3, "unit": "km/h"} for v in speeds])
        words = (self.folder / "2027-03-14", self.folder / "2027-04-11", "--measures", "hand_elbow_gap")
        people = run("compare", *words).stdout
        self.assertIn("changed together", people)
        self.assertIn("What made them differ they do not say", people)
        self.assertNotIn(" caused", people)
        told = json.loads(run("compare", *words, "--json").stdout)["speeds"]
        self.assertTrue(told["differs"])
        self.assertEqual(len(told["together"]), 1)
        table = self.table("date,km/h\n2027-03-14,140\n2027-04-11,140.5\n2027-05-01,190\n2027-04-11,bad\n")
        done = run("compare", *words, "--json", "--speeds", table)
        self.assertIn("line 5", done.stderr)
        self.assertAlmostEqual(json.loads(done.stdout)["speeds"]["difference"] * 3.6,
                               (151 + 1 / 3) * 6 / 7 + 140.5 / 7 - (140 + 1 / 3) * 6 / 7 - 140 / 7, places=6)

    def test_a_comma_in_a_name_is_part_of_it_where_such_a_file_is(self):
        a, odd = self.review("a"), self.review("serve, second")
        self.assertEqual(self.compared(a, odd)[0]["after"]["serves"], 1)

    # --- speeds

    def table(self, text, name="speeds.csv"):
        path = self.folder / name
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return path

    def test_two_days_of_speeds_are_those_of_scipy(self):
        days = {"2027-03-14": [141.2, 138.7, 145.0, 140.4, 143.9], "2027-04-11": [150.1, 147.9, 152.3, 146.2]}
        path = self.table("date;km/h\n" + "".join(f"{day};{str(v).replace('.', ',')}\n"
                                                  for day, values in days.items() for v in values))
        told = json.loads(run("speeds", path, "--json").stdout)
        first, last = ([v / 3.6 for v in values] for values in days.values())
        welch = stats.ttest_ind(last, first, equal_var=False)
        change = told["change"]
        self.assertAlmostEqual(change["welch_p"], welch.pvalue, places=8)
        self.assertAlmostEqual(change["welch_t"], welch.statistic, places=6)
        regrouped = stats.permutation_test((first, last), lambda x, y: abs(sum(y) / len(y) - sum(x) / len(x)),
                                           n_resamples=10**6, alternative="greater")
        self.assertAlmostEqual(change["permutation_p"], regrouped.pvalue, places=8)
        self.assertTrue(change["exact"])
        day = told["days"][0]
        self.assertAlmostEqual(day["sd"], stats.tstd(first), places=7)
        self.assertAlmostEqual(day["low"], stats.t.interval(0.95, 4, sum(first) / 5, stats.sem(first))[0], places=6)
        self.assertAlmostEqual(day["best"], 145.0 / 3.6, places=7)

    def test_broken_rows_are_told_by_line_and_the_rest_is_kept(self):
        path = self.table("date,speed,unit\n2027-03-14,141,km/h\n2027-03-14,88,mph\n2027-03-14,88,parsecs\n"
                          "2027-02-30,141,km/h\n2027-03-14,39.2,m/s\n2027-03-14,,km/h\n")
        done = run("speeds", path)
        self.assertEqual(done.returncode, 1)
        self.assertEqual([line.split(": ")[1].split(", ")[1] for line in done.stderr.splitlines()],
                         ["line 4", "line 5", "line 7"])
        self.assertIn("2027-03-14        3  141.2 km/h", done.stdout)

    def test_ambiguous_dates_and_missing_units_are_asked_for(self):
        path = self.table("date,speed\n03/04/2027,90\n03/05/2027,91\n")
        self.assert_refused(run("speeds", path), "line 2", "--dates day-first or --dates month-first")
        self.assert_refused(run("speeds", path, "--dates", "day-first"), "--unit")
        done = run("speeds", path, "--dates", "month-first", "--unit", "mph", "--units", "imperial")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("2027-03-04        1  90.0 mph", done.stdout)

    def test_tables_that_are_none_are_refused(self):
        self.assert_refused(run("speeds", self.table("")), "empty")
        self.assert_refused(run("speeds", self.table("a,b\n1,2\n")), "no column of speeds")
        self.assert_refused(run("speeds", self.table(b"\xff\xfed\x00a\x00")), "UTF-16")
        self.assert_refused(run("speeds", self.table(bytes(range(256)))), "speeds.csv")
        self.assert_refused(run("speeds", self.folder / "gone.csv"), "gone.csv")
        good = self.table("date,km/h\n2027-03-14,141\n")
        self.assert_refused(run("speeds", good, "--before", "2027-01-01"), "no serves of that day")
        self.assert_refused(run("speeds", good, "--dates", "backwards"), "day-first")
        self.assert_refused(run("speeds", good, "--unit", "knots"), "km/h")

    def test_a_speed_added_by_hand_lands_in_a_table_as_its_heads_ask(self):
        new = self.folder / "new.csv"
        self.assertEqual(run("speeds", new, "--add", "2027-03-14 112.4 km/h radar, old").returncode, 0)
        self.assertEqual(list(csv.DictReader(new.read_text().splitlines()))[0],
                         {"date": "2027-03-14", "speed": "112.4", "unit": "km/h", "device": "radar, old"})
        own = self.table("\ufeffGerät;km/h;Datum\r\nradar;141,5;14.03.2027")
        self.assertEqual(run("speeds", own, "--add", "2027-03-15 88 mph gun").returncode, 0)
        self.assertEqual(own.read_bytes().decode(), "\ufeffGerät;km/h;Datum\r\nradar;141,5;14.03.2027\ngun;88 mph;2027-03-15\n")
        squad = self.table("player,date,km/h\nAna,2027-03-14,121\nBen,2027-03-14,167\n", "squad.csv")
        self.assert_refused(run("speeds", squad), "choose one with --player")
        done = run("speeds", squad, "--player", "Ana", "--add", "2027-03-14 123 km/h")
        self.assertIn("2027-03-14        2  122.0 km/h", done.stdout)
        self.assertTrue(squad.read_text().endswith("Ana,2027-03-14,123\n"))
        before = own.read_bytes()
        for wrong in ("tomorrow 88 mph", "2027-03-15 88", "2027-03-15 880 mph", "03/04/2027 88 mph"):
            self.assert_refused(run("speeds", own, "--add", wrong))
        self.assert_refused(run("speeds", own, new, "--add", "2027-03-15 88 mph"), "name one")
        self.assertEqual(own.read_bytes(), before)

    def test_a_speed_added_to_a_review_stands_in_it_and_nothing_else_changes(self):
        path = self.review("a", speeds=[{"date": "2027-03-14", "value": 41.2, "unit": "m/s", "by": "Ana"}, {"value": "x"}],
                           reviewed="2027-03-20")
        before = json.loads(path.read_text())
        done = run("speeds", path, "--add", "2027-03-15 88.5 mph radar")
        self.assertEqual(done.returncode, 1)
        self.assertIn("speeds[1]: value: expected a number", done.stderr)
        after = json.loads(path.read_text())
        self.assertEqual(after["speeds"], before["speeds"] + [{"date": "2027-03-15", "value": 88.5, "unit": "mph",
                                                               "device": "radar"}])
        self.assertEqual(run("validate", path).returncode, 0)
        self.assertEqual({k: v for k, v in after.items() if k != "speeds"}.keys(),
                         {k: v for k, v in before.items() if k != "speeds"}.keys() | after.keys() - {"speeds"})
        self.assertIn("2027-03-15        1  142.4 km/h", run("speeds", path).stdout)

    def test_speeds_of_a_folder_of_reviews_are_put_together_by_day(self):
        self.review("a", speeds=[{"value": 141, "unit": "km/h"}], reviewed="2027-03-20")
        self.review("b", speeds=[{"date": "2027-03-20", "value": 39, "unit": "m/s"}])
        self.review("c")
        self.assertIn("2027-03-20        2", run("speeds", self.folder).stdout)

    # --- measure over many

    def test_many_reviews_are_one_line_each_whatever_the_jobs(self):
        nested = self.folder / "academy" / "ana"
        nested.mkdir(parents=True)
        paths = [self.review(f"r{n:02}", hand_lower=n, folder=nested) for n in range(7)]
        one = run("measure", self.folder / "academy", "--csv", "-j", 1)
        four = run("measure", self.folder / "academy", "--csv", "--jobs", 4)
        named = run("measure", *paths, "--csv")
        self.assertEqual(one.returncode, 0, one.stderr)
        self.assertEqual(one.stdout, four.stdout)
        self.assertEqual(one.stdout, named.stdout)
        rows = list(csv.DictReader(io.StringIO(one.stdout)))
        self.assertEqual([row["review"] for row in rows], [str(path) for path in paths])
        alone = list(csv.DictReader(io.StringIO(run("measure", paths[3], "--csv").stdout)))
        for measure in alone:
            name = measure["id"] + ("_" if measure["moment"] else "") + measure["moment"]
            self.assertEqual((rows[3][name], rows[3][f"{name}_low"], rows[3][f"{name}_status"]),
                             (measure["value"], measure["low"], measure["status"]))
        self.assertEqual(len(rows[0]), 10 + 4 * len(alone))

    def test_broken_reviews_are_listed_at_the_end_and_the_others_measured(self):
        for n in range(5):
            self.review(f"r{n}")
        (self.folder / "r1.review.json").write_text("{")
        document = json.loads((self.folder / "r3.review.json").read_text())
        document["clip"]["file"] = "gone.mp4"
        (self.folder / "r3.review.json").write_text(json.dumps(document))
        done = run("measure", self.folder, "--csv", "-j", 3)
        self.assertEqual(done.returncode, 1)
        self.assertEqual(len(list(csv.DictReader(io.StringIO(done.stdout)))), 3)
        told = done.stderr.splitlines()
        self.assertEqual(len(told), 3)
        self.assertIn("2 of 5 reviews could not be measured", told[0])
        self.assertIn("r1.review.json", told[1])
        self.assertIn("r3.review.json", told[2])

    def test_many_without_a_table_or_with_a_wrong_count_of_jobs_are_refused(self):
        a, b = self.review("a"), self.review("b")
        self.assert_refused(run("measure", a, b), "--csv")
        self.assert_refused(run("measure", a, b, "--json"), "--csv")
        self.assert_refused(run("measure", a, b, "--csv", "-j", "0"), "--jobs")
        self.assert_refused(run("measure", a, b, "--csv", "-j", "many"), "--jobs")
        self.assert_refused(run("measure"), "REVIEW")


if __name__ == "__main__":
    unittest.main()
