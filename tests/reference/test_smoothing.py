"""Smoothing, even times and the toss against SciPy and NumPy."""
import os
import pathlib
import subprocess
import unittest

import numpy as np
from scipy import integrate, interpolate, optimize, signal

BUILD = pathlib.Path(os.environ.get("SP_BUILD", "build/plain"))
DRIVER = BUILD / "tests/reference/smoothing_driver"
CORRECTION = (np.sqrt(2) - 1) ** 0.25  # two passes (Winter 2009)
GRAVITY, DRAG = 9.80665, 0.018482903


def numbers(values):
    return " ".join(repr(float(value)) for value in np.ravel(values))


def ask(questions):
    """One run of the driver; a row of numbers per question."""
    done = subprocess.run([DRIVER], input="\n".join(questions), capture_output=True, text=True, check=True)
    return [np.array(line.split(), dtype=float) for line in done.stdout.splitlines()]


def butter(rate, cutoff, passes):
    """SciPy's design at the frequency whose pre-warped value is corrected for the passes."""
    warped = np.tan(np.pi * cutoff / rate) / (CORRECTION if passes == 2 else 1)
    return signal.butter(2, np.arctan(warped) * rate / np.pi, fs=rate)


def filtered(values, rate, cutoff, padding):
    return signal.filtfilt(*butter(rate, cutoff, 2), values, padtype="odd", padlen=padding)


class Smoothing(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("MAKE", "MFLAGS"))}
        subprocess.run(["make", "-s", f"VARIANT={BUILD.name}", f"build/{BUILD.name}/tests/reference/smoothing_driver"],
                       check=True, env=environment, stdout=subprocess.DEVNULL)

    def test_designs_are_those_of_butter(self):
        cases = [(rate, share * rate, passes) for rate in (25, 29.97, 60, 119.88, 240)
                 for share in (0.013, 0.07, 0.21, 0.39) for passes in (1, 2)]
        for (rate, cutoff, passes), got in zip(cases, ask(f"design {r!r} {c!r} {p}" for r, c, p in cases)):
            b, a = butter(rate, cutoff, passes)
            np.testing.assert_allclose(got, [*b, -a[1], -a[2]], rtol=1e-10, atol=1e-14)

    def test_gain_of_both_passes_is_half_power_at_the_cutoff(self):
        for rate, cutoff in ((60, 6), (239.76, 11), (25, 9.5)):
            a0, a1, a2, b1, b2 = ask([f"design {rate!r} {cutoff!r} 2"])[0]
            _, once = signal.freqz([a0, a1, a2], [1, -b1, -b2], worN=[cutoff], fs=rate)
            self.assertAlmostEqual(abs(once[0]) ** 2, np.sqrt(0.5), delta=1e-12)

    def test_smoothed_values_are_those_of_filtfilt_to_both_ends(self):
        dice = np.random.default_rng(81)
        questions, judged = [], []
        for _ in range(60):
            count, rate = int(dice.integers(12, 400)), dice.uniform(24, 250)
            padding = int(dice.integers(1, min(count - 1, 60)))
            cutoff = rate * dice.uniform(0.02, 0.39)
            values = np.cumsum(dice.normal(0, 1, count)) + dice.normal(0, 0.3, count)
            questions.append(f"smooth {rate!r} {cutoff!r} {padding} {count} {numbers(values)}")
            judged.append((values, filtered(values, rate, cutoff, padding)))
        for got, (values, want) in zip(ask(questions), judged):
            np.testing.assert_allclose(got, want, atol=1e-9 * np.ptp(values))

    def test_cutoffs_follow_winters_residual_analysis_done_anew(self):
        dice = np.random.default_rng(82)
        questions, judged = [], []
        for _ in range(12):
            count, rate, noise = int(dice.integers(60, 300)), dice.uniform(50, 240), dice.uniform(0.01, 0.1)
            t = np.arange(count) / rate
            values = np.sin(2 * np.pi * 1.1 * t) + 0.4 * np.sin(2 * np.pi * 2.7 * t + 1) + dice.normal(0, noise, count)
            tried = np.arange(1, 201) / 200 * 0.4 * rate
            left = np.array([np.sqrt(np.mean((values - filtered(values, rate, c, 20)) ** 2)) for c in tried])
            height = np.polynomial.Polynomial.fit(tried[100:], left[100:], 1)(0)
            below = np.flatnonzero((left[1:] <= height) & (left[:-1] > height))[0]
            cutoff = np.interp(height, left[[below + 1, below]], tried[[below + 1, below]])
            questions.append(f"cutoff {rate!r} {count} {numbers(values)}")
            judged.append((cutoff, height))
        for got, want in zip(ask(questions), judged):
            np.testing.assert_allclose(got, want, rtol=1e-6)

    def test_even_times_are_those_of_the_natural_cubic_spline(self):
        dice = np.random.default_rng(83)
        for _ in range(20):
            count = int(dice.integers(10, 200))
            t = 3.1 + np.cumsum(dice.uniform(0.01, 0.03, count))
            x = np.cumsum(dice.normal(0, 1, count))
            got, = ask([f"even {count} {numbers(np.column_stack([t, x]))}"])
            grid = np.linspace(t[0], t[-1], count)
            self.assertAlmostEqual(got[0] * (t[-1] - t[0]), count - 1, delta=1e-9 * count)
            np.testing.assert_allclose(got[1:], interpolate.CubicSpline(t, x, bc_type="natural")(grid), atol=1e-9)


class Toss(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        Smoothing.setUpClass()

    def test_quadratics_and_their_deviation_are_those_of_polyfit(self):
        dice = np.random.default_rng(84)
        for _ in range(40):
            count = int(dice.integers(8, 180))
            t = 5 + np.cumsum(dice.uniform(0.9, 1.1, count)) * 0.8 / count
            x = 400 + 60 * t + dice.normal(0, 1, count)
            y = 300 - 900 * (t - 5) + 1000 * (t - 5) ** 2 + dice.normal(0, 1, count)
            got, = ask([f"toss 0 0 {count} {numbers(np.column_stack([t, x, y]))}"])
            (cx, left_x, *_), (cy, left_y, *_) = (np.polyfit(t - 5.4, v, 2, full=True) for v in (x, y))
            np.testing.assert_allclose(got[:2], [2 * cx[0], 2 * cy[0]], rtol=1e-8, atol=1e-5)
            rms = np.sqrt((left_x[0] + left_y[0]) / (2 * count - 6))
            self.assertAlmostEqual(got[3] / rms, 1, delta=1e-8)
            design = np.vander(t - 5.4, 3)
            deviation = 2 * rms * np.sqrt(np.linalg.inv(design.T @ design)[0, 0])
            self.assertAlmostEqual(got[2] / deviation, 1, delta=1e-6)

    def test_flights_with_drag_are_had_as_by_a_full_fit(self):
        dice = np.random.default_rng(85)

        def flight(p, t):
            """Pixels of a flight from u, v, their speeds at the first time, and gravity's pull."""
            scale = GRAVITY / np.hypot(p[4], p[5])

            def change(_, s):
                speed = np.hypot(s[2], s[3])
                return [s[2], s[3], p[4] - DRAG * scale * speed * s[2], p[5] - DRAG * scale * speed * s[3]]

            return integrate.solve_ivp(change, (t[0], t[-1]), p[:4], t_eval=t, rtol=1e-10, atol=1e-9).y[:2]

        for _ in range(6):
            t = 2 + np.cumsum(dice.uniform(0.8, 1.2, 48)) / 60
            roll = dice.normal(0, 0.04)
            truth = np.r_[600, 900, 40, -1000, np.array([np.sin(roll), np.cos(roll)]) * GRAVITY / 0.005]
            points = flight(truth, t) + dice.normal(0, 1, (2, 48))
            got, = ask([f"toss 1 1 48 {numbers(np.column_stack([t, points.T]))}"])
            full = optimize.least_squares(lambda p: (flight(p, t) - points).ravel(), truth, x_scale=np.abs(truth) + 1)
            # theirs weighs drag's own dependence on the path too: less than a tenth of a deviation
            np.testing.assert_allclose(got[:2], full.x[4:], atol=0.1 * got[2])
            self.assertAlmostEqual(got[4], np.degrees(np.arctan2(-full.x[4], full.x[5])), delta=0.02)


if __name__ == "__main__":
    unittest.main()
