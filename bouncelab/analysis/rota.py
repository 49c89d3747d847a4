"""Who drops which ball when: a balanced order, drawn by lot."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Turn", "pressures_of", "rota", "square"]

_TRIES = 300  # orders looked at for a short lesson; more gain little


@dataclass(frozen=True, slots=True)
class Turn:
    """One group with one ball for a while.

    Attributes
    ----------
    slot : int
        Which turn of the lesson, from 0.
    group, ball : int
        Their places in the lists.
    round : int
        Which pressure of that ball's own order, from 0.
    """

    slot: int
    group: int
    ball: int
    round: int


def square(size: int) -> NDArray[np.int64]:
    """Give an order in which each follows each other equally often.

    Parameters
    ----------
    size : int
        Of balls and groups, at least 1.

    Returns
    -------
    ndarray of int, shape (size, size)
        A row for each group and a column for each turn; each ball stands once in
        each row and once in each column. For an even size each ball also comes
        just before each other one once.

    References
    ----------
    .. [1] E. J. Williams, *Aust. J. Sci. Res.* A 2 (1949) 149, from memory.

    Examples
    --------
    >>> square(4).tolist()
    [[0, 1, 3, 2], [1, 2, 0, 3], [2, 3, 1, 0], [3, 0, 2, 1]]
    """
    first = [0]
    for k in range(1, size):
        first.append((k + 1) // 2 if k % 2 else size - k // 2)
    return (np.array(first) + np.arange(size)[:, None]) % size


def rota(
    groups: int,
    balls: int,
    *,
    rounds: int = 1,
    turns: int | None = None,
    seed: str = "",
) -> list[Turn]:
    """Draw a balanced order by lot.

    Parameters
    ----------
    groups, balls : int
        How many; each ball is with one group at a time.
    rounds : int, optional
        How many pressures each ball is given, one after the other.
    turns : int, optional
        Turns in a round, if there is no time for every group to meet every ball.
    seed : str, optional
        The same text gives the same order.

    Returns
    -------
    list of Turn
        In the order of time; where groups outnumber balls, some wait for a turn.

    Notes
    -----
    If time is short, every ball still meets as many groups as every other, and every
    group as many balls, to within one; of many such orders, drawn by lot, the one is
    taken in which any two balls share the most groups. Every round has the same
    meetings, so that a ball's pressures are compared within groups as well.

    Examples
    --------
    >>> len(rota(4, 3)), len(rota(4, 3, turns=2))
    (12, 6)
    """
    size = max(groups, balls)
    lot = _lot(f"{seed}|{groups}|{balls}")
    many = min(turns or size, size)
    short = _short(groups, balls, many, lot) if many < size else None
    made = []
    for step in range(rounds):
        if short is None:
            order = square(size)[lot.permutation(size)][:groups]
            order = lot.permutation(size)[order]
        else:
            order = short
        if step % 2:
            order = order[:, ::-1]  # what came first comes last
        made += [
            Turn(step * many + column, group, int(order[group, column]), step)
            for column in range(many)
            for group in range(groups)
            if 0 <= order[group, column] < balls
        ]
    return made


def _lot(text: str) -> np.random.Generator:
    digest = hashlib.blake2b(text.encode(), digest_size=8).digest()
    return np.random.default_rng(int.from_bytes(digest, "big"))


def _short(
    groups: int, balls: int, turns: int, lot: np.random.Generator
) -> NDArray[np.int64]:
    """Deal balls to groups for a few turns; shape (groups, turns), -1 for none."""
    long, few = max(groups, balls), min(groups, balls)
    period = long // int(np.gcd(long, few))
    dealt = [(step * few + step // period) % long for step in range(turns)]
    best, most = np.array(dealt), (-long, -long, -long)
    for number in range(_TRIES):
        starts = lot.permutation(long)[:turns] if number else np.array(dealt)
        meets = np.zeros((long, few), dtype=np.int64)
        for start in starts:
            meets[(start + np.arange(few)) % long, np.arange(few)] = 1
        of_balls = meets if balls > groups else meets.T
        shared = of_balls @ of_balls.T
        loads = meets.sum(axis=1)
        apart = shared[~np.eye(balls, dtype=bool)]
        lopsided = max(int(np.ptp(loads)), 1)
        merit = (-lopsided, int(apart.min()), -int(np.square(apart).sum()))
        if merit > most:
            best, most = starts, merit
    order = np.full((groups, turns), -1)
    for column, start in enumerate(lot.permutation(best)):
        one, other = (start + np.arange(few)) % long, np.arange(few)
        if balls > groups:
            order[other, column] = one
        else:
            order[one, column] = other
    names = np.append(lot.permutation(balls), -1)  # the last for no ball
    return np.asarray(names[order[lot.permutation(groups)]])


def pressures_of(balls: int, levels: Sequence[float], seed: str) -> list[list[float]]:
    """Give each ball its own order of pressures, so that no ball only gets fuller.

    Parameters
    ----------
    balls : int
        How many.
    levels : sequence of float
        The pressures.
    seed : str
        The same text gives the same order.

    Returns
    -------
    list of list of float
        One order for each ball.
    """
    order = square(len(levels))
    rows = _lot(seed).permutation(len(levels))
    return [
        [levels[k] for k in order[rows[ball % len(levels)]]] for ball in range(balls)
    ]
