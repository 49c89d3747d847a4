"""The words for a height that does not fit: a reason and a cure for each slip."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from bouncelab.readings.said import Doubt, Said

__all__ = [
    "DROP",
    "REBOUND",
    "Case",
    "digit_reason",
    "far_reason",
    "impossible_reason",
    "inch_reason",
    "lively_reason",
    "plain_reason",
    "points_reason",
]

DROP, REBOUND = "drop_height_m", "rebound_height_m"


@dataclass(frozen=True, slots=True)
class Case:
    """One row's heights beside those of like drops, all in m.

    Attributes
    ----------
    at : int
        Position in the table.
    drop, rebound : float
        Heights as read.
    under_drop, under_rebound : float
        How far the bottom of the ball hangs under the point read.
    share : float
        Rebound over drop, at the bottom of the ball.
    like : float
        The share that like drops give; NaN if there are none.
    tolerance : float
        How far a good reading may be from `like`, relative.
    whence : str
        Which drops those are, in words.
    usual_drop : float
        Middle drop height of this ball in this group.
    diameter : float
        Of the ball; NaN if not known.
    point : float
        Point read at the rebound: 0 bottom, 0.5 centre, 1 top.
    """

    at: int
    drop: float
    rebound: float
    under_drop: float
    under_rebound: float
    share: float
    like: float
    tolerance: float
    whence: str
    usual_drop: float
    diameter: float
    point: float

    @property
    def weight(self) -> str:
        """Whether the row cannot be true as it stands."""
        return "impossible" if self.share > 1 or self.share < 0 else "doubtful"

    @property
    def as_it_stands(self) -> str:
        """The sentence that says so, or nothing."""
        if self.share > 1:
            return " As it stands, the ball would come back higher than it fell."
        return ""

    @property
    def wanted(self) -> float:
        """The rebound reading that like drops let expect, in m."""
        return self.like * (self.drop - self.under_drop) + self.under_rebound

    def fits(self, drop: float, rebound: float) -> bool:
        """Tell whether two readings would agree with like drops."""
        fall = drop - self.under_drop
        if not isfinite(self.like) or fall <= 0:
            return False
        share = (rebound - self.under_rebound) / fall
        return abs(share - self.like) <= self.tolerance * self.like


def inch_reason(
    case: Case, said: Said, column: str, factor: float, tail: str, more: str = ""
) -> Doubt:
    """Say that a number was read in inches, or in centimetres."""
    unit, full = ("in", "inches") if factor > 1 else ("cm", "centimetres")
    number = said.number(case.at, column)
    value = case.drop if column == DROP else case.rebound
    shown = said.show(value * factor, case.at, column)
    why = (
        f"{said.text(case.at, column)} does not fit here, but {number} {unit} "
        f"is {shown}, and that {tail}.{case.as_it_stands}"
    )
    cure = f"If you read {full}, write {number} {unit}.{more}"
    return Doubt(case.at, column, "unit slip", why, cure, case.weight)


def digit_reason(
    case: Case, said: Said, column: str, number: str, tail: str, more: str = ""
) -> Doubt:
    """Say that a digit, a zero or the point has slipped."""
    why = f"{said.text(case.at, column)} does not fit here, but {number} {tail}."
    why += case.as_it_stands
    cure = (
        f"Look at your notes: was it {number}? A point, a zero or a digit may have "
        f"slipped.{more}"
    )
    return Doubt(case.at, column, "digit slip", why, cure, case.weight)


def points_reason(case: Case, said: Said, *, than: str = "") -> Doubt:
    """Say that the top of the ball was read for the bottom, or the reverse."""
    wide = said.show(case.diameter, case.at, REBOUND)
    sign = "higher" if case.point == 0 else "lower"
    who = "Your rebounds of this ball are" if than else "This rebound is"
    why = f"{who} one ball's width ({wide}) {sign} than {than or case.whence}."
    return _other_point(case, why)


def lively_reason(case: Case, said: Said) -> Doubt:
    """Say that a kind of ball cannot bounce so high, but its top may be there."""
    wide = said.show(case.diameter, case.at, REBOUND)
    why = (
        "Your rebounds are higher than this kind of ball can bounce, but the top of "
        f"the ball, {wide} above its bottom, may have been there."
    )
    return _other_point(case, why)


def _other_point(case: Case, why: str) -> Doubt:
    read, other = ("bottom", "top") if case.point == 0 else ("top", "bottom")
    cure = (
        f"If you read the {other} of the ball, change the point from {read} to {other}."
    )
    return Doubt(case.at, REBOUND, "points mixed up", why, cure, case.weight)


def impossible_reason(case: Case, said: Said) -> Doubt:
    """Say why a rebound cannot be, when no slip explains it."""
    drop, rebound = said.text(case.at, DROP), said.text(case.at, REBOUND)
    if case.share < 0:
        why = f"{rebound} is less than the ball is wide, so its top cannot be there."
        cure = (
            "If you read the bottom of the ball, change the point from top to bottom."
        )
        return Doubt(case.at, REBOUND, "points mixed up", why, cure, "impossible")
    why = f"A dropped ball cannot come back higher ({rebound}) than it fell ({drop})."
    cure = "Check both numbers and their units, then correct the wrong one."
    if case.fits(case.rebound, case.drop) or (
        abs(case.rebound / case.usual_drop - 1) < 0.02
    ):
        cure = "Perhaps the two heights changed places: write the drop first."
    elif case.point == 0 and case.rebound - case.diameter < case.drop:
        cure = "If you read the top of the ball, change the point from bottom to top."
    return Doubt(case.at, REBOUND, "rebound above drop", why, cure, "impossible")


def plain_reason(case: Case, said: Said, *, highest: float) -> Doubt:
    """Say why a height is unlikely, when there is nothing to compare it with."""
    drop, rebound = said.text(case.at, DROP), said.text(case.at, REBOUND)
    if abs(case.drop - case.rebound) < 1e-9:
        why = (
            f"The rebound is the same as the drop ({drop}), but a bounce loses height."
        )
        cure = "Perhaps one number was typed twice: write the rebound you saw."
        return Doubt(case.at, REBOUND, "rebound equals drop", why, cure)
    if case.drop <= highest and case.share > 0.5:
        why = f"{rebound} back from {drop} is livelier than any ball we know of."
        cure = "Check both numbers, and which point of the ball you read each time."
        return Doubt(case.at, REBOUND, "too lively", why, cure)
    size = "high" if case.drop > highest else "low"
    why = f"A drop from {said.show(case.drop, case.at, DROP)} is very {size} for a gym."
    cure = "Check the number and its unit: you can write cm, m or in after it."
    return Doubt(case.at, DROP, "unlikely height", why, cure)


def far_reason(
    case: Case,
    said: Said,
    *,
    distance: float,
    usual: float,
    limit: float,
    trials: int,
    perhaps: str,
) -> Doubt:
    """Say that a drop is far from the other trials, and by which rule."""
    side = "higher" if distance > 0 else "lower"
    far = said.show(abs(distance), case.at, REBOUND)
    about = said.show(usual, case.at, REBOUND)
    why = (
        f"This rebound is {far} {side} than the middle of its {trials} trials, where "
        f"about {about} is usual (modified z-score {abs(distance) / usual:.1f}, "
        f"limit {limit:.1f})."
    )
    cure = "Drop it once more. If you know what went wrong, set this drop aside."
    if perhaps:
        cure = (
            f"Look at your notes: was it {perhaps}? If not: {cure[0].lower()}{cure[1:]}"
        )
    return Doubt(case.at, REBOUND, "far from its trials", why, cure)
