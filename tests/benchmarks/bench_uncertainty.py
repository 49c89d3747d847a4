"""How much does it cost to know how sure a result is?

Run it by hand: python tests/benchmarks/bench_uncertainty.py
"""

import statistics
import sys
import time

import numpy as np
from uncertainties import ufloat
from uncertainties.umath import sqrt

from bouncelab.monte_carlo import monte_carlo, normal
from bouncelab.physics.certainty import restitution_uncertainty, simulate_restitution

READINGS = 100_000
PEERS = 500  # readings propagated one by one
DRAWS = 1_000_000
ROUNDS = 7
FASTER, DEARER = 500, 3


def seconds(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def by_turns(mine, peer):
    """Time both by turns, so that a busy machine slows both alike."""
    pairs = [(seconds(mine), seconds(peer)) for _ in range(ROUNDS)]
    return [statistics.median(each) for each in zip(*pairs, strict=True)]


def propagated():
    random = np.random.default_rng(5)
    drops = random.uniform(1.0, 2.0, READINGS)
    rebounds = drops * random.uniform(0.3, 0.7, READINGS)

    def together():
        return restitution_uncertainty(
            drop_height=drops, rebound_height=rebounds, drop_u=0.002, rebound_u=0.006
        )

    def one_by_one():
        pairs = zip(drops[:PEERS], rebounds[:PEERS], strict=True)
        return [sqrt(ufloat(h2, 0.006) / ufloat(h1, 0.002)).s for h1, h2 in pairs]

    off = np.abs(together()[:PEERS] / one_by_one() - 1).max()
    mine, peer = by_turns(together, one_by_one)
    mine, peer = mine / READINGS, peer / PEERS
    good = peer / mine >= FASTER
    print(
        f"uncertainty of a reading: {mine * 1e9:.0f} ns, uncertainties "
        f"{peer * 1e6:.0f} µs, {peer / mine:.0f} times faster (aim: {FASTER}), "
        f"agree to {off:.0e} {'ok' if good else 'TOO SLOW'}"
    )
    return good


def drawn(what, work, inputs):
    def bare():
        random = np.random.default_rng(7)
        return [random.normal(1.0, 0.1, DRAWS) for _ in range(inputs)]

    mine, peer = by_turns(work, bare)
    good = mine / peer <= DEARER
    print(
        f"{what}, 10⁶ draws: {mine * 1e3:.0f} ms, draws alone {peer * 1e3:.0f} ms, "
        f"ratio {mine / peer:.2f} (aim: at most {DEARER}) "
        f"{'ok' if good else 'TOO SLOW'}"
    )
    return good


if __name__ == "__main__":
    heights = {"drop_height": normal(1.8, 0.003), "rebound_height": normal(1.1, 0.006)}
    names = ("a", "b", "c", "d")
    results = [
        propagated(),
        drawn(
            "restitution", lambda: simulate_restitution(heights, draws=DRAWS, seed=7), 2
        ),
        drawn(
            "sum of four",
            lambda: monte_carlo(
                lambda a, b, c, d: a + b + c + d,
                dict.fromkeys(names, normal(1.0, 0.1)),
                draws=DRAWS,
                seed=7,
            ),
            4,
        ),
    ]
    sys.exit(not all(results))
