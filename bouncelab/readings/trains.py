"""Which sudden sounds are the bounces of one drop, and which are not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.readings.impacts import Impact

__all__ = ["Found", "find_trains", "steady_beat"]

Numbers: TypeAlias = NDArray[np.float64]
Places: TypeAlias = NDArray[np.intp]

_LONGEST, _SHORTEST = 1.7, 0.045  # s, of an interval between impacts
_FIRST = 0.2  # s; a drop whose first bounce is under 5 cm high is no drop
_FEW, _MANY = 3, 40  # impacts of a drop
_LEAST, _MOST = 0.35, 0.975  # ratio of an interval to the one before
_LIVELY = 0.945  # the same of the first two; no ball is livelier
_DRIFT, _DRIFTS = 0.012, (-0.02, 0.05)  # how the ratio grows from flight to flight
_CHANGE, _LATER = 0.05, 0.03  # how far the third ratio, and a later one, is from that
_SLACK = 0.002  # s, how far an impact may be from its place besides
_SURE, _LAW = 0.0004, 0.003  # s, and share of an interval; nearer is no nearer
_STRONG = 8.0  # sounds of a second may begin a train
_AROUND = 6.0  # s to either side, in which a sound is held against the others
_IDLE = 0.55  # a place that luck fills as often tells nothing
_CHANCE = 8e-4  # of taking noise for a drop, in a minute
_LOOKED_AT = 2000  # likely trains in a minute, the best first
_TOGETHER = 128  # sounds as first ones at a time
_BEFORE, _PAUSE = 0.03, 0.15  # s between two drops
# Natural logarithms: of the loudness of one sound by that of the one before, and of how
# much likelier that is for two bounces than for two sounds of any kind.
_LOUDER = (-3.0, -1.6, -0.9, -0.55, -0.05, 0.15, 0.5, 1.2)
_FOR_LOUDNESS = (-4.0, -1.5, -0.5, 1.0, 1.0, -0.5, -2.0, -5.0)
_FOR_COLOUR, _ALIKE = 1.6, 1.3  # the same of the colour; digits alike by luck
_LOW, _TONE, _DOUBT = 2, 0.75, 2.5  # a band above it with more of the sound: a whistle?
_USUAL = 0.4  # of the other sounds; so many alike, as of a whistle, tell nothing
_SLOWER = 0.03  # natural logarithm of two speeds whose loudness is compared
_POWERS = (0.3, 2.0)  # of the speed, with which loudness goes
_OTHERS = 0.9  # times the impacts: half of them are above their middle, and others
_HALVED = 0.6  # of the flights; with sounds halfway in more, two are taken for one
_FAINT = 1.9  # times as loud as the noise is the first impact at the least
_BEAT = 5  # equal intervals make a beat


@dataclass(frozen=True, slots=True)
class Found:
    """The impacts of one drop.

    Attributes
    ----------
    impacts : list of Impact
        In order, without a gap.
    chance : float
        Chance that sounds at random make such a train somewhere in a minute, or in the
        recording if it is shorter.
    between : list of Impact
        Sounds within it that are as strong and do not fit.
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
    The flights of a ball shrink by a ratio that changes slowly. Every three sounds that
    may be the first three impacts are followed, each next impact near its place. For
    every one there is the chance that a sound at least as strong lies as near by luck;
    their product is held against what such products are by luck [1]_, and multiplied by
    the number of beginnings that are tried. Bounces of one ball also sound alike, and
    fainter one after the other.

    References
    ----------
    .. [1] R. A. Fisher, *Statistical Methods for Research Workers*, on the product of
       chances; from memory.
    """
    pool = _pool(sorted(impacts, key=lambda each: each.time), seconds)
    likely = sorted(_likely(pool), key=lambda each: each.chance)
    told: list[_Likely] = []
    for each in likely[: _LOOKED_AT * max(1, round(seconds / 60))]:
        if any(one.start <= each.end and each.start <= one.end for one in told):
            continue
        sure = each.chance + _doubt(pool, each.chain) < np.log(_CHANCE)
        if sure and _like_a_ball(pool, each.chain):
            told.append(each)
    told.sort(key=lambda each: each.start)
    return [_found(pool, each) for each in told]


@dataclass(frozen=True, slots=True)
class _Likely:
    """A train that luck hardly makes."""

    chain: Places
    chance: float  # natural logarithm
    start: float  # s, with the silence before it
    end: float


def _likely(pool: _Pool) -> Iterator[_Likely]:
    """Give the likely trains; few beginnings are followed at a time."""
    strong = np.flatnonzero(pool.often <= _STRONG)
    for k in range(0, strong.size, _TOGETHER):
        trains = _follow(pool, *_beginnings(pool, strong, k, k + _TOGETHER))
        lengths = np.argmin(trains.scores, axis=1)
        chances = trains.scores[np.arange(lengths.size), lengths]
        for row in np.flatnonzero(chances < np.log(_CHANCE)):
            chain = trains.members[row, : lengths[row] + 1].copy()
            start, end = pool.times[chain[0]] - _BEFORE, pool.times[chain[-1]] + _PAUSE
            yield _Likely(chain, float(chances[row]), float(start), float(end))


def _found(pool: _Pool, likely: _Likely) -> Found:
    chain = likely.chain
    usual = pool.often[chain].max()
    chosen = set(chain.tolist())
    between = [
        pool.impacts[m]
        for m in range(chain[0], chain[-1] + 1)
        if m not in chosen and pool.often[m] <= usual
    ]
    impacts = [pool.impacts[m] for m in chain]
    return Found(impacts, float(np.exp(likely.chance)), between)


@dataclass(frozen=True, slots=True)
class _Pool:
    """The sudden sounds as arrays, in the order of time."""

    impacts: list[Impact]
    times: Numbers
    often: Numbers  # sounds at least as strong, in a second hereabouts
    loud: Numbers  # natural logarithm
    colour: Numbers  # roots of the shares
    seconds: float


def _pool(impacts: list[Impact], seconds: float) -> _Pool:
    times = np.array([each.time for each in impacts])
    strength = np.array([each.strength for each in impacts])
    low = np.searchsorted(times, times - _AROUND)
    high = np.searchsorted(times, times + _AROUND, side="right")
    count = [
        np.count_nonzero(strength[a:b] >= one)
        for a, b, one in zip(low, high, strength, strict=True)
    ]
    span = np.minimum(times + _AROUND, seconds) - np.maximum(times - _AROUND, 0.0)
    loud = np.log(np.maximum([each.loudness for each in impacts], 1e-12))
    bands = len(impacts[0].colour) if impacts else 0
    colour = np.zeros((times.size, bands))
    for row, each in zip(colour, impacts, strict=True):
        row[:] = np.sqrt(each.colour)
    often = np.array(count) / np.maximum(span, 0.5)
    return _Pool(impacts, times, often, loud, colour, seconds)


@dataclass(slots=True)
class _Trains:
    """Trains that are followed side by side, N of them."""

    members: Places  # shape (N, _MANY)
    luck: Numbers  # logarithm of the product of chances so far
    scores: Numbers  # shape (N, _MANY), logarithm of the chance at each length


def _beginnings(
    pool: _Pool, strong: Places, low: int, high: int
) -> tuple[Places, Places, Places]:
    """Give every three sounds that may be the first three impacts of a drop.

    The first is one of those strong ones from low to high.
    """
    t = pool.times
    s = t[strong]
    firsts = s[low:high]
    row, place = _within(
        np.searchsorted(s, firsts + _FIRST), np.searchsorted(s, firsts + _LONGEST)
    )
    i, j = strong[low:high][row], strong[place]
    flight = t[j] - t[i]
    row, k = _within(
        np.searchsorted(t, t[j] + _LEAST * flight),
        np.searchsorted(t, t[j] + _LIVELY * flight),
    )
    return i[row], j[row], k


def _within(low: Places, high: Places) -> tuple[Places, Places]:
    """Give row and place of every place from low to high of each row."""
    count = np.maximum(high - low, 0)
    row = np.repeat(np.arange(low.size), count)
    start = np.cumsum(count) - count
    return row, np.arange(row.size) - start[row] + low[row]


def _follow(pool: _Pool, i: Places, j: Places, k: Places) -> _Trains:
    """Follow trains from their first three impacts as far as they go."""
    t = pool.times
    members = np.full((i.size, _MANY), -1, dtype=np.intp)
    members[:, :3] = np.column_stack([i, j, k])
    flight, gap = t[j] - t[i], t[k] - t[j]
    luck = np.log(_filled(pool.often[k] * (_LIVELY - _LEAST) * flight))
    luck -= _odds(pool, i, j) + _odds(pool, j, k)
    scores = np.full((i.size, _MANY), np.inf)
    scores[:, 2] = _chance(luck, 1)
    trains = _Trains(members, luck, scores)
    alive, ratio = np.arange(i.size), gap / flight
    drift = np.full(i.size, _DRIFT)
    for step in range(3, _MANY):
        change, law = (_CHANGE, _CHANGE / 3) if step == 3 else (_LATER, _LAW)
        last = members[alive, step - 1]
        then = np.clip(ratio + drift, _LEAST, _MOST) * gap
        wide = _SLACK + change * gap
        row, place = _within(
            np.searchsorted(t, t[last] + then - wide),
            np.searchsorted(t, t[last] + then + wide),
        )
        away = np.abs(t[place] - t[last][row] - then[row])
        near = 2 * np.maximum(away, (_SURE + law * gap)[row])
        more = np.log(_filled(pool.often[place] * near)) - _odds(pool, last[row], place)
        # Of each train the sound that luck puts there the least.
        order = np.lexsort((more, row))
        first = order[np.diff(row[order], prepend=-1) > 0]
        first = first[(more[first] < np.log(_IDLE)) & (then[row[first]] > _SHORTEST)]
        if not first.size:
            break
        row, place = row[first], place[first]
        alive, last, gap = alive[row], last[row], gap[row]
        luck[alive] += more[first]
        members[alive, step] = place
        scores[alive, step] = _chance(luck[alive], step - 1)
        new = (t[place] - t[last]) / gap
        # The ratio grows as the speed falls, which itself falls by the ratio.
        grown = 0.5 * drift[row] + 0.5 * (new - ratio[row])
        drift = np.clip(grown, *_DRIFTS) * new
        ratio = np.clip(0.3 * ratio[row] + 0.7 * new, _LEAST, _MOST)
        gap = new * gap
    # As many pairs at least as strong could have begun a train.
    weaker = np.maximum(pool.often[i], pool.often[j])
    minute = min(pool.seconds, 60.0)
    tries = np.maximum(1.0, weaker * minute) * np.maximum(1.0, weaker * _LONGEST)
    scores += np.log(tries)[:, None]
    return trains


def _filled(expected: Numbers) -> Numbers:
    """Give the chance that a place holds a sound by luck."""
    made: Numbers = -np.expm1(-expected)
    return made


def _odds(pool: _Pool, one: Places, two: Places) -> Numbers:
    """Give the logarithm of how much likelier two bounces sound so than any two."""
    louder = pool.loud[two] - pool.loud[one]
    made: Numbers = np.interp(louder, _LOUDER, _FOR_LOUDNESS)
    if pool.colour.shape[1]:
        digits = _digits(pool.colour[one], pool.colour[two])
        made = made + _FOR_COLOUR * np.clip(digits - _ALIKE, -1.0, 1.0)
    return made


def _digits(one: Numbers, two: Numbers) -> Numbers:
    """Give to how many digits colours agree."""
    made: Numbers = -np.log10(np.maximum(1.0 - (one * two).sum(axis=1), 1e-6))
    return made


def _chance(luck: Numbers, count: int) -> Numbers:
    """Give the logarithm of the chance that so many chances make such a product."""
    total = np.maximum(-luck, 1e-9)
    term, whole = np.ones(total.size), np.ones(total.size)
    for k in range(1, count):
        term = term * total / k
        whole = whole + term
    made: Numbers = np.minimum(0.0, np.log(whole) - total)
    return made


def _doubt(pool: _Pool, chain: Places) -> float:
    """Give how much surer a train must be whose colour tells little."""
    if not pool.colour.shape[1]:
        return 0.0
    mean = (pool.colour[chain] ** 2).mean(axis=0)
    doubt = _DOUBT if mean[_LOW:].max(initial=0.0) > _TONE else 0.0
    usual = 1.5 * np.median(pool.often[chain])
    others = np.setdiff1d(np.flatnonzero(pool.often <= usual), chain)
    if others.size < chain.size:
        return doubt
    alike = _digits(pool.colour[others], np.sqrt(mean)[None, :]) > _ALIKE
    return doubt + (_FOR_COLOUR * (chain.size - 1) if alike.mean() > _USUAL else 0.0)


def _like_a_ball(pool: _Pool, chain: Places) -> bool:
    """Tell whether sounds grow fainter as a ball slows down, and stand out."""
    flights = np.log(np.diff(pool.times[chain]))
    speeds = np.concatenate([[2 * flights[0] - flights[1]], flights])
    # The middle of the slopes of all pairs: one stray sound does not change it.
    one, two = np.triu_indices(chain.size, 1)
    slower, fainter = (each[one] - each[two] for each in (speeds, pool.loud[chain]))
    apart = slower > _SLOWER
    if not apart.any():
        return False
    power = np.median(fainter[apart] / slower[apart])
    if not _POWERS[0] <= power <= _POWERS[1]:
        return False
    inside = pool.often[chain[0] : chain[-1] + 1]
    strong = np.count_nonzero(inside <= np.median(pool.often[chain]))
    if strong > _OTHERS * chain.size:
        return False
    # A ball that is twice as fast bounces between: e² fits every second impact.
    flights = np.exp(flights)
    share = 1 / (1 + np.sqrt(np.median(flights[1:] / flights[:-1])))
    middles = pool.times[chain[:-1]] + share * flights
    known = pool.times[pool.often <= 1.5 * pool.often[chain].max()]
    after = np.searchsorted(known, middles + _SLACK + _LATER / 2 * flights)
    before = np.searchsorted(known, middles - _SLACK - _LATER / 2 * flights)
    if np.mean(after > before) > _HALVED:
        return False
    first = pool.impacts[chain[0]]
    return bool(first.loudness > _FAINT * first.quiet)


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
