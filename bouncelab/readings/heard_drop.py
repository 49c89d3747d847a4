"""What the impacts of one drop say: e, its change with speed, the height, and g."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import isfinite, sqrt
from typing import Any

import numpy as np

from bouncelab.errors import BounceLabError, InputError
from bouncelab.kinds import Ball
from bouncelab.physics.fall import drag_constant
from bouncelab.physics.impact_shell import shell_impact
from bouncelab.physics.surroundings import air_density
from bouncelab.physics.timing import ImpactTiming, fit_impact_times
from bouncelab.readings.impacts import Impact
from bouncelab.units import STANDARD_GRAVITY

__all__ = ["HeardDrop", "best_drop", "read_drop"]

_USUAL_SPEED = 4.5  # m/s, for the contact time of a ball that is known
_USUAL_SLOPE = (0.03, 0.03)  # of e with speed, with its standard uncertainty
_SLOPES = (-0.03, 0.15)  # no ball's is outside
_STEEPEST = 0.4  # as steep as no law that a person may have in mind
_TOLD = 0.7  # of the usual slope's uncertainty; one known no better is not told
_TIMED = 1e-4  # s; no time is trusted more, as a ball's parts sound one by one
_STRICT, _LAX = 3e-4, 1e-3  # s; how far a time may be off though it was said to be sure
_OFF = 4.0  # times its uncertainty a time may be off
_VAGUE = 1.5e-3  # s; a last impact that is timed no better tells nothing
_BREAKS = "breaks the law of the bounces"
_SPARE = 4  # of so many times one may be trusted less
_ASTRAY = 0.01  # s; a time that is farther off is no impact's
_DEADEST, _LIVELIEST = 0.2, 0.95  # e of no ball that bounces on is outside
_LOST = 1.0  # s, the uncertainty of a time that tells nothing
_STRAIGHT = 0.001  # of e, for the straight line
_THREE = 0.005  # of e, where three times leave nothing to show that the law holds
_SHARE = 0.25  # standard uncertainty of drag and of contact time of a known ball
_PERHAPS = {"drag_constant": 0.02, "contact_time": 0.01}  # of a ball not known
_UNKNOWN = 0.8  # the same of one not known, of what it perhaps has
_WORST = 0.06  # of e; a drop that is known no better is not told


@dataclass(frozen=True, slots=True)
class HeardDrop:
    """One drop that was heard.

    Attributes
    ----------
    impacts, u_impacts : tuple of float
        Times of the impacts from the start of the recording with their standard
        uncertainties, in s.
    restitution, restitution_u : float
        At the second impact.
    slope : float or None
        How much e would fall from there to twice the speed; None where the times do
        not say.
    drop_height, drop_height_u : float or None
        In m, if the same law holds for the first impact.
    rejected : tuple of (float, str)
        Times of sounds in between that do not belong, and why.
    fit : ImpactTiming
        All that the times say.
    slope_u : float
        Standard uncertainty of the slope.
    """

    impacts: tuple[float, ...]
    u_impacts: tuple[float, ...]
    restitution: float
    restitution_u: float
    slope: float | None
    drop_height: float | None
    drop_height_u: float | None
    rejected: tuple[tuple[float, str], ...]
    fit: ImpactTiming = field(repr=False)
    slope_u: float = 0.0

    def gravity(
        self, drop_height: float, drop_height_u: float = 0.0
    ) -> tuple[float, float]:
        """Give g from a drop height that was measured, with its uncertainty.

        Parameters
        ----------
        drop_height, drop_height_u : float
            In m.

        Returns
        -------
        tuple of float
            In m/s²; without drag, the height from times goes with g.

        Raises
        ------
        InputError
            If the times give no height.
        """
        if self.drop_height is None or self.drop_height_u is None:
            raise InputError(
                what="g from this drop",
                read="no height that the times would give",
                allowed="a train whose law reaches back to the first impact",
                do="Record another drop, with all its bounces.",
            )
        ratio = drop_height / self.drop_height
        share = sqrt(
            (drop_height_u / drop_height) ** 2
            + (self.drop_height_u / self.drop_height) ** 2
        )
        g = STANDARD_GRAVITY * ratio
        return g, g * share

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {
            "impacts_s": list(self.impacts),
            "u_impacts_s": list(self.u_impacts),
            "e": self.restitution,
            "u_e": self.restitution_u,
            "e_slope": self.slope,
            "drop_height_m": self.drop_height,
            "u_drop_height_m": self.drop_height_u,
        }


def read_drop(
    impacts: Sequence[Impact],
    ball: Ball | None = None,
    *,
    rejected: Sequence[tuple[float, str]] = (),
) -> HeardDrop:
    """Fit the law of bounces to all of some impacts.

    Parameters
    ----------
    impacts : sequence of Impact
        In the order of time, without a gap; three or more.
    ball : Ball, optional
        The kind of ball; its drag and contact time are then corrected for.
    rejected : sequence of (float, str), optional
        Times of sounds that do not belong, and why.

    Returns
    -------
    HeardDrop
        What these impacts say.

    Raises
    ------
    InputError
        If there are too few, no law of bounces fits, or e is far from sure.

    Notes
    -----
    As `fit_impact_times`, with what is usual of the change of e with speed as one value
    more, so that three impacts say something. Where residuals are larger than the
    uncertainties of the times, they count. Drag and contact time are uncertain by a
    quarter of each; of a ball that is not known they are left out, and what they may
    do is in the uncertainty.

    Examples
    --------
    >>> from bouncelab.physics.bounces import bounce_train
    >>> train = bounce_train(drop_height=1.5, restitution=0.75, bounces=7)
    >>> heard = [Impact(t, 1e-4, 9.0, 0.1) for t in train.impact_times]
    >>> round(read_drop(heard).restitution, 3)
    0.75
    """
    corrections = _corrections(ball)
    return _told(impacts, corrections, _law(impacts, corrections), rejected)


def _told(
    impacts: Sequence[Impact],
    corrections: dict[str, Any],
    fit: ImpactTiming,
    rejected: Sequence[tuple[float, str]],
) -> HeardDrop:
    grown = 1.0
    if fit.dof > 0:
        u = np.array([max(each.u, _TIMED) for each in impacts])
        grown = max(1.0, float(np.sqrt(np.sum((fit.residuals / u) ** 2) / fit.dof)))
    law = _THREE if len(impacts) == 3 else _STRAIGHT
    other_e, other_slope, other_height = _otherwise(impacts, corrections, fit)
    u_slope = float(np.hypot(fit.slope_u * grown, other_slope))
    u_e = float(np.hypot(np.hypot(fit.restitution_u * grown, law), other_e))
    steep = abs(fit.slope) > _STEEPEST
    if steep or not u_e < _WORST or not 0 < fit.restitution < 1:
        raise InputError(
            what="these impacts",
            read=f"e = {fit.restitution:.2f}, and far from sure",
            allowed="times that one law of bounces fits well",
            do="Look for an impact that was missed, or one that is not the ball's.",
        )
    height = fit.drop_height if isfinite(fit.drop_height) else None
    u_height = np.hypot(fit.drop_height_u * grown, other_height)
    return HeardDrop(
        impacts=tuple(each.time for each in impacts),
        u_impacts=tuple(each.u for each in impacts),
        restitution=fit.restitution,
        restitution_u=u_e,
        slope=fit.slope if u_slope < _TOLD * _USUAL_SLOPE[1] else None,
        drop_height=height,
        drop_height_u=None if height is None else float(u_height),
        rejected=tuple(sorted(rejected)),
        fit=fit,
        slope_u=u_slope,
    )


def best_drop(impacts: Sequence[Impact], ball: Ball | None = None) -> HeardDrop | None:
    """Fit the law of bounces to the longest run of impacts that keeps it.

    Parameters
    ----------
    impacts : sequence of Impact
        In the order of time, perhaps with some that do not belong.
    ball : Ball, optional
        The kind of ball.

    Returns
    -------
    HeardDrop or None
        Of the run; the other impacts are among its rejected sounds. None where no
        three keep a law.
    """
    corrections = _corrections(ball)
    clear = list(impacts)
    while len(clear) > 3 and clear[-1].u > _VAGUE:
        clear.pop()
    for size in range(len(clear), 2, -1):
        runs = [clear[k : k + size] for k in range(len(clear) - size + 1)]
        for least in (_STRICT, _LAX):
            kept = [_trusted(run, corrections, least) for run in runs]
            found = [each for each in kept if each is not None]
            if found:
                _, chosen, fit = min(found, key=lambda each: each[0])
                inside = {each.time for each in chosen}
                rejected = [
                    (each.time, "too faint" if each.u > _VAGUE else _BREAKS)
                    for each in impacts
                    if each.time not in inside
                ]
                try:
                    return _told(chosen, corrections, fit, rejected)
                except InputError:
                    return None
    return None


def _trusted(
    run: Sequence[Impact], corrections: dict[str, Any], least: float
) -> tuple[float, list[Impact], ImpactTiming] | None:
    """Give how well a run keeps a law, few of its times trusted less, and the fit."""
    tried = list(run)
    for _ in range(len(run) // _SPARE + 1):
        fit = _perhaps(tried, corrections)
        if fit is None:
            return None
        worst = _misfit(tried, fit, least)
        if worst <= _OFF:
            usual = _SLOPES[0] <= fit.slope <= _SLOPES[1]
            ball = usual and _DEADEST < fit.restitution < _LIVELIEST
            return (worst, tried, fit) if ball else None
        # The time without which the others agree best is trusted less.
        others = []
        for k in range(1, len(tried) - 1):
            less = list(tried)
            less[k] = replace(tried[k], u=_LOST)
            without = _perhaps(less, corrections)
            if without is not None:
                off = max(float(np.abs(without.residuals[k])), tried[k].u)
                others.append((_misfit(less, without, least), k, off))
        if not others:
            return None
        _, k, off = min(others)
        if off > _ASTRAY:
            return None
        tried[k] = replace(tried[k], u=off)
    return None


def _misfit(run: Sequence[Impact], fit: ImpactTiming, least: float) -> float:
    u = np.array([max(each.u, least) for each in run])
    return float((np.abs(fit.residuals) / u).max())


def _law(impacts: Sequence[Impact], corrections: dict[str, Any]) -> ImpactTiming:
    return fit_impact_times(
        np.array([each.time for each in impacts]),
        time_uncertainty=np.array([max(each.u, _TIMED) for each in impacts]),
        usual_slope=_USUAL_SLOPE,
        **corrections,
    )


def _perhaps(
    impacts: Sequence[Impact], corrections: dict[str, Any]
) -> ImpactTiming | None:
    try:
        return _law(impacts, corrections)
    except BounceLabError:
        return None


def _otherwise(
    impacts: Sequence[Impact], corrections: dict[str, Any], fit: ImpactTiming
) -> tuple[float, float, float]:
    """Give how far e, slope and height move with what drag and contact may be."""
    e = slope = height = 0.0
    for name, usual in _PERHAPS.items():
        share = _SHARE * corrections[name] if name in corrections else _UNKNOWN * usual
        moved = corrections | {name: corrections.get(name, 0.0) + share}
        other = _perhaps(impacts, moved)
        if other is None:
            continue
        e = np.hypot(e, other.restitution - fit.restitution)
        slope = np.hypot(slope, other.slope - fit.slope)
        if isfinite(other.drop_height) and isfinite(fit.drop_height):
            height = np.hypot(height, other.drop_height - fit.drop_height)
    return float(e), float(slope), float(height)


def _corrections(ball: Ball | None) -> dict[str, Any]:
    if ball is None:
        return {}
    drag = drag_constant(
        mass=ball.mass_kg,
        diameter=ball.diameter_m,
        drag_coefficient=ball.drag_coefficient,
        air_density=air_density(),
    )
    told: dict[str, Any] = {"drag_constant": float(drag)}
    if ball.usual_gauge_pressure_pa is not None:
        contact = shell_impact(
            mass=ball.mass_kg,
            diameter=ball.diameter_m,
            gauge_pressure=float(np.mean(ball.usual_gauge_pressure_pa)),
            impact_speed=_USUAL_SPEED,
            curves=False,
        ).contact_time
        told["contact_time"] = float(contact)
    return told
