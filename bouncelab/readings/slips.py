"""Find the slip that explains a height which does not fit its like drops.

Each row gets one reason at most for its two heights, the most telling one: an
inch for a centimetre, a slipped digit, the wrong point of the ball, the two
heights exchanged; and only if none explains it, that the drop is far from its
trials, or cannot be.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from bouncelab import units
from bouncelab.readings import reasons
from bouncelab.readings.columns import Codes, Columns, Numbers, Truths, join
from bouncelab.readings.likes import Likes
from bouncelab.readings.planned import meant_heights
from bouncelab.readings.reasons import DROP, REBOUND, Case
from bouncelab.readings.said import Doubt, Said, digit_slip
from bouncelab.readings.spreads import Scatter, scatter_of

__all__ = ["height_doubts"]
_INCH = units.read_length("1 in") / units.read_length("1 cm")
_FACTORS = (_INCH, 1 / _INCH, 10.0, 0.1, 100.0, 0.01, 1000.0, 0.001)
_SAME_SLIP = " Look at the rebound too: it may have the same slip."

# The bounds below are the kit's own: common practice, no source.
_HIGHEST_DROP, _LOWEST_DROP = 5.0, 0.03  # m
_LIVELIEST = 0.93  # share that comes back; no ball of a school reaches it
_APART = 0.35  # logarithm: a cell this far from the other groups' is looked at
_SAME_RATIO = 0.06  # the same, for two slips of one kind
_DIFFER = 0.012  # share of the drop height: balls of a kind differ as much
_TESTED = 1.5  # m; from lower, a ball is livelier than its published range
_WORTH = 4.0  # groups, for which the usual difference of balls counts
_SURE = 5.0  # standard deviations that a ball must be wide
_WIDE = 0.15  # m; the width of a smaller ball is lost among differences of balls
_HALF = 0.45  # diameters above that range; a lively ball may be a little above
_NEAR_FLOOR = 0.01  # m; a dead ball's top may be read this much too low
_TINY = 1e-3


@dataclass(frozen=True, slots=True)
class _Signs:
    """What the arrays say about every row before words are sought."""

    like: Numbers
    tolerance: Numbers
    from_class: Truths
    apart: Truths
    points: Truths
    points_class: Truths
    points_kind: Truths


def _ratio(share: Numbers, like: Numbers) -> Numbers:
    return np.log(np.maximum(share, _TINY) / np.maximum(like, _TINY))


def _systematic(
    columns: Columns, likes: Likes, value: Numbers, others: Numbers
) -> Truths:
    """See which cells' ratio to the other groups is a slip that their group repeats.

    One dead ball may bounce two and a half times lower than the others; two different
    balls that both do so have been read in inches.
    """
    group = columns.group[likes.at]
    size = int(group.max(initial=0)) + 1
    first = np.zeros(int(likes.cell.max(initial=-1)) + 1, dtype=np.intp)
    first[likes.cell] = np.arange(likes.cell.size)
    known = np.bincount(group[first], np.isfinite(others[first]), minlength=size)
    found = np.zeros((len(_FACTORS), value.size), dtype=bool)
    read = columns.rebound[likes.at] / likes.drop
    for which, factor in enumerate(_FACTORS):
        corrected = value + (factor - 1) * read
        near = np.abs(_ratio(corrected, others)) < _SAME_RATIO
        cells = np.bincount(group[first], near[first], minlength=size)
        found[which] = near & ((cells >= 2) & (cells >= known / 2))[group]
    return np.asarray(found.any(axis=0), dtype=bool)


def _signs_of(
    columns: Columns, likes: Likes, scatter: Scatter, alone: Truths
) -> _Signs:
    """Choose what each row is compared with, and see which stand apart."""
    at, many = likes.at, likes.count >= 3
    value = np.where(many, likes.middle, likes.share)
    others = np.where(likes.others_count >= 2, likes.others, np.nan)
    agreeing = likes.others_spread <= 0.1 * others
    whole = _systematic(columns, likes, value, others) & many

    use_class = np.isfinite(others) & (whole | ~many | alone)
    by_condition = ~many & ~use_class & (likes.condition_count >= 4)
    like = np.where(many, likes.middle, np.nan)
    like = np.where(by_condition, likes.condition_middle, like)
    like = np.where(use_class, others, like)
    like = np.where(
        alone & many & ~use_class, np.nan, like
    )  # it would agree with itself
    own = 3 * scatter.usual / np.maximum(likes.drop * like, _TINY)
    tolerance = np.where(many & ~use_class, np.clip(own, 0.02, 0.08), 0.08)
    tolerance = np.where(whole, 2 * _SAME_RATIO, tolerance)
    apart = np.abs(_ratio(likes.share, like)) > _APART
    apart &= whole | (~many & (agreeing | by_condition))

    wide, point = columns.diameter[at], columns.rebound_share[at]
    direction = np.where(point == 0, 1.0, np.where(point == 1, -1.0, np.nan))
    pair = np.where(likes.count >= 2, likes.middle, likes.share)
    apart_by = pair - others
    shift = apart_by * likes.drop * direction
    groups = likes.others_count + 1
    seen = 1.48 * (1 + 1.5 / groups) * likes.others_spread  # few groups hide some
    first = np.unique(likes.cell, return_index=True)[1]
    first = first[groups[first] >= 3]
    everywhere = seen[first].sum() / max(first.size, 1)
    differ = _steadied(_DIFFER, everywhere, first.size)
    spread = _steadied(differ, seen, groups)
    noise = scatter.usual / np.sqrt(np.maximum(likes.count, 1))
    noise = np.hypot(noise, likes.drop * spread)
    one_wide = np.abs(shift - wide) <= 0.3 * wide
    points_class = one_wide & (_SURE * noise <= wide)

    slack = np.minimum(0.25 * wide, 0.03 * wide + 2.5 * scatter.usual)
    points_cell = scatter.far & (np.abs(scatter.distance * direction - wide) <= slack)

    diameters = likes.drop / wide
    above = (pair - columns.liveliest[at]) * diameters
    others_too = (others - columns.liveliest[at]) * diameters > _HALF
    points_kind = (point == 0) & (likes.drop > _TESTED) & (wide > _WIDE)
    points_kind &= (
        (above > _HALF) & (above < 1) & (others_too | one_wide | np.isnan(others))
    )
    return _Signs(
        like, tolerance, use_class, apart, points_cell, points_class, points_kind
    )


def _steadied(usual: Any, seen: Any, count: Any) -> Any:
    """Mix what a few groups show with what is usual, which counts as some more."""
    return np.sqrt((_WORTH * usual**2 + count * seen**2) / (_WORTH + count))


def _commonest(values: Numbers, codes: Codes) -> Numbers:
    """Give each row the value that comes most often under its code."""
    exact = join(codes, np.unique(values, return_inverse=True)[1].reshape(-1))
    often = np.bincount(exact)[exact]
    order = np.lexsort((often, codes))
    last = np.flatnonzero(np.diff(codes[order], append=-1))
    common = np.zeros(last.size)
    common[codes[order[last]]] = values[order[last]]
    return common[codes]


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _drop_slip(case: Case, said: Said, meant: Truths) -> Iterator[Doubt]:
    for factor in np.array(_FACTORS)[meant]:
        alone = case.fits(case.drop * factor, case.rebound)
        both = case.fits(case.drop * factor, case.rebound * factor)
        if not (alone or both or not np.isfinite(case.like)):
            continue
        more = "" if alone else _SAME_SLIP
        if factor in _FACTORS[:2]:
            tail = "is a drop height of other drops"
            yield reasons.inch_reason(case, said, DROP, factor, tail, more)
        elif said.unit(case.at, DROP):
            number = f"{_number(said.number(case.at, DROP)) * factor:.6g}"
            tail = "is a drop height of other drops"
            yield reasons.digit_reason(case, said, DROP, number, tail, more)
    if said.unit(case.at, DROP) and abs(case.drop / case.usual_drop - 1) > 0.04:
        number = said.number(case.at, DROP)
        per = case.drop / _number(number)
        found = digit_slip(number, case.usual_drop / per, 0.004 * case.usual_drop / per)
        if found and case.fits(_number(found) * per, case.rebound):
            tail = "is your usual drop height"
            yield reasons.digit_reason(case, said, DROP, found, tail)


def _rebound_unit_slip(case: Case, said: Said) -> Iterator[Doubt]:
    for factor in (_INCH, 1 / _INCH):
        if case.fits(case.drop, case.rebound * factor):
            tail = f"agrees with {case.whence}"
            yield reasons.inch_reason(case, said, REBOUND, factor, tail)


def _rebound_digits(case: Case, said: Said, *, any_digit: bool) -> str:
    number = said.number(case.at, REBOUND)
    if not said.unit(case.at, REBOUND) or case.rebound <= 0 or case.like != case.like:
        return ""
    per = case.rebound / _number(number)
    slack = case.tolerance * case.like * (case.drop - case.under_drop)
    return digit_slip(number, case.wanted / per, slack / per, any_digit=any_digit)


def height_doubts(columns: Columns, likes: Likes, said: Said) -> Iterator[Doubt]:
    """Give what is doubtful about the heights, one reason a row.

    Parameters
    ----------
    columns : Columns
        The table's columns.
    likes : Likes
        Its comparable rows.
    said : Said
        The cells as typed.

    Yields
    ------
    Doubt
        In the order of rows.
    """
    scatter = scatter_of(columns, likes)
    meant = meant_heights(columns, likes, _FACTORS)
    alone: Truths = np.asarray(meant.any(axis=1), dtype=bool)
    signs = _signs_of(columns, likes, scatter, alone)
    drop = columns.drop[likes.at]
    usual = _commonest(drop, join(columns.ball[likes.at], columns.group[likes.at]))

    unlikely = (likes.share > _LIVELIEST) | (likes.rebound < -_NEAR_FLOOR)
    unlikely |= (drop > _HIGHEST_DROP) | (drop < _LOWEST_DROP)
    by_likes = scatter.far | signs.apart | alone
    by_points = signs.points | signs.points_class | signs.points_kind
    for k in np.flatnonzero(unlikely | by_likes | by_points):
        i = int(likes.at[k])
        case = Case(
            at=i,
            drop=float(columns.drop[i]),
            rebound=float(columns.rebound[i]),
            under_drop=float(columns.under_drop[i]),
            under_rebound=float(columns.under_rebound[i]),
            share=float(likes.share[k]),
            like=float(signs.like[k]),
            tolerance=float(signs.tolerance[k]),
            whence="the other groups" if signs.from_class[k] else "the other trials",
            usual_drop=float(usual[k]),
            diameter=float(columns.diameter[i]),
            point=float(columns.rebound_share[i]),
        )
        found = _explained(case, said, meant[k], signs, scatter, int(k))
        if found is None and unlikely[k]:
            if case.weight == "impossible":
                found = reasons.impossible_reason(case, said)
            else:
                found = reasons.plain_reason(case, said, highest=_HIGHEST_DROP)
        if found is None and scatter.far[k]:
            found = reasons.far_reason(
                case,
                said,
                distance=float(scatter.distance[k]),
                usual=float(scatter.usual[k]),
                limit=float(scatter.limit[k]),
                trials=int(likes.count[k]),
                perhaps=_rebound_digits(case, said, any_digit=True),
            )
        if found is not None:
            yield found


def _explained(
    case: Case, said: Said, meant: Truths, signs: _Signs, scatter: Scatter, k: int
) -> Doubt | None:
    """Look for the slip that explains a strange row, the most telling first."""
    if abs(case.drop - case.rebound) < 1e-9 and not meant.any():
        return None
    strange = bool(scatter.far[k] or signs.apart[k] or case.share > _LIVELIEST)
    if strange or meant.any():
        for found in _drop_slip(case, said, meant):
            return found
    if strange:
        for found in _rebound_unit_slip(case, said):
            return found
    digits = _rebound_digits(case, said, any_digit=False) if strange else ""
    if digits and signs.points[k]:  # the better fit of the two
        per = case.rebound / _number(said.number(case.at, REBOUND))
        off = abs(abs(scatter.distance[k]) - case.diameter)
        if abs(_number(digits) * per - case.wanted) >= off:
            digits = ""
    if digits:
        tail = f"agrees with {case.whence}"
        return reasons.digit_reason(case, said, REBOUND, digits, tail)
    if signs.points[k]:
        return reasons.points_reason(case, said)
    if signs.points_class[k] and case.share <= 1:
        return reasons.points_reason(case, said, than="the other groups'")
    if signs.points_kind[k] and case.share <= 1:
        return reasons.lively_reason(case, said)
    return None
