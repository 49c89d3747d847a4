"""Who drops which ball when: a balanced order, drawn by lot."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Turn", "rota", "square"]


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

    Examples
    --------
    >>> len(rota(4, 3)), len(rota(4, 3, turns=2))
    (12, 6)
    """
    size = max(groups, balls)
    digest = hashlib.blake2b(f"{seed}|{groups}|{balls}".encode(), digest_size=8)
    lot = np.random.default_rng(int.from_bytes(digest.digest(), "big"))
    made = []
    for step in range(rounds):
        order = square(size)
        if step % 2:
            order = order[:, ::-1]  # what came first comes last
        order = lot.permutation(size)[order][lot.permutation(size)]
        for column in range(min(turns or size, size)):
            for group in range(groups):
                ball = int(order[group, column])
                if ball < balls:
                    slot = step * min(turns or size, size) + column
                    made.append(Turn(slot, group, ball, step))
    return made


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
    lot = np.random.default_rng(
        int.from_bytes(hashlib.blake2b(seed.encode(), digest_size=8).digest(), "big")
    )
    rows = lot.permutation(len(levels))
    return [
        [levels[k] for k in order[rows[ball % len(levels)]]] for ball in range(balls)
    ]
