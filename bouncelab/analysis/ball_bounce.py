"""How one ball bounced under one condition, and how it shows itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.quality import ReadingQuality
from bouncelab.analysis.verdicts import RangeVerdict
from bouncelab.analysis.words import plain, shown

if TYPE_CHECKING:
    from bouncelab.analysis.working import Working

__all__ = ["BallBounce", "Basis", "Trials", "Unused"]


@dataclass(frozen=True, slots=True)
class Trials:
    """The drops that a condition's numbers come from, shape (n,) each.

    Attributes
    ----------
    line : ndarray of int
        The line that a person sees.
    group : list of str
        Who measured.
    drop_height, rebound_height : ndarray of float
        Heights of the lowest point of the ball in m.
    e : ndarray of float
        Coefficient of restitution of each drop.
    doubtful : ndarray of bool
        Drops that carry a doubtful reading.
    """

    line: NDArray[np.intp]
    group: list[str]
    drop_height: NDArray[np.float64]
    rebound_height: NDArray[np.float64]
    e: NDArray[np.float64]
    doubtful: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Unused:
    """One drop that is not used: its line, why, and whether a person chose so."""

    line: int
    why: str
    set_aside: bool


@dataclass(frozen=True, slots=True)
class Basis:
    """What a condition's uncertainty rests on; names as in `Estimates`."""

    by_group: bool
    low: bool
    coarse: bool
    alike: bool
    drop_share: float
    rebound_share: float
    diameter_from: str
    diameter_half_width: float
    spread: float
    type_a: float
    dof_a: float
    type_b: float
    terms: dict[str, float]
    rebound_type_a: float
    drag_constant: float
    drag_term: float
    quality: ReadingQuality


@dataclass(frozen=True, slots=True)
class BallBounce:
    """How one ball bounced under one condition.

    Attributes
    ----------
    ball, floor : str
        Names as first typed.
    kind : str or None
        The kind of ball in the catalogue.
    gauge_pressure, temperature, diameter : float or None
        Mean gauge pressure in Pa, temperature in °C, diameter in m, where known.
    n : int
        Drops used.
    drop_height, rebound_height : float
        Means for the lowest point of the ball, in m.
    e, u, expanded : float
        Coefficient of restitution as it is in air; its standard uncertainty;
        the half-width of its 95 % interval.
    nu_eff : float
        Effective degrees of freedom; infinite where no scatter was measured.
    no_air, no_air_u, no_air_expanded : float or None
        The same, corrected for air drag; None for a ball the catalogue does not
        know.
    groups : tuple of str
        Who measured.
    unused : tuple of Unused
        Drops of this condition that are not in the numbers.
    doubtful : int
        Drops that carry a doubtful reading and are in the numbers.
    remarks : tuple of str
        What a reader must know, in plain sentences.
    verdicts : tuple of RangeVerdict
        One for each range that is for this ball.
    trials : Trials
        The drops used.
    basis : Basis
        What the uncertainty rests on.
    """

    ball: str
    floor: str
    kind: str | None
    gauge_pressure: float | None
    temperature: float | None
    diameter: float | None
    n: int
    drop_height: float
    rebound_height: float
    e: float
    u: float
    expanded: float
    nu_eff: float
    no_air: float | None
    no_air_u: float | None
    no_air_expanded: float | None
    groups: tuple[str, ...]
    unused: tuple[Unused, ...]
    doubtful: int
    remarks: tuple[str, ...]
    verdicts: tuple[RangeVerdict, ...]
    trials: Trials = field(compare=False, repr=False)
    basis: Basis = field(repr=False)

    @property
    def resilience(self) -> float:
        """Rebound resilience: the share of the energy that comes back, e²."""
        return self.e**2

    @property
    def energy_lost(self) -> float:
        """The share of the energy that is lost, 1 − e²."""
        return 1.0 - self.e**2

    @property
    def left_out(self) -> int:
        """Number of drops that could not be used."""
        return sum(not each.set_aside for each in self.unused)

    @property
    def set_aside(self) -> int:
        """Number of drops that a person set aside."""
        return sum(each.set_aside for each in self.unused)

    def __str__(self) -> str:
        name = self.ball or "(no name)"
        return f"{name}: coefficient of restitution {shown(self.e, self.expanded)}"

    def working(self) -> Working:
        """Give the calculation step by step, with this row's own numbers."""
        from bouncelab.analysis.working import working

        return working(self)

    def to_dict(self) -> list[dict[str, Any]]:
        """Give plain values for JSON, one dict for each range (or just one)."""
        common = {
            "ball": self.ball,
            "floor": self.floor,
            "gauge_pressure_pa": plain(self.gauge_pressure),
            "temperature_c": plain(self.temperature),
            "n": self.n,
            "groups": len(self.groups),
            "drop_height_m": plain(self.drop_height),
            "rebound_height_m": plain(self.rebound_height),
            "e": plain(self.e),
            "u_e": plain(self.u),
            "U_e": plain(self.expanded),
            "nu_eff": plain(self.nu_eff),
            "resilience": plain(self.resilience),
            "energy_lost": plain(self.energy_lost),
            "e_no_air": plain(self.no_air),
            "u_e_no_air": plain(self.no_air_u),
            "U_e_no_air": plain(self.no_air_expanded),
        }
        counts = {
            "doubtful": self.doubtful,
            "left_out": self.left_out,
            "set_aside": self.set_aside,
            "remarks": list(self.remarks),
        }
        judged: list[dict[str, Any]] = [
            {
                "range": each.range.id,
                "verdict": each.word,
                "probability": plain(each.probability),
                "reason": each.reason,
            }
            for each in self.verdicts
        ]
        none: dict[str, Any] = {
            "range": None,
            "verdict": None,
            "probability": None,
            "reason": None,
        }
        return [{**common, **each, **counts} for each in judged or [none]]
