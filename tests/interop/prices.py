"""What a delivery pays, reckoned anew with Python's fractions and decimal.

Question: {"cases": [case, ...]}; the fields of a case are those that `pay` reads. Masses are in
grams, prices and coins in minor units, shares and moistures in hundredths of a percent.
Answer: [{"lines": [[kind, amount], ...], "payable": minor}, ...], or {"unusable": true} for a price
list whose deductions can pass its price; an amount is text, a whole number of ten-millionths of a
minor unit.
"""

import decimal
import json
import math
import sys
from fractions import Fraction

SHARE = 10_000
PARTS = 10**7

decimal.getcontext().prec = 60
# An inexact step is an error here, not a rounding.
decimal.getcontext().traps[decimal.Inexact] = True


def to_coin(exact, coin):
    """The nearest whole number of coins, half a coin and more going up."""
    value = decimal.Decimal(exact.numerator) / decimal.Decimal(exact.denominator)
    coins, rest = divmod(value, decimal.Decimal(coin))
    return int(coins + (1 if 2 * rest >= coin else 0)) * coin


def can_go_below_nothing(case):
    """Whether the wettest honey, without a premium, would cost the member money."""
    value = case["per_kg"] - max((off for _, off in case["steps"]), default=0)
    taken = [rate if kind == "per_kg" else value * Fraction(rate, SHARE) for kind, rate in case["levies"]]
    return value < sum(taken)


def pay(case):
    if can_go_below_nothing(case):
        return {"unusable": True}
    kilograms = Fraction(case["grams"], 1000)
    lines = [["honey", kilograms * case["per_kg"]]]
    if case["moisture"] is not None:
        passed = [step for step in case["steps"] if case["moisture"] > step[0]]
        if passed:
            lines.append(["step", -kilograms * max(passed)[1]])
    for per_kg in case["premiums"]:
        lines.append(["premium", kilograms * per_kg])
    value = sum(amount for _, amount in lines)
    for kind, rate in case["levies"]:
        taken = kilograms * rate if kind == "per_kg" else value * Fraction(rate, SHARE)
        lines.append(["levy", -taken])
    left = sum(amount for _, amount in lines)
    if case["advance"] is not None:
        most = math.floor(min(value * Fraction(case["advance_share"], SHARE), left))
        taken = min(most, case["advance"])
        if taken > 0:
            lines.append(["advance", Fraction(-taken)])
    exact = sum(amount for _, amount in lines)
    if exact < 0:
        raise ValueError(f"{case} pays less than nothing")
    payable = to_coin(exact, case["coin"])
    lines.append(["rounding", payable - exact])
    return {"lines": [[kind, whole_parts(amount)] for kind, amount in lines], "payable": payable}


def whole_parts(amount):
    parts = amount * PARTS
    if parts.denominator != 1:
        raise ValueError(f"{amount} is finer than a ten-millionth")
    return str(parts.numerator)


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        cases = json.load(file)["cases"]
    print(json.dumps([pay(case) for case in cases]))


main()
