"""Prints the reference values that the tests of src/stats/dip.rs and src/advice/humps.rs rest on; data are invented.

Its output stands in tests/reference/expected; `tests/reference/run` makes it again with pinned versions and compares.
"""

import diptest
import numpy

FORTY = numpy.array(
    [423, 458, 478, 493, 506, 517, 527, 537, 546, 554, 563, 571, 580, 588, 597, 605, 614, 623, 633, 642]
    + [652, 663, 674, 686, 699, 712, 726, 742, 758, 777, 797, 819, 844, 872, 906, 946, 996, 1064, 1166, 1385],
    dtype=float,
)
LOW = numpy.array([0.50, 0.52, 0.55, 0.57, 0.58, 0.60, 0.61, 0.63, 0.66, 0.70])
SETS = {
    "two humps": numpy.concatenate([LOW, LOW + 1.0]),
    "equal values": numpy.array([1.0, 1, 1, 2, 2, 5, 5, 5, 5, 9]),
    "nine": numpy.array([0.0, 1, 1.1, 1.2, 5, 5.1, 5.2, 5.25, 9]),
    "powers of two": numpy.array([1.0, 2, 4, 8, 16, 32]),
    "forty latencies": FORTY,
}

for name, values in SETS.items():
    print(name, repr(float(diptest.dipstat(values))))

rng = numpy.random.default_rng(1)
print("root n times dip: 95 % and 99 % of uniform and of ex-Gaussian (500, 60, 200) samples")
for n in (20, 30, 60, 100, 200, 500):
    laws = (lambda: rng.random(n), lambda: rng.normal(0.5, 0.06, n) + rng.exponential(0.2, n))
    dips = [numpy.sqrt(n) * numpy.array([diptest.dipstat(law()) for _ in range(6000)]) for law in laws]
    print(n, *(numpy.quantile(one, [0.95, 0.99]).round(3) for one in dips))
