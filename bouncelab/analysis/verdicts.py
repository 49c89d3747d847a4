"""Does a ball meet a published bounce range? Raw heights against the rule's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from bouncelab.analysis.conditions import POINTS
from bouncelab.analysis.conformity import SIGNS, judge
from bouncelab.catalogue import BounceRange
from bouncelab.uncertainty import expanded
from bouncelab.units import show_length, show_temperature

if TYPE_CHECKING:
    from bouncelab.analysis.ball_bounce import BallBounce

__all__ = ["RangeVerdict", "fitting_ranges", "verdict_for"]

_ROOT3 = sqrt(3.0)
_SAME_SHARE, _SAME_HEIGHT = 0.03, 0.05  # of the rule's drop height; m; the smaller


@dataclass(frozen=True, slots=True)
class RangeVerdict:
    """What one published range says of one ball under one condition.

    Attributes
    ----------
    range : BounceRange
        The range.
    word : {"meets", "does not meet", "cannot be told"}
        The verdict.
    probability : float or None
        That the mean rebound lies inside the limits; None where the drops
        cannot be compared with the range.
    reason : str
        In one or two sentences.
    rebound, standard_uncertainty : float or None
        Mean rebound of the point that the rule reads, in m.
    """

    range: BounceRange
    word: str
    probability: float | None
    reason: str
    rebound: float | None = None
    standard_uncertainty: float | None = None

    @property
    def sign(self) -> str:
        """A sign to stand before the word, so that colour is never alone."""
        return SIGNS[self.word]


def fitting_ranges(
    ranges: Sequence[BounceRange], kind: str | None
) -> tuple[BounceRange, ...]:
    """Give the ranges for a kind of ball; a single one for a ball of unknown kind.

    Parameters
    ----------
    ranges : sequence of BounceRange
        The ranges to choose from.
    kind : str or None
        The ball's id in the catalogue, or None if it is not known.

    Returns
    -------
    tuple of BounceRange
        Those that apply, in the same order.

    Examples
    --------
    >>> fitting_ranges((), "basketball")
    ()
    """
    if kind is None:
        return tuple(ranges) if len(ranges) == 1 else ()
    return tuple(each for each in ranges if each.ball == kind)


def verdict_for(row: BallBounce, limits: BounceRange) -> RangeVerdict:
    r"""Compare one condition's mean rebound with a range.

    Parameters
    ----------
    row : BallBounce
        The condition's findings.
    limits : BounceRange
        The range; it says from where to drop, and which points to read.

    Returns
    -------
    RangeVerdict
        The verdict with its probability and reason.

    Notes
    -----
    Heights are compared raw, as the rule reads them: if the drops were read at
    another point, the diameter is put back. A drop height that differs from the
    rule's by more than it can be set (but by no more than 3 % or 5 cm) is made
    good in proportion, :math:`h_2 H/h_1`, and the reason says so. A point that
    the rule does not state is taken as the lowest. The diameter matters only by
    :math:`r(s_1 - S_1) - (s_2 - S_2)` times its uncertainty: not at all if the
    rule's own points were read.
    """
    rule_drop = POINTS.get(limits.drop_point, 0.0)
    rule_rebound = POINTS.get(limits.rebound_point, 0.0)
    diameter, basis = row.diameter, row.basis
    if diameter is None and (rule_drop > 0 or rule_rebound > 0):
        return RangeVerdict(
            limits,
            "cannot be told",
            None,
            f"The rule reads the {limits.rebound_point} of the ball, and its "
            "diameter is not known. Add a column diameter or circumference.",
        )
    across = diameter or 0.0
    rule_height = limits.drop_height_m - rule_drop * across
    apart = row.drop_height - rule_height
    if abs(apart) > min(_SAME_SHARE * rule_height, _SAME_HEIGHT):
        return RangeVerdict(
            limits,
            "cannot be told",
            None,
            f"The rule drops the {limits.drop_point} of the ball from "
            f"{show_length(limits.drop_height_m)}; these drops start "
            f"{show_length(abs(apart))} {'higher' if apart > 0 else 'lower'}.",
        )
    scaled = abs(apart) > basis.quality.drop_half_width
    ratio = row.rebound_height / row.drop_height
    rebound = ratio * rule_height if scaled else row.rebound_height
    u, nu_eff = _uncertainty(row, ratio, rule_drop, rule_rebound)
    found = judge(rebound + rule_rebound * across, u, nu_eff, limits)
    said = [str(found.reason)]
    if scaled:
        said.append(
            f"The drops start {show_length(abs(apart))} "
            f"{'higher' if apart > 0 else 'lower'} than the rule says, so the mean "
            "rebound was made good in proportion."
        )
    said += _circumstances(row, limits)
    return RangeVerdict(
        range=limits,
        word=str(found.word),
        probability=float(found.probability),
        reason=" ".join(said),
        rebound=rebound + rule_rebound * across,
        standard_uncertainty=u,
    )


def _uncertainty(
    row: BallBounce, ratio: float, rule_drop: float, rule_rebound: float
) -> tuple[float, float]:
    """Give the standard uncertainty in m of the mean rebound at the rule's point."""
    basis = row.basis
    quality = basis.quality
    turn = ratio * (basis.drop_share - rule_drop) - (basis.rebound_share - rule_rebound)
    half_widths = [
        ratio * quality.drop_half_width,
        (1 - ratio) * quality.tape_offset_half_width,
        abs(turn) * basis.diameter_half_width if turn else 0.0,
        quality.rebound_half_width if row.n == 1 or basis.alike else 0.0,
    ]
    type_b = sqrt(sum(each**2 for each in half_widths)) / _ROOT3
    found = expanded(
        type_a=np.float64(basis.rebound_type_a),
        dof_a=np.float64(max(basis.dof_a, 1.0)),
        type_b=np.float64(type_b),
    )
    return float(found.standard), float(found.nu_eff)


def _circumstances(row: BallBounce, limits: BounceRange) -> list[str]:
    """Say where the rule's circumstances were not those of the drops."""
    said = []
    if not {limits.drop_point, limits.rebound_point} <= set(POINTS):
        said.append(
            "The rule does not state which point of the ball is read; its lowest "
            "point was taken."
        )
    low, high = limits.temperature_min_c, limits.temperature_max_c
    warm = row.temperature
    if warm is not None and (
        (low is not None and warm < low) or (high is not None and warm > high)
    ):
        said.append(
            f"The drops were made at {show_temperature(warm)}, outside the rule's."
        )
    return said
