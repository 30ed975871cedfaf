"""Decodes the times of a study with the reference implementation of the histograms and compares percentiles.

Run once by hand, not by the tests:
  pip install hdrhistogram==0.10.8
  pacewright simulate --profile steady --set scan_interval=0.8:1.4:0.2 --as json --out study.json
  python tests/reference/study_times.py study.json

Ends with an error if a count or a percentile differs from what the program wrote.
"""

import json
import sys

from hdrh.histogram import HdrHistogram

study = json.load(open(sys.argv[1]))
compared = 0
for point in study["points"]:
    times = HdrHistogram.decode(point["times_us_hdr"])
    assert times.get_total_count() == point["selections"] == point["sums"]["selections"], point["settings"]
    for share, ours in ((50, point["median_s"]), (95, point["p95_s"])):
        theirs = times.get_value_at_percentile(share) / 1e6
        assert theirs == ours, (point["settings"], share, theirs, ours)
        compared += 1
    # The mean of the histogram is good to its three digits.
    mean = int(point["sums"]["total_us"]) / point["selections"] / 1e6
    assert abs(times.get_mean_value() / 1e6 - mean) < 1e-3 * mean, point["settings"]
print(f"{len(study['points'])} histograms, {compared} percentiles: all equal")
