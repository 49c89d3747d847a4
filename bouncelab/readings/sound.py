"""What a recording of bounces says: e, its change with speed, drop height, g."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from math import isfinite, sqrt
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import BounceLabError, InputError
from bouncelab.kinds import Ball, find_ball
from bouncelab.physics.fall import drag_constant
from bouncelab.physics.impact_shell import shell_impact
from bouncelab.physics.surroundings import air_density
from bouncelab.physics.timing import ImpactTiming, fit_impact_times
from bouncelab.readings.impacts import Impact, find_impacts
from bouncelab.readings.recordings import open_recording
from bouncelab.readings.trains import Found, find_trains, steady_beat
from bouncelab.units import STANDARD_GRAVITY

__all__ = ["Heard", "HeardDrop", "hear", "listen"]

Numbers: TypeAlias = NDArray[np.float64]

_USUAL_SPEED = 4.5  # m/s, for the contact time of a ball that is known
_FIT_NOISE = 4.0  # how many times its stated uncertainty a residual may be
_SLOPES = (-0.03, 0.15)  # of e with speed; no ball's is outside
_ONE_E = 0.004  # of e, for one e in a train that changes with speed
_THREE = 0.02  # of e, for a train of three
_NO_AIR = 5e-4  # of e, times the speed squared: drag of a ball that is not known
_LEAST_AIR = 0.002  # of e, for its contact time
_AIR = 0.001  # the same for one that is: its kind's values, not its own
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
        How much e would fall from there to twice the speed.
    drop_height, drop_height_u : float or None
        In m, if the same law holds for the first impact.
    rejected : tuple of (float, str)
        Times of sounds in between that do not belong, and why.
    fit : ImpactTiming
        All that the times say.
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


@dataclass(frozen=True, slots=True)
class Heard:
    """What was heard in a recording.

    Attributes
    ----------
    drops : tuple of HeardDrop
        In the order of time.
    why : str
        Why there is none, or what else to know.
    seconds : float
        Length of the recording.
    impacts : tuple of Impact
        Every sudden sound.
    outline : ndarray
        Largest value of the sound in each 10 ms, for a picture.
    ball : str or None
        Kind of ball whose drag and contact time are corrected for.
    """

    drops: tuple[HeardDrop, ...]
    why: str
    seconds: float
    impacts: tuple[Impact, ...] = field(repr=False)
    outline: Numbers = field(repr=False)
    ball: str | None = None

    @property
    def words(self) -> list[str]:
        """What was heard, in sentences."""
        said = []
        for k, drop in enumerate(self.drops, start=1):
            text = (
                f"Drop {k}, from {drop.impacts[0]:.2f} s on: {len(drop.impacts)} "
                f"impacts, e = {drop.restitution:.3f} ± {2 * drop.restitution_u:.3f} "
                "at the second"
            )
            if drop.drop_height is not None and drop.drop_height_u is not None:
                text += (
                    f"; dropped from {100 * drop.drop_height:.0f} ± "
                    f"{200 * drop.drop_height_u:.0f} cm, if e is the same law there"
                )
            said.append(f"{text}.")
        return [*said, self.why] if self.why else said

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {"drops": [each.to_dict() for each in self.drops], "why": self.why}


def listen(
    path: Path,
    *,
    ball: str | None = None,
    progress: Callable[[float], None] | None = None,
) -> Heard:
    """Listen to a recording of a bouncing ball.

    Parameters
    ----------
    path : pathlib.Path
        WAV, FLAC, OGG or MP3; with the extra ``phone`` also what phones save.
    ball : str, optional
        What ball it is, as a class calls it: its drag and contact time are then
        corrected for.
    progress : callable, optional
        Told the seconds heard so far.

    Returns
    -------
    Heard
        Drops with their impacts; none and a reason if no ball was heard.

    Raises
    ------
    FileError
        If it is no recording.
    InputError
        If the ball is not known.
    """
    kind = _kind(ball)
    with open_recording(path) as recording:
        return hear(recording.blocks, recording.rate, ball=kind, progress=progress)


def _kind(name: str | None) -> Ball | None:
    if name is None:
        return None
    kind = find_ball(name)
    if kind is None:
        raise InputError(
            what="the ball",
            read=f"“{name}”",
            allowed="a kind of ball that the kit knows, such as futsal ball",
            do="Write it as bouncelab ranges does, or leave it out.",
        )
    return kind


def hear(
    blocks: Iterable[Numbers],
    rate: int,
    *,
    ball: Ball | None = None,
    progress: Callable[[float], None] | None = None,
) -> Heard:
    """Find the drops in sound that is at hand.

    Parameters
    ----------
    blocks : iterable of ndarray
        Mono samples.
    rate : int
        Samples a second.
    ball : Ball, optional
        The kind of ball.
    progress : callable, optional
        Told the seconds heard so far.

    Returns
    -------
    Heard
        As `listen`.

    Notes
    -----
    Sound takes the same time to a microphone at rest from each impact, so it falls
    out of the intervals. Times are fitted by `fit_impact_times`.

    References
    ----------
    .. [1] C. E. Aguiar and F. Laudares, *Am. J. Phys.* 71 (2003) 499.
    """
    count = 0

    def counted() -> Iterable[Numbers]:
        nonlocal count
        for block in blocks:
            count += block.size
            yield block

    impacts, outline = find_impacts(counted(), rate, progress=progress)
    seconds = count / rate
    drops, doubted = [], 0
    for found in find_trains(impacts, seconds):
        drop = _drop(found, ball)
        if drop is None:
            doubted += 1
        else:
            drops.append(drop)
    why = "" if drops else _why(impacts, outline, seconds, doubted)
    return Heard(
        tuple(drops),
        why,
        seconds,
        tuple(impacts),
        outline,
        ball.name if ball is not None else None,
    )


def _drop(found: Found, ball: Ball | None) -> HeardDrop | None:
    """Fit the law of bounces to the longest run of impacts that keeps it."""
    correct = _corrections(ball)
    every = found.impacts
    between = [
        (each.time, "does not fit between the bounces") for each in found.between
    ]
    for size in range(len(every), 2, -1):
        runs = [every[start : start + size] for start in range(len(every) - size + 1)]
        fits = [(run, _fit(run, correct)) for run in runs]
        good = [(run, fit) for run, fit in fits if fit is not None]
        if good:
            chosen, fit = min(good, key=lambda each: _misfit(*each))
            inside = {each.time for each in chosen}
            rejected = [
                (each.time, "breaks the law of the bounces")
                for each in every
                if each.time not in inside
            ]
            return _told(chosen, [*between, *rejected], fit, ball)
    return None


def _fit(run: list[Impact], correct: dict[str, float]) -> ImpactTiming | None:
    times = np.array([each.time for each in run])
    try:
        fit = fit_impact_times(
            times, time_uncertainty=_typical(run), steady=len(run) < 6, **correct
        )
    except BounceLabError:
        return None
    if len(run) > 3 and _misfit(run, fit) > _FIT_NOISE:
        return None
    if len(run) >= 6 and not _SLOPES[0] <= fit.slope <= _SLOPES[1]:
        return None  # a stray first sound is taken up by the slope alone
    return fit


def _typical(run: list[Impact]) -> float:
    return float(np.sqrt(np.mean([each.u**2 for each in run])))


def _misfit(run: list[Impact], fit: ImpactTiming) -> float:
    return float(np.abs(fit.residuals).max()) / max(_typical(run), 3e-4)


def _told(
    chosen: list[Impact],
    rejected: list[tuple[float, str]],
    fit: ImpactTiming,
    ball: Ball | None,
) -> HeardDrop | None:
    # Where the residuals are larger than the onsets are said to be sure, they count.
    grown = 1.0
    if fit.dof > 0:
        seen = float(np.sqrt(np.sum(fit.residuals**2) / fit.dof))
        grown = max(1.0, seen / _typical(chosen))
    steady = len(chosen) < 6
    law = _ONE_E if steady else 0.0
    if len(chosen) == 3:
        law = _THREE  # nothing is left to show that the law holds
    unknown = max(_NO_AIR * float(fit.impact_speed) ** 2, _LEAST_AIR)
    air = unknown if ball is None else _AIR
    u = float(np.sqrt((fit.restitution_u * grown) ** 2 + law**2 + air**2))
    if not u < _WORST or not 0 < fit.restitution < 1:
        return None
    height = fit.drop_height if isfinite(fit.drop_height) else None
    # The height goes with the square of launch speed over e.
    of_air = 2 * air / fit.restitution * fit.drop_height
    height_u = float(np.hypot(fit.drop_height_u * grown, of_air))
    return HeardDrop(
        impacts=tuple(each.time for each in chosen),
        u_impacts=tuple(each.u for each in chosen),
        restitution=fit.restitution,
        restitution_u=u,
        slope=None if steady else fit.slope,
        drop_height=height,
        drop_height_u=None if height is None else height_u,
        rejected=tuple(sorted(rejected)),
        fit=fit,
    )


def _corrections(ball: Ball | None) -> dict[str, float]:
    if ball is None:
        return {}
    drag = drag_constant(
        mass=ball.mass_kg,
        diameter=ball.diameter_m,
        drag_coefficient=ball.drag_coefficient,
        air_density=air_density(),
    )
    told = {"drag_constant": float(drag)}
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


def _why(impacts: list[Impact], outline: Numbers, seconds: float, doubted: int) -> str:
    if not outline.size or float(np.max(outline)) < 1e-6:
        return "No bounces heard: the recording is silent."
    beat = steady_beat(impacts)
    if beat is not None:
        return (
            f"No bounces heard: the sounds come evenly, every {beat:.2f} s. A ball's "
            "bounces come faster and faster."
        )
    if len(impacts) < 3:
        return (
            f"No bounces heard: {len(impacts) or 'no'} sudden sound"
            f"{'s' * (len(impacts) != 1)} in {seconds:.1f} s, and three are needed."
        )
    if doubted:
        return "No bounces heard that fit one law well enough to give a number."
    return (
        f"No bounces heard: {len(impacts)} sudden sounds, but no three or more that "
        "come faster and faster as a ball's do. Lay the phone on the floor and let the "
        "ball bounce to its end."
    )
