"""What the tape shows at the limits of a range, whichever point of the ball is read."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bouncelab.catalogue import POINTS, BounceRange, balls
from bouncelab.kinds import Ball
from bouncelab.units import in_unit, show_length

__all__ = ["TapeReadings", "ball_of", "show_both", "show_inches", "tape_readings"]


@dataclass(frozen=True, slots=True)
class TapeReadings:
    """Readings to look for when one point of the ball is read.

    Attributes
    ----------
    point : {"bottom", "top"}
        The point that is read, at the drop and at the rebound.
    drop : float
        Reading at the drop, in m.
    low, high : float or None
        Readings at the rebound between which the ball meets the range, in m; None
        where the range has no such limit.
    asked : tuple of bool
        Whether the source reads this very point at the drop, and at the rebound.
    """

    point: str
    drop: float
    low: float | None
    high: float | None
    asked: tuple[bool, bool]


def ball_of(asked: BounceRange) -> Ball:
    """Give the kind of ball that a range is for.

    Parameters
    ----------
    asked : BounceRange
        The range.

    Returns
    -------
    Ball
        With its usual size.
    """
    return next(each for each in balls() if each.id == asked.ball)


def tape_readings(asked: BounceRange) -> tuple[TapeReadings, TapeReadings]:
    """Give the readings to look for at the bottom and at the top of the ball.

    Parameters
    ----------
    asked : BounceRange
        The range.

    Returns
    -------
    tuple of TapeReadings
        For the bottom, then for the top; the ball has its usual diameter.

    Examples
    --------
    >>> from bouncelab.catalogue import find_range
    >>> bottom, top = tape_readings(find_range("futsal-law-2"))
    >>> bottom.drop, bottom.low, round(top.low, 3)
    (2.0, 0.5, 0.701)
    """
    size = ball_of(asked).diameter_m

    def moved(height: float | None, read: str, point: str) -> float | None:
        if height is None:
            return None
        return height + (POINTS[point] - POINTS[read]) * size

    def at(point: str) -> TapeReadings:
        return TapeReadings(
            point,
            moved(asked.drop_height_m, asked.drop_point, point) or 0.0,
            moved(asked.rebound_min_m, asked.rebound_point, point),
            moved(asked.rebound_max_m, asked.rebound_point, point),
            (
                asked.points_named and asked.drop_point == point,
                asked.points_named and asked.rebound_point == point,
            ),
        )

    return at("bottom"), at("top")


def show_inches(metres: float) -> str:
    """Show a length as a tape does: whole inches and eighths.

    Parameters
    ----------
    metres : float
        The length, in m.

    Returns
    -------
    str
        Rounded to an eighth of an inch.

    Examples
    --------
    >>> show_inches(1.8288), show_inches(0.50)
    ('72 in', '19 5/8 in')
    """
    eighths = round(float(in_unit(metres, "length", "in")) * 8)
    whole, part = divmod(eighths, 8)
    return f"{whole} {Fraction(part, 8)} in" if part else f"{whole} in"


def show_both(metres: float) -> str:
    """Show a length in both systems of units.

    Parameters
    ----------
    metres : float
        In m.

    Returns
    -------
    str
        Centimetres to a millimetre, inches to an eighth.

    Examples
    --------
    >>> show_both(1.8288)
    '182.9 cm (72 in)'
    """
    return f"{show_length(metres, 'cm', 1)} ({show_inches(metres)})"
