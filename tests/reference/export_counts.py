"""Compares the CSV tables, as pandas and DuckDB read them, with what `analyse --json` finds in the same logs.

    python tests/reference/export_counts.py PACEWRIGHT LOGS

LOGS is a folder of session logs of one client. Also writes expected.csv beside the tables for export_counts.R, if R is
there. Not run by the tests. Last run with Python 3.11.2, pandas 3.1.1, duckdb 2.0.1 and R 4.2.2.
"""

import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import duckdb
import pandas

PROGRAM, LOGS = sys.argv[1], Path(sys.argv[2])
NAMES = {"lower_quartile_s": 0.25, "median_s": 0.5, "upper_quartile_s": 0.75}


def expected() -> list[dict]:
    logs = sorted(map(str, LOGS.glob("*.jsonl")))
    found = json.loads(subprocess.run([PROGRAM, "analyse", "--json", *logs], check=True, capture_output=True).stdout)
    found = [log for log in found if log["format"] == "pacewright findings"]
    found.sort(key=lambda log: (log["began"], log["seed"]))
    rows = []
    for session, log in enumerate(found, 1):
        total = log["findings"]["total"]
        outcomes = {f"trials_{one['outcome']}": one["count"] for one in total["outcomes"]}
        left_out = {f"left_out_{name}": count for name, count in total["left_out"].items()}
        latency = {name: total["latency"][name] for name in ("count", "mean_s", "sd_s", *NAMES)}
        rows.append({"session": session, "trials": total["trials"], **outcomes, **left_out, **latency})
    return rows


def by_pandas(folder: Path) -> list[dict]:
    table = {name: pandas.read_csv(folder / f"{name}.csv") for name in ("trials", "presses", "opportunities")}
    rows = []
    for session in sorted(table["trials"].session.unique()):
        trials = table["trials"].query("session == @session")
        counted = trials[trials.trial_counts]
        presses = table["presses"].query("session == @session and in_findings").latency_s
        lightings = table["opportunities"].query("session == @session and in_findings").latency_s
        assert sorted(presses) == sorted(lightings)
        rows.append({
            "session": session, "trials": len(counted),
            **{f"trials_{name}": count for name, count in counted.outcome.value_counts().items()},
            **{f"left_out_{name}": count for name, count in trials.left_out.value_counts().items()},
            "count": len(presses), "mean_s": presses.mean(), "sd_s": presses.std(),
            **{name: presses.quantile(p) for name, p in NAMES.items()},
        })
    return rows


def by_duckdb(folder: Path) -> list[dict]:
    presses = duckdb.sql(f"""
        SELECT session, count(*) AS count, avg(latency_s) AS mean_s, stddev_samp(latency_s) AS sd_s,
            quantile_cont(latency_s, 0.25) AS lower_quartile_s, median(latency_s) AS median_s,
            quantile_cont(latency_s, 0.75) AS upper_quartile_s
        FROM '{folder}/presses.csv' WHERE in_findings GROUP BY session ORDER BY session""").df()
    trials = duckdb.sql(f"""
        SELECT session, count(*) FILTER (trial_counts) AS trials,
            count(*) FILTER (trial_counts AND outcome = 'hit') AS trials_hit,
            count(*) FILTER (left_out = 'practice') AS left_out_practice
        FROM '{folder}/trials.csv' GROUP BY session ORDER BY session""").df()
    return trials.merge(presses, on="session").to_dict("records")


def same(found: list[dict], wanted: list[dict], reader: str) -> None:
    assert len(found) == len(wanted), (reader, len(found), len(wanted))
    compared = 0
    for one, other in zip(found, wanted):
        for name, value in one.items():
            assert abs(float(value) - float(other[name])) < 1e-9, (reader, name, value, other[name])
            compared += 1
    print(f"{reader}: {compared} figures of {len(found)} sessions agree")


with tempfile.TemporaryDirectory() as parent:
    folder = Path(parent) / "tables"
    subprocess.run([PROGRAM, "export", LOGS, "--as", "csv", "--out", folder], check=True)
    wanted = expected()
    same(by_pandas(folder), wanted, f"pandas {pandas.__version__}")
    same(by_duckdb(folder), wanted, f"duckdb {duckdb.__version__}")
    pandas.DataFrame(wanted).to_csv(folder / "expected.csv", index=False)
    if shutil.which("Rscript"):
        subprocess.run(["Rscript", Path(__file__).with_name("export_counts.R"), folder], check=True)
    else:
        print("R is not there: not compared with it")
