"""Many sessions are queried where they lie: DuckDB reads the JSON Lines of the logs themselves.

    python tests/reference/export_many.py PACEWRIGHT FOLDER [SESSIONS]

Lets virtual clients sit SESSIONS short sessions (10,000 unless told), a hundred a client, keeps the logs in FOLDER,
asks DuckDB for the median latency of every client, and compares it for ten clients with what `analyse --json` finds.
Not run by the tests. Last run with Python 3.11.2, duckdb 2.0.1 and numpy 2.4.6.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
import zlib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import duckdb
import numpy

PROGRAM, FOLDER = sys.argv[1], Path(sys.argv[2])
SESSIONS = int(sys.argv[3]) if len(sys.argv) > 3 else 10_000
EACH = 100
PROTOCOL = {"format": "pacewright protocol", "version": 1, "name": "Ten presses", "menu": "six",
            "blocks": [{"kind": "timed-press", "trials": 10}]}

# The same query stands in DEVELOPERS.md.
QUERY = """
WITH lines AS (
    SELECT * FROM read_json('{logs}', format = 'newline_delimited', filename = true, columns = {{
        client: 'VARCHAR', event: 'VARCHAR', block: 'INTEGER', trial: 'INTEGER', kind: 'VARCHAR', scored: 'BOOLEAN',
        outcome: 'VARCHAR', prompt: 'VARCHAR', excluded: 'VARCHAR',
        presses: 'STRUCT(outcome VARCHAR, latency_us BIGINT)[]' }})
), trials AS (
    SELECT * FROM lines WHERE event = 'trial' AND scored AND excluded IS NULL AND prompt = 'none'
        AND outcome <> 'aborted' AND kind <> 'repeat'
), left_out AS (
    SELECT filename, block, trial FROM lines WHERE event = 'excluded'
), hits AS (
    SELECT filename, unnest(presses) AS press FROM trials ANTI JOIN left_out USING (filename, block, trial)
)
SELECT client, count(*) AS presses, median(press.latency_us) / 1e6 AS median_s
FROM hits JOIN (SELECT filename, client FROM lines WHERE client IS NOT NULL) USING (filename)
WHERE press.outcome = 'hit' AND press.latency_us IS NOT NULL
GROUP BY client ORDER BY client
"""


def renamed(line: bytes, client: str) -> bytes:
    """A header line with another client, and with the checksum of that."""
    head = line[: line.rindex(b',"crc":"')].replace(b'"client":"DEMO1"', b'"client":"' + client.encode() + b'"')
    return head + b',"crc":"%08x"}\n' % zlib.crc32(head)


def sit(number: int, protocol: str) -> None:
    client = f"M{number // EACH:03}"
    path = FOLDER / f"{client}-{number:06}.jsonl"
    if path.exists():
        return
    with tempfile.TemporaryDirectory() as folder:
        clock = {**os.environ, "SOURCE_DATE_EPOCH": str(1_700_000_000 + 3_600 * number)}
        subprocess.run([PROGRAM, "demo", "--protocol", protocol, "--seed", str(number), "--out", folder],
                       check=True, stdout=subprocess.DEVNULL, env=clock)
        header, rest = next(Path(folder).glob("*.jsonl")).read_bytes().split(b"\n", 1)
    path.write_bytes(renamed(header, client) + rest)


def generate() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    protocol = FOLDER / "ten-presses.json"
    protocol.write_text(json.dumps(PROTOCOL))
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(lambda number: sit(number, str(protocol)), range(SESSIONS)))


def analysed(client: str) -> tuple[int, float]:
    logs = sorted(map(str, FOLDER.glob(f"{client}-*.jsonl")))
    found = json.loads(subprocess.run([PROGRAM, "analyse", "--json", *logs], check=True, capture_output=True).stdout)
    latencies = [point["latency_s"] for log in found if log["format"] == "pacewright findings"
                 for point in log["findings"]["total"]["series"]]
    return len(latencies), float(numpy.median(latencies))


generate()
logs = list(FOLDER.glob("*.jsonl"))
size = sum(path.stat().st_size for path in logs)
began = time.perf_counter()
rows = duckdb.sql(QUERY.format(logs=FOLDER / "*.jsonl")).fetchall()
took = time.perf_counter() - began
print(f"duckdb {duckdb.__version__}: {len(logs)} logs, {size / 1e6:.0f} MB, {len(rows)} clients, "
      f"{sum(row[1] for row in rows)} latencies in {took:.2f} s")
assert len(rows) == -(-SESSIONS // EACH)
for client, presses, median in rows[:: max(1, len(rows) // 10)]:
    count, expected = analysed(client)
    assert presses == count and abs(median - expected) < 1e-9, (client, presses, count, median, expected)
    print(f"  {client}: {presses} latencies, median {median:.6f} s, as analyse finds")
