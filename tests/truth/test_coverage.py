"""How often the stated 95 % intervals hold the truth, over simulated serves; `make truth` runs more.

200 serves by a fixed seed: the share of a true 95 % scatters by 1.5 % (3 % for the measures that a
quarter of the serves have), so 88 % is asked for here. An interval that holds too often is not
refused at this size."""
import os
import pathlib
import subprocess
import unittest

COVERAGE = pathlib.Path(os.environ.get("SP_BUILD", "build/plain")) / "tests/truth/coverage"


class Coverage(unittest.TestCase):
    def test_every_measure_of_status_ok_holds_its_truth(self):
        done = subprocess.run([COVERAGE, "--serves", "200", "--least", "88", "--most", "100"], capture_output=True,
                              text=True, stdin=subprocess.DEVNULL, check=False)
        self.assertIn("by the court's landmarks", done.stdout)
        self.assertEqual(done.returncode, 0, done.stdout)

    def test_taps_on_smears_hold_their_truth(self):
        """From the side at 240 frames/s with a shutter of 1/333 s, tapped anywhere on what smears: without the term
        the tip's speed held its truth in 65 to 81 % of 120 serves, the racquet's angle at contact in 25 to 48 %."""
        done = subprocess.run([COVERAGE, "--serves", "60", "--rate", "240", "--view", "0", "--large", "1", "--taps", "1",
                               "--exposure", "0.003", "--draws", "300", "--least", "88", "--most", "100"],
                              capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False)
        self.assertIn("racquet_head_speed ", done.stdout)
        self.assertEqual(done.returncode, 0, done.stdout)

    def test_pairs_without_a_change_are_rarely_called_changed_and_true_changes_are_found(self):
        """10 pairs of three serves a day by another camera, at most 5 % and at least 95 % by what so few scatter."""
        done = subprocess.run([COVERAGE, "--pairs", "10", "--day", "3"], capture_output=True, text=True,
                              stdin=subprocess.DEVNULL, check=False)
        self.assertIn("no true change", done.stdout)
        self.assertEqual(done.returncode, 0, done.stdout)


if __name__ == "__main__":
    unittest.main()
