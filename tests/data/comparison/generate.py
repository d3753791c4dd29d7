#!/usr/bin/env python3
"""Writes reference.json: exact tests of two evenings by SciPy, intervals by listing resamples, and
autocorrelations by statsmodels.

Run in this folder:  python3 generate.py
Needs numpy, scipy, statsmodels (versions used are written into the table).

Tests: scipy.stats.permutation_test with n_resamples=inf, which lists every arrangement; the statistic is the
absolute difference of means and the alternative "greater", so that both directions count.
Intervals: every multiset of n draws from n values (itertools.combinations_with_replacement) with the number
of orders it stands for; the least mean whose cumulative share reaches 0.025 and 0.975, in exact fractions.
"""
import fractions
import itertools
import json
import math
import pathlib
import platform

import numpy as np
import scipy
import statsmodels
from scipy.stats import permutation_test
from statsmodels.tsa.stattools import acf

HERE = pathlib.Path(__file__).resolve().parent


def mean_distance(a, b, axis=-1):
    return np.abs(np.mean(a, axis=axis) - np.mean(b, axis=axis))


def exact(a, b, kind):
    found = permutation_test((np.array(a), np.array(b)), mean_distance, permutation_type=kind,
                             alternative="greater", vectorized=True, n_resamples=np.inf, axis=-1)
    arrangements = 2 ** len(a) if kind == "samples" else math.comb(len(a) + len(b), len(a))
    assert len(found.null_distribution) == arrangements
    return {"a": a, "b": b, "arrangements": arrangements, "p": float(found.pvalue)}


def interval(values):
    n = len(values)
    whole = [fractions.Fraction(str(value)) for value in values]
    ways = {}
    for drawn in itertools.combinations_with_replacement(range(n), n):
        orders = math.factorial(n)
        for index in set(drawn):
            orders //= math.factorial(drawn.count(index))
        total = sum(whole[index] for index in drawn)
        ways[total] = ways.get(total, 0) + orders
    assert sum(ways.values()) == n ** n
    ends, so_far = {}, 0
    for total in sorted(ways):
        so_far += ways[total]
        for name, share in (("lower", fractions.Fraction(25, 1000)), ("upper", fractions.Fraction(975, 1000))):
            if name not in ends and so_far >= share * n ** n:
                ends[name] = float(total / n)
    return {"values": values, **ends}


def main():
    rng = np.random.default_rng(20260112)
    minutes = lambda n: [int(x) for x in rng.integers(2, 60, n)]
    ratings = lambda n: [int(x) for x in rng.integers(1, 6, n)]
    tenths = lambda n: [round(float(x), 1) for x in rng.uniform(-3, 3, n)]
    reals = lambda n: [float(x) for x in rng.normal(0, 10, n)]
    kinds = [minutes, ratings, tenths, reals]
    series = [draw(n) for draw in kinds for n in (2, 5, 12, 40)]
    table = {
        "computed_with": {"python": platform.python_version(), "numpy": np.__version__,
                          "scipy": scipy.__version__, "statsmodels": statsmodels.__version__},
        "paired": [exact(draw(n), draw(n), "samples") for draw in kinds for n in (2, 3, 6, 7, 9, 12, 14)],
        "split": [exact(draw(n), draw(m), "independent") for draw in kinds
                  for n, m in ((3, 3), (2, 5), (6, 4), (6, 6), (3, 9), (8, 7))],
        "interval": [interval(draw(n)) for draw in (minutes, ratings, tenths) for n in (1, 2, 4, 6, 8, 9)],
        "lag1": [{"values": values, "r1": float(acf(values, nlags=1, fft=False)[1])} for values in series],
    }
    text = json.dumps(table, indent=None).replace("}, {", "},\n{").replace('], "', '],\n"')
    (HERE / "reference.json").write_text(text + "\n")


if __name__ == "__main__":
    main()
