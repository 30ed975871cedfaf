"""Prints the reference values that the tests of src/stats/latency pin; data are invented.

Run once by hand, not by the tests:  pip install numpy scipy && python tests/reference/latency_models.py
The values in the tests were printed with numpy 2.4.6 and scipy 1.17.1.
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


def law(mu, sigma, tau):
    """The ex-Gaussian as scipy writes it."""
    return stats.exponnorm(tau / sigma, loc=mu, scale=sigma)


def height(parameters, seen, censored=(), truncated_at=None):
    """Log-likelihood of values seen, censored and truncated."""
    model = law(*parameters)
    total = model.logpdf(seen).sum() + sum(numpy.log(model.sf(limit)) for limit in censored)
    return total - (0 if truncated_at is None else len(seen) * numpy.log(model.cdf(truncated_at)))


def fitted(*observations):
    """The summit, by Nelder and Mead over (mu, ln sigma, ln tau)."""
    loss = lambda p: -height((p[0], numpy.exp(p[1]), numpy.exp(p[2])), *observations)
    found = optimize.minimize(
        loss, (500.0, 4.0, 5.0), method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12, "maxiter": 20000}
    )
    return (found.x[0], numpy.exp(found.x[1]), numpy.exp(found.x[2])), -found.fun


print("numpy", numpy.__version__, "scipy", scipy.__version__)
print("density and cumulative of", WORKED)
for x in (600, 700, 1000):
    print(f"  ({x}, {law(*WORKED).pdf(x):.9g}, {law(*WORKED).cdf(x):.8f})")
print("near the Normal, tau 1:", [f"{law(500, 60, 1).pdf(x):.10g}" for x in (500, 560)])
print("standard deviation", law(*WORKED).std())
print("quantiles")
for p in (0.05, 0.25, 0.5, 0.9, 0.95, 0.975, 0.99):
    print(f"  ({p}, {law(*WORKED).ppf(p):.3f})")
print("five values", height(WORKED, numpy.array([450.0, 520, 610, 700, 980])))
EARLY = FORTY[:37]
for name, observations in [
    ("all", (FORTY,)),
    ("censored", (EARLY, [1000.0] * 3)),
    ("truncated", (EARLY, (), 1000.0)),
    ("naive", (EARLY,)),
]:
    parameters, best = fitted(*observations)
    print(name, [round(float(p), 3) for p in parameters], round(best, 5), "worked", round(height(WORKED, *observations), 6))
