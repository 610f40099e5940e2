#!/usr/bin/python3
"""The demo's pictures and reviews against its truth."""

import hashlib
import json
import math
import os
import statistics
import subprocess
import unittest

import cv2
import numpy as np

from demo_runs import FOLDER, HERE, made, require_generator, run


def setUpModule():
    require_generator()


def frames_of(clip, t):
    w, h = t["clip"]["width"], t["clip"]["height"]
    raw = subprocess.run(["ffmpeg", "-v", "error", "-i", clip, "-f", "rawvideo", "-pix_fmt", "rgb24", "-"],
                         capture_output=True, check=True).stdout
    return np.frombuffer(raw, np.uint8).reshape(-1, h, w, 3).astype(float)


def probe(clip):
    out = subprocess.run(["ffprobe", "-v", "error", "-show_streams", "-of", "json", clip],
                         capture_output=True, check=True).stdout
    return json.loads(out)["streams"]


class Picture(unittest.TestCase):
    SMALL = ("--size", "540x960", "--rate", "60", "--from", "-0.6", "--to", "0.1")

    def ball_misses(self, *options):
        """Where the ball-yellow lies, against where the truth says, px, through the toss."""
        t, clip = made(*self.SMALL, *options)
        pictures = frames_of(clip, t)
        self.assertEqual(len(pictures), t["clip"]["frames"])
        misses = []
        for n in range(3, t["moments"]["contact"]["frame"] - 1):
            x, y = t["frames"][n]["points"]["ball"]["at"]
            left, top = int(x) - 12, int(y) - 12
            patch = pictures[n, top:top + 25, left:left + 25]
            weight = np.clip(np.minimum(patch[..., 0], patch[..., 1]) - patch[..., 2] - 60, 0, None)
            rows, columns = np.mgrid[0:weight.shape[0], 0:weight.shape[1]] + 0.5
            seen = np.array([left + (columns * weight).sum() / weight.sum(),
                             top + (rows * weight).sum() / weight.sum()])
            misses.append(seen - (x, y))
        return np.array(misses)

    def check(self, *options):
        misses = self.ball_misses(*options)
        self.assertGreater(len(misses), 20)
        self.assertLess(np.abs(misses).max(), 0.8, options)
        self.assertLess(np.abs(misses.mean(axis=0)).max(), 0.4, options)

    def test_the_ball_is_drawn_where_the_truth_says(self):
        self.check()

    def test_so_it_is_through_a_lens_a_roll_and_a_rolling_shutter(self):
        self.check("--lens", "0.06", "--roll", "4", "--row-time", "0.015", "--exposure", "0.004")

    def test_so_it_is_when_stored_turned(self):
        for turned, stored in (("90", (960, 540)), ("180", (540, 960)), ("270", (960, 540))):
            with self.subTest(turned=turned):
                self.check("--rotate", turned)
                video = probe(made(*self.SMALL, "--rotate", turned)[1])[0]
                self.assertEqual((video["width"], video["height"]), stored)
                shown = -video["side_data_list"][0]["rotation"] % 360
                self.assertEqual(shown, int(turned))

    def test_slow_motion_stores_the_same_frames_at_another_rate(self):
        t, clip = made("--size", "180x320", "--rate", "240", "--stored-rate", "30", "--from", "-0.2",
                       "--to", "0.1")
        video = probe(clip)[0]
        self.assertEqual(video["r_frame_rate"], "30/1")
        self.assertEqual(int(video["nb_frames"]), t["clip"]["frames"])
        self.assertEqual(t["clip"]["slowdown"], 8)
        self.assertAlmostEqual(t["frames"][24]["time_s"], 0.1, delta=1e-9)

    def test_colours_and_references_are_those_of_phones(self):
        video = probe(made(*self.SMALL)[1])[0]
        self.assertEqual((video["codec_name"], video["pix_fmt"], video["color_space"], video["color_range"]),
                         ("h264", "yuv420p", "bt709", "tv"))
        self.assertGreater(video["has_b_frames"], 0)

    def test_noise_is_as_strong_as_asked(self):
        stem = os.path.join(FOLDER.name, "grain")
        for sd in (0, 5):
            self.assertEqual(run("--size", "180x320", "--noise", str(sd), "--still", "0", f"{stem}{sd}").returncode, 0)
        grain = cv2.imread(stem + "5.png").astype(float) - cv2.imread(stem + "0.png")
        self.assertAlmostEqual(grain[..., 1].std(), 5.0, delta=0.15)
        self.assertAlmostEqual(grain[..., 1].mean(), 0.0, delta=0.1)

    def test_the_touch_is_heard_when_sound_has_come_over(self):
        t, clip = made("--size", "180x320", "--rate", "60", "--sound")
        raw = subprocess.run(["ffmpeg", "-v", "error", "-i", clip, "-f", "s16le", "-ac", "1", "-ar", "48000", "-"],
                             capture_output=True, check=True).stdout
        loud = np.abs(np.frombuffer(raw, "<i2").astype(int))
        heard = float(np.argmax(loud > 6000)) / 48000
        far = math.dist(t["derived"]["ball"]["touch_at"], t["camera"]["position"])
        self.assertAlmostEqual(heard - t["clip"]["touch_s"], far / 343, delta=0.003)


class Review(unittest.TestCase):
    def written(self, *options):
        t, clip = made("--size", "360x640", "--rate", "120", "--from", "-0.9", "--to", "0.1", "--tape", "2")
        out = os.path.join(FOLDER.name, "x.review.json")
        subprocess.run([HERE / "make_review.py", clip, "-o", out, *options], check=True)
        with open(out, encoding="utf-8") as file:
            return t, clip, json.load(file), out

    def test_taps_are_the_truth_with_the_noise_asked_for(self):
        t, _, review, _ = self.written("--sd", "2.5")
        off = [tapped - true for mark in review["marks"] for name, point in mark["points"].items()
               for tapped, true in zip(point["at"], t["frames"][mark["frame"]]["points"][name]["at"])]
        self.assertGreater(len(off), 300)
        self.assertAlmostEqual(statistics.pstdev(off), 2.5, delta=0.3)
        self.assertAlmostEqual(statistics.fmean(off), 0.0, delta=0.4)

    def test_the_same_seed_taps_the_same(self):
        self.assertEqual(self.written("--seed", "5")[2], self.written("--seed", "5")[2])
        self.assertNotEqual(self.written("--seed", "5")[2], self.written("--seed", "6")[2])

    def test_it_names_this_clip_and_these_moments(self):
        t, clip, review, _ = self.written()
        with open(clip, "rb") as file:
            self.assertEqual(review["clip"]["sha256"], hashlib.sha256(file.read()).hexdigest())
        self.assertEqual({m["name"]: m["frame"] for m in review["moments"]},
                         {name: m["frame"] for name, m in t["moments"].items()})
        self.assertEqual(review["net"], "right")

    def test_the_line_scale_is_near_the_cameras_own_at_the_player(self):
        t, _, review, _ = self.written()
        line = review["scales"][0]
        scale = line["distance_m"] / math.dist(line["a"], line["b"])
        self.assertAlmostEqual(scale, 8.0 / t["camera"]["focal_px"], delta=0.02 * scale)

    def test_the_program_accepts_it(self):
        program = os.environ.get("SERVEPLUMB", "")
        if not os.path.exists(program):
            self.skipTest("the program is not built")
        done = subprocess.run([program, "validate", self.written()[3]], capture_output=True, text=True, check=False)
        self.assertEqual(done.returncode, 0, done.stderr)


if __name__ == "__main__":
    unittest.main()
