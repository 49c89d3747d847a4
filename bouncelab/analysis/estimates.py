"""How large is each restitution, and how sure? Estimates for all conditions.

The scatter of the drops (Type A) shrinks as drops are added. What all drops of
a condition share (Type B: one mark for the drop height, one tape, one diameter)
is added once, after averaging: more drops do not make it smaller.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.conditions import Conditions
from bouncelab.analysis.quality import ReadingQuality
from bouncelab.analysis.scatter import Scatter, scatter
from bouncelab.physics.fall import air_density, drag_constant
from bouncelab.physics.restitution import (
    restitution_from_heights,
    restitution_with_drag,
)
from bouncelab.uncertainty import expanded

__all__ = ["Estimates", "estimate"]

Numbers: TypeAlias = NDArray[np.float64]
Truths: TypeAlias = NDArray[np.bool_]

_ROOT3 = float(np.sqrt(3.0))  # half-width of equal chances to standard uncertainty
_LOW = 0.05  # rebound over drop; below it the mean of square roots is biased
_ALIKE = 0.5  # scatter below this share of the reading error cannot hold it
_COARSE = 0.1  # relative uncertainty of the rebound that asks for Monte Carlo
_DRAWS = 20_000
_BLOCK = 50  # conditions drawn at once, to bound memory
_SEED = 101  # any fixed number: the same file gives the same answer
_COVERAGE = 0.95
_ROOM_TEMPERATURE = 20.0  # °C, where the table gives none


@dataclass(frozen=True, slots=True)
class Estimates:
    """One value for each of the M conditions; every array has shape (M,).

    Attributes
    ----------
    scatter : Scatter
        Numbers of drops and groups, and which of them are the units.
    low, coarse, alike : ndarray of bool
        Very low rebounds, so the root of the ratio of means is used; Monte
        Carlo used; drops agree better than they can be read.
    drop, rebound : ndarray of float
        Mean heights of the lowest point in m.
    drop_share, rebound_share : ndarray of float
        The points read, as mean share of the diameter above the lowest point.
    diameter, diameter_half_width : ndarray of float
        In m; NaN where not known.
    e, spread : ndarray of float
        Coefficient of restitution; standard deviation of one unit.
    type_a, dof_a, type_b, u, nu_eff, expanded : ndarray of float
        Standard uncertainty from scatter and its degrees of freedom (0 for a
        single drop); from what all drops share; combined; effective degrees of
        freedom; half-width of the 95 % interval.
    terms : dict of str to ndarray
        The parts of `type_b`, by name.
    rebound_type_a : ndarray of float
        Standard uncertainty of the mean rebound from scatter, in m.
    drag_constant : ndarray of float
        In 1/m; NaN for a ball the catalogue does not know.
    no_air, no_air_u, no_air_expanded, drag_term : ndarray of float
        Restitution corrected for air drag, its standard and expanded
        uncertainty, and the part that the drag coefficient brings in.
    """

    scatter: Scatter
    low: Truths
    coarse: Truths
    alike: Truths
    drop: Numbers
    rebound: Numbers
    drop_share: Numbers
    rebound_share: Numbers
    diameter: Numbers
    diameter_half_width: Numbers
    e: Numbers
    spread: Numbers
    type_a: Numbers
    dof_a: Numbers
    type_b: Numbers
    u: Numbers
    nu_eff: Numbers
    expanded: Numbers
    terms: dict[str, Numbers]
    rebound_type_a: Numbers
    drag_constant: Numbers
    no_air: Numbers
    no_air_u: Numbers
    no_air_expanded: Numbers
    drag_term: Numbers


def estimate(conditions: Conditions, quality: ReadingQuality) -> Estimates:
    r"""Give restitution and its uncertainty for every condition at once.

    Parameters
    ----------
    conditions : Conditions
        Sorted drops, N drops in M conditions.
    quality : ReadingQuality
        What is assumed about the readings.

    Returns
    -------
    Estimates
        Arrays of shape (M,).

    Notes
    -----
    With :math:`r = h_2/h_1`, an error :math:`\delta r` moves
    :math:`e = \sqrt r` by :math:`\delta r/(2e)`. A drop height set wrongly by
    1 moves :math:`r` by :math:`r/h_1`, a rebound read wrongly by
    :math:`1/h_1`, a tape offset by :math:`(1 - r)/h_1`, a diameter by
    :math:`(r s_1 - s_2)/h_1`, where :math:`s` is 0, ½ or 1 for the lowest
    point, the centre or the top. Where the relative uncertainty of the rebound
    is above 0.1 the square root bends too much: then the uncertainties come
    from 20 000 draws about the same estimate [2]_. Groups that agree may do so by
    chance: there a term for what groups usually differ by joins Type B.

    References
    ----------
    .. [1] JCGM 100:2008, *Guide to the Expression of Uncertainty in
       Measurement*, 4.2.3, 4.3.7, 5.1.2 and G.4.1 (Welch–Satterthwaite).
    .. [2] JCGM 101:2008, *Propagation of distributions using a Monte Carlo
       method*, 6.4.9 and 7.

    Examples
    --------
    >>> from bouncelab.analysis.conditions import sort_drops
    >>> from bouncelab.readings.drops import read_rows
    >>> rows = [["1.00 m", "62 cm"], ["1.00 m", "64 cm"], ["1.00 m", "66 cm"]]
    >>> drops = sort_drops(read_rows(["drop", "rebound"], rows))
    >>> found = estimate(drops, ReadingQuality())
    >>> found.e.round(2), found.expanded.round(2)
    (array([0.8]), array([0.03]))
    """
    c, size = conditions, len(conditions.ball)
    each = restitution_from_heights(drop_height=c.drop, rebound_height=c.rebound)
    low, value = _values(c, each, size)
    units = scatter(value, c.condition, c.group, size)
    drop, rebound = units.mean(c.drop), units.mean(c.rebound)
    ratio = rebound / drop
    e = np.where(low, np.sqrt(ratio), units.mean(each))
    type_a = units.type_a(value)
    rebound_a = units.type_a(c.rebound)

    read = (
        np.where(c.timed, quality.timed_half_width, quality.rebound_half_width) / _ROOT3
    )
    alike = (units.n > 1) & (rebound_a * np.sqrt(units.dof + 1) < _ALIKE * read)
    reading = np.where((units.n == 1) | alike, read, 0.0)
    diameter, half_width = _diameter(c, units, quality)
    s1, s2 = units.mean(c.drop_share), units.mean(c.rebound_share)
    of_ratio = {
        "setting the drop height": ratio * (quality.drop_half_width / _ROOT3) / drop,
        "the tape's zero": (1 - ratio)
        * (quality.tape_offset_half_width / _ROOT3)
        / drop,
        "the ball's diameter": np.where(
            (s1 == 0) & (s2 == 0), 0.0, np.abs(ratio * s1 - s2) * half_width / _ROOT3
        )
        / drop,
        "reading the rebound": reading / drop,
        "how groups differ": 2 * e * _unseen(units, quality),
    }
    slope = np.divide(0.5, e, out=np.zeros(size), where=e > 0)  # de/dr
    terms = {name: slope * term for name, term in of_ratio.items()}
    type_b = _root_of_squares(*terms.values())
    u, nu_eff, wide = _combined(type_a, units.dof, type_b)
    coarse = _root_of_squares(rebound_a / drop, *of_ratio.values()) > _COARSE * ratio
    _draw(
        np.flatnonzero(coarse), e, ratio, rebound_a / drop, units.dof, of_ratio, u, wide
    )

    k = _drag_constants(c, diameter)
    no_air, drag_term = _without_air(c, units, k, e, each, drop, rebound)
    known = np.isfinite(k)
    gain = np.divide(no_air, e, out=np.ones(size), where=known & (e > 0))
    air_u, _, air_wide = _combined(
        type_a * gain, units.dof, np.hypot(type_b * gain, drag_term)
    )
    air_u = np.where(coarse, np.hypot(u * gain, drag_term), air_u)
    air_wide = np.where(coarse, np.hypot(wide * gain, 2 * drag_term), air_wide)
    return Estimates(
        scatter=units,
        low=low,
        coarse=coarse,
        alike=alike,
        drop=drop,
        rebound=rebound,
        drop_share=s1,
        rebound_share=s2,
        diameter=diameter,
        diameter_half_width=half_width,
        e=e,
        spread=units.spread(value),
        type_a=type_a,
        dof_a=units.dof,
        type_b=type_b,
        u=u,
        nu_eff=nu_eff,
        expanded=wide,
        terms=terms,
        rebound_type_a=rebound_a,
        drag_constant=k,
        no_air=no_air,
        no_air_u=np.where(known, air_u, np.nan),
        no_air_expanded=np.where(known, air_wide, np.nan),
        drag_term=drag_term,
    )


def _values(c: Conditions, each: Numbers, size: int) -> tuple[Truths, Numbers]:
    """Give what each drop brings to the mean; for low rebounds, to first order."""
    at = c.condition
    n = np.bincount(at, minlength=size)
    drop = np.bincount(at, weights=c.drop, minlength=size) / n
    rebound = np.bincount(at, weights=c.rebound, minlength=size) / n
    low = rebound / drop < _LOW
    if not low.any():
        return low, each
    middle = np.sqrt(rebound / drop)
    share = np.divide(
        c.rebound, rebound[at], out=np.ones(at.size), where=rebound[at] > 0
    )
    linear = middle[at] * (1 + 0.5 * share - 0.5 * c.drop / drop[at])
    return low, np.where(low[at], linear, each)


def _root_of_squares(*parts: Numbers) -> Numbers:
    # hypot, unlike squares, bears a height of next to nothing.
    return np.asarray(np.hypot.reduce(np.broadcast_arrays(*parts)))


def _combined(
    type_a: Numbers, dof: Numbers, type_b: Numbers
) -> tuple[Numbers, Numbers, Numbers]:
    """Give standard uncertainty, effective degrees of freedom and 95 % half-width."""
    found = expanded(type_a=type_a, dof_a=np.maximum(dof, 1.0), type_b=type_b)
    return (
        np.array(found.standard),
        np.array(found.nu_eff),
        np.array(found.expanded),
    )


def _unseen(units: Scatter, quality: ReadingQuality) -> Numbers:
    """Give what groups that agree leave open in the mean of e.

    Two or three groups often agree by chance. Without this term, 95 % intervals
    of two groups that differ by 0.01 in e hold the truth in 88 % of cases.
    """
    hidden = (units.groups > 1) & ~units.by_group
    return np.where(
        hidden, quality.group_half_width / _ROOT3 / np.sqrt(units.groups), 0.0
    )


def _diameter(
    c: Conditions, units: Scatter, quality: ReadingQuality
) -> tuple[Numbers, Numbers]:
    """Give the mean diameter of each condition and its half-width."""
    diameter = units.mean(c.diameter)
    from_catalogue = units.mean((c.diameter_from == 2).astype(np.float64)) > 0
    share = quality.catalogue_share * diameter
    return diameter, np.where(from_catalogue, share, quality.diameter_half_width)


def _draw(
    hard: NDArray[np.intp],
    e: Numbers,
    ratio: Numbers,
    type_a: Numbers,
    dof: Numbers,
    terms: dict[str, Numbers],
    u: Numbers,
    wide: Numbers,
) -> None:
    """Replace u and wide of the hard conditions by those of a Monte Carlo run.

    Standard uncertainty about e from a normal scatter; the 95 % half-width from
    Student's t, as JCGM 101, 6.4.9, asks for a mean of a few drops.
    """
    random = np.random.default_rng(_SEED)
    for start in range(0, hard.size, _BLOCK):
        some = hard[start : start + _BLOCK]
        shape = (some.size, _DRAWS)
        shift = np.zeros(shape)
        for term in terms.values():
            shift += term[some, None] * random.uniform(-_ROOT3, _ROOT3, shape)
        normal = type_a[some, None] * random.standard_normal(shape)
        student = type_a[some, None] * random.standard_t(
            np.maximum(dof[some, None], 1.0), shape
        )
        middle = np.sqrt(ratio[some, None])
        for scattered, out in ((normal, u), (student, wide)):
            drawn = np.sqrt(np.maximum(ratio[some, None] + shift + scattered, 0.0))
            apart = np.abs(drawn - middle)
            out[some] = (
                np.sqrt(np.mean(apart**2, axis=1))
                if out is u
                else np.quantile(apart, _COVERAGE, axis=1)
            )


def _drag_constants(c: Conditions, diameter: Numbers) -> Numbers:
    """Give k for each condition whose kind of ball is known, else NaN."""
    mass = np.array([each.mass_kg if each else np.nan for each in c.kind])
    drag = np.array([each.drag_coefficient if each else np.nan for each in c.kind])
    warm = np.where(np.isnan(c.temperature), _ROOM_TEMPERATURE, c.temperature)
    known = np.isfinite(mass) & np.isfinite(drag) & np.isfinite(diameter)
    k = np.full(diameter.size, np.nan)
    k[known] = drag_constant(
        mass=mass[known],
        diameter=diameter[known],
        drag_coefficient=drag[known],
        air_density=air_density(temperature_c=warm[known]),
    )
    return k


def _without_air(
    c: Conditions,
    units: Scatter,
    k: Numbers,
    e: Numbers,
    each: Numbers,
    drop: Numbers,
    rebound: Numbers,
) -> tuple[Numbers, Numbers]:
    """Give restitution without air, and what the drag coefficient leaves open."""
    known = np.isfinite(k)
    mine = known[c.condition]
    better = each.copy()
    better[mine] = restitution_with_drag(
        drop_height=c.drop[mine],
        rebound_height=c.rebound[mine],
        drag_constant=k[c.condition[mine]],
    )
    no_air = np.where(known, e + units.mean(better - each), np.nan)
    unsure = np.array(
        [b.drag_coefficient_u / b.drag_coefficient if b else 0.0 for b in c.kind]
    )
    ends = [
        restitution_with_drag(
            drop_height=drop[known],
            rebound_height=rebound[known],
            drag_constant=(k * (1 + side * unsure))[known],
        )
        for side in (0, 1)
    ]
    term = np.zeros(k.size)
    term[known] = np.abs(ends[1] - ends[0])
    return no_air, term
