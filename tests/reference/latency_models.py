"""Prints the reference values that the tests of src/stats/latency pin; data are invented.

Its output stands in tests/reference/expected; `tests/reference/run` makes it again with pinned versions and compares.
"""

import numpy
import scipy
from scipy import optimize, stats

FORTY = numpy.array(
    [423, 458, 478, 493, 506, 517, 527, 537, 546, 554, 563, 571, 580, 588, 597, 605, 614, 623, 633, 642]
    + [652, 663, 674, 686, 699, 712, 726, 742, 758, 777, 797, 819, 844, 872, 906, 946, 996, 1064, 1166, 1385],
    dtype=float,
)
WORKED = (500.0, 60.0, 200.0)


def ex_gaussian(mu, sigma, tau):
    """As scipy writes it."""
    return stats.exponnorm(tau / sigma, loc=mu, scale=sigma)


def lognormal(shift, mu, sigma):
    """Above the shift, the logarithm is Normal."""
    return stats.lognorm(sigma, loc=shift, scale=numpy.exp(mu))


def wald(shift, threshold, drift):
    """Above the shift, the time a walk of unit variance takes to the threshold."""
    return stats.invgauss(1 / (threshold * drift), loc=shift, scale=threshold**2)


def height(law, parameters, seen, censored=(), above=numpy.inf, below=-numpy.inf):
    """Log-likelihood of values seen and censored, where none outside `below` to `above` would have been counted."""
    model = law(*parameters)
    total = model.logpdf(seen).sum() + sum(model.logsf(limit) for limit in censored)
    return total - (len(seen) + len(censored)) * numpy.log(model.cdf(above) - model.cdf(below))


def fitted(law, start, natural, *observations):
    """The summit, by Nelder and Mead over coordinates that `natural` turns into parameters."""
    loss = lambda p: -numpy.nan_to_num(height(law, natural(p), *observations), nan=-1e300, neginf=-1e300)
    found = start
    for _ in range(4):
        options = {"xatol": 1e-10, "fatol": 1e-13, "maxiter": 20000, "maxfev": 20000}
        best = optimize.minimize(loss, found, method="Nelder-Mead", options=options)
        found = best.x
    return natural(found), -best.fun


print("numpy", numpy.__version__, "scipy", scipy.__version__)
print("density and cumulative of", WORKED)
for x in (600, 700, 1000):
    print(f"  ({x}, {ex_gaussian(*WORKED).pdf(x):.9g}, {ex_gaussian(*WORKED).cdf(x):.8f})")
print("near the Normal, tau 1:", [f"{ex_gaussian(500, 60, 1).pdf(x):.10g}" for x in (500, 560)])
print("standard deviation", ex_gaussian(*WORKED).std())
print("quantiles")
for p in (0.05, 0.25, 0.5, 0.9, 0.95, 0.975, 0.99):
    print(f"  ({p}, {ex_gaussian(*WORKED).ppf(p):.3f})")
print("five values", height(ex_gaussian, WORKED, numpy.array([450.0, 520, 610, 700, 980])))
EARLY = FORTY[:37]
LATER, MIDDLE = FORTY[1:], FORTY[1:37]
SETS = [
    ("all", (FORTY,)),
    ("censored", (EARLY, [1000.0] * 3)),
    ("truncated above", (EARLY, (), 1000.0)),
    ("truncated below", (LATER, (), numpy.inf, 440.0)),
    ("truncated on both sides", (MIDDLE, (), 1000.0, 440.0)),
    ("truncated below, censored", (MIDDLE, [1000.0] * 3, numpy.inf, 440.0)),
    ("naive", (EARLY,)),
]
exponentials = lambda p: (p[0], numpy.exp(p[1]), numpy.exp(p[2]))
for name, observations in SETS:
    parameters, best = fitted(ex_gaussian, (500.0, 4.0, 5.0), exponentials, *observations)
    worked = height(ex_gaussian, WORKED, *observations)
    print(name, [round(float(p), 3) for p in parameters], round(best, 5), "worked", round(worked, 6))

for law, worked, places in [
    (lognormal, (200.0, 6.0, 0.4), (250, 400, 600, 1200)),
    (wald, (0.2, 2.0, 5.0), (0.25, 0.4, 0.6, 1.2)),
    (wald, (0.2, 0.5, 0.1), (0.201, 0.3, 2.0, 900.0)),
]:
    model = law(*worked)
    print(law.__name__, worked, "mean", model.mean(), "standard deviation", model.std())
    for x in places:
        print(f"  ({x}, {model.logpdf(x):.12g}, {model.logcdf(x):.12g}, {model.logsf(x):.12g})")
    print("  quantiles", [(p, float(f"{model.ppf(p):.12g}")) for p in (0.01, 0.25, 0.5, 0.9, 0.999)])

for law, start in [(lognormal, (350.0, 5.7, -0.6)), (wald, (300.0, 3.5, -2.5))]:
    natural = exponentials if law is wald else lambda p: (p[0], p[1], numpy.exp(p[2]))
    for name, observations in SETS[:-1]:
        parameters, best = fitted(law, start, natural, *observations)
        print(law.__name__, name, [float(f"{p:.7g}") for p in parameters], f"{best:.7f}")
