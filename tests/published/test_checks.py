"""Published values of the built-in checks against their tables, and checks files against the schema.

The table below holds what was read in the publications, with its source; assets/checks.json must
hold the same, and limits that are said to follow from a publication must follow from it. Where
../shared/reference/serve-kinematics.md is there, the table is held against its rows too.
Validator: Debian's python3-jsonschema (JSON Schema draft 2020-12).
"""
import json
import pathlib
import re
import unittest

import jsonschema

ROOT = pathlib.Path(__file__).resolve().parents[2]
REFERENCE = ROOT.parent / "shared" / "reference" / "serve-kinematics.md"

REVIEW_2024 = "Jacquier-Bret and Gorce 2024"  # Front Sports Act Living, doi 10.3389/fspor.2024.1432030
OLYMPIC_2003 = "Fleisig, Nicholls, Elliott and Escamilla 2003"  # Sports Biomech 2(1):51-64
WHEELCHAIR_2007 = "Shoulder joint kinetics of the elite wheelchair tennis serve"  # Br J Sports Med 41(11)

# check, value, sd (None: not in the text that was read), population, source, row of the reference
PUBLISHED = [
    # pooled over 27 studies, trophy position
    ("trunk_in_trophy", 25.0, 7.1, "pooled from 27 studies", REVIEW_2024,
     r"trunk inclination \(from vertical\) \| TP \| 25\.0 \+- 7\.1 deg \| pooled, 27 studies \| S3 \| C"),
    ("knee_bend", 64.5, 9.7, "pooled from 27 studies", REVIEW_2024,
     r"front knee flexion \| TP \| 64\.5 \+- 9\.7 deg \| pooled \| S3 \| C"),
    # pooled, ball impact
    ("arm_at_contact", 110.7, 16.9, "pooled from 27 studies", REVIEW_2024,
     r"shoulder elevation \| BI \| 110\.7 \+- 16\.9 deg \| pooled \| S3 \| C"),
    ("elbow_at_contact", 30.1, 15.9, "pooled from 27 studies", REVIEW_2024,
     r"elbow flexion \| BI \| 30\.1 \+- 15\.9 deg \| pooled \| S3 \| C"),
    # 20 world-class players; their deviations could not be read and are not shown
    ("arm_at_contact", 101, None, "20 world-class players", OLYMPIC_2003,
     r"arm \(shoulder\) abduction \| BI \| 101 deg"),
    ("lean_at_contact", 48, None, "20 world-class players", OLYMPIC_2003,
     r"trunk tilt above horizontal \| BI \| 48 deg"),
    ("fastest_at_contact", 42, None, "12 high-performance players", WHEELCHAIR_2007,
     r"racquet speed before impact, able-bodied \| about 42 m/s resultant.*12 high-performance players"),
]

# check, measure, end, limit, how it follows, row of the reference
LIMITS = [
    ("trunk_in_trophy", "trunk_lean", "low", -(25.0 + 7.1), "mean and one deviation, away from the net", None),
    ("arm_at_contact", "upper_arm_elevation", "low", 110.7 - 16.9, "mean less one deviation", None),
    ("arm_at_contact", "upper_arm_elevation", "high", 110.7 + 16.9, "mean and one deviation", None),
    ("elbow_at_contact", "elbow_angle", "low", 180 - 30.1 - 15.9, "straight less the mean bend and one deviation", None),
    # Myers et al. 2017, J Med Sci Tennis 22(3):6-12: both knees bend by more than 15 degrees
    ("knee_bend", "knee_angle_front", "high", 180 - 15, "bent by 15 degrees", r"both knees bend > 15 deg \(good\)"),
    ("knee_bend", "knee_angle_rear", "high", 180 - 15, "bent by 15 degrees", r"both knees bend > 15 deg \(good\)"),
    # a coaching site, weak: advice of 20 to 40 cm; zenith less contact of two ranked men: 38 and 80 cm
    ("toss_fall", "toss_drop_to_contact", "low", 0.20, "the least of the advice", r"typical advice \| 20-40 cm"),
    ("toss_fall", "toss_drop_to_contact", "high", 3.66 - 2.86, "the farther of two ranked men", r"3\.21 m and 3\.66 m"),
    # the farther of the two tosses left a hand at 1.9 m
    ("toss_height", "toss_apex", "high", round(3.66 - 1.9, 1), "from the hand to the zenith", r"release \(1\.9 m\)"),
    # ratios below 1.0 and above 1.6 at the impact point; the tip is faster by R / (R - 0.15 m)
    ("ball_and_racquet", "ball_to_tip_speed", "low", round(1.0 / (0.75 / 0.60), 2), "turning about the wrist",
     r"above 1\.6 or below 1\.0"),
    ("ball_and_racquet", "ball_to_tip_speed", "high", round(1.6 / (1.30 / 1.15), 2), "turning about the shoulder",
     r"above 1\.6 or below 1\.0"),
]

# check, member, what it says in words, row of the reference
TOLD = [
    # a magazine, quoting a professor of biomechanics; a coaching site's video measurements
    ("contact_height", "source", "professor of biomechanics (1.5)", r"contact height / standing height \| 1\.5 \|"),
    ("contact_height", "source", "(1.53 and 1.51)", r"2\.83 m \(1\.53 H\) and 2\.86 m \(1\.51 H\)"),
    ("toss_height", "source", "3.21 and 3.66 m", r"toss zenith, same two \| 3\.21 m and 3\.66 m"),
    ("toss_fall", "source", "20 to 40 cm", r"zenith above contact, typical advice \| 20-40 cm"),
    ("toss_fall", "source", f"{3.21 - 2.83:.2f}"[2:] + " and " + f"{3.66 - 2.86:.2f}"[2:] + " cm", r"3\.21 m and 3\.66 m"),
    # Sheets et al. 2011, as told in PeerJ 18410
    ("fastest_at_contact", "source", "within 5 ms of impact", r"time of maximal racquet speed \| within 0\.005 s"),
    # Myers et al. 2017, read in a thesis table
    ("knee_bend", "source", "by more than 15 degrees", r"both knees bend > 15 deg \(good\)"),
    # Elliott, Fleisig, Nicholls and Escamilla 2003, J Sci Med Sport 6(1):76-87
    ("knee_bend", "why", "about as fast, but with a higher torque at the shoulder",
     r"similar ball speed \(162 km/h\) but higher normalised torque at MER"),
]


class PublishedTest(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.file = json.loads((ROOT / "assets" / "checks.json").read_text("utf-8"))
        cls.checks = {check["id"]: check for check in cls.file["checks"]}

    def test_every_published_value_is_that_of_its_table(self):
        shown = [(name, value) for name, check in self.checks.items() for value in check.get("published", [])]
        self.assertEqual(len(shown), len(PUBLISHED))
        for check, value, sd, among, source, _ in PUBLISHED:
            with self.subTest(check=check, value=value, source=source):
                found = [entry for name, entry in shown if name == check and entry["value"] == value]
                self.assertEqual(len(found), 1)
                self.assertEqual(found[0].get("sd"), sd)
                self.assertIn(among, found[0]["among"])
                self.assertIn(source, found[0]["source"])

    def test_limits_follow_from_what_was_published(self):
        for check, measure, end, limit, how, _ in LIMITS:
            with self.subTest(check=check, measure=measure, how=how):
                test = [test for test in self.checks[check]["tests"] if test["measure"] == measure][0]
                self.assertAlmostEqual(test[end], limit, places=9)

    def test_what_is_told_in_words_is_that_of_its_table(self):
        for check, member, words, _ in TOLD:
            with self.subTest(check=check, words=words):
                self.assertIn(words, self.checks[check][member])

    def test_the_caution_says_no_more_than_was_published(self):
        """Elliott et al. 2003: the highest torque at the greatest outward rotation; no safe or harmful depth."""
        for words in (self.file["cautions"]["drop"]["healthy"], self.file["cautions"]["drop"]["otherwise"]):
            self.assertIn("the position in which the highest shoulder torque was measured", words)
            for never in ("safe", "harm", "injur", "cause", "degrees"):
                self.assertNotIn(never, words)

    def test_the_reference_holds_the_same(self):
        if not REFERENCE.exists():
            self.skipTest(f"{REFERENCE} is not there")
        text = REFERENCE.read_text("utf-8")
        for row in [row for *_, row in PUBLISHED] + [row for *_, row in LIMITS if row] + \
                [row for *_, row in TOLD] + [r"was reported AT the position of maximal external rotation"]:
            with self.subTest(row):
                self.assertIsNotNone(re.search(row, text), row)

    def test_what_was_not_read_is_not_shown_as_published(self):
        """Outward rotation (172 and 130 degrees) is never held against a picture."""
        text = json.dumps(self.file)
        for never in ("172", "130.1", "external rotation"):
            self.assertNotIn(never, text)

    def test_a_check_without_a_publication_says_so(self):
        for name, check in self.checks.items():
            with self.subTest(name):
                self.assertRegex(check["source"], r"common practice, no source|weak source|derived|(19|20)\d\d")

    def test_no_published_value_is_called_a_norm(self):
        for name, check in self.checks.items():
            for word in ("norm ", "normal", "should be", "must"):
                self.assertNotIn(word, json.dumps(check), name)


class SchemaTest(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.schema = json.loads((ROOT / "assets" / "checks.schema.json").read_text("utf-8"))
        cls.file = json.loads((ROOT / "assets" / "checks.json").read_text("utf-8"))
        jsonschema.Draft202012Validator.check_schema(cls.schema)
        cls.validator = jsonschema.Draft202012Validator(cls.schema)
        cls.whole = jsonschema.Draft202012Validator({"$ref": "#/$defs/whole", "$defs": cls.schema["$defs"]})

    def test_the_built_in_file_is_valid_and_each_check_whole(self):
        self.validator.validate(self.file)
        self.assertIn("cautions", self.file)
        for check in self.file["checks"]:
            with self.subTest(check["id"]):
                self.whole.validate(check)

    def own(self, *entries):
        return {"format": "serveplumb-checks", "version": 1, "checks": list(entries)}

    def test_own_files_may_change_members_and_take_checks_out(self):
        self.validator.validate(self.own({"id": "tempo", "weight": 10}, {"id": "toss_fall", "off": True}))

    def test_faults_that_the_program_refuses_are_no_valid_files(self):
        limit = {"measure": "hand_elbow_gap", "moment": "drop", "high": 0}
        for entry in ({"weight": 3}, {"id": "tempo", "wieght": 3}, {"id": "tempo", "weight": 11},
                      {"id": "tempo", "views": ["top"]}, {"id": "tempo", "views": []},
                      {"id": "tempo", "about": "shoes"}, {"id": "tempo", "title": ""},
                      {"id": "tempo", "off": "yes"}, {"id": "tempo", "tests": [{**limit, "hihg": 1}]},
                      {"id": "tempo", "tests": [{**limit, "instead": {**limit, "instead": limit}}]},
                      {"id": "tempo", "published": [{"name": "x", "value": 1, "unit": "feet",
                                                     "among": "us", "source": "us"}]}):
            with self.subTest(entry):
                self.assertFalse(self.validator.is_valid(self.own(entry)))
        self.assertFalse(self.whole.is_valid({"id": "new", "title": "Half"}))


if __name__ == "__main__":
    unittest.main()
