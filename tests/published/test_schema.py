"""Review files against assets/review.schema.json and the program, by an independent validator.

Validator: Debian's python3-jsonschema (JSON Schema draft 2020-12). The program under test is
$SERVEPLUMB, build/plain/serveplumb by default. tests/review/ holds a whole review and two tables of
changes to it: those that must be refused, each with the words the program must say, and those that
must be allowed.
"""

import json
import os
import pathlib
import subprocess
import tempfile
import unittest

import jsonschema

ROOT = pathlib.Path(__file__).resolve().parents[2]
CASES = ROOT / "tests" / "review"
PROGRAM = os.environ.get("SERVEPLUMB", str(ROOT / "build" / "plain" / "serveplumb"))


def has_command(name):
    """The program knows the command: it is not refused as unknown."""
    try:
        run = subprocess.run([PROGRAM, "help"], capture_output=True, text=True, check=False)
    except OSError:
        return False
    return run.returncode == 0 and name in run.stdout


def changed(case, sample):
    if case["from"] not in sample:
        raise AssertionError(f"the sample no longer holds {case['from']!r}")
    return sample.replace(case["from"], case["to"], 1)


class SchemaTest(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.schema = json.loads((ROOT / "assets" / "review.schema.json").read_text("utf-8"))
        cls.validator = jsonschema.Draft202012Validator(cls.schema)
        cls.sample = (CASES / "sample.review.json").read_text("utf-8")
        cls.faults = json.loads((CASES / "faults.json").read_text("utf-8"))
        cls.variants = json.loads((CASES / "variants.json").read_text("utf-8"))

    def validate(self, text):
        """Exit status and messages of `serveplumb validate` on a file of this text."""
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "case.review.json"
            path.write_text(text, "utf-8")
            run = subprocess.run(
                [PROGRAM, "validate", str(path)], capture_output=True, text=True, check=False
            )
        return run.returncode, run.stderr

    def test_the_schema_itself_is_valid(self):
        jsonschema.Draft202012Validator.check_schema(self.schema)

    def test_the_sample_is_valid(self):
        self.validator.validate(json.loads(self.sample))

    def test_each_allowed_change_is_valid(self):
        for case in self.variants:
            with self.subTest(case["why"]):
                self.validator.validate(json.loads(changed(case, self.sample)))

    def test_each_fault_is_invalid_unless_beyond_a_schema(self):
        for case in self.faults:
            with self.subTest(case["says"]):
                document = json.loads(changed(case, self.sample))
                valid = self.validator.is_valid(document)
                self.assertEqual(valid, "beyond_schema" in case, "valid by the schema")

    def test_the_program_accepts_the_sample_and_each_allowed_change(self):
        self.needs("validate")
        for case in [{"from": "{", "to": "{", "why": "the sample"}] + self.variants:
            with self.subTest(case["why"]):
                self.assertEqual(self.validate(changed(case, self.sample)), (0, ""))

    def test_the_program_refuses_each_fault_in_one_line(self):
        self.needs("validate")
        for case in self.faults:
            with self.subTest(case["says"]):
                status, message = self.validate(changed(case, self.sample))
                self.assertEqual(status, 1)
                self.assertIn(case["says"], message)
                self.assertEqual(message.count("\n"), 1)

    def test_a_new_review_is_valid(self):
        self.needs("new")
        options = [
            [],
            ["--view", "back", "--net", "toward"],
            ["--hand", "left", "--view", "side", "--net", "left"],
            ["--stature", "1.82", "--racquet", "0.685"],
        ]
        with tempfile.TemporaryDirectory() as folder:
            clip = self.make_clip(folder)
            for number, option in enumerate(options):
                with self.subTest(option):
                    path = pathlib.Path(folder) / f"{number}.review.json"
                    subprocess.run([PROGRAM, "new", clip, "-o", str(path), *option], check=True)
                    text = path.read_text("utf-8")
                    self.validator.validate(json.loads(text))
                    self.assertEqual(self.validate(text), (0, ""))

    def make_clip(self, folder):
        path = os.path.join(folder, "clip.mp4")
        source = "testsrc2=size=176x144:rate=30:duration=0.5"
        try:
            subprocess.run(
                ["ffmpeg", "-v", "error", "-f", "lavfi", "-i", source, "-pix_fmt", "yuv420p", path],
                check=True,
            )
        except FileNotFoundError:
            self.skipTest("ffmpeg is not installed")
        return path

    def needs(self, command):
        if not has_command(command):
            self.skipTest(f"{PROGRAM} has no command '{command}'")


if __name__ == "__main__":
    unittest.main()
