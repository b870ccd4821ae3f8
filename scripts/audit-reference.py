#!/usr/bin/env python3
"""Prints the reference values that the tests under src/audit/ compare with.

Run once, by hand: pip install numpy scipy statsmodels krippendorff lifelines; python3 scripts/audit-reference.py
Every value comes from a published library, or is worked out here by another way than the Rust takes.
"""

import math

import krippendorff
import numpy as np
from lifelines import KaplanMeierFitter
from lifelines.utils import median_survival_times
from scipy import stats
from statsmodels.stats import inter_rater
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import proportion_confint

FLEISS = """00060 03003 01401 00006 03030 20400 00402 20310 20040 00006 10050 11040 03300 10050 02031 00501
30012 51000 02040 10203 00006 01050 02013 20040 10041 05010 40002 02040 10500 00006""".split()
GAPS = ["1 2 3 3 2 1 4 1 2 . . .", "1 2 3 3 2 2 4 1 2 5 . 3", ". 3 3 3 2 3 4 2 2 5 1 .", "1 2 3 3 2 4 4 1 2 5 1 ."]
SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+".split()


def wilson():
    print("wilson", {(k, n): proportion_confint(k, n, method="wilson") for k, n in [(81, 263), (15, 148), (0, 20), (1, 29), (20, 20), (1, 1)]})


def cohen():
    for table in ([[88, 14, 18], [10, 40, 10], [2, 6, 12]], [[0, 4, 1], [0, 8, 0], [0, 1, 5]], [[45, 15], [25, 15]]):
        found = inter_rater.cohens_kappa(np.array(table))
        print("cohen", table, found.kappa, found.std_kappa, (found.kappa_low, found.kappa_upp))


def fleiss():
    counts = np.array([[int(sign) for sign in row] for row in FLEISS])
    print("fleiss", inter_rater.fleiss_kappa(counts))
    left_out = np.array([inter_rater.fleiss_kappa(np.delete(counts, row, 0)) for row in range(len(counts))])
    print("fleiss jackknife se", jackknife(left_out))


def jackknife(left_out):
    n = len(left_out)
    return math.sqrt((n - 1) / n * np.sum((left_out - left_out.mean()) ** 2))


def alpha():
    rows = np.array([[np.nan if cell == "." else float(cell) for cell in row.split()] for row in GAPS])
    for level in ("nominal", "ordinal", "interval", "ratio"):
        whole = krippendorff.alpha(reliability_data=rows, level_of_measurement=level)
        paired = [unit for unit in range(rows.shape[1]) if np.sum(~np.isnan(rows[:, unit])) > 1]
        left_out = [krippendorff.alpha(reliability_data=np.delete(rows, unit, 1), level_of_measurement=level) for unit in paired]
        se = jackknife(np.array(left_out))
        half = stats.t.ppf(0.975, len(paired) - 1) * se
        print("alpha", level, whole, "se", se, "interval", whole - half, min(1.0, whole + half))


def survival():
    times = [float(cell.rstrip("+")) for cell in SIX_MP]
    seen = [not cell.endswith("+") for cell in SIX_MP]
    fitted = KaplanMeierFitter().fit(times, seen)
    table = fitted.event_table
    total = 0.0
    for time in sorted({t for t, s in zip(times, seen) if s}):
        row = table.loc[time]
        total += row.observed / (row.at_risk * (row.at_risk - row.observed))
        value = fitted.predict(time)
        print("survival", time, value, "se", value * math.sqrt(total))
    print("median", fitted.median_survival_time_, median_survival_times(fitted.confidence_interval_).values)


def fisher():
    for table in ([[3, 1], [1, 3]], [[8, 2], [1, 5]], [[0, 7], [12, 3]], [[1, 9], [11, 3]], [[2, 10], [15, 3]], [[30, 970], [10, 990]]):
        print("fisher", table, "two-sided", stats.fisher_exact(table).pvalue, "greater", stats.fisher_exact(table, "greater").pvalue)


def multiple():
    values = [0.01, 0.04, 0.03, 0.005, 0.55, 0.2]
    print("holm", list(multipletests(values, method="holm")[1]))
    print("bh", list(multipletests(values, method="fdr_bh")[1]))


def ranks():
    one, other = [12.0, 15.5, 18.0, 22.0, 30.0], [10.0, 11.0, 12.0, 14.0, 16.0, 17.0]
    found = stats.mannwhitneyu(one, other, alternative="greater", method="asymptotic", use_continuity=False)
    print("rank sum", found.statistic, found.pvalue)
    print("exact by permutation", stats.permutation_test((one, other), lambda a, b: stats.rankdata(np.concatenate([a, b]))[: len(a)].sum(), permutation_type="independent", alternative="greater", n_resamples=np.inf, vectorized=False).pvalue)


if __name__ == "__main__":
    for part in (wilson, cohen, fleiss, alpha, survival, fisher, multiple, ranks):
        part()
