#!/usr/bin/env python3
"""The audit beside a warehouse in one run: DuckDB on two threads makes the figures that SQL can make, from the same
JSON Lines.

    pip install duckdb; python3 scripts/audit-peer.py [ROUNDS [PROGRAM]]

PROGRAM is a built bench `auditing`; left out, `cargo bench --bench auditing` builds and runs it. RECORDS=100000 takes
another count. In every round the bench writes the file and audits it, then DuckDB reads it; both find it in the cache of
the system. Each prints its seconds, and the end is the medians and their ratio.

DuckDB reads only what its queries need, as a warehouse would: outcomes, reversals, the median and the ninth decile of
times over all and by question, official, week and who asked, the time to settle, and groups of the same answers with
different outcomes. It does no survival curve with its interval, chart, agreement, exact test, walk through a tree or
settling. Of the audit two times are told: all of it, and reading with no more than what the queries say as well.
"""

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time

import duckdb

COLUMNS = (
    "{id: 'VARCHAR', review: 'VARCHAR', edition: 'VARCHAR', week: 'BIGINT', initiator: 'VARCHAR', official: 'VARCHAR', "
    "tree: 'VARCHAR', call: 'VARCHAR', whistle: 'VARCHAR', answers: 'JSON', outcome: 'VARCHAR', called_at: 'TIMESTAMP', "
    "phases_s: 'STRUCT(settled DOUBLE)', duration_s: 'DOUBLE', cut_short: 'BOOLEAN', plain: 'JSON', again_of: 'VARCHAR'}"
)
RULINGS = "FROM records WHERE again_of IS NULL AND outcome <> 'cut short'"
FIGURES = (
    "count(*), count(*) FILTER (outcome = 'reversed') / count(*), quantile_cont(duration_s, [0.5, 0.9]), "
    "quantile_cont(phases_s.settled, [0.5, 0.9])"
)
SAME = "tree, call, whistle, edition, answers"


def by_warehouse(path):
    """Seconds in all and to read, and what shows that it read the same: rulings and groups."""
    started = time.perf_counter()
    db = duckdb.connect(config={"threads": 2})
    db.execute(f"CREATE TABLE records AS FROM read_json(?, format = 'newline_delimited', columns = {COLUMNS})", [path])
    read = time.perf_counter() - started
    rulings = db.execute(f"SELECT {FIGURES} {RULINGS}").fetchone()[0]
    for column in ("tree", "official", "week", "initiator"):
        db.execute(f"SELECT {column}, {FIGURES} {RULINGS} GROUP BY ALL ORDER BY ALL").fetchall()
        db.execute(f"SELECT {column}, outcome, count(*) {RULINGS} GROUP BY ALL ORDER BY ALL").fetchall()
    split = f"SELECT {SAME}, list(id) {RULINGS} GROUP BY {SAME} HAVING count(DISTINCT outcome) > 1"
    groups = len(db.execute(split).fetchall())
    return time.perf_counter() - started, read, rulings, groups


def by_audit(program, path):
    """Seconds in all, seconds as far as a query goes, and the line that the bench prints."""
    told = subprocess.run(program, env=os.environ | {"KEEP": path}, stdout=subprocess.PIPE, text=True, check=True).stdout
    line = next(line for line in told.splitlines() if " records (" in line)
    queried = re.search(r"as far as a query goes in ([0-9.]+) s", told)[1]
    return float(re.search(r" in ([0-9.]+) s", line)[1]), float(queried), line


def main(rounds="1", program=None):
    program = [program] if program else ["cargo", "bench", "--quiet", "--bench", "auditing"]
    audit, queried, warehouse = [], [], []
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "records.jsonl")
        for _ in range(int(rounds)):
            took, as_far, line = by_audit(program, path)
            audit.append(took)
            queried.append(as_far)
            print(f"tellframe: {line}; as far as a query goes {as_far:.2f} s")
            took, read, rulings, groups = by_warehouse(path)
            warehouse.append(took)
            print(
                f"DuckDB {duckdb.__version__}: {took:.2f} s, of them {read:.2f} s to read: {rulings} rulings, "
                f"{groups} groups of the same answers with different outcomes",
                flush=True,
            )
    all_s, as_far, theirs = (statistics.median(times) for times in (audit, queried, warehouse))
    print(f"DuckDB {theirs:.2f} s; tellframe as far as a query goes {as_far:.2f} s, {as_far / theirs:.2f} times as long")
    print(f"tellframe with all that no query does {all_s:.2f} s, {all_s / theirs:.2f} times as long")


if __name__ == "__main__":
    main(*sys.argv[1:])
