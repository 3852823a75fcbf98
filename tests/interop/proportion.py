"""Capped share's interval and design effect, from statsmodels.

Each point is one observation, 1 on a capped cell and 0 on an open one. The variance of the mean is
that of a regression on a constant, clustered by comb; the interval is Wilson's, on as many points
as the count is worth.

statsmodels multiplies a clustered variance by G / (G - 1) * (N - 1) / (N - K), which for the one
constant (K = 1) is G / (G - 1). The plain regression divides by N - 1, independent sampling of a
share by N.

Question: {"counts": [[[capped, open], ...one a comb], ...]}.
Answer: [{"design_effect": number or null, "low": share, "high": share}, ...].
"""

import json
import sys

import numpy as np
from statsmodels.regression.linear_model import OLS
from statsmodels.stats.proportion import proportion_confint


def design_effect(combs):
    """How many times the variance exceeds that of independent points; None where none is defined."""
    combs = [(capped, open_) for capped, open_ in combs if capped + open_ > 0]
    total = sum(capped for capped, _ in combs)
    points = sum(capped + open_ for capped, open_ in combs)
    if len(combs) < 2 or total in (0, points):
        return None
    seen = np.concatenate([np.repeat([1.0, 0.0], comb) for comb in combs])
    groups = np.repeat(np.arange(len(combs)), [sum(comb) for comb in combs])
    model = OLS(seen, np.ones(points))
    clustered = model.fit(cov_type="cluster", cov_kwds={"groups": groups}).cov_params()[0, 0]
    independent = model.fit().cov_params()[0, 0] * (points - 1) / points
    return float(clustered / independent)


def answer(combs):
    effect = design_effect(combs)
    capped = sum(comb[0] for comb in combs)
    points = sum(sum(comb) for comb in combs)
    # A count is never worth more than its points.
    worth = max(1.0, effect or 1.0)
    low, high = proportion_confint(capped / worth, points / worth, alpha=0.05, method="wilson")
    return {"design_effect": effect, "low": float(low), "high": float(high)}


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        counts = json.load(file)["counts"]
    print(json.dumps([answer(combs) for combs in counts]))


main()
