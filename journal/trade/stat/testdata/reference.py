# Reads "a b c d level" per line and prints the conditional odds ratio, the ends of its
# exact interval, and the two-sided p value, as SciPy computes them.
import sys

from scipy.stats import fisher_exact
from scipy.stats.contingency import odds_ratio

for line in sys.stdin:
    a, b, c, d, level = line.split()
    table = [[int(a), int(b)], [int(c), int(d)]]
    found = odds_ratio(table, kind="conditional")
    interval = found.confidence_interval(confidence_level=float(level))
    p = fisher_exact(table)[1]
    print(*(repr(float(x)) for x in (found.statistic, interval.low, interval.high, p)))
