"""Prints the reference values that the tests of src/stats pin.

Its output stands in tests/reference/expected; `tests/reference/run` makes it again with pinned versions and compares.
"""

import numpy
import scipy
import statsmodels
from scipy import special, stats
from statsmodels.stats.proportion import proportion_confint

print("numpy", numpy.__version__, "scipy", scipy.__version__, "statsmodels", statsmodels.__version__)

print("normal quantile")
for p in (1e-300, 1e-10, 0.001, 0.025, 0.3, 0.5, 0.95, 0.975, 0.999999):
    print(f"  ({p!r}, {float(stats.norm.ppf(p))!r}),")
print("normal cumulative")
for z in (-30.0, -5.0, -1.0, 0.0, 1.959963984540054, 4.0):
    print(f"  ({z!r}, {float(stats.norm.cdf(z))!r}),")
print("student quantile (p, freedom)")
for p, f in ((0.975, 1), (0.975, 2), (0.95, 8), (0.975, 11), (0.975, 39), (0.025, 11), (0.9995, 3), (0.6, 200)):
    print(f"  ({p!r}, {float(f)!r}, {float(stats.t.ppf(p, f))!r}),")
print("chi-square quantile (p, freedom)")
for p, f in ((0.95, 2), (0.975, 2), (0.025, 2), (0.975, 12), (0.025, 10), (0.5, 1), (0.99, 200), (0.001, 40)):
    print(f"  ({p!r}, {float(f)!r}, {float(stats.chi2.ppf(p, f))!r}),")
print("incomplete gamma P(a, x)")
for a, x in ((0.5, 0.1), (1.0, 1.0), (5.0, 2.0), (5.0, 20.0), (100.0, 90.0), (100.0, 130.0)):
    print(f"  ({a!r}, {x!r}, {float(special.gammainc(a, x))!r}),")
print("incomplete beta I_x(a, b)")
for a, b, x in ((0.5, 0.5, 0.3), (2.0, 3.0, 0.4), (18.0, 3.0, 0.7), (1.0, 30.0, 0.05), (50.0, 60.0, 0.5), (300.0, 2.0, 0.99)):
    print(f"  ({a!r}, {b!r}, {x!r}, {float(special.betainc(a, b, x))!r}),")
print("wilson and clopper-pearson (hits, of, low, high)")
for method in ("wilson", "beta"):
    print(" ", method)
    for k, n in ((9, 10), (18, 20), (27, 30), (45, 50), (20, 20), (0, 20), (1, 20), (333, 1000)):
        low, high = proportion_confint(k, n, 0.05, method)
        print(f"  ({k}, {n}, {float(low)!r}, {float(high)!r}),")
print("poisson exact 95 % interval (events, low, high), after Garwood 1936")
for k in (0, 1, 3, 10, 50):
    low = 0.0 if k == 0 else float(stats.chi2.ppf(0.025, 2 * k) / 2)
    print(f"  ({k}, {low!r}, {float(stats.chi2.ppf(0.975, 2 * k + 2) / 2)!r}),")
print("poisson one-sided 95 % upper limit (events, limit)")
for k in (0, 1, 3, 10):
    print(f"  ({k}, {float(stats.chi2.ppf(0.95, 2 * k + 2) / 2)!r}),")

data = [423, 458, 478, 493, 506, 517, 527, 537, 546, 554, 563, 571, 580, 588, 597, 605, 614, 623, 633, 642, 652, 663,
        674, 686, 699, 712, 726, 742, 758, 777, 797, 819, 844, 872, 906, 946, 996, 1064, 1166, 1385]
print("forty latencies: mean, sd, cv")
print(" ", float(numpy.mean(data)), float(numpy.std(data, ddof=1)), float(numpy.std(data, ddof=1) / numpy.mean(data)))
print("quantiles, type 7")
for p in (0.0, 0.05, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99, 1.0):
    print(f"  ({p!r}, {float(numpy.quantile(data, p))!r}),")
print("95 % t interval of the mean")
print(" ", [float(x) for x in stats.t.interval(0.95, len(data) - 1, numpy.mean(data), stats.sem(data))])
