"""A short, seeded run of what `make fuzz` runs at length, under AddressSanitizer and
UndefinedBehaviorSanitizer whatever the variant, and everything that was found before."""
import os
import pathlib
import re
import subprocess
import unittest

TEXTS = ["review", "checks", "speeds", "marks"]
ROOT = pathlib.Path(__file__).resolve().parents[2]
REPLAY = ROOT / "build/sanitize/tests/fuzz"
SETTINGS = {**{k: v for k, v in os.environ.items() if not k.startswith(("MAKE", "MFLAGS"))},
            "ASAN_OPTIONS": "detect_leaks=1:allocator_may_return_null=1"}


def run(*words, seconds=120):
    return subprocess.run(list(map(str, words)), capture_output=True, text=True, errors="replace", cwd=ROOT,
                          env=SETTINGS, timeout=seconds, stdin=subprocess.DEVNULL, check=False)


class Fuzz(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        made = run("make", "-s", "VARIANT=sanitize",
                   *(REPLAY.relative_to(ROOT) / f"{part}_replay" for part in ("clip", *TEXTS)), seconds=900)
        if made.returncode != 0:
            raise AssertionError(made.stdout + made.stderr)

    def check(self, done, words):
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertRegex(done.stdout, words)

    def test_clips_that_were_found_once_do_no_harm(self):
        self.check(run(REPLAY / "clip_replay", "--each", "tests/fuzz/corpus/clip"), r"(?m)^[1-9]\d* inputs")

    def test_texts_do_no_harm_also_without_memory(self):
        for part in TEXTS:
            with self.subTest(part=part):
                self.check(run(REPLAY / f"{part}_replay", "--failing", f"tests/fuzz/corpus/{part}"),
                           r"(?m)^[1-9]\d* inputs, [1-9]\d* failed allocations")

    def test_mutated_clips_do_no_harm(self):
        done = run("tests/fuzz/campaign.py", REPLAY / "clip_replay", "--files", 200, "--seed", "check", "--work",
                   "build/fuzz/check")
        self.check(done, r"200 mutated files of \d+ clips, seed check: 0 faults")
        self.assertGreaterEqual(int(re.search(r"of (\d+) clips", done.stdout)[1]), 8)

    def test_mutated_tables_and_points_do_no_harm(self):
        for part in ("speeds", "marks"):
            with self.subTest(part=part):
                done = run("tests/fuzz/campaign.py", REPLAY / f"{part}_replay", "--texts", f"tests/fuzz/corpus/{part}",
                           "--files", 800, "--seed", "check", "--work", f"build/fuzz/check-{part}")
                self.check(done, r"800 mutated files of [5-9]\d* texts, seed check: 0 faults")


if __name__ == "__main__":
    unittest.main()
