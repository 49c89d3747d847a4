"""What cold does to a bounce: what the gas law says, and what the drops show."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.words import plain, shown
from bouncelab.chance_laws import student_quantile
from bouncelab.errors import InputError
from bouncelab.physics.ball_air import sealed_pressure
from bouncelab.units import show_pressure, show_temperature

__all__ = ["Warmth", "same_air", "warmth_effect"]

Numbers = NDArray[np.float64]

_PRESSURE = 2.5e3  # Pa, as far as pressures may lie from the gas law's
_SPAN = 5.0  # K; a smaller span of temperatures tells nothing
_BEYOND = 0.1  # of the measured span; further is a guess
_RISK = 0.05
REFERENCE = 20.0  # °C, common in rules that name a temperature


@dataclass(frozen=True, slots=True)
class Warmth:
    """How e of one ball changes with its temperature.

    Attributes
    ----------
    ball : str
        Its name.
    temperature : ndarray, shape (n,)
        Temperatures at which it was dropped, in °C, rising.
    e, expanded : ndarray, shape (n,)
        Its e there, with the half-width of the 95 % interval.
    gauge_pressure : ndarray, shape (n,)
        In Pa, as written down; NaN where none was.
    sealed : ndarray, shape (n,)
        Gauge pressure in Pa that the gas law gives, from the one nearest to the
        reference; NaN without pressures.
    slope, slope_expanded : float or None
        Change of e for each kelvin, with its 95 % half-width.
    reference : float
        Temperature in °C that values are carried to.
    corrected, corrected_expanded : ndarray, shape (n,), or None
        e carried to the reference.
    reasons : tuple of str
        Why something cannot be told.
    """

    ball: str
    temperature: Numbers
    e: Numbers
    expanded: Numbers
    gauge_pressure: Numbers
    sealed: Numbers
    slope: float | None
    slope_expanded: float | None
    reference: float
    corrected: Numbers | None
    corrected_expanded: Numbers | None
    reasons: tuple[str, ...]

    @property
    def words(self) -> list[str]:
        """What was found, in sentences."""
        cold, warm = (show_temperature(float(self.temperature[k])) for k in (0, -1))
        said = []
        if np.isfinite(self.sealed).all() and self.sealed.size > 1:
            low, high = (show_pressure(float(self.sealed[k])) for k in (0, -1))
            said.append(
                f"The gas law: the air that gives {high} at {warm} gives {low} at "
                f"{cold}. No air has gone; it pushes less."
            )
        if self.slope is not None and self.slope_expanded is not None:
            ten, half = 10 * self.slope, 10 * self.slope_expanded
            sure = abs(ten) > half
            word = "rises" if ten > 0 else "falls"
            said.append(
                f"The drops: for each 10 °C warmer e {word} by {shown(abs(ten), half)}."
                if sure
                else f"The drops: for each 10 °C warmer e changes by {shown(ten, half)}"
                ", so they cannot tell whether warmth matters."
            )
        if self.corrected is not None and self.corrected_expanded is not None:
            carried = zip(
                self.temperature, self.corrected, self.corrected_expanded, strict=True
            )
            at = ", ".join(
                f"{shown(float(e), float(half))} (dropped at "
                f"{show_temperature(float(t))})"
                for t, e, half in carried
            )
            said.append(f"Carried to {show_temperature(self.reference)}: e = {at}.")
        return [*said, *self.reasons]

    def __str__(self) -> str:
        return " ".join(self.words)

    def _repr_html_(self) -> str:
        return "".join(f"<p>{html.escape(each)}</p>" for each in self.words)

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        corrected = [None] * self.e.size if self.corrected is None else self.corrected
        return {
            "ball": self.ball,
            "reference_c": self.reference,
            "slope_per_kelvin": plain(self.slope),
            "U_slope_per_kelvin": plain(self.slope_expanded),
            "levels": [
                {
                    "temperature_c": plain(float(t)),
                    "e": plain(float(e)),
                    "U_e": plain(float(half)),
                    "gauge_pressure_pa": plain(float(p)),
                    "gas_law_pa": plain(float(law)),
                    "e_at_reference": plain(None if c is None else float(c)),
                }
                for t, e, half, p, law, c in zip(
                    self.temperature,
                    self.e,
                    self.expanded,
                    self.gauge_pressure,
                    self.sealed,
                    corrected,
                    strict=True,
                )
            ],
            "why": " ".join(self.reasons) or None,
        }


def same_air(one: BallBounce, two: BallBounce) -> bool:
    """Say whether two conditions of a ball may hold the same air.

    Parameters
    ----------
    one, two : BallBounce
        Conditions of one ball.

    Returns
    -------
    bool
        Whether both pressures and temperatures are known and the gas law for
        sealed air at a fixed volume takes one to the other within 2.5 kPa.
    """
    known = (one.gauge_pressure, one.temperature, two.gauge_pressure, two.temperature)
    if any(each is None for each in known):
        return False
    try:
        law = sealed_pressure(
            gauge_pressure=one.gauge_pressure,
            temperature_c=one.temperature,
            new_temperature_c=two.temperature,
        )
    except InputError:
        return False
    return abs(float(law) - float(two.gauge_pressure or 0.0)) <= _PRESSURE


def warmth_effect(
    rows: Sequence[BallBounce],
    *,
    reference: float = REFERENCE,
) -> Warmth:
    r"""Tell how one ball's e changes with temperature, and carry it to one.

    Parameters
    ----------
    rows : sequence of BallBounce
        Conditions of one ball that differ in temperature, and in pressure only as
        the same air does.
    reference : float, optional
        Temperature to carry e to, in °C.

    Returns
    -------
    Warmth
        With None and a reason for what cannot be told.

    Raises
    ------
    InputError
        If no condition has a temperature.

    Notes
    -----
    A straight line for each measuring group, :math:`e = e_k + b\,(T - T_0)`; where
    two groups or more dropped the ball at two temperatures, b is the mean of the
    groups' slopes with Student's interval, so that a group that reads high does not
    look like warmth; else one line through all drops. No value is carried further
    than a tenth of the measured span outside it.

    Examples
    --------
    >>> from bouncelab import bounciness, check_drops, read_drops
    >>> from bouncelab.places import kit_folder
    >>> drops = check_drops(read_drops(kit_folder("data") / "larkfield_floors.csv"))
    >>> rows = [r for r in bounciness(drops).rows if r.floor == "gym, wood"]
    >>> found = warmth_effect(rows)
    >>> 0.001 < found.slope < 0.004
    True
    """
    rows = sorted(
        (r for r in rows if r.temperature is not None and r.n > 0),
        key=lambda row: row.temperature or 0.0,
    )
    if not rows:
        raise InputError(
            what="the temperatures",
            read="none",
            allowed="a temperature for each drop, such as 18 °C",
            do="Fill in the column “temperature (°C)”.",
        )
    warm = np.array([row.temperature for row in rows], dtype=float)
    pressure = np.array(
        [np.nan if r.gauge_pressure is None else r.gauge_pressure for r in rows]
    )
    told: dict[str, Any] = dict.fromkeys(
        ("slope", "slope_expanded", "corrected", "corrected_expanded")
    )
    e = np.array([row.e for row in rows])
    reasons: list[str] = []
    span = float(warm[-1] - warm[0])
    if span < _SPAN:
        reasons.append(
            f"The temperatures span {span:.1f} °C; at least {_SPAN:.0f} °C are needed "
            "to see what warmth does."
        )
    else:
        told["slope"], told["slope_expanded"], more = _slope(rows)
        reasons += more
    sealed = _law(warm, pressure, reference)
    if told["slope"] is not None:
        reach = _BEYOND * span
        if warm[0] - reach <= reference <= warm[-1] + reach:
            away = reference - warm
            told["corrected"] = e + told["slope"] * away
            told["corrected_expanded"] = np.hypot(
                [row.expanded for row in rows], told["slope_expanded"] * away
            )
        else:
            reasons.append(
                f"The drops were made from {show_temperature(float(warm[0]))} to "
                f"{show_temperature(float(warm[-1]))}; they say nothing of "
                f"{show_temperature(reference)}."
            )
    return Warmth(
        ball=rows[0].ball,
        temperature=warm,
        e=e,
        expanded=np.array([row.expanded for row in rows]),
        gauge_pressure=pressure,
        sealed=sealed,
        reference=reference,
        reasons=tuple(reasons),
        **told,
    )


def _law(warm: Numbers, pressure: Numbers, reference: float) -> Numbers:
    known = np.flatnonzero(np.isfinite(pressure))
    if not known.size:
        return np.full_like(warm, np.nan)
    near = known[np.argmin(np.abs(warm[known] - reference))]
    return np.array(
        sealed_pressure(
            gauge_pressure=float(pressure[near]),
            temperature_c=float(warm[near]),
            new_temperature_c=warm,
        ),
        dtype=float,
    )


def _slope(
    rows: Sequence[BallBounce],
) -> tuple[float | None, float | None, list[str]]:
    """Give the change of e for each kelvin, its 95 % half-width, and doubts."""
    warm = np.concatenate([np.full(row.n, row.temperature) for row in rows])
    e = np.concatenate([row.trials.e for row in rows])
    who = np.array([name for row in rows for name in row.trials.group], dtype=object)
    slopes = []
    for name in dict.fromkeys(who):
        mine = who == name
        if name and np.ptp(warm[mine]) >= _SPAN:
            slopes.append(float(np.polyfit(warm[mine], e[mine], 1)[0]))
    if len(slopes) > 1:
        mean, count = float(np.mean(slopes)), len(slopes)
        error = float(np.std(slopes, ddof=1)) / sqrt(count)
        return mean, float(student_quantile(count - 1, 1 - _RISK / 2)) * error, []
    spare = e.size - 2
    if spare < 1:
        return None, None, ["Drop the ball more than once at each temperature."]
    centred = warm - warm.mean()
    squares = float(centred @ centred)
    slope = float(centred @ e) / squares
    left = e - e.mean() - slope * centred
    error = sqrt(float(left @ left) / spare / squares)
    half = float(student_quantile(spare, 1 - _RISK / 2)) * error
    doubts = []
    if len(set(who)) > 1:
        doubts.append(
            "No two groups dropped the ball at two temperatures each: a group that "
            "reads high may look like warmth."
        )
    return slope, half, doubts
