"""Many bodies on a line: chains of carts, and balls dropped on top of each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import Annotated, Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.physics.ledger import Ledger, ledger_of
from bouncelab.physics.momentum import bodies, moving_bodies
from bouncelab.physics.numbers import checked, held, nominal
from bouncelab.physics.results import Result
from bouncelab.units import STANDARD_GRAVITY

__all__ = ["Chain", "Event", "StackDrop", "collide_chain", "drop_stack"]

_QUIET = 1e-9  # of the largest first speed: slower approaches count as none


@dataclass(frozen=True, slots=True)
class Event(Result):
    """One collision of two neighbours.

    Attributes
    ----------
    time : float
        Since the start, in s.
    pair : tuple of int
        Which bodies, counted from 0; the floor is −1.
    positions : tuple of float
        Of all bodies at that moment, in m.
    velocities_before, velocities_after : tuple of float
        Of all bodies just before and just after, in m/s.
    energy_lost : float
        In this collision, in J.
    """

    time: Annotated[float, "s"]
    pair: tuple[int, int]
    positions: Annotated[tuple[float, ...], "m"]
    velocities_before: Annotated[tuple[float, ...], "m/s"]
    velocities_after: Annotated[tuple[float, ...], "m/s"]
    energy_lost: Annotated[float, "J"]


@dataclass(frozen=True, slots=True)
class Chain(Result):
    """Everything that happened in a chain.

    Attributes
    ----------
    velocities_after : tuple of float
        When no neighbours close in any more, in m/s.
    events : tuple of Event
        In order.
    finished : bool
        False if the bodies were still meeting when the limit of events was reached.
    ledger : Ledger
        Momentum and energy, from the first moment to the last.
    """

    velocities_after: Annotated[tuple[float, ...], "m/s"]
    events: tuple[Event, ...]
    finished: bool
    ledger: Ledger


@dataclass(frozen=True, slots=True)
class StackDrop(Result):
    """A stack of balls after its drop.

    Attributes
    ----------
    impact_speed : float
        Of every ball when the lowest touches the floor, in m/s.
    velocities_after : tuple of float
        Upwards, from the lowest ball to the top one, in m/s.
    rises : tuple of float
        How far each ball then rises above where it was at the impact, in m.
    events : tuple of Event
        In order; body −1 is the floor. Times and places are those of gaps of 1 m
        without gravity: only their order means something.
    finished : bool
        Whether no two bodies were closing in when the count stopped.
    """

    impact_speed: Annotated[float, "m/s"]
    velocities_after: Annotated[tuple[float, ...], "m/s"]
    rises: Annotated[tuple[float, ...], "m"]
    events: tuple[Event, ...]
    finished: bool


def _numbers(values: Sequence[Any]) -> list[float]:
    if not values or any(np.ndim(each) for each in values):
        raise InputError(
            "masses and velocities",
            "a column of them" if values else "none",
            "one number a body",
            "Follow one chain or stack at a time.",
        )
    return [float(nominal(each)) for each in values]


def _per_contact(what: str, value: Any, count: int) -> list[float]:
    e = checked(what, value, least=0, most=1)
    if e.shape not in ((), (count,)):
        raise InputError(
            what,
            f"{e.size} values",
            f"one, or {count}: one a contact",
            "Give a value for each pair of neighbours.",
        )
    return [float(each) for each in np.broadcast_to(e, (count,))]


def _run(
    masses: Sequence[float],
    places: Sequence[float],
    speeds: Sequence[float],
    gaps: Sequence[float],
    restitutions: Sequence[float],
    limit: int,
) -> tuple[list[Event], list[float], bool]:
    """Let neighbours meet in the order of time; an infinite mass never moves."""
    x, v, gap = list(places), list(speeds), list(gaps)
    still = _QUIET * max(map(abs, v))
    clock, events = 0.0, list[Event]()
    while True:
        closing = [a - b for a, b in pairwise(v)]
        # The earliest first; of several at once the one that closes in fastest.
        due = [
            (g / c if c > still else np.inf, -c)
            for g, c in zip(gap, closing, strict=True)
        ]
        k = min(range(len(due)), key=due.__getitem__)
        wait = due[k][0]
        if wait == np.inf or len(events) == limit:
            return events, v, wait == np.inf
        clock += wait
        gap = [max(g - c * wait, 0.0) for g, c in zip(gap, closing, strict=True)]
        gap[k] = 0.0
        # From the first body on, so that nobody ever stands inside a neighbour.
        x = list(accumulate(gap, initial=x[0] + v[0] * wait))
        before = tuple(v)
        w, e, (m1, m2) = closing[k], restitutions[k], masses[k : k + 2]
        share = 1.0 if m1 == np.inf else m1 / (m1 + m2)
        reduced = share * m2
        v[k] -= (1 + e) * w * (0.0 if m1 == np.inf else m2 / (m1 + m2))
        v[k + 1] += (1 + e) * w * share
        lost = 0.5 * reduced * (1 - e * e) * w * w
        events.append(Event(clock, (k, k + 1), tuple(x), before, tuple(v), lost))


@held
def collide_chain(
    *,
    masses: Any,
    velocities: Any,
    restitution: Any,
    gaps: Any = 0.0,
    most_events: int = 10_000,
) -> Chain:
    """Follow a chain of bodies on a line, collision by collision.

    Parameters
    ----------
    masses, velocities : sequence of float
        Of two or more bodies from left to right, in kg and m/s.
    restitution : float or sequence of float
        One for all, or one a pair of neighbours; from 0 to 1.
    gaps : float or sequence of float, optional
        Between the neighbours' surfaces, in m; 0 means just about to touch.
    most_events : int, optional
        Where to stop counting.

    Returns
    -------
    Chain
        Velocities, every event in order, ledger. Positions take the first body's
        right edge as 0 and leave the bodies' own lengths out.

    Raises
    ------
    InputError
        If a value is outside its range or their numbers do not fit.

    Notes
    -----
    Each collision takes no time and joins two neighbours only; the next is the
    one that is due first; of several at once the one that closes in fastest, then
    the left one. Where gaps are zero the outcome rests on that order: it is the
    limit of tiny gaps, and contacts that overlap in time are outside it. Very
    lossy chains meet ever faster and ever more gently; meetings slower than 1e-9
    of the first speed count as none.

    References
    ----------
    .. [1] F. Herrmann and P. Schmälzle, *Am. J. Phys.* 49 (1981) 761, on why a
       chain of touching balls behaves as if gaps were left, from memory.

    Examples
    --------
    >>> row = collide_chain(
    ...     masses=(0.1, 0.1, 0.1), velocities=(1.0, 0.0, 0.0), restitution=1.0
    ... )
    >>> row.velocities_after, [event.pair for event in row.events]
    ((0.0, 0.0, 1.0), [(0, 1), (1, 2)])
    """
    m, v = moving_bodies(masses, velocities)
    mass, speed = _numbers(m), _numbers(v)
    e = _per_contact("restitution", restitution, len(mass) - 1)
    gap = checked("gap", gaps, "m", least=0)
    if gap.shape not in ((), (len(mass) - 1,)):
        raise InputError(
            "gaps", f"{gap.size} values", f"{len(mass) - 1}, one fewer than bodies",
            "Give the gap to the right of every body but the last.",
        )  # fmt: skip
    spaces = [float(each) for each in np.broadcast_to(gap, (len(mass) - 1,))]
    places = [0.0, *np.cumsum(spaces).tolist()]
    events, after, finished = _run(mass, places, speed, spaces, e, most_events)
    momenta = [[a * b for a, b in zip(mass, w, strict=True)] for w in (speed, after)]
    kinetics = [
        [0.5 * a * b * b for a, b in zip(mass, w, strict=True)] for w in (speed, after)
    ]
    ledger = ledger_of(
        (momenta[0], momenta[1]),
        (kinetics[0], kinetics[1]),
        sum(event.energy_lost for event in events),
    )
    return Chain(tuple(after), tuple(events), finished, ledger)


@held
def drop_stack(
    *,
    masses: Any,
    drop_height: float,
    floor_restitution: float,
    restitution: Any,
    gravity: float = STANDARD_GRAVITY,
    most_events: int = 10_000,
) -> StackDrop:
    r"""Give a stack of balls after it is dropped on the floor.

    Parameters
    ----------
    masses : sequence of float
        From the lowest ball to the top one, in kg.
    drop_height : float
        From the bottom of the lowest ball to the floor, in m.
    floor_restitution : float
        Of the lowest ball on the floor, from 0 to 1.
    restitution : float or sequence of float
        Of the balls on each other, one or one a pair.
    gravity : float, optional
        In m/s².
    most_events : int, optional
        Where to stop counting.

    Returns
    -------
    StackDrop
        Velocities, rises and every event in order.

    Raises
    ------
    InputError
        If a value is outside its range or their numbers do not fit.

    Notes
    -----
    The lowest ball meets the floor first, then neighbours meet upwards, each pair
    by itself; a ball thrown back down meets the floor again. Tiny equal gaps are
    assumed, so small that gravity does nothing meanwhile. For two balls the
    first round gives

    .. math::
        \frac{v_\mathrm{top}}{v}
        = \frac{m_1 e_f - m_2 + m_1 e_{12}(1 + e_f)}{m_1 + m_2}

    Real balls touch for milliseconds and so overlap: expect less. The top ball
    may fly up hard: clear the space above, wear eye protection and follow the
    school's own rules.

    References
    ----------
    .. [1] D. Morin, Harvard problem of the week 1 (2002).

    Examples
    --------
    >>> drop = drop_stack(
    ...     masses=(0.6, 0.2), drop_height=1.0, floor_restitution=1.0, restitution=1.0
    ... )
    >>> [round(rise, 9) for rise in drop.rises]
    [0.0, 4.0]
    """
    height = float(checked("drop height", drop_height, "m", above=0))
    g = float(checked("gravity", gravity, "m/s²", above=0))
    m = _numbers(bodies("mass", masses, "kg", above=0))
    floor = float(
        checked("restitution on the floor", floor_restitution, least=0, most=1)
    )
    between = _per_contact("restitution", restitution, len(m) - 1) if len(m) > 1 else []
    speed = float(np.sqrt(2 * g * height))
    count = len(m)
    events, after, finished = _run(
        [np.inf, *m],
        [float(k) for k in range(count + 1)],
        [0.0] + [-speed] * count,
        [1.0] * count,
        [floor, *between],
        most_events,
    )
    shown = tuple(
        Event(
            event.time,
            (event.pair[0] - 1, event.pair[1] - 1),
            event.positions[1:],
            event.velocities_before[1:],
            event.velocities_after[1:],
            event.energy_lost,
        )
        for event in events
    )
    upward = tuple(after[1:])
    rises = tuple(max(v, 0.0) ** 2 / (2 * g) for v in upward)
    return StackDrop(speed, upward, rises, shown, finished)
