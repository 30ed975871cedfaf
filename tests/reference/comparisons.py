"""Prints the reference values that the tests of the comparison half of src/stats pin.

Its output stands in tests/reference/expected; `tests/reference/run` makes it again with pinned versions and compares.
"""

from itertools import combinations, product

import numpy
import scipy
import statsmodels
from scipy import optimize, stats
from statsmodels.stats.proportion import confint_proportions_2indep

print("numpy", numpy.__version__, "scipy", scipy.__version__, "statsmodels", statsmodels.__version__)

print("difference: newcombe 95 % and fisher two-sided")
for a, n, b, m in ((18, 20, 12, 20), (9, 10, 3, 10), (20, 20, 20, 20), (0, 15, 7, 12), (95, 100, 80, 90)):
    low, high = confint_proportions_2indep(a, n, b, m, method="newcomb", compare="diff")
    p = stats.fisher_exact([[a, n - a], [b, m - b]]).pvalue
    print(f"  ([{a}, {n}, {b}, {m}], [{float(low)!r}, {float(high)!r}, {float(p)!r}]),")

A = [0.61, 0.65, 0.70, 0.72, 0.80]
B = [0.74, 0.79, 0.85, 0.88, 0.91, 0.95]
TIED = [1, 2, 2, 3, 5], [2, 3, 3, 4, 6, 7]
print("rank sum: U, exact p, asymptotic p; then with ties")
print(" ", float(stats.mannwhitneyu(A, B).statistic), float(stats.mannwhitneyu(A, B, method="exact").pvalue),
      float(stats.mannwhitneyu(A, B, method="asymptotic").pvalue))
print(" ", float(stats.mannwhitneyu(*TIED).statistic), float(stats.mannwhitneyu(*TIED, method="asymptotic").pvalue))
EVEN, ODD = [2.0 * i for i in range(20)], [2.0 * i + 9 for i in range(25)]
print("  20 against 25, exact:", float(stats.mannwhitneyu(EVEN, ODD, method="exact").pvalue))


def lower_quantile_u(n, m, p):
    """The least u with P(U <= u) >= p, by listing every arrangement (Hollander and Wolfe)."""
    counts = [sum(places) - n * (n - 1) // 2 for places in combinations(range(n + m), n)]
    return next(u for u in range(n * m + 1) if numpy.mean([c <= u for c in counts]) >= p)


differences = sorted(b - a for a in A for b in B)
u = lower_quantile_u(5, 6, 0.025)
print("shift: hodges-lehmann, 95 % ends, rank, superiority", float(numpy.median(differences)), differences[u - 1],
      differences[-u], u, numpy.mean([d > 0 for d in differences]))

ROOTS, LOGS = numpy.sqrt(numpy.arange(1, 41)), numpy.log(numpy.arange(2, 47)) + 1.5
differences = sorted(b - a for a in ROOTS for b in LOGS)
rank = int(40 * 45 / 2 - stats.norm.ppf(0.975) * (40 * 45 * 86 / 12) ** 0.5)
print("  forty against forty-five by the Normal law:", float(numpy.median(differences)), float(differences[rank - 1]),
      float(differences[-rank]))

SERIES = [0.62, 0.60, 0.65, 0.66, 0.64, 0.70, 0.69, 0.73, 0.71, 0.76]


def mann_kendall(y):
    n, s = len(y), int(sum(numpy.sign(b - a) for a, b in combinations(y, 2)))
    ties = sum(t * (t - 1) * (2 * t + 5) for t in numpy.unique(y, return_counts=True)[1])
    variance = float(n * (n - 1) * (2 * n + 5) - ties) / 18
    z = (s - numpy.sign(s)) / variance**0.5
    return s, variance, float(z), float(2 * stats.norm.sf(abs(z)))


print("trend:", mann_kendall(SERIES), "exact", float(stats.kendalltau(range(10), SERIES, method="exact").pvalue))
print("  ties:", mann_kendall([1, 2, 2, 3, 3, 3, 4]))
print("  sen:", [float(x) for x in stats.theilslopes(SERIES, range(1, 11))])
slopes = sorted((SERIES[j] - SERIES[i]) / (j - i) for i, j in combinations(range(10), 2))
print("  sen ends at ranks 11 and 35 of 45:", slopes[10], slopes[34])

LONG = [0.1 * i + (37 * i % 61) / 7 for i in range(60)]
slopes = sorted((LONG[j] - LONG[i]) / (j - i) for i, j in combinations(range(60), 2))
rank = int(len(slopes) / 2 - stats.norm.ppf(0.975) * mann_kendall(LONG)[1] ** 0.5 / 2)
print("  sixty values by the Normal law:", numpy.median(slopes), slopes[rank - 1], slopes[-rank], "scipy",
      [float(x) for x in stats.theilslopes(LONG)])

PAIRS = numpy.array([[700, 680], [650, 660], [820, 800], [760, 790], [900, 870]], float)
n, k = PAIRS.shape
rows = k * ((PAIRS.mean(1) - PAIRS.mean()) ** 2).sum() / (n - 1)
columns = n * ((PAIRS.mean(0) - PAIRS.mean()) ** 2).sum() / (k - 1)
error = ((PAIRS - PAIRS.mean(1, keepdims=True) - PAIRS.mean(0) + PAIRS.mean()) ** 2).sum() / ((n - 1) * (k - 1))
print("intraclass: mean squares, icc(3,1), icc(2,1)", rows, columns, error, (rows - error) / (rows + (k - 1) * error),
      (rows - error) / (rows + (k - 1) * error + k * (columns - error) / n))
print("reliability: sem, mdc95, rci", 90 * 0.15**0.5, 1.959963984540054 * 2**0.5 * 90 * 0.15**0.5,
      150 / (2**0.5 * 90 * 0.15**0.5), "sem of the pairs", error**0.5, "mdc", 1.959963984540054 * (2 * error) ** 0.5)

print("quantile interval (n, p, lower rank, upper rank, coverage)")
for n, p in ((10, 0.5), (20, 0.5), (40, 0.5), (40, 0.9), (59, 0.95), (100, 0.95)):
    below = [r for r in range(1, n + 1) if stats.binom.cdf(r - 1, n, p) <= 0.025]
    above = [s for s in range(1, n + 1) if stats.binom.sf(s - 1, n, p) <= 0.025]
    if below and above:
        cover = stats.binom.cdf(above[0] - 1, n, p) - stats.binom.cdf(below[-1] - 1, n, p)
        print(f"  ({n}, {p}, {below[-1]}, {above[0]}, {float(cover)!r}),")
    else:
        print(f"  ({n}, {p}) none")

print("bootstrap: all 27 resamples of 1, 2, 6")
all_means = sorted(numpy.mean(x) for x in product([1, 2, 6], repeat=3))
print("  mean, sd", float(numpy.mean(all_means)), float(numpy.std(all_means)))


def bca(means, estimate, left_out, level):
    """Ends on the scale of shares, after Efron 1987."""
    z0 = stats.norm.ppf(numpy.mean([(m < estimate) + 0.5 * (m == estimate) for m in means]))
    d = numpy.mean(left_out) - left_out
    a = (d**3).sum() / (6 * (d**2).sum() ** 1.5)
    ends = [z0 + stats.norm.ppf(p) for p in ((1 - level) / 2, (1 + level) / 2)]
    return float(z0), float(a), [float(stats.norm.cdf(z0 + e / (1 - a * e))) for e in ends]


z0, a, ends = bca(all_means, 3.0, numpy.array([4, 3.5, 1.5]), 0.9)
print("  z0, acceleration, shares at 90 %", z0, a, ends, [float(numpy.quantile(all_means, e)) for e in ends])
skewed = numpy.array([423, 458, 478, 493, 506, 517, 527, 537, 546, 554, 563, 571, 580, 588, 597, 605, 614, 623, 633,
                      642, 652, 663, 674, 686, 699, 712, 726, 742, 758, 777, 797, 819, 844, 872, 906, 946, 996, 1064,
                      1166, 1385])
big = stats.bootstrap((skewed,), numpy.mean, n_resamples=400_000, batch=20_000, rng=numpy.random.default_rng(1))
print("  forty latencies, mean:", [float(x) for x in big.confidence_interval], float(big.standard_error))

pooled, wanted = numpy.array(A + B), abs(numpy.mean(B) - numpy.mean(A)) - 1e-12
hits = [abs(pooled[list(i)].mean() - numpy.delete(pooled, list(i)).mean()) >= wanted for i in combinations(range(11), 5)]
print("permutation:", sum(hits), "of", len(hits), float(numpy.mean(hits)))

print("learning: least squares of A + B exp(-rate n)")
noisy = [2.02, 1.79, 1.70, 1.52, 1.47, 1.35, 1.33, 1.22, 1.23, 1.15, 1.16, 1.09]
at = numpy.arange(12.0)
(a, b, r), _ = optimize.curve_fit(lambda n, a, b, r: a + b * numpy.exp(-r * n), at, noisy, (1, 1, 0.2), xtol=1e-14, ftol=1e-14)
print(" ", float(a), float(b), float(r), float(((a + b * numpy.exp(-r * at) - noisy) ** 2).sum()))

print("information: bits per selection (choices, accuracy, bits)")
for n, p in ((2, 0.9), (4, 0.8), (8, 0.9), (8, 0.95), (9, 0.9), (16, 0.7), (36, 0.9)):
    print(f"  ({n}, {p}, {float(numpy.log2(n) + p * numpy.log2(p) + (1 - p) * numpy.log2((1 - p) / (n - 1)))!r}),")

print("sequential: ln A, ln B, hit, miss", *(float(numpy.log(x)) for x in (0.9 / 0.05, 0.1 / 0.95, 0.9 / 0.75, 0.1 / 0.25)))

print("growth: presses as (session, minutes, interval, latency); wander, share, error, logarithm of the likelihood above "
      "that without wandering, by generalised least squares")
PACED = [(0, 0.0, 1.5, 0.62), (0, 0.1, 1.5, 0.55), (0, 0.25, 1.95, 0.71), (0, 0.4, 1.95, 0.66), (0, 0.5, 1.5, 0.70),
         (0, 0.65, 1.5, 0.60), (1, 0.2, 1.5, 0.77), (1, 0.3, 1.95, 0.74), (1, 0.5, 1.95, 0.93), (1, 0.7, 1.5, 0.81)]


def growth(wander):
    """The level's variance grows by `wander` a minute, and by 0.09 from one session to the next."""
    rows = numpy.array(PACED)
    steps = [0.0] + [wander * (b[1] - a[1]) if a[0] == b[0] else 0.09 for a, b in zip(PACED, PACED[1:])]
    grown = numpy.cumsum(steps)
    inverse = numpy.linalg.inv(numpy.eye(len(rows)) + numpy.minimum.outer(grown, grown))
    design = numpy.column_stack([numpy.ones(len(rows)), rows[:, 2] - rows[:, 2].mean()])
    normal = design.T @ inverse @ design
    found = numpy.linalg.solve(normal, design.T @ inverse @ rows[:, 3])
    left = rows[:, 3] - design @ found
    variance = left @ inverse @ left / (len(rows) - 2)
    likelihood = -0.5 * ((len(rows) - 2) * numpy.log(variance) - numpy.linalg.slogdet(inverse)[1]
                         + numpy.linalg.slogdet(normal)[1])
    return float(found[1]), float(numpy.sqrt(variance * numpy.linalg.inv(normal)[1, 1])), float(likelihood)


for wander in (0.0, 0.01, 0.04, 0.16):
    share, error, likelihood = growth(wander)
    print(f"  ({wander}, {share!r}, {error!r}, {likelihood - growth(0.0)[2]!r}),")
