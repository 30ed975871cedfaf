"""Prints the chances that the tests of src/sim/latency.rs rest on: laws of virtual clients' latencies.

Run once by hand, not by the tests:  pip install scipy && python tests/reference/client_laws.py
The values in the tests were printed with scipy 1.17.1. The tests then hold the drawn latencies against these laws by
Kolmogorov and Smirnov's distance.
"""

from scipy import stats

LAWS = {
    "ex-Gaussian 0.55, 0.07, 0.16": stats.exponnorm(0.16 / 0.07, loc=0.55, scale=0.07),
    "lognormal 0.2, 0.45, 0.4": stats.lognorm(0.4, loc=0.2, scale=0.45),
    "Wald 0.2, 0.5, 3": stats.invgauss(0.5 / 3.0, loc=0.2, scale=3.0),
    "gamma 0.2, 3, 0.17": stats.gamma(3.0, loc=0.2, scale=0.17),
}
SHARP = stats.invgauss(0.5 / 2000.0, loc=0.2, scale=2000.0)

for name, law in LAWS.items():
    print(name, *(f"{law.cdf(seconds):.13f}" for seconds in (0.5, 0.7, 1.0, 1.5)))
print("sharp Wald 0.2, 0.5, 2000", *(f"{SHARP.cdf(seconds):.10f}" for seconds in (0.69, 0.7, 0.71)))
# The distance of 20,000 draws exceeds 1.95 roots of 1/20,000 once in a thousand.
print("Kolmogorov at 1.95:", f"{stats.kstwobign.sf(1.95):.6f}")
