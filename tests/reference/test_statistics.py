"""Statistics of few numbers against SciPy, and against the slow obvious way."""
import itertools
import os
import pathlib
import subprocess
import unittest

import numpy as np
from scipy import optimize, special, stats

BUILD = pathlib.Path(os.environ.get("SP_BUILD", "build/plain"))
DRIVER = BUILD / "tests/reference/statistics_driver"


def listed(values):
    return f"{len(values)} " + " ".join(repr(float(value)) for value in values)


def ask(*questions):
    """One run of the driver; a row of numbers per question."""
    done = subprocess.run([DRIVER], input="\n".join(questions), capture_output=True, text=True, check=True)
    return [np.array(line.split(), dtype=float) for line in done.stdout.splitlines()]


class Statistics(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("MAKE", "MFLAGS"))}
        subprocess.run(["make", "-s", f"VARIANT={BUILD.name}", f"build/{BUILD.name}/tests/reference/statistics_driver"],
                       check=True, env=environment, stdout=subprocess.DEVNULL)

    def setUp(self):
        self.dice = np.random.default_rng(4711)

    def groups(self, count, sizes=(2, 12)):
        for _ in range(count):
            spread = 10 ** self.dice.uniform(-3, 3, 2)
            middle = self.dice.normal(0, 50)
            yield tuple(self.dice.normal(middle, spread[k], self.dice.integers(*sizes)) for k in (0, 1))

    def test_a_mean_has_the_interval_of_scipy(self):
        groups = [a for a, _ in self.groups(60)]
        for got, a in zip(ask(*(f"summary {listed(a)}" for a in groups)), groups):
            low, high = stats.t.interval(0.95, len(a) - 1, np.mean(a), stats.sem(a))
            np.testing.assert_allclose(got, [np.mean(a), np.std(a, ddof=1), min(a), max(a), low, high],
                                       rtol=1e-8, atol=1e-8 * max(np.abs(a)))

    def test_a_mean_far_from_zero_keeps_its_deviation(self):
        (got,) = ask(f"summary {listed([1e9 + 1, 1e9 + 2, 1e9 + 4])}")
        self.assertAlmostEqual(got[1], np.std([1, 2, 4], ddof=1), places=6)

    def test_welch_is_that_of_scipy(self):
        pairs = list(self.groups(120))
        for got, (a, b) in zip(ask(*(f"welch {listed(a)} {listed(b)}" for a, b in pairs)), pairs):
            want = stats.ttest_ind(b, a, equal_var=False)
            va, vb = np.var(a, ddof=1) / len(a), np.var(b, ddof=1) / len(b)
            df = (va + vb) ** 2 / (va ** 2 / (len(a) - 1) + vb ** 2 / (len(b) - 1))
            half = stats.t.ppf(0.975, df) * np.sqrt(va + vb)
            d = np.mean(b) - np.mean(a)
            np.testing.assert_allclose(got, [d, d - half, d + half, want.statistic, df, want.pvalue],
                                       rtol=1e-7, atol=1e-12)

    def test_quantiles_and_tails_of_t_are_those_of_scipy(self):
        shares, dfs = self.dice.uniform(1e-4, 1 - 1e-4, 60), 10 ** self.dice.uniform(0, 3, 60)
        got = ask(*(f"quantile {float(q)!r} {float(df)!r}" for q, df in zip(shares, dfs)))
        np.testing.assert_allclose(np.ravel(got), stats.t.ppf(shares, dfs), rtol=1e-7, atol=1e-9)
        ts = self.dice.normal(0, 4, 60)
        got = ask(*(f"tail {float(t)!r} {float(df)!r}" for t, df in zip(ts, dfs)))
        np.testing.assert_allclose(np.ravel(got), 2 * stats.t.sf(np.abs(ts), dfs), rtol=1e-8)
        (got,) = ask("quantile 0.9994 0")
        self.assertAlmostEqual(got[0], stats.norm.ppf(0.9994), places=9)

    def test_regroupings_are_those_of_scipy_to_the_last(self):
        """Whole numbers, so that ties are many and rounding is seen."""
        pairs = [(self.dice.integers(90, 99, self.dice.integers(2, 7)) / 10,
                  self.dice.integers(90, 99, self.dice.integers(2, 7)) / 10) for _ in range(40)]
        for got, (a, b) in zip(ask(*(f"regroup {listed(a)} {listed(b)}" for a, b in pairs)), pairs):
            # In tenths, so that the judge has no rounding at all.
            whole = np.round(np.concatenate([a, b]) * 10).astype(int)
            seen, hits, ways = None, 0, 0
            for picked in itertools.combinations(range(len(whole)), len(a)):
                first = sum(int(whole[i]) for i in picked)
                gap = abs(first * len(b) - (int(whole.sum()) - first) * len(a))
                seen = gap if seen is None else seen
                hits, ways = hits + (gap >= seen), ways + 1
            np.testing.assert_allclose(got, [hits / ways, (2 if len(a) == len(b) else 1) / ways, 0, ways, 1], rtol=1e-12)
        a, b = self.dice.normal(0, 1, 6), self.dice.normal(1, 1, 7)
        want = stats.permutation_test((a, b), lambda x, y: abs(np.mean(y) - np.mean(x)), n_resamples=np.inf,
                                      alternative="greater")
        (got,) = ask(f"regroup {listed(a)} {listed(b)}")
        self.assertAlmostEqual(got[0], want.pvalue, places=12)

    def test_the_smallest_share_of_few_serves_is_known(self):
        for n, least in ((3, 0.1), (4, 2 / 70), (5, 2 / 252)):
            (got,) = ask(f"regroup {listed(range(n))} {listed(range(50, 50 + n))}")
            np.testing.assert_allclose(got[:2], [least, least], rtol=1e-12)

    def test_many_values_are_regrouped_at_random_with_an_error_that_holds(self):
        for shift in (0.3, 0.9):
            a, b = self.dice.normal(0, 1, 31), self.dice.normal(shift, 1, 29)
            (got,) = ask(f"regroup {listed(a)} {listed(b)}")
            p, _, error, looked, exact = got
            self.assertEqual((looked, exact), (100000, 0))
            want = stats.permutation_test((a, b), lambda x, y, axis: abs(np.mean(y, axis) - np.mean(x, axis)),
                                          vectorized=True, n_resamples=200000, random_state=7, batch=2000,
                                          alternative="greater").pvalue
            self.assertLess(abs(p - want), 2 * error + 1e-5)
            self.assertLess(error, 0.004)

    def test_signs_are_turned_one_by_one(self):
        for n in (1, 2, 5, 11, 12, 14):
            d = self.dice.integers(-9, 12, n) / 4
            sums = [abs(np.dot(s, d)) for s in itertools.product((1, -1), repeat=n)]
            (got,) = ask(f"signs {listed(d)}")
            np.testing.assert_allclose(got, [np.mean(np.array(sums) >= sums[0]), min(1, 2 / 2 ** n), 0, 2 ** n, 1],
                                       rtol=1e-12)

    def test_noncentral_t_is_that_of_scipy(self):
        cases = [(t, df, delta) for t in (-3.1, 0.0, 0.7, 4.2, 25.0) for df in (1, 2, 3.5, 8, 40)
                 for delta in (-2.0, 0.0, 1.3, 6.0)]
        got = np.ravel(ask(*(f"noncentral {t} {df} {delta}" for t, df, delta in cases)))
        np.testing.assert_allclose(got, [stats.nct.cdf(*case) for case in cases], atol=2e-8)

    def test_hedges_g_and_its_interval_are_those_by_scipys_distribution(self):
        for a, b in self.groups(12, (3, 9)):
            n1, n2 = len(a), len(b)
            df, root = n1 + n2 - 2, np.sqrt(n1 * n2 / (n1 + n2))
            t = stats.ttest_ind(b, a).statistic
            if abs(t) > 8:
                continue
            bias = special.gamma(df / 2) / special.gamma((df - 1) / 2) / np.sqrt(df / 2)
            ends = [optimize.brentq(lambda d: stats.nct.cdf(t, df, d) - q, t - 25, t + 25) for q in (0.975, 0.025)]
            (got,) = ask(f"g {listed(a)} {listed(b)}")
            np.testing.assert_allclose(got, [bias * t / root, bias * ends[0] / root, bias * ends[1] / root], atol=2e-6)

    def test_typical_error_is_that_of_the_two_way_table(self):
        for rows, times in ((2, 2), (7, 2), (5, 3), (12, 4)):
            x = self.dice.normal(0, 3, (rows, 1)) + self.dice.normal(0, 1, (rows, times)) + np.arange(times)
            rest = x - x.mean(1, keepdims=True) - x.mean(0) + x.mean()
            df = (rows - 1) * (times - 1)
            squares = (rest ** 2).sum()
            want = np.sqrt([squares / df, squares / stats.chi2.ppf(0.975, df), squares / stats.chi2.ppf(0.025, df)])
            (got,) = ask(f"repeat {rows} {times} {listed(x.ravel())}")
            np.testing.assert_allclose(got, want, rtol=1e-9)

    def test_holm_steps_down_and_never_back(self):
        for n in (1, 2, 5, 20):
            p = self.dice.uniform(0, 0.2, n)
            p[0] = p[-1]
            order = np.argsort(p, kind="stable")
            want = np.empty(n)
            want[order] = np.minimum(1, np.maximum.accumulate((n - np.arange(n)) * p[order]))
            (got,) = ask(f"holm {listed(p)}")
            np.testing.assert_allclose(got, want, rtol=1e-12)


if __name__ == "__main__":
    unittest.main()
