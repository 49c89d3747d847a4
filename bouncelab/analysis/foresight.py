"""What a lesson will be able to tell, before a single ball is dropped."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

from bouncelab.analysis.quality import ReadingQuality
from bouncelab.physics.certainty import restitution_uncertainty

__all__ = [
    "POWER",
    "Assumed",
    "chance_to_see",
    "expected_expanded",
    "smallest_difference",
]

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


def chance_to_see(
    gap: float, groups: int, drops: int, pairs: int, told: Assumed
) -> float:
    """Give the chance that a difference between two balls is seen.

    Parameters
    ----------
    gap : float
        The difference in e.
    groups, drops, pairs : int
        As in `smallest_difference`.
    told : Assumed
        What is taken for granted.

    Returns
    -------
    float
        Of a paired t test on the groups' means, or with one group of a t test on its
        drops, at a risk of 0.05 shared among all pairs; from the noncentral t
        distribution.
    """
    from scipy.special import nctdtr, stdtrit

    risk = 0.05 / max(pairs, 1)
    if groups > 1:
        error = sqrt(2 * (told.own_spread**2 + told.drop_spread**2 / drops) / groups)
        freedom = groups - 1.0
    else:
        error, freedom = told.drop_spread * sqrt(2 / drops), 2.0 * drops - 2
    edge = float(stdtrit(freedom, 1 - risk / 2))
    away = gap / error
    if away > 30:  # beyond what the function can do, and beyond doubt
        return 1.0
    return float(2 - nctdtr(freedom, away, edge) - nctdtr(freedom, -away, edge))


def smallest_difference(groups: int, drops: int, pairs: int, told: Assumed) -> float:
    """Give the difference in e that is seen four times out of five.

    Parameters
    ----------
    groups : int
        That drop both balls.
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
    if chance_to_see(high, groups, drops, pairs, told) < POWER:
        return inf
    for _ in range(40):
        middle = (low + high) / 2
        if chance_to_see(middle, groups, drops, pairs, told) >= POWER:
            high = middle
        else:
            low = middle
    return high


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
    from scipy.special import stdtrit

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
    return sqrt((float(stdtrit(freedom, 0.975)) * scatter) ** 2 + (2 * shared) ** 2)
