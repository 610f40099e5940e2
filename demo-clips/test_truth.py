#!/usr/bin/python3
"""The demo's truth against physics, geometry and published values, by other means than its own."""

import math
import os
import unittest

import cv2
import numpy as np

from demo_runs import FOLDER, path, require_generator, run, truth

GRAVITY, DRAG, BALL = 9.80665, 0.01848, 0.0335  # drag: Cross & Lindsey 2013, Cd 0.507


def setUpModule():
    require_generator()


def places(t):
    """Every point that is seen: world and picture."""
    marks = [m for m in t["court"] if "at" in m]
    marks += [p for f in t["frames"][::7] for p in f["points"].values() if "at" in p]
    return (np.array([m["world"] for m in marks]), np.array([m["at"] for m in marks]))


def opencv_picture(t, world):
    """The same camera by OpenCV: rotation from the look-at, then projectPoints."""
    c, clip = t["camera"], t["clip"]
    ahead = np.subtract(c["look"], c["position"])
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, (0.0, 0.0, 1.0))
    right /= np.linalg.norm(right)
    down = np.cross(ahead, right)
    # Rolled so that the world's up leans to the picture's right: (sin roll, -cos roll).
    roll = math.radians(c["roll_deg"])
    spin = np.array([[math.cos(roll), -math.sin(roll), 0],
                     [math.sin(roll), math.cos(roll), 0], [0, 0, 1.0]])
    turned = spin @ np.array([right, down, ahead])
    moved = -turned @ np.array(c["position"])
    inner = np.array([[c["focal_px"], 0, clip["width"] / 2],
                      [0, c["focal_px"], clip["height"] / 2], [0, 0, 1.0]])
    seen, _ = cv2.projectPoints(world, cv2.Rodrigues(turned)[0], moved, inner,
                                np.array([c["k1"], 0, 0, 0.0]))
    return seen[:, 0, :]


class Camera(unittest.TestCase):
    def check(self, *options):
        t = truth("--rate", "25", *options)
        world, at = places(t)
        self.assertGreater(len(at), 100)
        self.assertLess(np.abs(opencv_picture(t, world) - at).max(), 1e-6)

    def test_points_of_every_view_lie_where_opencv_projects_them(self):
        for view in ("side", "back", "front", "oblique"):
            with self.subTest(view=view):
                self.check("--view", view)

    def test_roll_and_lens_are_those_of_opencv(self):
        self.check("--view", "oblique", "--roll", "7.3", "--lens", "-0.083")
        self.check("--camera", "-6.1,-4.3,2.7", "--look", "0.4,0.2,1.1", "--focal", "933.5",
                   "--roll", "-3.1", "--lens", "0.041", "--size", "1280x720")

    def test_a_net_post_of_the_court_is_where_the_itf_puts_it(self):
        # ITF Rules of Tennis, Rule 1: 39 ft to the net, 13.5 ft to the singles sideline.
        named = {m["name"]: m["world"] for m in truth("--rate", "25")["court"]}
        self.assertEqual(named["net_left_singles"], [-4.1148, 11.8872, 0])
        self.assertEqual(named["near_t"], [0, 5.4864, 0])
        self.assertEqual(named["net_centre_top"], [0, 11.8872, 0.9144])


class Shutter(unittest.TestCase):
    def test_each_point_is_seen_when_its_row_is_read(self):
        t = truth("--rate", "240", "--row-time", "0.0117")
        height = t["clip"]["height"]
        for frame in t["frames"]:
            for point in frame["points"].values():
                if "at" in point:
                    read = frame["time_s"] + point["at"][1] / height * 0.0117
                    self.assertAlmostEqual(point["time_s"], read, delta=1e-9)

    def test_a_rolling_shutter_shows_the_same_motion_at_other_times(self):
        fast, rolling = truth("--rate", "240"), truth("--rate", "240", "--row-time", "0.0117")
        times = np.array([f["time_s"] for f in fast["frames"]])
        kinks = [fast["moments"][name]["exact_s"] for name in ("release", "contact", "bounce")]
        for name in ("ball", "racquet_tip", "left_ankle"):
            whole = path(fast, name)
            for frame in rolling["frames"][60:-20:5]:
                point = frame["points"][name]
                i = int(point["time_s"] * 240)
                if min(abs(point["time_s"] - at) for at in kinks) < 0.02:
                    continue
                near = slice(i - 1, i + 3)
                want = [np.polyval(np.polyfit(times[near] - times[i], whole[near, k], 3),
                                   point["time_s"] - times[i]) for k in range(3)]
                self.assertLess(np.abs(np.subtract(want, point["world"])).max(), 5e-5)


class Body(unittest.TestCase):
    # Drillis & Contini 1966, as in Winter, Fig. 4.1: shares of stature.
    SHARES = {("shoulder", "elbow"): 0.186, ("elbow", "wrist"): 0.146, ("hip", "knee"): 0.245,
              ("knee", "ankle"): 0.246}

    def test_segments_keep_their_lengths_and_have_published_ones(self):
        for stature in (1.82, 1.547):
            t = truth("--stature", str(stature))
            for side in ("left_", "right_"):
                for (a, b), share in self.SHARES.items():
                    lengths = np.linalg.norm(path(t, side + a) - path(t, side + b), axis=1)
                    self.assertLess(np.abs(lengths - share * stature).max(), 1e-9, (side, a, b))

    def test_the_racquet_is_stiff(self):
        t = truth("--racquet", "0.693", "--overhang", "0.017")
        lengths = np.linalg.norm(path(t, "racquet_tip") - path(t, "racquet_butt"), axis=1)
        self.assertLess(np.abs(lengths - 0.693).max(), 1e-9)
        heel = np.linalg.norm(path(t, "hand_heel") - path(t, "racquet_butt"), axis=1)
        self.assertLess(np.abs(heel - 0.017).max(), 1e-9)

    def test_joints_bend_the_way_they_can(self):
        t = truth("--rate", "240")
        for side in ("left_", "right_"):
            for a, b, c in (("shoulder", "elbow", "wrist"), ("hip", "knee", "ankle")):
                to_a, to_c = (path(t, side + n) - path(t, side + b) for n in (a, c))
                cosine = (to_a * to_c).sum(1) / np.linalg.norm(to_a, axis=1) / np.linalg.norm(to_c, axis=1)
                self.assertGreater(np.degrees(np.arccos(cosine)).min(), 40, (side, b))
            # The knee lies in front of the line from hip to ankle: toward where the toes point.
            hip, knee, ankle, toe = (path(t, side + n) for n in ("hip", "knee", "ankle", "toe"))
            standing = toe[:, 2] < 0.03
            line = ankle - hip
            share = ((knee - hip) * line).sum(1) / (line * line).sum(1)
            bend = knee - (hip + share[:, None] * line)
            foot = (toe - ankle) * (1, 1, 0)
            self.assertGreater((bend * foot).sum(1)[standing].min(), -1e-6, side)

    def test_feet_stand_still_until_the_jump_and_nothing_is_below_the_ground(self):
        t = truth("--rate", "240")
        before = int((t["clip"]["touch_s"] - 0.18) * 240)
        for name in ("left_toe", "right_toe"):
            self.assertLess(np.ptp(path(t, name)[:before], axis=0).max(), 1e-9, name)
        for name in t["frames"][0]["points"]:
            self.assertGreater(path(t, name)[:, 2].min(), 0.0, name)

    def test_a_left_hander_is_the_mirror_image(self):
        right, left = truth("--tape", "2"), truth("--tape", "2", "--hand", "left")
        width = right["clip"]["width"]
        swap = {"left": "right", "right": "left"}
        for a, b in zip(right["frames"], left["frames"]):
            for name, point in a["points"].items():
                word, _, rest = name.partition("_")
                other = b["points"][f"{swap[word]}_{rest}" if word in swap else name]
                self.assertLess(np.abs(np.multiply(point["world"], (-1, 1, 1)) - other["world"]).max(), 1e-9)
                if "at" in point:
                    self.assertAlmostEqual(width - point["at"][0], other["at"][0], delta=1e-6)


def speeds_at_touch(name):
    """Velocities just before and just after the touch, by differences between runs whose frames are
    shifted by some microseconds."""
    def near(phase, after):
        t = truth("--rate", "240", "--from", "-0.3", "--to", "0.1", "--contact-phase", str(phase))
        frame = min(t["frames"], key=lambda f: abs(f["time_s"] - t["clip"]["touch_s"]))
        points = {n: np.array(p["world"]) for n, p in frame["points"].items()}
        along = points["racquet_tip"] - points["racquet_butt"]
        points["strings"] = points["racquet_tip"] - 0.172 * along / np.linalg.norm(along)
        return points[name], frame["time_s"] - t["clip"]["touch_s"]
    (a, ta), (b, tb) = near(0.003, False), near(0.001, False)
    (c, tc), (d, td) = near(0.999, True), near(0.997, True)
    return (b - a) / (tb - ta), (d - c) / (td - tc)


class Ball(unittest.TestCase):
    def test_the_toss_obeys_gravity_and_drag(self):
        t = truth("--rate", "240")
        first = t["moments"]["release"]["frame"] + 1
        last = t["moments"]["contact"]["frame"]
        ball, rate = path(t, "ball")[first:last], 240.0
        speed = (ball[2:] - ball[:-2]) * rate / 2
        pull = (ball[2:] - 2 * ball[1:-1] + ball[:-2]) * rate**2
        want = np.array([0, 0, -GRAVITY]) - DRAG * np.linalg.norm(speed, axis=1)[:, None] * speed
        self.assertLess(np.abs(pull - want).max(), 2e-4)

    def test_a_parabola_through_the_toss_finds_gravity(self):
        # Reference: drag makes such a fit 0.3 to 0.65 % too large.
        t = truth("--rate", "240")
        frames = range(t["moments"]["release"]["frame"] + 1, t["moments"]["contact"]["frame"])
        fall = np.polyfit([n / 240 for n in frames], [path(t, "ball")[n, 2] for n in frames], 2)
        self.assertLess(abs(-2 * fall[0] / GRAVITY - 1.0045), 0.003)

    def test_the_ball_touches_the_middle_of_the_strings(self):
        t = truth("--rate", "240", "--contact-phase", "0")
        n = t["moments"]["contact"]["frame"] + 1
        self.assertAlmostEqual(t["frames"][n]["time_s"], t["clip"]["touch_s"], delta=1e-9)
        tip, butt, ball = (path(t, name)[n] for name in ("racquet_tip", "racquet_butt", "ball"))
        along = (tip - butt) / np.linalg.norm(tip - butt)
        apart = ball - (tip - 0.172 * along)
        self.assertAlmostEqual(np.linalg.norm(apart), BALL, delta=1e-8)
        self.assertAlmostEqual(float(apart @ along), 0.0, delta=1e-8)

    def test_the_ball_leaves_a_fifth_faster_than_the_strings_came(self):
        strings, _ = speeds_at_touch("strings")
        _, ball = speeds_at_touch("ball")
        self.assertAlmostEqual(np.linalg.norm(ball) / np.linalg.norm(strings), 1.2, delta=1e-4)

    def test_the_serve_clears_the_net_and_bounces_in_the_box(self):
        t = truth("--rate", "240")
        ball = path(t, "ball")
        over = ball[np.argmin(np.abs(ball[:, 1] - 11.8872))]
        self.assertGreater(over[2], 0.9144 + BALL)
        x, y, _ = t["derived"]["ball"]["bounce_at"]
        self.assertTrue(-4.1148 < x < 0 and 11.8872 < y < 18.288)
        lowest = ball[t["moments"]["bounce"]["frame"]]
        self.assertLess(lowest[2], BALL + 0.02)

    def test_the_hand_lets_the_ball_go_without_a_jerk(self):
        t = truth("--rate", "240")
        n = int(t["moments"]["release"]["exact_s"] * 240)
        speed = np.diff(path(t, "ball")[n - 4:n + 6], axis=0) * 240
        self.assertLess(np.linalg.norm(np.diff(speed, axis=0), axis=1).max(), 0.35)


class Racquet(unittest.TestCase):
    def test_the_tip_is_as_fast_as_published_and_still_gaining(self):
        t = truth("--rate", "240")
        before, _ = speeds_at_touch("racquet_tip")
        told = t["derived"]["speed_at_touch"]["racquet_tip"]
        self.assertLess(np.abs(before - told["velocity_m_s"]).max(), 0.02)
        self.assertTrue(40 < told["space_m_s"] < 45)
        contact = t["moments"]["contact"]["frame"]
        speed = np.linalg.norm(np.diff(path(t, "racquet_tip")[contact - 12:contact + 1], axis=0), axis=1)
        self.assertTrue((np.diff(speed) > 0).all())

    def test_the_touch_takes_a_third_of_the_heads_speed(self):
        before, after = speeds_at_touch("strings")
        self.assertAlmostEqual(np.linalg.norm(after) / np.linalg.norm(before), 0.70, delta=0.002)

    def test_the_far_joints_peak_after_the_near_ones(self):
        t = truth("--rate", "240")
        contact = t["moments"]["contact"]["frame"]
        peaks = []
        for name in ("right_shoulder", "right_elbow", "right_hand", "racquet_tip"):
            speed = np.linalg.norm(np.diff(path(t, name)[contact - 48:contact + 1], axis=0), axis=1)
            peaks.append((int(speed.argmax()), float(speed.max())))
        self.assertEqual([p[1] for p in peaks], sorted(p[1] for p in peaks))
        self.assertLess(peaks[1][0], peaks[3][0])

    def test_the_drop_is_as_deep_as_asked(self):
        for drop in (-0.08, 0.0, 0.03, 0.11):
            t = truth("--rate", "240", "--drop", str(drop))
            frame = t["frames"][t["moments"]["drop"]["frame"]]["points"]
            gap = frame["right_hand"]["world"][2] - frame["right_elbow"]["world"][2]
            self.assertAlmostEqual(gap, -drop, delta=0.006)
            told = t["derived"]["on_drop_frame"]["hand_elbow_gap_m"]
            self.assertAlmostEqual(gap, told, delta=1e-9)

    def test_a_drop_out_of_reach_is_refused_in_one_line(self):
        done = run("--drop", "0.249", "--truth-only", os.path.join(FOLDER.name, "deep"))
        self.assertEqual(done.returncode, 2)
        self.assertEqual(len(done.stderr.splitlines()), 1)


class Moments(unittest.TestCase):
    def test_contact_is_the_last_frame_before_the_touch(self):
        for rate in (30, 59.94, 120, 240):
            for phase in (0, 0.001, 0.4, 0.999, 1):
                t = truth("--rate", str(rate), "--contact-phase", str(phase))
                left = t["clip"]["touch_s"] - t["moments"]["contact"]["frame"] / rate
                self.assertTrue(1e-9 < left * rate < 1 + 1e-9, (rate, phase, left * rate))

    def test_the_drop_is_the_lowest_tip_of_all_frames_before_contact(self):
        t = truth("--rate", "240")
        m = {k: v["frame"] for k, v in t["moments"].items()}
        height = path(t, "racquet_tip")[:, 2]
        self.assertEqual(m["drop"], m["trophy"] + int(height[m["trophy"]:m["contact"]].argmin()))
        self.assertTrue(m["release"] < m["trophy"] < m["drop"] < m["contact"] < m["finish"])

    def test_release_is_the_first_frame_with_a_gap(self):
        # While it is held, the ball keeps its distance from the middle knuckle.
        t = truth("--rate", "240")
        apart = np.linalg.norm(path(t, "ball") - path(t, "left_hand"), axis=1)
        n = t["moments"]["release"]["frame"]
        held = apart[:int(t["moments"]["release"]["exact_s"] * 240)]
        self.assertLess(np.ptp(held), 1e-9)
        self.assertGreater(apart[n + 3], held[0] + 0.01)


class Options(unittest.TestCase):
    def test_nonsense_is_refused_in_one_line(self):
        for words in (("--rate", "241"), ("--rate", "12x"), ("--hand", "both"), ("--view", "top"),
                      ("--size", "721x1280"), ("--camera", "1,2"), ("--rotate", "45"),
                      ("--stored-rate", "240"), ("--exposure", "nan"),
                      ("--stored-rate", "30", "--sound")):
            done = run("--truth-only", *words, os.path.join(FOLDER.name, "none"))
            self.assertEqual(done.returncode, 2, words)
            self.assertEqual(len(done.stderr.splitlines()), 1, done.stderr)


if __name__ == "__main__":
    unittest.main()
