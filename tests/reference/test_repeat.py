"""`repeat`: the typical error of a second tapping, against SciPy's own from the same two files.

Typical error: standard deviation of the differences / sqrt 2, its interval by chi-squared (Hopkins
2000, Sports Med 30:1-15)."""
import json
import os
import pathlib
import shutil
import subprocess
import tempfile
import unittest

import numpy as np
from scipy import stats

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
DEMO = pathlib.Path("build/demo")


def repeat(*words):
    return subprocess.run([PROGRAM, "repeat", *map(str, words)], capture_output=True, text=True,
                          stdin=subprocess.DEVNULL, check=False)


def typical(groups):
    """Of groups of differences, each about its own mean."""
    squares = sum(((g - g.mean()) ** 2).sum() for g in groups)
    freedom = sum(len(g) - 1 for g in groups)
    value = np.sqrt(squares / freedom / 2)
    low, high = value * np.sqrt(freedom / stats.chi2.ppf([0.975, 0.025], freedom))
    return value, low, high


class Repeat(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.first = pathlib.Path(folder.name) / "serve.review.json"
        self.second = pathlib.Path(folder.name) / "serve.again.review.json"
        shutil.copy(DEMO / "serve-side.review.json", self.first)

    def tap_again(self, sd_px=1.7, seed=11):
        """The first's points, each a little off, in the file that --begin made."""
        self.assertEqual(repeat(self.first, "--begin").returncode, 0)
        dice = np.random.default_rng(seed)
        first, second = (json.loads(path.read_text()) for path in (self.first, self.second))
        second["marks"] = json.loads(json.dumps(first["marks"]))
        for frame in second["marks"]:
            for point in frame["points"].values():
                point["at"] = list(np.array(point["at"]) + dice.normal([0.6, -0.4], sd_px))
        self.second.write_text(json.dumps(second))
        return first, second

    def test_begin_gives_the_moments_and_no_point(self):
        self.assertEqual(repeat(self.first, "--begin").returncode, 0)
        first, second = (json.loads(path.read_text()) for path in (self.first, self.second))
        self.assertEqual(second["moments"], first["moments"])
        self.assertEqual(second["clip"], first["clip"])
        self.assertFalse(second.get("marks"))
        self.assertFalse(second.get("scales"))
        again = repeat(self.first, "--begin")
        self.assertNotEqual(again.returncode, 0)
        self.assertIn("there already", again.stderr)

    def test_errors_and_intervals_are_those_of_scipy(self):
        first, second = self.tap_again()
        differences = {}
        for one, two in zip(first["marks"], second["marks"]):
            for name in one["points"]:
                differences.setdefault(name, []).append(
                    np.subtract(two["points"][name]["at"], one["points"][name]["at"]))
        told = json.loads(repeat(self.first, "--json").stdout)
        self.assertEqual({p["point"] for p in told["points"]}, set(differences))
        groups = []
        for point in told["points"]:
            pairs = np.array(differences[point["point"]])
            self.assertEqual(point["pairs"], len(pairs))
            np.testing.assert_allclose(point["shift_px"], pairs.mean(axis=0), rtol=1e-9)
            want = typical([pairs[:, 0], pairs[:, 1]])
            np.testing.assert_allclose([point["typical_error_px"], point["low"], point["high"]], want, rtol=1e-9)
            groups += [pairs[:, 0], pairs[:, 1]]
        pooled = told["pooled"]
        np.testing.assert_allclose([pooled["typical_error_px"], pooled["low"], pooled["high"]], typical(groups),
                                   rtol=1e-9)
        self.assertLess(pooled["low"], 1.7 / np.sqrt(2))
        self.assertGreater(pooled["high"], 1.7 / np.sqrt(2))

    def test_write_lets_the_review_reckon_with_it_and_changes_nothing_else(self):
        first, _ = self.tap_again()
        told = json.loads(repeat(self.first, "--json").stdout)
        self.assertEqual(repeat(self.first, self.second, "--write").returncode, 0)
        written = json.loads(self.first.read_text())
        self.assertAlmostEqual(written.pop("points_sd_px"), told["pooled"]["typical_error_px"], places=12)
        first.pop("points_sd_px", None)
        if first.get("ink") == []:  # a list without strokes is left out
            del first["ink"]
        self.assertEqual(written, first)

    def test_a_pair_of_two_different_points_is_named_and_not_written(self):
        _, second = self.tap_again()
        wild = [frame for frame in second["marks"] if "right_elbow" in frame["points"]][2]
        wild["points"]["right_elbow"]["at"][0] += 90
        self.second.write_text(json.dumps(second))
        done = repeat(self.first)
        self.assertIn(f"right elbow on frame {wild['frame']}", done.stdout)
        refused = repeat(self.first, "--write")
        self.assertNotEqual(refused.returncode, 0)
        self.assertIn("right elbow", refused.stderr)

    def test_what_cannot_be_compared_is_said(self):
        missing = repeat(self.first)
        self.assertNotEqual(missing.returncode, 0)
        self.assertIn("--begin", missing.stderr)
        self.assertEqual(repeat(self.first, "--begin").returncode, 0)
        self.assertIn("tap the same points", repeat(self.first).stderr)
        other = repeat(self.first, DEMO / "serve-back.review.json")
        self.assertNotEqual(other.returncode, 0)
        self.assertIn("different clips", other.stderr)


if __name__ == "__main__":
    unittest.main()
