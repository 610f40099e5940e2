"""Fits, weights and draws against NumPy and SciPy, and constructed and measured motions.

The files of ../shared/reference are optional: without them their tests are skipped and say so."""
import csv
import os
import pathlib
import subprocess
import unittest

import numpy as np
from scipy import integrate, signal, stats

BUILD = pathlib.Path(os.environ.get("SP_BUILD", "build/plain"))
DRIVER = BUILD / "tests/reference/motion_driver"
REFERENCE = pathlib.Path("../shared/reference")


def numbers(values):
    return " ".join(repr(float(value)) for value in np.ravel(values))


def ask(questions):
    """One run of the driver; a row of numbers per question."""
    done = subprocess.run([DRIVER], input="\n".join(questions), capture_output=True, text=True, check=True)
    return [np.array(line.split(), dtype=float) for line in done.stdout.splitlines()]


def rows_of(name):
    path = REFERENCE / name
    if not path.exists():
        raise unittest.SkipTest(f"{path} is not here")
    with open(path, encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def columns(rows, *names):
    return [np.array([float(row[name]) for row in rows]) for name in names]


class Motion(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("MAKE", "MFLAGS"))}
        subprocess.run(["make", "-s", f"VARIANT={BUILD.name}", f"build/{BUILD.name}/tests/reference/motion_driver"],
                       check=True, env=environment, stdout=subprocess.DEVNULL)

    def test_fits_at_uneven_times_are_those_of_numpy(self):
        dice = np.random.default_rng(41)
        questions, expected = [], []
        for _ in range(200):
            degree = int(dice.integers(1, 4))
            count = int(dice.integers(degree + 1, 16))
            t = np.cumsum(dice.uniform(0.003, 0.011, count)) + 7.3
            xy = dice.normal(0, 2, (count, 2))
            t0 = dice.uniform(t[0] - 0.01, t[-1] + 0.01)
            questions.append(f"fit {degree} {t0!r} {count} {numbers(np.column_stack([t, xy]))}")
            fits = [np.polynomial.Polynomial.fit(t - t0, xy[:, k], degree).convert() for k in (0, 1)]
            expected.append([fit.deriv(d)(0.0) for d in (0, 1, 2) for fit in fits])
        for got, want in zip(ask(questions), expected):
            scale = np.maximum(np.abs(want), [1e-3, 1e-3, 1, 1, 1e3, 1e3])
            self.assertLess(np.max(np.abs(got[:6] - want) / scale), 1e-7)

    def test_weights_are_those_of_savgol_coeffs_at_every_place(self):
        cases = [(n, p, pos) for n in (5, 7, 9, 15) for p in (1, 2, 3) for pos in range(n)]
        dt = 1 / 239.76
        got = ask(f"weights {p} {pos * dt!r} {n} {numbers(np.arange(n) * dt)}" for n, p, pos in cases)
        for (n, p, pos), weights in zip(cases, got):
            want = signal.savgol_coeffs(n, p, deriv=1, delta=dt, pos=pos, use="dot")
            np.testing.assert_allclose(weights, want, rtol=1e-8, atol=1e-8 / dt)

    def test_gain_is_the_norm_of_the_weights(self):
        dt = 1 / 120
        zeros = numbers(np.column_stack([np.arange(7) * dt, np.zeros((7, 2))]))
        fit, weights = ask([f"fit 2 {6 * dt!r} 7 {zeros}", f"weights 2 {6 * dt!r} 7 {numbers(np.arange(7) * dt)}"])
        self.assertAlmostEqual(fit[6] / np.linalg.norm(weights), 1, places=10)

    def test_speed_along_a_spiral_is_its_arc_length_by_quadrature(self):
        def at(t):
            return np.array([(0.4 + 0.9 * t) * np.cos(25 * t), (0.4 + 0.9 * t) * np.sin(25 * t)])

        def speed(t):
            return np.hypot(0.9, (0.4 + 0.9 * t) * 25)

        t = np.arange(7) / 240
        length = [integrate.quad(speed, 0, end)[0] for end in t]
        want = np.polynomial.Polynomial.fit(t, length, 2).deriv()(t[-1])
        (got,) = ask([f"along 2 {t[-1]!r} 7 {numbers(np.column_stack([t, at(t).T]))}"])
        self.assertAlmostEqual(got[0], want, delta=0.003 * want)
        self.assertAlmostEqual(got[0], speed(t[-1]), delta=0.005 * want)

    def test_draws_are_normal(self):
        (drawn,) = ask(["draw 20270314 100000"])
        self.assertGreater(stats.kstest(drawn, "norm").pvalue, 0.01)
        self.assertLess(abs(np.corrcoef(drawn[:-1], drawn[1:])[0, 1]), 0.01)

    def test_constructed_toss_has_its_gravity(self):
        t, u, v = columns(rows_of("synthetic-toss.csv"), "t_s", "u_vac", "v_vac")
        across, down = ask(f"parabola {len(t)} {numbers(np.column_stack([t, k]))}" for k in (u, v))
        acceleration = 2 * np.hypot(across[2], down[2])
        self.assertAlmostEqual(acceleration / 1961.330, 1, places=6)
        self.assertAlmostEqual(9.80665 / acceleration, 0.005, places=8)
        self.assertAlmostEqual(np.degrees(np.arctan2(-across[2], down[2])), 1.5, places=4)

    def test_toss_with_drag_errs_by_half_a_percent(self):
        t, u, v = columns(rows_of("synthetic-toss.csv"), "t_s", "u_drag", "v_drag")
        across, down = ask(f"parabola {len(t)} {numbers(np.column_stack([t, k]))}" for k in (u, v))
        self.assertAlmostEqual(2 * np.hypot(across[2], down[2]), 1971.3124, places=2)

    def test_constructed_swing_is_right_along_the_path_alone(self):
        rows = rows_of("synthetic-racquet.csv")
        for rate, count in ((120, 5), (240, 7)):
            before = [r for r in rows if int(r["fps"]) == rate and int(r["frame_rel_contact"]) <= 0][-count:]
            list_ = numbers(np.column_stack(columns(before, "t_s", "x_m", "y_m")))
            along, fit = ask([f"along 2 0 {count} {list_}", f"fit 2 0 {count} {list_}"])
            self.assertAlmostEqual(along[0], 39.6, delta=0.06)
            self.assertGreater(np.hypot(fit[2], fit[3]), 40.2)

    def test_second_derivative_of_measured_motion_errs_as_known(self):
        """Pezzack, Norman and Winter (1977): measured angle and acceleration; 7-point cubic. RMS difference
        over samples 10..131: 4.923 rad/s^2 raw, 5.718 noisy (SciPy)."""
        rows = rows_of("pezzack.csv")
        names = list(rows[0])
        t, raw, noisy, measured = columns(rows, *names[-4:])
        dt = 0.0201
        for angle, want in ((raw, 4.923), (noisy, 5.718)):
            window = [np.column_stack([np.arange(7) * dt, angle[i - 3:i + 4], np.zeros(7)]) for i in range(10, 132)]
            got = ask(f"fit 3 {3 * dt!r} 7 {numbers(w)}" for w in window)
            error = np.array([row[4] for row in got]) - measured[10:132]
            self.assertAlmostEqual(np.sqrt(np.mean(error**2)), want, delta=0.02)
        self.assertEqual(len(t), 142)


if __name__ == "__main__":
    unittest.main()
