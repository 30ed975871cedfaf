"""Holds the ex-Gaussian fits of the built program against the best that scipy finds, on 1,000 random sets.

Run by hand, not by the tests:
  cargo build --release --no-default-features
  pip install numpy==2.4.6 scipy==1.17.1
  python tests/reference/latency_fits.py target/release/pacewright [SETS]

The sets are invented from a fixed seed, a quarter each: complete, censored, heavy-tailed, near-Normal. Scipy's best
is the highest of scipy.stats.exponnorm.fit, scipy.optimize.minimize from several starts and the Normal. Ends with an
error if a fit lies below it by more than 1e-6 of its height, or if scipy finds another height at our parameters.
"""

import json
import multiprocessing
import os
import subprocess
import sys
import tempfile

import numpy
from scipy import optimize, special, stats

KINDS = ("complete", "censored", "heavy-tailed", "near-Normal")
SIZES = (10, 20, 40, 100, 200, 500)
TOLERANCE = 1e-6
# Below this tau over sigma scipy's density loses its digits; the Normal stands in.
LEAST_SHAPE = 1e-3


def random_set(kind, index):
    """Values seen and limits of censored ones."""
    draw = numpy.random.default_rng([index, KINDS.index(kind)])
    count = SIZES[index % len(SIZES)]
    unit = 10.0 ** draw.integers(0, 2) if index % 2 else 1.0
    mu, sigma, ratio = draw.uniform(0.2, 0.8), draw.uniform(0.02, 0.2), draw.uniform(0.5, 6.0)
    if kind == "near-Normal":
        ratio = draw.uniform(0.0, 0.5)
    values = draw.normal(mu, sigma, count) + draw.exponential(1.0, count) * sigma * ratio
    if kind == "heavy-tailed":
        outliers = draw.random(count) < 0.15
        values = [
            numpy.where(outliers, values + draw.exponential(10 * sigma, count), values),
            numpy.where(outliers, values - draw.exponential(5 * sigma, count), values),
            mu + sigma * draw.standard_t(2.5, count),
            mu + sigma * draw.lognormal(0.0, 1.2, count),
            mu + draw.exponential(sigma, count),
        ][index // len(SIZES) % 5]
    values = values * unit
    if kind != "censored":
        return values, numpy.array([])
    limit = numpy.quantile(values, draw.uniform(0.6, 0.97))
    return values[values <= limit], numpy.full((values > limit).sum(), limit)


def height(parameters, seen, censored):
    """Log-likelihood of exponnorm, written with scipy.special since its frozen form is ten times slower."""
    mu, sigma, tau = parameters
    ratio = sigma / tau

    def exponential_share(values):
        z = (values - mu) / sigma
        return z, ratio * (ratio / 2 - z) + special.log_ndtr(z - ratio)

    total = exponential_share(seen)[1].sum() - len(seen) * numpy.log(tau)
    if len(censored):
        z, share = exponential_share(censored)
        total += numpy.logaddexp(special.log_ndtr(-z), share).sum()
    return total


def normal_height(point, seen, censored):
    sigma = numpy.exp(point[1])
    z, limits = (seen - point[0]) / sigma, (point[0] - censored) / sigma
    return special.log_ndtr(limits).sum() - (z * z).sum() / 2 - len(seen) * numpy.log(sigma * (2 * numpy.pi) ** 0.5)


def summit(of, start, *observations):
    """The highest point that minimize reaches from a start, by Nelder and Mead and then by BFGS."""

    def loss(point):
        with numpy.errstate(all="ignore"):
            found = -of(point, *observations)
        return found if numpy.isfinite(found) else 1e300

    options = {"xatol": 1e-7, "fatol": 1e-10, "maxiter": 2000, "maxfev": 2000}
    found = optimize.minimize(loss, start, method="Nelder-Mead", options=options)
    return -min(found.fun, optimize.minimize(loss, found.x, method="BFGS").fun)


def bounded_height(point, seen, censored):
    """Over (mu, ln sigma, ln tau), where scipy's density can be trusted."""
    sigma, tau = numpy.exp(point[1]), numpy.exp(point[2])
    return height((point[0], sigma, tau), seen, censored) if tau / sigma > LEAST_SHAPE else -numpy.inf


def best(seen, censored):
    """The highest log-likelihood that scipy finds."""
    values = numpy.concatenate([seen, censored])
    mean, deviation = values.mean(), values.std()
    heights = [summit(normal_height, (mean, numpy.log(deviation)), seen, censored)]
    for share in (0.2, 0.5, 0.8, 0.98):
        start = (mean - share * deviation, numpy.log(deviation * (1 - share**2) ** 0.5), numpy.log(deviation * share))
        heights.append(summit(bounded_height, start, seen, censored))
    if not len(censored):
        shape, mu, sigma = stats.exponnorm.fit(seen)
        if shape > LEAST_SHAPE:
            heights.append(height((mu, sigma, shape * sigma), seen, censored))
    return max(height for height in heights if numpy.isfinite(height))


def fitted(program, sets, *arguments):
    """What the program says of each set, some at a time."""
    names, said = list(sets), {}
    for first in range(0, len(names), 100):
        said |= fitted_at_once(program, {name: sets[name] for name in names[first : first + 100]}, arguments)
    return said


def fitted_at_once(program, sets, arguments):
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "sets.csv")
        with open(path, "w", encoding="utf-8") as table:
            table.write("latency,set\n")
            for name, (seen, censored) in sets.items():
                table.writelines(f"{float(value)!r},{name}\n" for value in seen)
                table.writelines(f">{float(limit)!r},{name}\n" for limit in censored)
        command = [program, "latency", path, "--by", "set", "--column", "latency", "--json", *arguments]
        said = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
    return {found["group"]: found for found in said}


def agrees(model, observations):
    """Whether scipy finds the height that the program tells, where its density can be trusted."""
    parameters = [model["params"][name] for name in ("mu", "sigma", "tau")]
    if parameters[2] / parameters[1] <= LEAST_SHAPE:
        return True
    with numpy.errstate(all="ignore"):
        theirs = height(parameters, *observations)
    return not numpy.isfinite(theirs) or abs(theirs - model["loglik"]) <= TOLERANCE * max(1.0, abs(theirs))


def check_height():
    """Holds the height above against scipy.stats itself."""
    law, seen, censored = stats.exponnorm(2.5, loc=0.4, scale=0.1), numpy.array([0.3, 0.5, 0.9]), numpy.array([0.7])
    theirs = law.logpdf(seen).sum() + law.logsf(censored).sum()
    assert abs(height((0.4, 0.1, 0.25), seen, censored) - theirs) < 1e-12
    theirs = stats.norm(0.4, 0.1).logpdf(seen).sum() + stats.norm(0.4, 0.1).logsf(censored).sum()
    assert abs(normal_height((0.4, numpy.log(0.1)), seen, censored) - theirs) < 1e-12


def main():
    check_height()
    program, count = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    sets = {f"{kind} {index}": random_set(kind, index) for index in range(count // len(KINDS)) for kind in KINDS}
    ours = fitted(program, sets, "--model", "exgauss")
    with multiprocessing.Pool() as pool:
        theirs = dict(zip(sets, pool.starmap(best, sets.values(), chunksize=4)))
    below = {kind: [] for kind in KINDS}
    above, disagreeing = dict.fromkeys(KINDS, 0), []
    for name, observations in sets.items():
        model, kind = ours[name]["models"][0], name.split(" ")[0]
        lead = (model["loglik"] - theirs[name]) / abs(theirs[name])
        above[kind] += lead > TOLERANCE
        if lead < -TOLERANCE:
            below[kind].append((name, lead, model["loglik"], theirs[name], model["params"]))
        if not agrees(model, observations):
            disagreeing.append(name)
    for kind in KINDS:
        print(f"{kind}: {count // len(KINDS)} sets, {len(below[kind])} below scipy's best, {above[kind]} above it")
        for case in below[kind]:
            print("  below:", *case)
    print("heights that scipy does not find at our parameters:", disagreeing or "none")
    sys.exit(bool(disagreeing) or any(below.values()))


if __name__ == "__main__":
    main()
