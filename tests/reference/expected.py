"""Expected values of every distribution, quantile and convolution in the sums, from scipy.

Run `python3 tests/reference/expected.py > tests/reference/expected.json`, or with `--check` to compare with the committed file.
"""

import json
import sys
from pathlib import Path

import numpy as np
import scipy
from scipy import integrate, optimize, stats

KERNEL = np.array([0, 0, 0, 0.05, 0.45, 0.20, 0.12, 0.08, 0.05, 0.03, 0.02, 0, 0, 0, 0, 0])


def flat_cdf(z):
    """Uniform on -1.5..1.5 plus a normal of standard deviation 0.5, by numerical integration."""
    value, _ = integrate.quad(lambda u: stats.norm.cdf((z - u) / 0.5) / 3.0, -1.5, 1.5, epsabs=1e-13)
    return value


def one_age_curve(warmth, middle, spread, days):
    """Share laid on each day: emergence in warmth convolved with laying by age in days."""
    gone = np.concatenate([[-np.inf], warmth * (np.arange(days) + 0.5)])
    emerged = np.diff(stats.norm.cdf((gone - middle) / spread))
    return np.convolve(emerged, KERNEL)[:days]


def mixture_quantile(weights, means, sds, p):
    total = lambda x: sum(w * stats.lognorm.cdf(x, s=s, scale=np.exp(m)) for w, m, s in zip(weights, means, sds)) - p
    return optimize.brentq(total, 1e-9, 1e6, xtol=1e-12)


def sine_above(low, high, threshold):
    mean, half = (low + high) / 2, (high - low) / 2
    curve = lambda t: max(0.0, mean + half * np.sin(2 * np.pi * t) - threshold)
    # Integrated piece by piece between the crossings, where the curve has corners.
    angle = np.arcsin(np.clip((threshold - mean) / half, -1, 1)) / (2 * np.pi)
    edges = sorted({0.0, 1.0, angle % 1.0, 0.5 - angle})
    return sum(integrate.quad(curve, a, b, epsabs=1e-12)[0] for a, b in zip(edges, edges[1:]))


def expected():
    z = [-8.0, -4.5, -2.5, -1.2, -0.3, 0.0, 0.4, 1.0, 1.9, 3.3, 6.0]
    p = [1e-9, 0.001, 0.1, 0.25, 0.5, 0.8, 0.9, 0.999]
    days = [(7, 14), (13, 14), (13, 40), (7, 40), (7, 20), (35, 40), (7, 17), (14, 26), (19, 31), (22, 38)]
    mixture = ([0.5, 0.3, 0.2], [1.0, 2.2, -0.5], [0.3, 0.6, 1.1])
    tails = [0.02, 0.3, 0.08]
    return {
        "numpy": np.__version__,
        "scipy": scipy.__version__,
        "normal_cdf": [[x, stats.norm.cdf(x)] for x in z],
        "normal_quantile": [[x, stats.norm.ppf(x)] for x in p],
        "emergence": {
            "normal": [[x, stats.norm.cdf(x)] for x in z],
            "flat": [[x, flat_cdf(x)] for x in z],
            "early": [[x, stats.gamma.cdf(4 + 2 * x, a=4)] for x in z],
            "late": [[x, stats.gamma.sf(4 - 2 * x, a=4)] for x in z],
        },
        "sine": [[a, b, 12.0, 33.0, sine_above(a, b, 12.0) - sine_above(a, b, 33.0)] for a, b in days],
        "curve": {
            "warmth": 14.0, "middle": 142.0, "spread": 17.04,
            "daily": list(one_age_curve(14.0, 142.0, 17.04, 40)),
        },
        "mixture": {
            "weights": mixture[0], "means": mixture[1], "sds": mixture[2],
            "quantiles": [[q, mixture_quantile(*mixture, q)] for q in (0.1, 0.5, 0.9)],
        },
        "fisher": {"tails": tails, "together": stats.combine_pvalues(tails, method="fisher").pvalue},
        "kernel": {"sum": float(KERNEL.sum()), "mean": float((KERNEL * np.arange(16)).sum())},
    }


def close(a, b):
    if isinstance(a, dict):
        return a.keys() == b.keys() and all(close(a[k], b[k]) for k in a if k not in ("numpy", "scipy"))
    if isinstance(a, list):
        return len(a) == len(b) and all(map(close, a, b))
    return abs(a - b) <= 1e-9 * max(1.0, abs(a))


if __name__ == "__main__":
    now = json.loads(json.dumps(expected(), default=float))
    if "--check" in sys.argv:
        kept = json.loads((Path(__file__).parent / "expected.json").read_text())
        sys.exit(0 if close(now, kept) else "expected.json no longer agrees with scipy")
    print(json.dumps(now, indent=1))
