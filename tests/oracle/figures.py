"""Quantiles and moments of PERT betas as `scipy.stats.beta` has them, a JSON object a line: for three figures
(arguments `least likely most`, three by three) the quantiles at (i + 1/2)/256, the mean and the standard deviation.
"""

import json
import sys

import numpy
from scipy.stats import beta


def shapes(a, m, b):
    # Malcolm et al. 1959: mean (a + 4m + b)/6, variance ((b - a)/6)^2.
    x = ((a + 4 * m + b) / 6 - a) / (b - a)
    both = x * (1 - x) * 36 - 1
    return x * both, (1 - x) * both


def main():
    figures = [int(word) for word in sys.argv[1:]]
    shares = (numpy.arange(256) + 0.5) / 256
    for a, m, b in zip(figures[::3], figures[1::3], figures[2::3]):
        p, q = shapes(a, m, b)
        own = beta(p, q, loc=a, scale=b - a)
        print(json.dumps({"quantiles": own.ppf(shares).tolist(), "mean": own.mean(), "deviation": own.std()}))


main()
