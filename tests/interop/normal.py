"""Probability of meeting a limit, from SciPy's normal distribution.

Question: {"cases": [[value, standard uncertainty, limit, "at_most" or "at_least"], ...]}.
Answer: the probabilities, in the same order.
"""

import json
import sys

from scipy.stats import norm


def probability(value, uncertainty, limit, bound):
    side = {"at_most": norm.cdf, "at_least": norm.sf}[bound]
    return float(side(limit, loc=value, scale=uncertainty))


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        cases = json.load(file)["cases"]
    print(json.dumps([probability(*case) for case in cases]))


main()
