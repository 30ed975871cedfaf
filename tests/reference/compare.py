"""Compares what a script printed with what it printed before: words and whole numbers alike, others to one part in a
million or one in the last place printed.

    python tests/reference/compare.py EXPECTED FOUND

The tolerance is that of the summits, which scipy's optimisers find to seven digits.
"""

import itertools
import math
import re
import sys

NUMBER = re.compile(r"[-+]?\d+(?:\.\d*)?(?:[eE][-+]?\d+)?")


def last_place(number):
    """What one in the last place of a printed number stands for; 0 for a whole one."""
    mantissa, _, exponent = number.lower().partition("e")
    decimals = len(mantissa.partition(".")[2])
    return 10.0 ** (int(exponent or 0) - decimals) if decimals else 0.0


def close(expected, found):
    # A number of few digits is no rounded one.
    tolerance = min(1.01 * last_place(expected), 1e-4 * abs(float(expected)))
    return math.isclose(float(expected), float(found), rel_tol=1e-6, abs_tol=tolerance)


def alike(expected, found):
    pairs = list(itertools.zip_longest(NUMBER.findall(expected), NUMBER.findall(found), fillvalue="nan"))
    return NUMBER.split(expected) == NUMBER.split(found) and all(close(*pair) for pair in pairs)


def main():
    lines = [open(path, encoding="utf-8").read().splitlines() for path in sys.argv[1:3]]
    pairs = itertools.zip_longest(*lines, fillvalue="")
    wrong = [(place, *pair) for place, pair in enumerate(pairs, 1) if not alike(*pair)]
    for place, expected, found in wrong:
        print(f"line {place}: expected `{expected}`, found `{found}`")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
