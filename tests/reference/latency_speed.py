"""How many times as fast as scipy an ex-Gaussian is fitted: both take turns on the same data, warm, in one run.

Run by hand, not by the tests; the first command prints where the bench was built:
  cargo bench --no-default-features --bench latency_fit --no-run
  pip install numpy==2.4.6 scipy==1.17.1
  python tests/reference/latency_speed.py target/release/deps/latency_fit-... [ROUNDS]

Easy data are clearly skewed, hard ones near the Normal; both are invented from a fixed seed. Prints the median time
of either side over the rounds, the ratio of the medians, and how far the log-likelihoods lie apart. Processor time
counts, so that it does not matter what else the machine does. Ends with an
error where ours is lower by more than 1e-6 of its height.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time

import numpy
from scipy import stats

LAWS = {"easy": (0.45, 0.08, 0.15), "hard": (0.45, 0.10, 0.03)}
SIZES = (200, 100_000)


def drawn(law, count):
    mu, sigma, tau = LAWS[law]
    draw = numpy.random.default_rng([count, len(law), int(1000 * tau)])
    return numpy.round(draw.normal(mu, sigma, count) + draw.exponential(tau, count), 6)


def ours(program, path):
    """Microseconds of a fit and its log-likelihood, as the bench tells them."""
    told = subprocess.run([program, path], check=True, capture_output=True, text=True).stdout.split()
    return float(told[told.index("processor") + 1]), float(told[-1])


def theirs(values):
    began = time.process_time()
    shape, mu, sigma = stats.exponnorm.fit(values)
    taken = time.process_time() - began
    return 1e6 * taken, stats.exponnorm.logpdf(values, shape, mu, sigma).sum()


def compare(program, law, count, rounds):
    values = drawn(law, count)
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, f"{law}-{count}.txt")
        numpy.savetxt(path, values, "%.6f")
        theirs(values), ours(program, path)
        taken = [(theirs(values), ours(program, path)) for _ in range(rounds)]
    scipy_us, our_us = (statistics.median(one[side][0] for one in taken) for side in (0, 1))
    lead = (taken[0][1][1] - taken[0][0][1]) / abs(taken[0][0][1])
    print(f"{law}, n {count}: scipy {scipy_us:.0f} us, ours {our_us:.1f} us, ratio {scipy_us / our_us:.1f}; "
          f"our log-likelihood is higher by {lead:.1e} of itself; {rounds} rounds", flush=True)
    return lead >= -1e-6


def main():
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 7
    right = [compare(sys.argv[1], law, count, rounds) for law in LAWS for count in SIZES]
    sys.exit(not all(right))


if __name__ == "__main__":
    main()
