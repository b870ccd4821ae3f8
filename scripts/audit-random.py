#!/usr/bin/env python3
"""The figures of `tellframe audit` beside those of reference libraries and of plain counting, over random tables.

pip install krippendorff statsmodels lifelines; python3 scripts/audit-random.py target/debug/tellframe [ROUNDS]

Prints every difference and their number; exit 1 where there is one. Two differences are meant and passed over: an
error of kappa that is 0 of 0 is 0 here and not a number there, and a quantile that falls on a step of the curve is that
step here, where the sum of rounded shares may miss it there.
"""

import collections
import json
import math
import os
import random
import subprocess
import sys
import tempfile
import warnings

import krippendorff
import numpy as np
from lifelines import KaplanMeierFitter
from lifelines.utils import median_survival_times
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa
from statsmodels.stats.proportion import proportion_confint

warnings.filterwarnings("ignore")
DIFFERENCES = []


def same(where, found, expected, tolerance=1e-8):
    undefined = expected is None or not math.isfinite(expected)
    near = not undefined and found is not None and abs(found - expected) <= tolerance * max(1.0, abs(expected))
    if not (found is None if undefined else near):
        DIFFERENCES.append((where, found, expected))


def run(program, folder, option, text):
    path = os.path.join(folder, "table")
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    command = [program, "audit", *([option] if option else []), path, "--json"]
    ran = subprocess.run(command, capture_output=True, text=True, env={**os.environ, "XDG_DATA_HOME": folder})
    if ran.returncode:
        DIFFERENCES.append((command, ran.returncode, ran.stderr))
        return None
    return json.loads(ran.stdout)


def ratings(program, folder, dice):
    raters, items = dice.choice([1, 2, 2, 3, 4, 6]), dice.choice([0, 1, 2, 3, 10, 40, 200])
    numbers = dice.random() < 0.7
    step = dice.choice([1, 1.5])
    values = [str(at * step) if numbers else f"c{at}" for at in range(dice.choice([1, 2, 3, 5]))]
    gap, agree = dice.choice([0, 0, 0.1, 0.5]), dice.random()
    rows = []
    for _ in range(items):
        true = dice.randrange(len(values))
        rate = lambda: true if dice.random() < agree else dice.randrange(len(values))
        rows.append([None if dice.random() < gap else rate() for _ in range(raters)])
    line = lambda row: ",".join("" if cell is None else values[cell] for cell in row)
    header = "item," + ",".join(f"r{at}" for at in range(raters))
    text = "\n".join([header, *(f"{at},{line(row)}" for at, row in enumerate(rows))]) + "\n"
    found = run(program, folder, "--ratings", text)
    if found is None:
        return
    found = found["agreement"]
    score = lambda cell: np.nan if cell is None else float(values[cell]) if numbers else float(cell)
    paired = {c for row in rows if sum(c is not None for c in row) > 1 for c in row if c is not None}
    for level in ("nominal", "ordinal", "interval", "ratio"):
        expected = None
        if len(paired) > 1 and (numbers or level == "nominal"):
            data = np.array([[score(row[rater]) for row in rows] for rater in range(raters)])
            expected = float(krippendorff.alpha(reliability_data=data, level_of_measurement=level))
        same(("alpha", level, text), found["krippendorff_alpha"][level], expected)
    whole = [row for row in rows if None not in row]
    table = np.zeros((len(values), len(values)))
    for row in whole if raters == 2 else []:
        table[row[0], row[1]] += 1
    differ = ((table.sum(0) + table.sum(1)) > 0).sum() > 1
    cohen = cohens_kappa(table) if differ else None
    same(("cohen", text), found["cohen_kappa"], cohen and float(cohen.kappa))
    if cohen and math.isfinite(cohen.std_kappa):
        same(("cohen's error", text), found["cohen_se"], float(cohen.std_kappa), 1e-7)
    counts = np.array([[row.count(value) for value in range(len(values))] for row in whole], float)
    several = raters > 1 and len(whole) > 0 and (counts.sum(0) > 0).sum() > 1
    same(("fleiss", text), found["fleiss_kappa"], float(fleiss_kappa(counts)) if several else None)


def durations(program, folder, dice):
    cut, places = dice.choice([0, 0, 0.2, 0.6, 1]), dice.choice([0, 1, 3])
    drawn = lambda: (round(dice.lognormvariate(3.5, 0.6), places), dice.random() < cut)
    all_of = [drawn() for _ in range(dice.choice([1, 2, 3, 7, 30, 299]))]
    text = "seconds,cut_short\n" + "".join(f"{s},{str(c).lower()}\n" for s, c in all_of)
    found = run(program, folder, "--durations", text)
    if found is None:
        return
    found = found["tempo"]
    curve = KaplanMeierFitter().fit([s for s, _ in all_of], [not c for _, c in all_of])
    ends = median_survival_times(curve.confidence_interval_).iloc[0]
    for at in (0, 1):
        same(("median's interval", text), found["median_ci95"][at], float(ends.iloc[at]))
    for name, left in (("median_s", 0.5), ("p90_s", 0.1)):
        steps = curve.survival_function_["KM_estimate"].items()
        reached = [at for at, share in steps if share <= left + 1e-12]
        same((name, text), found[name], float(reached[0]) if reached else None)
    spread = 0.0
    for at, share, error in found["survival"]:
        same(("curve", at, text), share, float(curve.survival_function_["KM_estimate"].loc[at]))
        ended, risk = curve.event_table.loc[at, "observed"], curve.event_table.loc[at, "at_risk"]
        spread += ended / (risk * (risk - ended)) if risk > ended else math.inf
        same(("Greenwood", at, text), error, share * math.sqrt(spread) if share else None)
    charted = [s for s, c in all_of if not c]
    if len(charted) > 1:
        center, away = np.mean(charted), 3 / 1.128 * np.mean(np.abs(np.diff(charted)))
        for name, expected in (("center", center), ("lower", center - away), ("upper", center + away)):
            same((name, text), found["control"][name], float(expected))


def records(program, folder, dice):
    lines = []
    for at in range(dice.choice([1, 5, 60, 400])):
        line = {
            "id": f"i{at}", "edition": dice.choice("ef"), "tree": dice.choice(["t1", "t2"]), "call": "c",
            "answers": {"s": dice.choice(["yes", "no", "unclear"])},
            "outcome": dice.choice(["confirmed", "stands", "reversed"]), "duration_s": round(dice.uniform(5, 200), 3),
            "called_at": f"2026-05-{1 + at % 28:02}T19:42:11.204Z",
        }
        for name, values in (("official", "ABÇ"), ("week", [1, 2, 30]), ("initiator", ["coach-home", "booth"])):
            if dice.random() < 0.7:
                line[name] = dice.choice(values)
        if dice.random() < 0.5:
            line["review"] = f"r{at // 2}"
        if at and dice.random() < 0.1:
            line["again_of"] = f"i{dice.randrange(at)}"
        if dice.random() < 0.1:
            line |= {"outcome": "cut short", "cut_short": True}
        lines.append(line)
    found = run(program, folder, None, "".join(json.dumps(line) + "\n" for line in lines))
    if found is None:
        return
    games = [line for line in lines if "again_of" not in line]

    def group(where, found, lines, outcomes, tempo):
        rulings = [line for line in lines if line["outcome"] != "cut short"]
        counted = collections.Counter(line["outcome"] for line in rulings)
        same((where, "rulings"), found["rulings"], len(rulings))
        for outcome, rate in outcomes.items():
            same((where, outcome), rate["count"], counted.pop(outcome, 0))
            if rulings:
                low, high = proportion_confint(rate["count"], len(rulings), method="wilson")
                same((where, outcome, "low"), rate["wilson95"][0], max(low, 0.0))
                same((where, outcome, "high"), rate["wilson95"][1], min(high, 1.0))
        same((where, "outcomes not told"), len(counted), 0)
        same((where, "reviews"), tempo["count"], len({line.get("review", line["id"]) for line in lines}))

    group("all", found, games, found["outcomes"], found["tempo"])
    for by in ("tree", "official", "week", "initiator"):
        for name in {line[by] for line in games if by in line}:
            one = found["by"][by][str(name)]
            group((by, name), one, [line for line in games if line.get(by) == name], one["outcomes"], one["tempo"])


def main(program, rounds):
    dice = random.Random(8)
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(rounds):
            ratings(program, folder, dice)
            durations(program, folder, dice)
            records(program, folder, dice)
    for where, found, expected in DIFFERENCES[:20]:
        print(where, "is", found, "and should be", expected)
    print(f"{rounds} rounds, {len(DIFFERENCES)} differences")
    return 1 if DIFFERENCES else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 100))
