"""Impacts that a person struck out, moved or added, and what they then say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite

import numpy as np

from bouncelab.errors import InputError
from bouncelab.kinds import Ball
from bouncelab.physics.fall import drag_constant, height_for_speed
from bouncelab.physics.rebounds import rebound_height
from bouncelab.physics.surroundings import air_density
from bouncelab.readings.heard_drop import HeardDrop, read_drop
from bouncelab.readings.impacts import Impact
from bouncelab.readings.sound import Heard
from bouncelab.units import show_length

__all__ = [
    "Mark",
    "as_heights",
    "drag_of",
    "edited",
    "marks_of",
    "next_place",
    "reckon",
    "said_at",
]

_BEFORE, _AFTER = 0.3, 0.6  # s about a drop, whose other sounds are shown with it
_MOST, _OTHERS = 40, 8  # sounds shown, the strongest: without a drop, beside one
_SAME = 0.005  # s; an edit belongs to the sound that is now heard so near
BY_HAND = 5e-4  # s, standard uncertainty of an impact that a person placed
_SLOPES = (-0.1, 0.3)  # of e from one speed to twice; no ball's is near these
_EDITS = ("moved to", "counts", "placed at")


@dataclass(frozen=True, slots=True)
class Mark:
    """One sudden sound, as a person sees it.

    Attributes
    ----------
    name : str
        Where it was heard, such as ``"impact at 1.6392 s"``, or ``"added impact 1"``.
    time, u : float
        Where it stands now, with its standard uncertainty, in s.
    counts : bool
        Whether it is one of the impacts that are reckoned with.
    heard : float or None
        Where it was heard, in s; None if a person added it.
    why : str
        Why it was not taken for an impact; empty if it was.
    strength, loudness : float
        As of an `Impact`; 0 if a person added it.
    """

    name: str
    time: float
    u: float
    counts: bool
    heard: float | None = None
    why: str = ""
    strength: float = 0.0
    loudness: float = 0.0

    @property
    def by_hand(self) -> bool:
        """Whether a person moved or added it."""
        return self.heard is None or self.time != self.heard


def marks_of(heard: Heard, place: int) -> list[Mark]:
    """Give the sounds of one drop, those that do not belong among them.

    Parameters
    ----------
    heard : Heard
        What `listen` gave.
    place : int
        Which drop, from 0; where none was heard, 0 gives the sudden sounds of the
        whole recording.

    Returns
    -------
    list of Mark
        In the order of time.

    Examples
    --------
    >>> from bouncelab.readings.sound import hear
    >>> marks_of(hear([np.zeros(8000)], 8000), 0)
    []
    """
    if not heard.drops:
        clear = [each for each in heard.impacts if each.clear]
        loudest = sorted(clear, key=lambda each: -each.strength)[:_MOST]
        marks = [_mark(each, False, "no drop was heard") for each in loudest]
        return sorted(marks, key=lambda each: each.time)
    drop = heard.drops[place]
    known = {each.time: each for each in heard.impacts}
    marks = [
        _mark(known.get(time, Impact(time, u, 0.0, 0.0)), True, "")
        for time, u in zip(drop.impacts, drop.u_impacts, strict=True)
    ]
    inside = set(drop.impacts)
    whys = dict(drop.rejected)
    others = {time for each in heard.drops for time in each.impacts}
    start, end = drop.impacts[0] - _BEFORE, drop.impacts[-1] + _AFTER
    rest = [
        each
        for each in heard.impacts
        if start <= each.time <= end
        and each.time not in inside | others
        and (each.clear or each.time in whys)
    ]
    rest = sorted(rest, key=lambda each: -each.strength)[:_OTHERS]
    for each in rest:
        early = each.time < drop.impacts[0]
        where = "before the drop" if early else "does not fit the others"
        marks.append(_mark(each, False, whys.get(each.time, where)))
    return sorted(marks, key=lambda each: each.time)


def _mark(each: Impact, counts: bool, why: str) -> Mark:
    name = f"impact at {each.time:.4f} s"
    return Mark(
        name, each.time, each.u, counts, each.time, why, each.strength, each.loudness
    )


def edited(marks: Sequence[Mark], edits: Mapping[str, str]) -> list[Mark]:
    """Give the marks as a person left them.

    Parameters
    ----------
    marks : sequence of Mark
        Of `marks_of`.
    edits : mapping of str to str
        A mark's name, a comma and ``moved to``, ``placed at`` or ``counts``, to a
        time such as ``"1.6400 s"`` or to ``yes`` or ``no``; an empty text is no edit.

    Returns
    -------
    list of Mark
        In the order of time, those added among them.

    Examples
    --------
    >>> edits = {"added impact 1, placed at": "1.2000 s"}
    >>> [(mark.time, mark.counts) for mark in edited([], edits)]
    [(1.2, True)]
    """
    made = {each.name: each for each in marks}
    for key, text in edits.items():
        name, _, what = key.rpartition(", ")
        if not text or what not in _EDITS:
            continue
        found = made.get(name) or _near(marks, name)
        if what == "placed at":
            made[name] = Mark(name, _time(text), BY_HAND, True)
        elif found is not None and what == "moved to":
            time = _time(text)
            u = found.u if time == found.heard else BY_HAND
            made[found.name] = replace(found, time=time, u=u)
    for key, text in edits.items():  # what counts comes after where it stands
        name, _, what = key.rpartition(", ")
        found = made.get(name) or _near(marks, name)
        if what == "counts" and text and found is not None:
            now = made[found.name]
            made[found.name] = replace(now, counts=text == "yes")
    return sorted(made.values(), key=lambda each: each.time)


def _near(marks: Sequence[Mark], name: str) -> Mark | None:
    """Give the mark that an edit means, should it be heard a little elsewhere now."""
    if not name.startswith("impact at "):
        return None
    time = _time(name.removeprefix("impact at "))
    near = [each for each in marks if abs((each.heard or -1.0) - time) < _SAME]
    return min(near, key=lambda each: abs(each.time - time), default=None)


def _time(text: str) -> float:
    return float(text.removesuffix(" s"))


def next_place(marks: Sequence[Mark]) -> float | None:
    """Give where the next impact is to be expected, in s.

    Parameters
    ----------
    marks : sequence of Mark
        In the order of time.

    Returns
    -------
    float or None
        After the last one that counts; None with fewer than three.

    Examples
    --------
    >>> train = [Mark(str(t), t, 1e-4, True) for t in (0.0, 0.8, 1.2)]
    >>> round(next_place(train), 3)
    1.4
    """
    times = [each.time for each in marks if each.counts]
    if len(times) < 3:
        return None
    last = times[-1] - times[-2]
    return times[-1] + last * min(0.97, last / (times[-2] - times[-3]))


def reckon(marks: Sequence[Mark], ball: Ball | None = None) -> HeardDrop:
    """Fit the law of bounces to the impacts that count.

    Parameters
    ----------
    marks : sequence of Mark
        In the order of time.
    ball : Ball, optional
        The kind of ball; its drag and contact time are then corrected for.

    Returns
    -------
    HeardDrop
        As from `listen`; those that do not count are its rejected sounds.

    Raises
    ------
    InputError
        If fewer than three count, or no law of bounces fits them.

    Examples
    --------
    >>> from bouncelab.physics.bounces import bounce_train
    >>> train = bounce_train(drop_height=1.5, restitution=0.75, bounces=7)
    >>> marks = [Mark(str(t), t, 1e-4, True) for t in train.impact_times]
    >>> round(reckon(marks).restitution, 3)
    0.75
    """
    chosen = [
        Impact(each.time, each.u, each.strength, each.loudness)
        for each in marks
        if each.counts
    ]
    rejected = [
        (each.time, each.why or "struck out") for each in marks if not each.counts
    ]
    if len(chosen) < 3:
        raise InputError(
            what="impacts that count",
            read=str(len(chosen)),
            allowed="three or more of one drop",
            do="Bring one back or add one: two give a time, a third one gives e.",
        )
    drop = read_drop(chosen, ball, rejected=rejected)
    slope = float(drop.fit.slope)
    if not _SLOPES[0] <= slope <= _SLOPES[1]:
        raise InputError(
            what="these impacts",
            read=f"an e that is lower by {slope:.2f} at twice the speed",
            allowed="times that one law of bounces fits, as balls keep it",
            do="Look for an impact that was missed, or one that is not the ball's.",
        )
    return drop


def said_at(drop: HeardDrop, speed: float) -> tuple[float, float]:
    """Give e at another impact speed, as the law of this drop has it.

    Parameters
    ----------
    drop : HeardDrop
        What was heard.
    speed : float
        In m/s.

    Returns
    -------
    tuple of float
        Restitution and its standard uncertainty. Where the impacts do not say how e
        changes with speed, what is usual of balls is taken, and left as open as it is.

    Examples
    --------
    >>> from bouncelab.physics.bounces import bounce_train
    >>> train = bounce_train(drop_height=1.5, restitution=0.75, bounces=7)
    >>> marks = [Mark(str(t), t, 1e-4, True) for t in train.impact_times]
    >>> e, u = said_at(reckon(marks), 5.4)
    >>> round(e, 3), u < 0.01
    (0.75, True)
    """
    fit = drop.fit
    more = speed / float(fit.impact_speed) - 1.0
    turn = np.array([1.0, -more])
    spread = float(turn @ fit.covariance[2:4, 2:4] @ turn)
    # What the fit does not know, of e and of its change with speed.
    grown = max(drop.restitution_u**2 - fit.restitution_u**2, 0.0)
    grown += more**2 * max(drop.slope_u**2 - float(fit.slope_u) ** 2, 0.0)
    return (
        drop.restitution - float(fit.slope) * more,
        float(np.sqrt(max(spread + grown, 0.0))),
    )


def drag_of(ball: Ball | None) -> float:
    """Give the drag constant of a kind of ball in 1/m; 0 if it is not known.

    Parameters
    ----------
    ball : Ball or None
        The kind of ball.

    Returns
    -------
    float
        At sea level and room temperature.

    Examples
    --------
    >>> drag_of(None)
    0.0
    """
    if ball is None:
        return 0.0
    return float(
        drag_constant(
            mass=ball.mass_kg,
            diameter=ball.diameter_m,
            drag_coefficient=ball.drag_coefficient,
            air_density=air_density(),
        )
    )


def as_heights(
    drop: HeardDrop, ball: Ball | None = None, *, drop_height: float | None = None
) -> tuple[float, float]:
    """Give a drop height and a rebound height, as a tape would have given them.

    Parameters
    ----------
    drop : HeardDrop
        What was heard.
    ball : Ball, optional
        The kind of ball, for the air's drag on the way.
    drop_height : float, optional
        Where the ball was let go, in m, if it was measured; the first flight is then
        the rebound. Without it, the top of the first flight counts as the drop, and
        the top of the second one as the rebound.

    Returns
    -------
    tuple of float
        Heights of the lowest point in m.

    Raises
    ------
    InputError
        If the ball would have come back higher than it was dropped.

    Notes
    -----
    Speeds follow from the fit and heights from speeds; nothing is carried back to an
    impact that was not timed from both sides.
    """
    air = drag_of(ball)
    speed = float(drop.fit.impact_speed)
    first = float(height_for_speed(impact_speed=speed, drag_constant=air))
    if drop_height is not None:
        if not first < drop_height or not isfinite(drop_height):
            raise InputError(
                what="the drop height",
                read=show_length(drop_height),
                allowed=f"more than the first bounce, {show_length(first)} high",
                do="Look at the number and its unit, or leave it out.",
            )
        return drop_height, first
    second = rebound_height(
        drop_height=first, restitution=drop.restitution, drag_constant=air
    )
    return first, float(second)
