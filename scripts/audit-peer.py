#!/usr/bin/env python3
"""What a warehouse makes of the same JSON Lines: DuckDB on two threads, for the parts that SQL can do.

pip install duckdb; KEEP=/tmp/records.jsonl cargo bench --bench auditing; python3 scripts/audit-peer.py /tmp/records.jsonl

It reads only what its queries need, as a warehouse would: outcomes over all and by question, official, week and who
asked, the median and the ninth decile of each, and groups of the same answers with different outcomes. It does no
survival curve, chart, agreement, exact test, walk through a tree or settling.
"""

import sys
import time

import duckdb

COLUMNS = (
    "{id: 'VARCHAR', review: 'VARCHAR', edition: 'VARCHAR', week: 'BIGINT', initiator: 'VARCHAR', official: 'VARCHAR', "
    "tree: 'VARCHAR', call: 'VARCHAR', whistle: 'VARCHAR', answers: 'JSON', outcome: 'VARCHAR', called_at: 'TIMESTAMP', "
    "duration_s: 'DOUBLE', cut_short: 'BOOLEAN', plain: 'JSON', again_of: 'VARCHAR'}"
)


def main(path):
    started = time.perf_counter()
    db = duckdb.connect(config={"threads": 2})
    db.execute(f"CREATE TABLE records AS FROM read_json(?, format = 'newline_delimited', columns = {COLUMNS})", [path])
    read = time.perf_counter() - started
    rulings = "FROM records WHERE again_of IS NULL AND outcome <> 'cut short'"
    print(db.execute(f"SELECT outcome, count(*) {rulings} GROUP BY ALL ORDER BY ALL").fetchall())
    for column in ("tree", "official", "week", "initiator"):
        figures = "count(*), quantile_cont(duration_s, [0.5, 0.9])"
        db.execute(f"SELECT {column}, outcome, {figures} {rulings} GROUP BY ALL ORDER BY ALL").fetchall()
    same = "tree, call, whistle, edition, answers"
    split = db.execute(
        f"SELECT {same}, list(id) {rulings} GROUP BY {same} HAVING count(DISTINCT outcome) > 1"
    ).fetchall()
    took = time.perf_counter() - started
    print(f"{len(split)} groups with different outcomes; {took:.2f} s, of them {read:.2f} s to read")


if __name__ == "__main__":
    main(sys.argv[1])
