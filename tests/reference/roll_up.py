"""The roll-up of the benchmark in vectorised numpy/scipy: expected eggs of the next seven days over the same grid, cage by cage.

Prints one line with its time. Usage: python3 tests/reference/roll_up.py 100000
"""

import resource
import sys
import time

import numpy as np
import scipy
from scipy.special import ndtr

KERNEL = np.array([0, 0, 0, 0.05, 0.45, 0.20, 0.12, 0.08, 0.05, 0.03, 0.02, 0, 0, 0, 0, 0])
DELAYS, WIDTHS, LIFE = 25, 5, 40


def main(cages):
    rng = np.random.default_rng(1)
    start = time.perf_counter()
    delay = np.linspace(-3, 3, DELAYS) * 42.0
    width = np.linspace(-1.8, 1.8, WIDTHS) * 0.42
    grid_delay, grid_width = (axis.ravel() for axis in np.meshgrid(delay, width, indexing="ij"))
    mean = second = 0.0
    for first in range(0, cages, 500):
        n = min(500, cages - first)
        grams = 3.6e-3 * rng.integers(2000, 8000, n)
        weight = rng.dirichlet(np.ones(grid_delay.size), n)
        today = rng.integers(8, 28, n)
        warmth = np.cumsum(np.full((n, LIFE), 14.0), axis=1)
        z = (warmth[:, None, :] - 142.0 - grid_delay[None, :, None]) / (17.0 * np.exp(grid_width))[None, :, None]
        emerged = np.diff(ndtr(z), axis=2, prepend=0.0)
        laid = np.zeros_like(emerged)
        for age, share in enumerate(KERNEL):
            if share:
                laid[:, :, age:] += share * emerged[:, :, : LIFE - age]
        days = np.arange(LIFE)[None, :]
        ahead = (days > today[:, None]) & (days <= today[:, None] + 7)
        week = (laid * ahead[:, None, :]).sum(axis=2) * grams[:, None]
        expected = (weight * week).sum(axis=1)
        mean += expected.sum()
        second += ((weight * week**2).sum(axis=1) - expected**2).sum()
    seconds = time.perf_counter() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(
        f"the same sums in numpy {np.__version__} and scipy {scipy.__version__}, means and variances only: {seconds:.2f} s; most memory {memory} MB"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
