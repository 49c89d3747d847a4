"""Does a ball meet a published bounce range? Raw heights against the rule's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan, sqrt
from typing import TYPE_CHECKING

import numpy as np

from bouncelab.analysis.conformity import Verdict, judge
from bouncelab.catalogue import POINTS, BounceRange
from bouncelab.uncertainty import expanded

if TYPE_CHECKING:
    from bouncelab.analysis.ball_bounce import BallBounce

__all__ = ["RangeVerdict", "fitting_ranges", "verdict_for"]

_ROOT3 = sqrt(3.0)


@dataclass(frozen=True, slots=True)
class RangeVerdict:
    """What one range says of one ball under one condition.

    Attributes
    ----------
    range : BounceRange
        The range.
    verdict : Verdict
        Word, probability, reason and remarks.
    rebound, standard_uncertainty : float
        Mean rebound of the point that the rule reads, in m.
    """

    range: BounceRange
    verdict: Verdict
    rebound: float
    standard_uncertainty: float

    @property
    def word(self) -> str:
        """One of ``"meets"``, ``"does not meet"`` and ``"cannot be told"``."""
        return self.verdict.word

    @property
    def probability(self) -> float | None:
        """That the mean rebound lies inside; None if it cannot be compared."""
        return self.verdict.probability

    @property
    def reason(self) -> str:
        """Why, and where the circumstances were not the rule's."""
        return " ".join([self.verdict.reason, *self.verdict.remarks])


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
    another point, the diameter is put back. It then matters by
    :math:`r(s_1 - S_1) - (s_2 - S_2)` times its uncertainty, with :math:`s` the
    points read and :math:`S` the rule's: not at all where these are the same.
    """
    drop_point, rebound_point = POINTS[limits.drop_point], POINTS[limits.rebound_point]
    across = row.diameter or 0.0
    rebound = row.rebound_height + rebound_point * across
    u, nu_eff = _uncertainty(row, drop_point, rebound_point)
    found = judge(
        rebound,
        u,
        nu_eff,
        limits,
        drop_height=row.drop_height + drop_point * across,
        diameter=row.diameter,
        floor=row.floor,
        temperature=nan if row.temperature is None else row.temperature,
        n=None if row.basis.by_group else row.n,  # groups count there, not drops
    )
    return RangeVerdict(limits, found, rebound, u)


def _uncertainty(
    row: BallBounce, rule_drop: float, rule_rebound: float
) -> tuple[float, float]:
    """Give the standard uncertainty in m of the mean rebound at the rule's point."""
    basis, quality = row.basis, row.basis.quality
    ratio = row.rebound_height / row.drop_height
    turn = ratio * (basis.drop_share - rule_drop) - (basis.rebound_share - rule_rebound)
    half_widths = [
        ratio * quality.drop_half_width,
        (1 - ratio) * quality.tape_offset_half_width,
        abs(turn) * basis.diameter_half_width if turn else 0.0,
        quality.rebound_half_width if row.n == 1 or basis.alike else 0.0,
        2 * row.e * row.drop_height * basis.terms["how groups differ"] * _ROOT3,
    ]
    type_b = sqrt(sum(each**2 for each in half_widths)) / _ROOT3
    found = expanded(
        type_a=np.float64(basis.rebound_type_a),
        dof_a=np.float64(max(basis.dof_a, 1.0)),
        type_b=np.float64(type_b),
    )
    return float(found.standard), float(found.nu_eff)
