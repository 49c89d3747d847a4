"""Which sudden sounds are the bounces of one drop, and which are not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp

import numpy as np
from numpy.typing import NDArray

from bouncelab.readings.impacts import Impact

__all__ = ["Found", "find_trains", "steady_beat"]

_LONGEST, _SHORTEST = 1.7, 0.045  # s, of an interval between impacts
_FIRST = 0.15  # s; a drop whose first flight is shorter is no drop
_LEAST, _MOST = 0.35, 0.97  # ratio of an interval to the one before
_WANDER = 0.04  # how far the ratio may change from one bounce to the next
_SLACK = 0.0025  # s, of an onset
_CHANCE = 1e-3  # of taking noise for a drop, in the whole recording
_FEW = 3  # impacts of a drop at the least
_MOST_IMPACTS = 400  # looked at in a minute, the strongest
_BEAT = 5  # equal intervals make a beat


@dataclass(frozen=True, slots=True)
class Found:
    """The impacts of one drop.

    Attributes
    ----------
    impacts : list of Impact
        In order, without a gap.
    chance : float
        Upper bound of the chance that noise of this density makes such a train.
    between : list of Impact
        Sounds within it that do not fit.
    """

    impacts: list[Impact]
    chance: float
    between: list[Impact]


def find_trains(impacts: Sequence[Impact], seconds: float) -> list[Found]:
    """Find the drops among the sudden sounds of a recording.

    Parameters
    ----------
    impacts : sequence of Impact
        Of the whole recording.
    seconds : float
        Its length.

    Returns
    -------
    list of Found
        In the order of time; none if nothing fits the law of bounces much better
        than chance.

    Notes
    -----
    The flights of a ball shrink by a ratio that changes slowly. From every two
    sounds that may be the first two impacts the train is followed, each next impact
    within a narrow window. The chance that random sounds of this density fill the
    windows bounds what is accepted.
    """
    pool = sorted(impacts, key=lambda each: each.time)
    told: list[Found] = []
    while True:
        best = _of_any_strength(pool, seconds)
        if best is None:
            return sorted(told, key=lambda each: each.impacts[0].time)
        best = _longer(best, pool)
        told.append(best)
        first, last = best.impacts[0].time, best.impacts[-1].time
        pool = [i for i in pool if not first - 0.03 <= i.time <= last + 0.15]


def _of_any_strength(pool: Sequence[Impact], seconds: float) -> Found | None:
    """Look among the strongest sounds first, then among more and more of them."""
    by_strength = sorted(pool, key=lambda each: -each.strength)
    sizes, size = [], _FEW
    most = int(_MOST_IMPACTS * max(1.0, seconds / 60))
    while size < min(len(pool), most):
        sizes.append(size)
        size = int(size * 1.4) + 1
    sizes.append(min(len(pool), most))
    best: Found | None = None
    for size in sizes:
        some = sorted(by_strength[:size], key=lambda each: each.time)
        found = _best(some, size / max(seconds, 0.5), len(sizes))
        if found is not None and (best is None or found.chance < best.chance):
            best = found
    return best


def _longer(found: Found, pool: Sequence[Impact]) -> Found:
    """Follow a train on into sounds that were too weak to begin with."""
    chain = list(found.impacts)
    weaker = np.array([each.time for each in pool])
    while True:
        gap = chain[-1].time - chain[-2].time
        ratio = gap / (chain[-2].time - chain[-3].time)
        step = min(ratio + 0.004, _MOST) * gap
        if step < _SHORTEST:
            break
        window = _SLACK + 0.012 * gap
        centre = chain[-1].time + step
        a, b = np.searchsorted(weaker, [centre - window, centre + window])
        if a >= b:
            break
        chain.append(pool[int(a + np.argmin(np.abs(weaker[a:b] - centre)))])
    return Found(chain, found.chance, found.between)


def _best(pool: Sequence[Impact], rate: float, looks: int) -> Found | None:
    times = np.array([each.time for each in pool])
    best: tuple[float, list[int]] | None = None
    for i in range(len(pool)):
        for j in range(i + 1, len(pool)):
            flight = times[j] - times[i]
            if flight > _LONGEST:
                break
            if flight < _FIRST:
                continue
            for chain, chance in _chains(times, i, j, rate):
                if len(chain) < _FEW:
                    continue
                likely = chance * _of_loudness(pool, chain)
                if best is None or likely < best[0]:
                    best = (likely, chain)
    if best is None:
        return None
    chance, chain = best
    tries = looks * max(1.0, len(pool) * rate * _LONGEST)
    if chance * tries > _CHANCE:
        return None
    chosen = set(chain)
    inside = range(chain[0], chain[-1] + 1)
    between = [pool[k] for k in inside if k not in chosen]
    return Found([pool[k] for k in chain], chance * tries, between)


def _chains(
    times: NDArray[np.float64], i: int, j: int, rate: float
) -> list[tuple[list[int], float]]:
    """Follow a train from its first two impacts, for each third one that may be."""
    flight = float(times[j] - times[i])
    low = np.searchsorted(times, times[j] + _LEAST * flight)
    high = np.searchsorted(times, times[j] + _MOST * flight)
    made = []
    for k in range(int(low), int(high)):
        ratio = (float(times[k]) - float(times[j])) / flight
        chance = _filled(rate * (_MOST - _LEAST) * flight)
        chain, gap = [i, j, k], ratio * flight
        while True:
            window = _SLACK + _WANDER * gap * (0.5 if len(chain) > 3 else 1.0)
            centre = times[chain[-1]] + (ratio + 0.004) * gap
            if (ratio + 0.004) * gap < _SHORTEST:
                break
            a, b = np.searchsorted(times, [centre - window, centre + window])
            if a >= b:
                break
            near = int(a + np.argmin(np.abs(times[a:b] - centre)))
            new = float(times[near] - times[chain[-1]])
            chance *= _filled(2 * rate * window)
            # The ratio changes slowly: an average holds against one late onset.
            ratio = min(_MOST, 0.5 * ratio + 0.5 * new / gap)
            gap = new
            chain.append(near)
        made.append((chain, max(chance, 1e-300)))
    return made


def _filled(expected: float) -> float:
    """Give the chance that a window holds a sound by luck."""
    return 1.0 - exp(-expected)


def _of_loudness(pool: Sequence[Impact], chain: Sequence[int]) -> float:
    """Give the chance that random sounds fall in loudness as these do."""
    loud = [pool[k].loudness for k in chain]
    falls = sum(b <= 1.1 * a for a, b in pairwise(loud))
    rises = len(loud) - 1 - falls
    first = 1.0 / len(loud) if loud[0] >= max(loud) else 1.0
    return float(0.55**falls * 1.5**rises * first)


def steady_beat(impacts: Sequence[Impact]) -> float | None:
    """Give the interval of a steady beat, such as a metronome's, or None.

    Parameters
    ----------
    impacts : sequence of Impact
        Of the whole recording.

    Returns
    -------
    float or None
        In s.
    """
    loudest = max((each.strength for each in impacts), default=0.0)
    times = np.array([i.time for i in impacts if i.strength > 0.4 * loudest])
    gaps = np.diff(times)
    if gaps.size < _BEAT:
        return None
    middle = float(np.median(gaps))
    alike = np.abs(gaps - middle) < max(0.01 * middle, 0.002)
    return middle if alike.mean() > 0.8 else None
