"""What does it cost to fit the pressure curves of a thousand balls at once?

Run it by hand: python tests/benchmarks/bench_pressure.py
"""

import statistics
import sys
import time

import numpy as np
from scipy.optimize import curve_fit

from bouncelab.analysis.curves import fit_curves

BALLS, ROUNDS, FASTER = 1000, 5, 20
FORM = "a - b/(p + c)"
LEVELS = [10e3, 20e3, 30e3, 45e3, 60e3, 75e3]


def seconds(work):
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def main():
    rng = np.random.default_rng(0)
    p = np.tile(LEVELS, (BALLS, 1))
    a, b, c = (
        rng.uniform(low, high, (BALLS, 1))
        for low, high in ((0.6, 0.85), (3e3, 9e3), (6e3, 15e3))
    )
    y = a - b / (p + c) + rng.normal(0, 0.003, p.shape)
    variance = np.full_like(p, 9e-6)

    def at_once():
        return fit_curves(
            FORM, pressure=p, value=y, variance=variance, gauge_uncertainty=0.0
        )

    def one_by_one():
        return [
            curve_fit(
                lambda x, a, b, c: a - b / (x + c),
                p[k],
                y[k],
                p0=(0.8, 6e3, 1e4),
                sigma=np.sqrt(variance[k]),
                absolute_sigma=True,
                bounds=([0, 0, 300], [1.02, 1e6, 1e6]),
                x_scale=(1, 1e3, 1e3),
            )[0]
            for k in range(BALLS)
        ]

    pairs = [(seconds(at_once), seconds(one_by_one)) for _ in range(ROUNDS)]
    mine = statistics.median(each[0][0] for each in pairs)
    peer = statistics.median(each[1][0] for each in pairs)
    curves, fitted = pairs[0][0][1], np.array(pairs[0][1][1])
    apart = max(
        np.abs(curve.at(LEVELS) - (q[0] - q[1] / (np.array(LEVELS) + q[2]))).max()
        for curve, q in zip(curves, fitted, strict=True)
    )
    print(
        f"{BALLS} pressure curves at once: {1000 * mine:.0f} ms, {peer / mine:.0f} x "
        f"scipy's curve_fit one by one (aim {FASTER} x); curves differ by {apart:.1e}"
    )
    return int(peer / mine < FASTER)


if __name__ == "__main__":
    sys.exit(main())
