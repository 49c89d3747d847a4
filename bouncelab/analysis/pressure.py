"""How much air does a ball need? Bounce against pressure, and the pressure wanted."""

from __future__ import annotations

import html
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.air_to_add import STROKE, air_to_add, over_the_mark
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.curves import Curve, fit_curve
from bouncelab.analysis.levels import Levels, levels_of, rows_of
from bouncelab.analysis.names import about_names
from bouncelab.analysis.tuning_words import (
    another_ball,
    does_not_rise,
    how_sure,
    other_height,
    too_little,
    where_it_stands,
    whole,
)
from bouncelab.analysis.words import plain
from bouncelab.catalogue import POINTS, BounceRange
from bouncelab.chance_laws import student_quantile
from bouncelab.errors import InputError
from bouncelab.kinds import find_ball
from bouncelab.units import show_pressure

__all__ = ["CAUTION", "Tuning", "tune_pressure"]

Numbers = NDArray[np.float64]

CAUTION = (
    "Never pump a ball above the pressure printed on it: it may burst. Wet the needle, "
    "keep faces away from the valve, and follow your school's rules."
)
_BEYOND = 0.1  # of the measured range of pressures; further is a guess
_NEARLY_FLAT = 14e3  # Pa; below it the curve is known to fail
_POINTS_ON_CURVE = 2001
_COVERAGE = 0.95


@dataclass(frozen=True, slots=True)
class Tuning:
    """The pressure that brings a ball to a range.

    Attributes
    ----------
    ball, range : str
        The ball's name and the range's id.
    levels : Levels or None
        What was measured.
    curve, second : Curve or None
        Ratio of heights against pressure; the second opinion is one of e.
    target : float or None
        Ratio of heights in the middle of the range.
    window : tuple of float
        The range's limits as ratios of heights; infinite where there is none.
    best, low, high : float or None
        Gauge pressure in Pa at which the mean rebound is in the middle of the
        range, and the ends of its 95 % interval.
    safe_low, safe_high : float or None
        Between these, a single drop stays in the range with a probability of 95 %.
    second_best : float or None
        The second opinion on `best`.
    reasons : tuple of str
        Why something cannot be told.
    now : float or None
        Gauge pressure in the ball now, in Pa: as said, or written down last.
    air : str
        How much air to add or let out from there; empty if it cannot be told.
    """

    ball: str
    range: str
    levels: Levels | None
    curve: Curve | None
    second: Curve | None
    target: float | None
    window: tuple[float, float]
    best: float | None
    low: float | None
    high: float | None
    safe_low: float | None
    safe_high: float | None
    second_best: float | None
    reasons: tuple[str, ...]
    now: float | None = None
    air: str = ""

    @property
    def advice(self) -> str:
        """What to do, in a sentence or two."""
        said = []
        if self.best is not None:
            text = f"Set {whole(self.best)} ({show_pressure(self.best, 'psi', 1)})"
            text += how_sure(self.low, self.high)
            said.append(f"{text}.")
        if self.air and self.now is not None:
            said.append(f"From {whole(self.now)}: {self.air}")
        if self.safe_low is not None and self.safe_high is not None:
            said.append(
                f"Between {whole(self.safe_low)} and "
                f"{whole(self.safe_high)} a single drop stays in the range "
                "19 times out of 20."
            )
        return " ".join([*said, *self.reasons])

    @property
    def caution(self) -> str:
        """What to mind whenever air is added."""
        return CAUTION

    def __str__(self) -> str:
        return f"{self.ball}, {self.range}: {self.advice} {CAUTION}"

    def _repr_html_(self) -> str:
        return f"<p>{html.escape(self.advice)}</p><p>{html.escape(CAUTION)}</p>"

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        curve = self.curve
        return {
            "ball": self.ball,
            "range": self.range,
            "curve": {
                "form": f"e² = {curve.form}" if curve else None,
                "a": plain(curve.a) if curve else None,
                "b": plain(curve.b) if curve else None,
                "c": plain(curve.c) if curve else None,
            },
            "best_pa": plain(self.best),
            "low_pa": plain(self.low),
            "high_pa": plain(self.high),
            "safe_low_pa": plain(self.safe_low),
            "safe_high_pa": plain(self.safe_high),
            "second_opinion_pa": plain(self.second_best),
            "advice": self.advice,
            "caution": CAUTION,
        }


def tune_pressure(
    found: Bounciness,
    *,
    ball: str,
    range: BounceRange,
    gauge_uncertainty: float = 1500.0,
    maximum: float | None = None,
    now: float | None = None,
    stroke: float = STROKE,
) -> Tuning:
    r"""Give the gauge pressure that brings a ball to a bounce range.

    Parameters
    ----------
    found : Bounciness
        A class's results, with drops of the ball at several pressures.
    ball : str
        The ball's name, as the class wrote it.
    range : BounceRange
        The range to meet.
    gauge_uncertainty : float, optional
        Standard uncertainty of the gauge in Pa; 1.5 kPa is common practice, no
        source.
    maximum : float, optional
        The marked maximum in Pa; that of the kind of ball if left out. What is
        printed on the ball comes before both. Over-inflation is dangerous.
    now : float, optional
        Gauge pressure in the ball now, in Pa; the one written down last if left out.
    stroke : float, optional
        What one stroke of the pump moves, in m³.

    Returns
    -------
    Tuning
        With None and a reason for what cannot be told.

    Raises
    ------
    InputError
        If no such ball was dropped, or a number is below zero.

    Notes
    -----
    The curve :math:`e^2 = a - b/(p + c)` through the means, see `fit_curve`; the
    interval holds the pressures at which the curve and the target agree within
    their uncertainty [1]_. No pressure is given that lies further than a tenth of
    the measured range outside it, below zero or above the marked maximum. The
    exponential for e is the second opinion. Nearly flat balls, below about
    14 kPa, do not follow the curve.

    References
    ----------
    .. [1] The inverse of a calibration line, JCGM 100:2008 (GUM), annex H.3.

    Examples
    --------
    >>> from bouncelab import bounciness, check_drops, find_range, read_drops
    >>> from bouncelab.places import kit_folder
    >>> drops = check_drops(read_drops(kit_folder("data") / "larkfield_class.csv"))
    >>> result = tune_pressure(
    ...     bounciness(drops),
    ...     ball="Basketball size 7",
    ...     range=find_range("basketball-fiba-1998"),
    ... )
    >>> result.safe_low < 55e3 < result.safe_high
    True
    """
    if not gauge_uncertainty >= 0:
        raise InputError(
            what="the gauge's uncertainty",
            read=f"{gauge_uncertainty:g} Pa",
            allowed="0 Pa or more",
            do="Look it up on the gauge, or leave it out.",
        )
    rows = rows_of(found, ball)
    name = rows[0].ball
    kind = find_ball(name)
    if maximum is None and kind is not None:
        maximum = kind.max_gauge_pressure_pa
    nothing: dict[str, Any] = dict.fromkeys(
        ("curve", "second", "target", "best", "low", "high", "safe_low", "safe_high")
    )
    nothing |= {"second_best": None, "window": (-np.inf, np.inf)}
    levels = levels_of(rows)
    named = [x for x in about_names(found.drops.table["ball"]) if f"“{name}”" in x]
    other = (*another_ball(range, kind), *named)
    reasons = too_little(levels)
    if levels is None:
        return Tuning(name, range.id, levels, reasons=(*reasons, *other), **nothing)
    window = _window(range, levels)
    stands = where_it_stands(levels, window)
    if reasons:
        more = (*reasons, *stands, *other)
        return Tuning(name, range.id, levels, reasons=more, **nothing)
    variance = levels.spread**2 / levels.n
    curve = fit_curve(
        "a - b/(p + c)",
        pressure=levels.pressure,
        value=levels.ratio,
        variance=variance,
        gauge_uncertainty=gauge_uncertainty,
    )
    e = np.sqrt(levels.ratio)
    second = fit_curve(
        "a - b exp(-p/c)",
        pressure=levels.pressure,
        value=e,
        variance=variance / (4 * levels.ratio),
        gauge_uncertainty=gauge_uncertainty,
    )
    told = {**nothing, "curve": curve, "second": second, "window": window}
    told |= _solve(curve, levels, window, maximum)
    if told["target"] is not None:
        opinion = second.pressure_for(float(np.sqrt(max(told["target"], 0.0))))
        told["second_best"] = plain(opinion) if told["best"] is not None else None
    more = (*told.pop("reasons"), *(stands if told["best"] is None else ()))
    more += (*does_not_rise(curve, levels), *other, *other_height(range, rows))
    if now is None:
        now = max(rows, key=lambda row: row.trials.line.max(initial=0)).gauge_pressure
    air = ""
    if now is not None:
        air = over_the_mark(now, maximum)
        if told["best"] is not None and levels.diameter is not None:
            air = air_to_add(
                now=now,
                best=told["best"],
                diameter=levels.diameter,
                stroke=stroke,
                maximum=maximum,
            )
    return Tuning(name, range.id, levels, reasons=more, now=now, air=air, **told)


def _window(range: BounceRange, levels: Levels) -> tuple[float, float]:
    """Give the range's limits as ratios of heights of the lowest point."""
    across = levels.diameter or 0.0
    drop = range.drop_height_m - POINTS[range.drop_point] * across
    under = POINTS[range.rebound_point] * across
    low, high = range.rebound_min_m, range.rebound_max_m
    return (
        -np.inf if low is None else (low - under) / drop,
        np.inf if high is None else (high - under) / drop,
    )


def _solve(
    curve: Curve, levels: Levels, window: tuple[float, float], maximum: float | None
) -> dict[str, Any]:
    reasons: list[str] = []
    low, high = window
    both = np.isfinite(low) and np.isfinite(high)
    target = (low + high) / 2 if both else (low if np.isfinite(low) else high)
    p = levels.pressure
    reach = _BEYOND * (p[-1] - p[0])
    floor, ceiling = max(p[0] - reach, 0.0), p[-1] + reach
    if maximum is not None:
        ceiling = min(ceiling, maximum)
    grid = np.linspace(floor, ceiling, _POINTS_ON_CURVE)
    shown = curve.at(grid)
    own = np.hypot(curve.uncertainty(grid), levels.shared)
    doubt = np.hypot(own, levels.of_groups)
    # Welch–Satterthwaite: what few groups tell of themselves is not much.
    freedom = doubt**4 / (
        own**4 / levels.dof + levels.of_groups**4 / max(levels.groups - 1, 1)
    )
    t = student_quantile(freedom, 0.5 + _COVERAGE / 2)
    one = t * np.hypot(doubt, levels.spread)
    inside = (shown - one >= low) & (shown + one <= high)
    told: dict[str, Any] = {"target": float(target), "reasons": reasons}
    if inside.any():
        told["safe_low"] = float(grid[inside][0])
        told["safe_high"] = float(grid[inside][-1])
    best = curve.pressure_for(float(target))
    if floor <= best <= ceiling:
        close = np.abs(shown - target) <= t * doubt
        told["best"] = float(best)
        told["low"], told["high"] = _around(grid, close, best)
        if best < _NEARLY_FLAT:
            reasons.append("Nearly flat balls do not follow the curve: try it out.")
    elif maximum is not None and best > maximum:
        reasons.append(
            "The middle of the range would need more than the marked maximum of "
            f"{show_pressure(maximum)}: do not go there."
        )
    else:
        reasons.append(
            f"The middle of the range is not reached between {whole(floor)} and "
            f"{whole(ceiling)}; so far the curve may be used, and it says "
            "nothing beyond."
        )
    if not inside.any():
        reasons.append("At no measured pressure is a single drop safely in the range.")
    return told


def _around(
    grid: Numbers, good: NDArray[np.bool_], best: float
) -> tuple[float | None, float | None]:
    """Give the ends of the run of good pressures that holds the best one."""
    at = int(np.searchsorted(grid, best))
    bad = np.flatnonzero(~good)
    before, after = bad[bad < at], bad[bad >= at]
    low = float(grid[before[-1]]) if before.size else None
    high = float(grid[after[0]]) if after.size else None
    return low, high
