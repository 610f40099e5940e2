"""Homography, lens, pose and plane against OpenCV, and the pose's deviations against SciPy.

OpenCV knows nothing of whole or half pixels: both are given the same numbers and the same middle."""
import os
import pathlib
import subprocess
import unittest

import cv2
import numpy as np
from scipy import optimize

BUILD = pathlib.Path(os.environ.get("SP_BUILD", "build/plain"))
DRIVER = BUILD / "tests/reference/pose_driver"
CENTRE = np.array([960.0, 540.0])
FT = 0.3048
# Court places, feet from the server's centre mark (ITF Rules, Rule 1).
COURT = FT * np.array([(0, 0, 0), (-13.5, 0, 0), (13.5, 0, 0), (18, 0, 0), (-13.5, 18, 0), (0, 18, 0), (13.5, 18, 0),
                       (-13.5, 39, 0), (13.5, 39, 0), (0, 60, 0), (13.5, 60, 0), (-18, 78, 0), (18, 78, 0)], float)
TOPS = FT * np.array([(0, 39, 3), (21, 39, 3.5), (-21, 39, 3.5)], float)


def numbers(*values):
    return " ".join(repr(float(value)) for part in values for value in np.ravel(part))


def ask(questions):
    """One run of the driver; a row of numbers per question."""
    done = subprocess.run([DRIVER], input="\n".join(questions), capture_output=True, text=True, check=True)
    return [np.array(line.split(), dtype=float) for line in done.stdout.splitlines()]


def look(position, target, roll):
    z = np.subtract(target, position) / np.linalg.norm(np.subtract(target, position))
    x = np.cross(z, (0, 0, 1))
    x /= np.linalg.norm(x)
    c, s = np.cos(roll), np.sin(roll)
    rotation = np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]) @ np.array([x, np.cross(z, x), z])
    return rotation, -rotation @ np.asarray(position)


def matrix(focal):
    return np.array([[focal, 0, CENTRE[0]], [0, focal, CENTRE[1]], [0, 0, 1]])


def seen(places, rotation, translation, focal, k1=0.0):
    points, _ = cv2.projectPoints(places, cv2.Rodrigues(rotation)[0], translation, matrix(focal), np.array([k1, 0, 0, 0]))
    return points.reshape(-1, 2)


def cameras(dice, count):
    """Cameras about the court that have every place in front of them."""
    while count:
        position = np.array([dice.uniform(-12, 12), dice.uniform(-16, -5), dice.uniform(1.2, 5)])
        rotation, translation = look(position, (dice.uniform(-2, 2), dice.uniform(4, 14), 0.8), dice.normal(0, 0.03))
        if np.min((COURT @ rotation.T + translation)[:, 2]) > 2:
            count -= 1
            yield rotation, translation, dice.uniform(900, 2600)


def solve_by_scipy(places, points, start, lens, focal=None):
    """Least squares over turn vector, t, log f and k1; the parameters, their covariance and the sum."""
    def residual(p):
        f = focal if focal else np.exp(p[6])
        k1 = p[-1] if lens else 0.0
        return (seen(places, cv2.Rodrigues(p[:3])[0], p[3:6], f, k1) - points).ravel()

    rotation, translation, f, k1 = start
    p0 = np.r_[cv2.Rodrigues(rotation)[0].ravel(), translation, [] if focal else [np.log(f)], [k1] if lens else []]
    found = optimize.least_squares(residual, p0, x_scale="jac", jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return found.x, np.linalg.inv(found.jac.T @ found.jac), 2 * found.cost


class Pose(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("MAKE", "MFLAGS"))}
        subprocess.run(["make", "-s", f"VARIANT={BUILD.name}", f"build/{BUILD.name}/tests/reference/pose_driver"],
                       check=True, env=environment, stdout=subprocess.DEVNULL)

    def test_homographies_of_noisy_points_are_those_of_opencv(self):
        dice = np.random.default_rng(71)
        questions, judged = [], []
        for rotation, translation, focal in cameras(dice, 60):
            points = seen(COURT, rotation, translation, focal) + dice.normal(0, 1.5, (len(COURT), 2))
            questions.append(f"homography 1 {len(COURT)} " + numbers(np.column_stack([COURT[:, :2], points])))
            judged.append((points, cv2.findHomography(COURT[:, :2], points, 0)[0]))
        grid = np.array([[x, y] for x in (-5, 0, 5.0) for y in (0, 7, 15, 23.0)])
        for got, (points, want) in zip(ask(questions), judged):
            h = got.reshape(3, 3)
            ours, theirs = (cv2.perspectiveTransform(grid[None], m)[0] for m in (h, want))
            np.testing.assert_allclose(ours, theirs, atol=2e-3 * 1.5, rtol=0)
            # at least as near to the points as OpenCV's
            left = [np.sum((cv2.perspectiveTransform(COURT[None, :, :2], m)[0] - points) ** 2) for m in (h, want)]
            self.assertLessEqual(left[0], left[1] * (1 + 1e-9))

    def test_exact_homographies_are_had_from_four_points(self):
        dice = np.random.default_rng(72)
        four = COURT[[1, 3, 4, 8]]
        questions, judged = [], []
        for rotation, translation, focal in cameras(dice, 40):
            points = seen(four, rotation, translation, focal)
            questions.append("homography 0 4 " + numbers(np.column_stack([four[:, :2], points])))
            judged.append(cv2.getPerspectiveTransform(four[:, :2].astype(np.float32), points.astype(np.float32)))
        for got, want in zip(ask(questions), judged):
            h = got.reshape(3, 3) / got[8]
            np.testing.assert_allclose(h, want, rtol=2e-4, atol=2e-4 * np.abs(want).max())  # theirs took float32

    def test_projection_with_lens_is_that_of_projectpoints(self):
        dice = np.random.default_rng(73)
        questions, judged = [], []
        for rotation, translation, focal in cameras(dice, 40):
            k1 = dice.uniform(-0.05, 0.3)
            camera = numbers(rotation, translation, focal, k1, CENTRE)
            for place in np.vstack([COURT, TOPS]):
                questions.append(f"project {camera} {numbers(place)}")
            judged.append(seen(np.vstack([COURT, TOPS]), rotation, translation, focal, k1))
        np.testing.assert_allclose(np.array(ask(questions)), np.vstack(judged), atol=1e-8, rtol=0)

    def test_straightened_rays_are_those_of_undistortpoints(self):
        dice = np.random.default_rng(74)
        criteria = (cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, 500, 1e-15)
        for k1 in (-0.21, -0.04, 0.0, 0.07, 0.4):
            bent = dice.uniform(-0.6, 0.6, (60, 2))
            want = cv2.undistortPointsIter(bent.reshape(-1, 1, 2), np.eye(3), np.array([k1, 0, 0, 0]), None, None, criteria)
            got = ask(f"straighten {k1!r} {numbers(point)}" for point in bent)
            np.testing.assert_allclose(np.array(got), want.reshape(-1, 2), atol=1e-9)

    def test_pose_at_a_known_focal_length_is_that_of_solvepnp(self):
        dice = np.random.default_rng(75)
        places = np.vstack([COURT[:9], TOPS])
        questions, judged = [], []
        for rotation, translation, focal in cameras(dice, 40):
            points = seen(places, rotation, translation, focal) + dice.normal(0, 1, (len(places), 2))
            questions.append(f"fit {focal!r} 0 {numbers(CENTRE)} {len(places)} " + numbers(np.column_stack([places, points])))
            start = (cv2.Rodrigues(rotation)[0], translation.reshape(3, 1))
            ok, turn, shift = cv2.solvePnP(places, points, matrix(focal), None, start[0].copy(), start[1].copy(), True,
                                           cv2.SOLVEPNP_ITERATIVE)
            self.assertTrue(ok)
            turn, shift = cv2.solvePnPRefineLM(places, points, matrix(focal), None, turn, shift,
                                               (cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, 200, 1e-14))
            judged.append((cv2.Rodrigues(turn)[0], shift.ravel()))
        for got, (turn, shift) in zip(ask(questions), judged):
            np.testing.assert_allclose(got[:9].reshape(3, 3), turn, atol=2e-6)
            np.testing.assert_allclose(got[9:12], shift, atol=2e-5)

    def test_focal_length_lens_and_pose_are_those_of_calibratecamera(self):
        dice = np.random.default_rng(76)
        fixed = (cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_PRINCIPAL_POINT | cv2.CALIB_FIX_ASPECT_RATIO |
                 cv2.CALIB_ZERO_TANGENT_DIST | cv2.CALIB_FIX_K2 | cv2.CALIB_FIX_K3)
        criteria = (cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, 1000, 1e-15)
        # calibrateCamera takes float32, so both are given numbers that are just that.
        court = COURT.astype(np.float32).astype(float)
        for lens in (0, 1):
            flags = fixed | (0 if lens else cv2.CALIB_FIX_K1)
            questions, judged = [], []
            for rotation, translation, focal in cameras(dice, 25):
                k1 = dice.normal(0, 0.03) if lens else 0.0
                points = seen(court, rotation, translation, focal, k1) + dice.normal(0, 0.7, (len(court), 2))
                points = points.astype(np.float32).astype(float)
                questions.append(f"fit 0 {lens} {numbers(CENTRE)} {len(court)} " + numbers(np.column_stack([court, points])))
                rms, inner, bend, turns, shifts = cv2.calibrateCamera(
                    [court.astype(np.float32)], [points.astype(np.float32)], (1920, 1080), matrix(focal), np.zeros(5),
                    flags=flags, criteria=criteria)
                judged.append((inner[0, 0], bend.ravel()[0], cv2.Rodrigues(turns[0])[0], shifts[0].ravel(), rms))
            settled = 0
            for got, (focal, k1, turn, shift, rms) in zip(ask(questions), judged):
                ratio = got[14] / (rms ** 2 * len(court))
                self.assertLess(ratio, 1 + 1e-8)  # never farther from the points than theirs
                if ratio < 1 - 1e-8:
                    continue  # theirs stopped early
                settled += 1
                self.assertAlmostEqual(got[12] / focal, 1, delta=1e-4)
                self.assertAlmostEqual(got[13], k1, delta=1e-4)
                np.testing.assert_allclose(got[:9].reshape(3, 3), turn, atol=1e-4)
                np.testing.assert_allclose(got[9:12], shift, rtol=1e-3, atol=1e-3)
            self.assertGreater(settled, 20)

    def test_minimum_and_deviations_are_those_of_scipy(self):
        dice = np.random.default_rng(77)
        places = np.vstack([COURT, TOPS])
        for lens in (0, 1):
            for rotation, translation, focal in cameras(dice, 8):
                k1 = dice.normal(0, 0.03) if lens else 0.0
                points = seen(places, rotation, translation, focal, k1) + dice.normal(0, 1, (len(places), 2))
                got, = ask([f"fit 0 {lens} {numbers(CENTRE)} {len(places)} " + numbers(np.column_stack([places, points]))])
                p, covariance, total = solve_by_scipy(places, points, (rotation, translation, focal, k1), lens)
                self.assertAlmostEqual(got[14] / total, 1, delta=1e-9)
                self.assertAlmostEqual(got[12] / np.exp(p[6]), 1, delta=1e-6)
                self.assertAlmostEqual(got[15] / np.sqrt(covariance[6, 6]), 1, delta=1e-5)
                if lens:
                    self.assertAlmostEqual(got[13], p[7], delta=1e-6)
                    self.assertAlmostEqual(got[16] / np.sqrt(covariance[7, 7]), 1, delta=1e-5)

    def test_planes_read_back_what_opencv_projects(self):
        dice = np.random.default_rng(78)
        for rotation, translation, focal in cameras(dice, 30):
            k1 = dice.uniform(-0.03, 0.1)
            camera = numbers(rotation, translation, focal, k1, CENTRE)
            foot, angle = dice.uniform(-1, 1, 2), dice.uniform(0, np.pi)
            direction = np.array([np.cos(angle), np.sin(angle)])
            position = -rotation.T @ translation
            way = np.r_[foot, 0] - position
            met = abs(way[0] * direction[1] - way[1] * direction[0]) / np.linalg.norm(way)
            if met < np.sin(np.radians(30)):
                continue
            inside = np.column_stack([dice.uniform(-0.6, 0.6, 12), dice.uniform(0, 2.8, 12)])
            places = np.column_stack([foot + inside[:, :1] * direction, inside[:, 1]])
            points = seen(places, rotation, translation, focal, k1)
            got = np.array(ask(f"plane {camera} {numbers(foot, direction, point)}" for point in points))
            np.testing.assert_allclose(got[:, :2], inside, atol=1e-8)
            for k, step in enumerate(((1e-3, 0), (0, 1e-3))):
                ahead = np.array(ask(f"plane {camera} {numbers(foot, direction, p + step)}" for p in points))
                back = np.array(ask(f"plane {camera} {numbers(foot, direction, p - step)}" for p in points))
                slope = (ahead[:, :2] - back[:, :2]) / 2e-3
                np.testing.assert_allclose(got[:, [2 + k, 4 + k]], slope, atol=1e-7)
            ground = np.column_stack([dice.uniform(-4, 4, 9), dice.uniform(0, 12, 9), np.zeros(9)])
            points = seen(ground, rotation, translation, focal, k1)
            got = np.array(ask(f"ground {camera} {numbers(point)}" for point in points))
            np.testing.assert_allclose(got, ground[:, :2], atol=1e-7)


if __name__ == "__main__":
    unittest.main()
