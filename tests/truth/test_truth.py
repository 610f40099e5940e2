"""The whole chain against the generator's exact truth: clip, taps with noise, readout.

The truth is computed here from the generator's points (true picture positions and three-dimensional
ones), by formulas written down anew in NumPy; nothing of the program is used for it."""
import json
import os
import pathlib
import subprocess
import unittest

import numpy

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
DEMO = pathlib.Path("build/demo")
CLIPS = ("serve-side", "serve-back", "serve-slow")


class Truth:
    """One clip's truth for a right-hander, on the frames that its review names."""

    def __init__(self, name):
        self.whole = json.loads((DEMO / f"{name}.truth.json").read_text())
        self.review = json.loads((DEMO / f"{name}.review.json").read_text())
        self.frame_of = {moment["name"]: moment["frame"] for moment in self.review["moments"]}
        self.net_right = self.review["net"] == "right"
        self.side = self.review["view"] == "side"

    def at(self, moment, point):
        return numpy.array(self.whole["frames"][self.frame_of[moment]]["points"][point]["at"])

    def world(self, moment, point):
        return numpy.array(self.whole["frames"][self.frame_of[moment]]["points"][point]["world"])

    def middle(self, moment, part):
        return (self.at(moment, f"left_{part}") + self.at(moment, f"right_{part}")) / 2

    def included(self, moment, a, vertex, c):
        p, q = self.at(moment, a) - self.at(moment, vertex), self.at(moment, c) - self.at(moment, vertex)
        return numpy.degrees(numpy.arccos(p @ q / numpy.linalg.norm(p) / numpy.linalg.norm(q)))

    @staticmethod
    def between(p, q):
        return numpy.degrees(numpy.arccos(p @ q / numpy.linalg.norm(p) / numpy.linalg.norm(q)))

    def to_plumb(self, moment, proximal, distal):
        return self.between(self.at(moment, distal) - self.at(moment, proximal), numpy.array([0, -1.0]))

    def lean(self, moment):
        d = self.middle(moment, "shoulder") - self.middle(moment, "hip")
        # + toward the net from the side, toward the off side (a right-hander's left) from behind.
        toward = d[0] if self.side and self.net_right else -d[0]
        return numpy.degrees(numpy.arctan2(toward, -d[1]))

    def tilt(self, moment, part):
        right, left = self.at(moment, f"right_{part}"), self.at(moment, f"left_{part}")
        return numpy.degrees(numpy.arctan2(left[1] - right[1], abs(right[0] - left[0])))

    def height(self, moment, top, bottom):
        return self.world(moment, top)[2] - self.world(moment, bottom)[2]

    def values(self):
        """(id, moment) -> truth. Angles as the picture shows them; lengths and times as they are."""
        truth = {}
        for moment in ("trophy", "drop", "contact"):
            truth["elbow_angle", moment] = self.included(moment, "right_shoulder", "right_elbow", "right_hand")
            truth["forearm_to_plumb", moment] = self.to_plumb(moment, "right_elbow", "right_hand")
            truth["racquet_to_plumb", moment] = self.to_plumb(moment, "racquet_butt", "racquet_tip")
            truth["racquet_to_forearm", moment] = self.between(
                self.at(moment, "racquet_tip") - self.at(moment, "racquet_butt"),
                self.at(moment, "right_hand") - self.at(moment, "right_elbow"))
            if moment == "drop":
                continue
            upper_arm = self.at(moment, "right_elbow") - self.at(moment, "right_shoulder")
            trunk_down = self.middle(moment, "hip") - self.middle(moment, "shoulder")
            truth["upper_arm_elevation", moment] = self.between(upper_arm, trunk_down)
            truth["upper_arm_to_horizontal", moment] = 90 - self.between(upper_arm, numpy.array([0, -1.0]))
            truth["trunk_lean", moment] = self.lean(moment)
            if not self.side:
                truth["shoulder_tilt", moment] = self.tilt(moment, "shoulder")
                truth["hip_tilt", moment] = self.tilt(moment, "hip")
        if self.side:
            truth["knee_angle_front", "trophy"] = self.included("trophy", "left_hip", "left_knee", "left_ankle")
            truth["knee_angle_rear", "trophy"] = self.included("trophy", "right_hip", "right_knee", "right_ankle")
        truth["hand_elbow_gap", "drop"] = self.height("drop", "right_hand", "right_elbow")
        truth["tip_height_at_drop", "drop"] = self.height("drop", "racquet_tip", "right_elbow")
        hips = (self.world("drop", "left_hip")[2] + self.world("drop", "right_hip")[2]) / 2
        truth["tip_height_to_hips", "drop"] = self.world("drop", "racquet_tip")[2] - hips
        exact = {name: moment["exact_s"] for name, moment in self.whole["moments"].items()}
        for first, second in (("release", "trophy"), ("trophy", "drop"), ("drop", "contact")):
            truth[f"{first}_to_{second}", ""] = exact[second] - exact[first]
        derived = self.whole["derived"]
        if self.side:
            at_touch, peak = derived["speed_at_touch"], derived["peak_speed_before_touch"]
            truth["racquet_head_speed", "contact"] = at_touch["racquet_tip"]["plane_m_s"]
            truth["racquet_head_speed_peak", "contact"] = peak["racquet_tip"]["plane_m_s"]
            truth["contact_height", "contact"] = derived["ball"]["touch_at"][2]
            truth["ball_speed_off", "contact"] = derived["ball"]["speed_off"]["plane_m_s"]
        return truth


class Readouts(unittest.TestCase):
    """Every measure that the demo reviews give."""

    @classmethod
    def setUpClass(cls):
        if not (DEMO / "serve-side.review.json").exists():
            raise unittest.SkipTest("the demo clips are not made: make demo-data")
        cls.rows = []
        cls.readouts = {}
        for name in CLIPS:
            done = subprocess.run([PROGRAM, "measure", str(DEMO / f"{name}.review.json"), "--json"],
                                  capture_output=True, text=True, check=True, stdin=subprocess.DEVNULL)
            readout = json.loads(done.stdout)
            cls.readouts[name] = {(m["id"], m["moment"]): m for m in readout["measures"]}
            for key, value in Truth(name).values().items():
                cls.rows.append((name, key, value, cls.readouts[name][key]))

    def test_every_measure_with_a_truth_is_given(self):
        for name, key, _, measure in self.rows:
            with self.subTest(clip=name, measure=key):
                self.assertIn(measure["status"], ("ok", "projected"), measure["note"])

    def test_gap_and_racquet_speed_hold_the_truth(self):
        for name, key, value, measure in self.rows:
            if key[0] in ("hand_elbow_gap", "racquet_head_speed"):
                with self.subTest(clip=name, measure=key, truth=value, measure_=measure):
                    self.assertLessEqual(measure["low"], value)
                    self.assertGreaterEqual(measure["high"], value)

    def test_the_intervals_hold_their_truths(self):
        """95 % intervals: of about a hundred, a few may miss, none by more than its own width."""
        missed = []
        for name, key, value, measure in self.rows:
            if measure["value"] is None:
                continue
            width = measure["high"] - measure["low"]
            if not measure["low"] <= value <= measure["high"]:
                missed.append(f"{name} {key}: {value:.4g} not in {measure['low']:.4g} to {measure['high']:.4g}")
                self.assertLess(abs(value - measure["value"]), 2 * width, missed[-1])
        self.assertGreater(len(self.rows), 60)
        self.assertLessEqual(len(missed), 0.08 * len(self.rows), "\n".join(missed))

    def test_the_speed_s_interval_is_narrow_enough_to_use(self):
        speed = self.readouts["serve-side"]["racquet_head_speed", "contact"]
        # By a line alone; the racquet also moves along the line of sight, which nothing tells.
        self.assertLess(speed["high"] - speed["low"], 0.45 * speed["value"])

    def test_each_seen_value_is_what_a_careful_eye_would_say(self):
        """The gap's sign: the demo player's hand is below the elbow in the drop."""
        for name in CLIPS:
            self.assertLess(self.readouts[name]["hand_elbow_gap", "drop"]["value"], 0)


if __name__ == "__main__":
    unittest.main()
