"""How a contact is followed in time: many at once, each end found by a root search.

A contact has two parts: loading, until the ball stops coming nearer, and
unloading, until the force is gone. Within each everything is smooth, so a
sixth-order scheme keeps its order if it never steps across an end.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import InputError
from bouncelab.physics.numbers import fitting, given, nominal

__all__ = ["MOMENTS", "Law", "Part", "follow", "in_blocks", "trace"]

Array = NDArray[np.float64]
Measure = Callable[[Array, Array], Array]

MOMENTS = 120  # of each part, in curves
STEPS = 36  # in one contact time: e is then within some 1e-9 of the limit
_BLOCK = 4096  # impacts followed together: their numbers fit in a processor's cache
_MOST_CURVES = 20_000  # impacts; their curves fill about half a gigabyte
# An impact that is not over by then has lost nearly all, and counts as never over.
_LONGEST = 200  # contact times of usual steps; a ball still down then stays down


# J. C. Butcher, J. Austral. Math. Soc. 4 (1964) 179: seven stages, sixth order. Each
# row weighs the slopes so far; the last gives the step. From memory; that halving
# the step divides the error by 64 is tested.
_STAGES = 7
_WEIGHTS = np.array(
    [
        [1 / 3, 0, 0, 0, 0, 0, 0],
        [0, 2 / 3, 0, 0, 0, 0, 0],
        [1 / 12, 1 / 3, -1 / 12, 0, 0, 0, 0],
        [-1 / 16, 9 / 8, -3 / 16, -3 / 8, 0, 0, 0],
        [0, 9 / 8, -3 / 8, -3 / 4, 1 / 2, 0, 0],
        [9 / 44, -9 / 11, 63 / 44, 18 / 11, 0, -16 / 11, 0],
        [11 / 120, 0, 27 / 40, 27 / 40, -4 / 15, -4 / 15, 11 / 120],
    ]
)


@dataclass(frozen=True, slots=True)
class Law:
    """What drives a contact; states have shape (k, n), constants shape (c, n).

    Attributes
    ----------
    rates : callable
        State and constants to the state's rate of change.
    left : callable
        State and constants to a number a contact that falls to 0 at the end.
    force : callable, optional
        State and constants to the force, to find its peak to 1e-7.
    spent : callable, optional
        State and constants to whether the ball can no longer come back.
    """

    rates: Measure
    left: Measure
    force: Measure | None = None
    spent: Callable[[Array, Array], NDArray[np.bool_]] | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """How one part of the contacts ended.

    Attributes
    ----------
    state : ndarray, shape (k, n)
        At the end.
    duration : ndarray, shape (n,)
        In the law's unit of time.
    ended : ndarray of bool, shape (n,)
        False where the ball can no longer come back.
    peak : ndarray, shape (n,)
        Largest force, or 0 where the law gives none.
    """

    state: Array
    duration: Array
    ended: NDArray[np.bool_]
    peak: Array


def _step(law: Law, state: Array, constants: Array, step: Array) -> Array:
    """Take one step of Butcher's scheme."""
    slopes = np.empty((_STAGES, state.size))
    slopes[0] = law.rates(state, constants).ravel()
    for stage in range(1, _STAGES):
        tilt = (_WEIGHTS[stage - 1, :stage] @ slopes[:stage]).reshape(state.shape)
        slopes[stage] = law.rates(state + step * tilt, constants).ravel()
    return np.asarray(state + step * (_WEIGHTS[-1] @ slopes).reshape(state.shape))


def follow(law: Law, start: Array, constants: Array, pace: Array) -> Part:
    """Follow one part of many contacts to its end.

    Parameters
    ----------
    law : Law
        What drives them, in units in which a contact lasts about 1.
    start : ndarray, shape (k, n)
        State at the start.
    constants : ndarray, shape (c, n)
        Of each contact.
    pace : ndarray, shape (n,)
        Length of the steps, 1 for the usual 36 in a unit of time.

    Returns
    -------
    Part
        The states at the end, to rounding where `left` is 0.

    Examples
    --------
    >>> spring = Law(
    ...     rates=lambda y, c: np.array([y[1], -(np.pi**2) * y[0]]),
    ...     left=lambda y, c: y[1],
    ... )
    >>> half = follow(spring, np.array([[0.0], [1.0]]), np.zeros((0, 1)), np.ones(1))
    >>> half.duration.round(7).tolist()
    [0.5]
    """
    count = start.shape[1]
    steps = pace / STEPS
    step = steps
    before, whole = start.copy(), np.zeros(count)
    ended = np.zeros(count, dtype=bool)
    alive = np.arange(count)
    state, constant = start, constants
    # The largest force at a step, and the state one step earlier.
    peak, origin = np.zeros(count), start.copy()
    if law.force is not None:
        peak = np.maximum(law.force(state, constant), 0.0)
    for taken in range(_LONGEST * STEPS):
        if alive.size == 0:
            break
        new = _step(law, state, constant, step)
        if law.force is not None:
            now = law.force(new, constant)
            more = now > peak[alive]
            peak[alive[more]], origin[:, alive[more]] = now[more], state[:, more]
        crossed = law.left(new, constant) <= 0
        done = crossed if law.spent is None else crossed | law.spent(new, constant)
        if done.any():
            before[:, alive[done]] = state[:, done]
            whole[alive[done]] = taken
            ended[alive[crossed]] = True
            go = ~done
            alive, new, constant = alive[go], new[:, go], constant[:, go]
            step = step[go]
        state = new
    else:
        before[:, alive], whole[alive] = state, _LONGEST * STEPS
    if law.force is not None:
        peak = np.maximum(peak, _crest(law, law.force, origin, constants, steps))
    part = _locate(law, before, constants, steps, ended)
    end = _step(law, before, constants, part * steps)
    return Part(end, (whole + part) * steps, ended, peak)


def _crest(
    law: Law, force: Measure, origin: Array, constants: Array, steps: Array
) -> Array:
    """Give the largest force within two steps: a wide parabola, then a narrow one."""
    top = np.ones_like(steps)
    for reach in (1.0, 0.1):
        first, second, third = (
            force(_step(law, origin, constants, (top + side) * steps), constants)
            for side in (-reach, 0.0, reach)
        )
        bend, tilt = 2 * second - first - third, third - first
        inside = np.abs(tilt) < 2 * bend
        safe = np.where(inside, bend, 1.0)
        top = top + np.where(inside, 0.5 * reach * tilt / safe, 0.0)
    return np.asarray(second + np.where(inside, tilt**2 / (8 * safe), 0.0))


def _locate(
    law: Law, before: Array, constants: Array, steps: Array, ended: NDArray[np.bool_]
) -> Array:
    """Give the share of the last step at which it ends: Illinois rule, bracketed."""
    if not ended.any():
        return np.zeros(ended.size)
    start, constant, step = before[:, ended], constants[:, ended], steps[ended]

    def left(share: Array) -> Array:
        return law.left(_step(law, start, constant, share * step), constant)

    a, b = np.zeros(start.shape[1]), np.ones(start.shape[1])
    fa, fb = law.left(start, constant), left(b)
    small = 1e-15 * (np.abs(fa) + np.abs(fb))
    for _ in range(60):
        slope = fb - fa
        c = b - fb * (b - a) / np.where(slope == 0, 1.0, slope)
        fc = left(c)
        across = fc * fb < 0
        a, fa = np.where(across, b, a), np.where(across, fb, 0.5 * fa)
        b, fb = c, fc
        if np.all(np.abs(fb) <= small):
            break
    share = np.zeros(ended.size)
    share[ended] = b
    return share


def trace(
    law: Law, start: Array, constants: Array, duration: Array, pace: Array
) -> Array:
    """Give the states at even times from the start of a part to its end.

    Parameters
    ----------
    law : Law
        As for `follow`.
    start : ndarray, shape (k, n)
        State at the start.
    constants : ndarray, shape (c, n)
        Of each contact.
    duration : ndarray, shape (n,)
        Of each, in the law's unit of time.
    pace : ndarray, shape (n,)
        As for `follow`; no step is longer.

    Returns
    -------
    ndarray, shape (MOMENTS + 1, k, n)
        The first is the start.

    Examples
    --------
    >>> drift = Law(rates=lambda y, c: np.ones_like(y), left=lambda y, c: y[0])
    >>> path = trace(drift, np.zeros((1, 1)), np.zeros((0, 1)), np.ones(1), np.ones(1))
    >>> path[[0, 60, 120]].ravel().round(12)
    array([0. , 0.5, 1. ])
    """
    path = np.empty((MOMENTS + 1, *start.shape))
    path[0] = start
    most = float(np.max(duration / pace, initial=0.0)) * STEPS / MOMENTS
    between = max(1, int(np.ceil(most)))
    for at in range(MOMENTS):
        state = path[at]
        for _ in range(between):
            state = _step(law, state, constants, duration / (MOMENTS * between))
        path[at + 1] = state
    return path


def in_blocks(
    values: dict[str, Any],
    follow_block: Callable[[Array], tuple[dict[str, Array], dict[str, Array]]],
    curves: bool,
) -> tuple[dict[str, Any], dict[str, Array] | None]:
    """Follow any number of impacts, some thousands at a time.

    Parameters
    ----------
    values : dict of str to ndarray
        Checked numbers, by the names that a person knows them under.
    follow_block : callable
        Takes them as rows of an array of shape (len(values), n); gives the fields
        of a result, each of shape (n,), and of its curves, each (moments, n).
    curves : bool
        Whether curves are wanted.

    Returns
    -------
    tuple of dict
        Fields in the shape that the values have together, and curves with the
        moments on the first axis, or None.

    Raises
    ------
    InputError
        If shapes do not fit, or there are too many impacts for curves.

    Examples
    --------
    >>> fields, _ = in_blocks(
    ...     {"speed": np.array([1.0, 2.0])},
    ...     lambda rows: ({"twice": 2 * rows[0]}, {}),
    ...     False,
    ... )
    >>> fields["twice"]
    array([2., 4.])
    """
    shape = fitting(**values)
    count = int(np.prod(shape))
    if curves and count > _MOST_CURVES:
        raise InputError(
            "impacts to follow with curves",
            f"{count}",
            f"up to {_MOST_CURVES}",
            "Leave the curves out with curves=False.",
        )
    rows = [np.broadcast_to(nominal(each), shape).ravel() for each in values.values()]
    parts = [
        follow_block(np.array([row[at : at + _BLOCK] for row in rows]))
        for at in range(0, max(count, 1), _BLOCK)
    ]
    fields = {
        name: given(np.concatenate([part[0][name] for part in parts]).reshape(shape))
        for name in parts[0][0]
    }
    if not curves:
        return fields, None
    drawn = {
        name: np.concatenate([part[1][name] for part in parts], axis=1)
        for name in parts[0][1]
    }
    return fields, {
        name: each.reshape(len(each), *shape) for name, each in drawn.items()
    }
