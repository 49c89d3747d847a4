"""What a lesson will be able to tell, before a single ball is dropped."""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import exp, inf, lgamma, sqrt
from typing import Any

from bouncelab.analysis.quality import ReadingQuality
from bouncelab.chance_laws import student_beyond, student_quantile
from bouncelab.errors import InputError
from bouncelab.physics.certainty import restitution_uncertainty

__all__ = [
    "POWER",
    "Assumed",
    "Meeting",
    "chance_to_see",
    "expected_expanded",
    "expected_gap",
    "smallest_difference",
]

_MOST = 3600.0  # no number in a plan is larger: seconds of an hour
POWER = 0.8  # what counts as seen: four times out of five


@dataclass(frozen=True, slots=True)
class Assumed:
    """What a plan takes for granted; common practice, no source.

    Attributes
    ----------
    drop_seconds : float
        For one drop with reading and writing.
    change_seconds : float
        To pass the balls on and change roles.
    pump_seconds : float
        To bring one ball to its next pressure and read the gauge.
    begin_minutes, end_minutes : float
        To set out and predict, and to clear up and talk.
    slack : float
        Share of the time on the floor that something always takes.
    drop_spread : float
        Standard deviation of e from drop to drop of one group.
    group_spread : float
        From group to group, the same for all balls.
    own_spread : float
        From group to group, otherwise for each ball.
    drop_height, e : float
        A usual drop height in m and a usual e, for the share of the tape.

    Raises
    ------
    InputError
        If one of them is below zero or no number; seconds for a drop, its spread,
        the drop height and e must be above zero, and e below 1.
    """

    drop_seconds: float = 30.0
    change_seconds: float = 60.0
    pump_seconds: float = 90.0
    begin_minutes: float = 10.0
    end_minutes: float = 10.0
    slack: float = 0.1
    drop_spread: float = 0.0075
    group_spread: float = 0.006
    own_spread: float = 0.003
    drop_height: float = 1.8
    e: float = 0.75

    def __post_init__(self) -> None:
        for each in fields(self):
            read = getattr(self, each.name)
            whole = each.name in ("drop_seconds", "drop_spread", "drop_height", "e")
            most = 1.0 if each.name in ("e", "slack") else _MOST
            if not 0 <= read <= most or (whole and read == 0) or self.e == 1:
                raise InputError(
                    what=f"what is assumed: {each.name}",
                    read=str(read),
                    allowed=f"{'above' if whole else 'from'} 0, up to {most:g}",
                    do="Time one group and take what it needs.",
                )

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {each.name: getattr(self, each.name) for each in fields(self)}


@dataclass(frozen=True, slots=True)
class Meeting:
    """How two balls meet groups.

    Attributes
    ----------
    shared : int
        Groups that drop both.
    fewer, more : int
        Groups that drop the one, and the other.
    """

    shared: int
    fewer: int
    more: int


def chance_to_see(
    gap: float, met: Meeting, drops: int, pairs: int, told: Assumed
) -> float:
    """Give the chance that a difference between two balls is seen.

    Parameters
    ----------
    gap : float
        The difference in e.
    met, drops, pairs : Meeting and int
        As in `smallest_difference`.
    told : Assumed
        What is taken for granted.

    Returns
    -------
    float
        Of a paired t test on the groups' means where two groups or more drop both,
        of a t test on the means where others drop them, of one on the drops where a
        single group has all, at a risk of 0.05 shared among all pairs; from the
        noncentral t distribution. Zero where a ball cannot be told from its group.
    """
    risk = 0.05 / max(pairs, 1)
    error, freedom = _error(met, drops, told)
    if error == inf:
        return 0.0
    edge = float(student_quantile(freedom, 1 - risk / 2))
    return student_beyond(freedom, gap / error, edge)


def _error(met: Meeting, drops: int, told: Assumed) -> tuple[float, float]:
    """Give the standard error of a difference and its degrees of freedom."""
    drop = told.drop_spread**2 / drops
    if met.shared > 1:
        error = sqrt(2 * (told.own_spread**2 + drop) / met.shared)
        return error, met.shared - 1.0
    if met.fewer > 1:
        each = told.group_spread**2 + told.own_spread**2 + drop
        x, y = each / met.fewer, each / met.more
        share = x**2 / (met.fewer - 1) + y**2 / (met.more - 1)
        return sqrt(x + y), (x + y) ** 2 / share
    if met.shared == met.more == 1:
        return sqrt(2 * drop), 2.0 * drops - 2
    return inf, 1.0


def smallest_difference(met: Meeting, drops: int, pairs: int, told: Assumed) -> float:
    """Give the difference in e that is seen four times out of five.

    Parameters
    ----------
    met : Meeting
        The groups of both balls.
    drops : int
        Of each ball by each group.
    pairs : int
        Of balls, among which the risk of a false alarm is shared.
    told : Assumed
        What is taken for granted.

    Returns
    -------
    float
        Infinite if even a difference of 0.5 is not seen.
    """
    low, high = 0.0, 0.5
    if chance_to_see(high, met, drops, pairs, told) < POWER:
        return inf
    for _ in range(40):
        middle = (low + high) / 2
        if chance_to_see(middle, met, drops, pairs, told) >= POWER:
            high = middle
        else:
            low = middle
    return high


def expected_gap(met: Meeting, drops: int, told: Assumed) -> float:
    """Give the expected half-width of the 95 % interval of a difference in e.

    Parameters
    ----------
    met : Meeting
        The groups of both balls.
    drops : int
        By each of them.
    told : Assumed
        What is taken for granted.

    Returns
    -------
    float
        Infinite where a ball cannot be told from its group.
    """
    error, freedom = _error(met, drops, told)
    return _usual_width(freedom) * error


def _usual_width(freedom: float) -> float:
    """Give the mean half-width of 95 % intervals, in standard errors.

    Student's quantile times the mean of an estimated standard deviation, which with
    few degrees of freedom is below the true one.
    """
    below = exp(lgamma((freedom + 1) / 2) - lgamma(freedom / 2))
    return float(student_quantile(freedom, 0.975)) * below * sqrt(2 / freedom)


def expected_expanded(groups: int, drops: int, told: Assumed) -> float:
    """Give the expected half-width of the 95 % interval of one ball's e.

    Parameters
    ----------
    groups : int
        That drop it.
    drops : int
        By each of them.
    told : Assumed
        What is taken for granted.

    Returns
    -------
    float
        Scatter (Type A) and the tape and marks (Type B) together.
    """
    quality = ReadingQuality()
    if groups > 1:
        variance = (
            told.group_spread**2 + told.own_spread**2 + told.drop_spread**2 / drops
        )
        scatter, freedom = sqrt(variance / groups), groups - 1
    else:
        scatter, freedom = told.drop_spread / sqrt(drops), drops - 1
    each = quality.tape_offset_half_width / sqrt(3)
    shared = float(
        restitution_uncertainty(
            drop_height=told.drop_height,
            rebound_height=told.drop_height * told.e**2,
            drop_u=quality.drop_half_width / sqrt(3),
            rebound_u=each,
        )
    )
    return sqrt((_usual_width(freedom) * scatter) ** 2 + (2 * shared) ** 2)
