"""What can be said of a ball's pressure where its curve does not say all."""

from __future__ import annotations

from collections.abc import Sequence

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.conformity import SAME_HEIGHT
from bouncelab.analysis.curves import Curve
from bouncelab.analysis.levels import Levels
from bouncelab.catalogue import POINTS, Ball, BounceRange
from bouncelab.units import show_length, show_pressure

__all__ = [
    "another_ball",
    "does_not_rise",
    "how_sure",
    "other_height",
    "too_little",
    "where_it_stands",
    "whole",
]

_LEAST_LEVELS = 4
_SURE = 2.0  # standard uncertainties by which a rise must pass zero


def whole(pascals: float) -> str:
    """Show a pressure as a gauge in a gym can be read.

    Parameters
    ----------
    pascals : float
        Gauge pressure in Pa.

    Returns
    -------
    str
        In whole kilopascals.
    """
    return show_pressure(pascals, "kPa", 0)


def how_sure(low: float | None, high: float | None) -> str:
    """Say between which pressures the best one lies; continues a sentence.

    Parameters
    ----------
    low, high : float or None
        Ends of the 95 % interval in Pa; None where it leaves what was measured.

    Returns
    -------
    str
        Without a full stop.

    Examples
    --------
    >>> how_sure(None, 31e3)
    '. With 95 % confidence it is at most 31 kPa; how low, these drops cannot tell'
    """
    if low is not None and high is not None:
        return (
            ". With 95 % confidence the pressure for the middle of the range is "
            f"between {whole(low)} and {whole(high)}"
        )
    if low is None and high is None:
        return ". How far it may lie from there, these drops cannot tell"
    if low is None and high is not None:
        side, other = f"at most {whole(high)}", "low"
    else:
        side, other = f"at least {whole(low or 0.0)}", "high"
    return f". With 95 % confidence it is {side}; how {other}, these drops cannot tell"


def too_little(levels: Levels | None) -> tuple[str, ...]:
    """Say why no curve can be laid through what was measured.

    Parameters
    ----------
    levels : Levels or None
        What was measured.

    Returns
    -------
    tuple of str
        Empty if there is enough.
    """
    if levels is None:
        return ("No pressure was written down for this ball.",)
    count = levels.pressure.size
    if count < _LEAST_LEVELS:
        return (
            f"This ball was dropped at {count} pressure{'s' * (count > 1)}; at least "
            f"{_LEAST_LEVELS} are needed, better five or six on both sides of the "
            "bounce that is wanted.",
        )
    if levels.dof < 1:
        return ("Drop the ball more than once at each pressure.",)
    return ()


def where_it_stands(levels: Levels, window: tuple[float, float]) -> tuple[str, ...]:
    """Say at which pressures the mean bounce was in the range, as measured.

    Parameters
    ----------
    levels : Levels
        What was measured.
    window : tuple of float
        The range's limits as ratios of heights.

    Returns
    -------
    tuple of str
        One sentence.
    """
    low, high = window
    under, over = levels.ratio < low, levels.ratio > high
    if under.all():
        said = "Wherever it was tried, it bounced lower than the range: it needs more"
        return (f"{said} air, as far as its marked maximum allows.",)
    if over.all():
        said = "Wherever it was tried, it bounced higher than the range: it needs less"
        return (f"{said} air. Try lower pressures.",)
    inside = [whole(float(p)) for p in levels.pressure[~under & ~over]]
    if inside:
        named = " and ".join(filter(None, [", ".join(inside[:-1]), inside[-1]]))
        return (f"As measured, its mean bounce was in the range at {named}.",)
    return ("It bounced below the range at some pressures and above it at others.",)


def does_not_rise(curve: Curve, levels: Levels) -> tuple[str, ...]:
    """Say that the bounce does not rise with the pressure, where that is so.

    Parameters
    ----------
    curve : Curve
        Fitted to the levels.
    levels : Levels
        What was measured.

    Returns
    -------
    tuple of str
        One sentence, or none.
    """
    ends = levels.pressure[[0, -1]]
    rise = float(curve.at(ends[1]) - curve.at(ends[0]))
    apart = curve.slopes(ends)
    apart = apart[:, 1] - apart[:, 0]
    doubt = max(float(apart @ curve.covariance @ apart), 0.0) ** 0.5
    if rise > _SURE * doubt and curve.b > 0:
        return ()
    return (
        f"From {whole(float(ends[0]))} to {whole(float(ends[1]))} the bounce does not "
        "rise beyond its scatter, so it says little about the pressure.",
    )


def another_ball(range: BounceRange, kind: Ball | None) -> tuple[str, ...]:
    """Say that a range is for another kind of ball, where it is.

    Parameters
    ----------
    range : BounceRange
        The range.
    kind : Ball or None
        The kind of the ball that was dropped, if its name tells.

    Returns
    -------
    tuple of str
        One sentence, or none.
    """
    if kind is None or kind.id == range.ball:
        return ()
    return (
        f"The range {range.id} is for another kind of ball: it is for {range.ball}, "
        f"and this is {kind.id}. Is it the one you mean?",
    )


def other_height(range: BounceRange, rows: Sequence[BallBounce]) -> tuple[str, ...]:
    """Say that the class dropped from another height than the range, where it did.

    Parameters
    ----------
    range : BounceRange
        The range.
    rows : sequence of BallBounce
        The ball's conditions, at least one.

    Returns
    -------
    tuple of str
        One sentence, or none.
    """
    across = rows[0].diameter or 0.0
    asked = range.drop_height_m - POINTS[range.drop_point] * across
    made = rows[0].drop_height
    if abs(made - asked) <= SAME_HEIGHT * asked:
        return ()
    return (
        f"The range drops from {show_length(asked)} and the class from "
        f"{show_length(made)}: a ball gives back a little less from higher up.",
    )
