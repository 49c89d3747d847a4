"""Propagation of distributions by drawing from them, as JCGM 101 does it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import InputError

__all__ = ["MonteCarlo", "Sampler", "monte_carlo", "normal", "rectangular", "student"]

Numbers: TypeAlias = NDArray[np.float64]
Sampler: TypeAlias = Callable[[np.random.Generator, int], Numbers]

_TOO_MUCH = 1e150  # beyond it squares leave the floats
_MOST = 10**9  # draws; they would fill 8 GB
_LEAST_BLOCK = 10_000  # JCGM 101, 7.9.4 b)
_FEWEST_BLOCKS = 10  # it asks for 2, but two blocks often agree by luck


@dataclass(frozen=True, slots=True)
class MonteCarlo:
    """What the draws say about a result; all but the last three in its unit.

    Attributes
    ----------
    estimate, standard : float
        Mean and standard deviation of the drawn values.
    low, high : float
        Interval with the same probability left out on both sides.
    shortest_low, shortest_high : float
        The shortest interval with the same coverage.
    draws : int
        How many were used.
    tolerance : float
        What the four figures had to settle to; NaN for a fixed number of draws.
    settled : bool
        Whether they did.
    """

    estimate: float
    standard: float
    low: float
    high: float
    shortest_low: float
    shortest_high: float
    draws: int
    tolerance: float
    settled: bool


def _number(what: str, value: Any, *, least: float | None = None) -> float:
    number = None
    if isinstance(value, (int, float, np.floating, np.integer)):
        number = float(value) if -_TOO_MUCH < value < _TOO_MUCH else None
    if number is None or (least is not None and number < least):
        raise InputError(
            what=what,
            read=f"{value!r}" if number is None else f"{number:g}",
            allowed="a number" if least is None else f"{least:g} or more",
            do="Check the number and its sign.",
        )
    return number


def normal(mean: float, u: float) -> Sampler:
    """Give a sampler for a normal distribution.

    Parameters
    ----------
    mean, u : float
        Best estimate and standard uncertainty, in one unit.

    Returns
    -------
    Sampler
        A function of a random generator and a number of draws.

    Raises
    ------
    InputError
        If a value is no number or `u` is below zero.

    References
    ----------
    .. [1] JCGM 101:2008, 6.4.7.

    Examples
    --------
    >>> float(normal(2.0, 0.0)(np.random.default_rng(1), 3).mean())
    2.0
    """
    m, s = _number("mean", mean), _number("standard uncertainty", u, least=0)
    return lambda random, n: random.normal(m, s, n)


def rectangular(centre: float, half_width: float) -> Sampler:
    """Give a sampler for equal chances between two limits.

    Parameters
    ----------
    centre, half_width : float
        Middle of the interval and half of its width, in one unit.

    Returns
    -------
    Sampler
        A function of a random generator and a number of draws.

    Raises
    ------
    InputError
        If a value is no number or `half_width` is below zero.

    References
    ----------
    .. [1] JCGM 101:2008, 6.4.2.

    Examples
    --------
    >>> bool(rectangular(1.0, 0.5)(np.random.default_rng(1), 9).max() < 1.5)
    True
    """
    m, a = _number("centre", centre), _number("half-width", half_width, least=0)
    return lambda random, n: random.uniform(m - a, m + a, n)


def student(mean: float, u: float, dof: float) -> Sampler:
    """Give a sampler for a mean of few readings.

    Parameters
    ----------
    mean, u : float
        Mean and its standard uncertainty, :math:`s/√n`, in one unit.
    dof : float
        Degrees of freedom, one less than the number of readings.

    Returns
    -------
    Sampler
        A function of a random generator and a number of draws.

    Raises
    ------
    InputError
        If a value is no number, `u` is below zero or `dof` below 1.

    References
    ----------
    .. [1] JCGM 101:2008, 6.4.9.2.

    Examples
    --------
    >>> float(student(2.0, 0.0, 4)(np.random.default_rng(1), 3).mean())
    2.0
    """
    m, s = _number("mean", mean), _number("standard uncertainty", u, least=0)
    nu = _number("degrees of freedom", dof, least=1)
    return lambda random, n: m + s * random.standard_t(nu, n)


def monte_carlo(
    function: Callable[..., Any],
    inputs: Mapping[str, Sampler | float],
    *,
    draws: int | None = None,
    coverage: float = 0.95,
    digits: int = 2,
    most_draws: int = 10_000_000,
    seed: int | None = None,
) -> MonteCarlo:
    r"""Draw the inputs, work out the result for each draw, and sum it up.

    Parameters
    ----------
    function : callable
        Called with the inputs by name, each an array of shape (M,) or a number;
        gives an array of shape (M,).
    inputs : mapping of str to Sampler or float
        What to draw; a plain number is taken as exact.
    draws : int, optional
        A fixed number. Without it blocks of draws are added until the figures
        have settled to `digits` digits of the standard uncertainty.
    coverage : float, optional
        Between 0 and 1.
    digits : int, optional
        1 or 2 as a rule.
    most_draws : int, optional
        Where to stop although the figures have not settled.
    seed : int, optional
        Any whole number, to get the same draws again.

    Returns
    -------
    MonteCarlo
        Estimate, standard uncertainty and both intervals.

    Raises
    ------
    InputError
        If a setting is out of its range, or the function gives something that
        is not a finite number for a draw.

    Notes
    -----
    Block means and their scatter are found for estimate, standard uncertainty
    and both ends; it stops when twice the standard deviation of each mean is
    below the tolerance :math:`\delta = \frac12 10^l` for
    :math:`u = c \cdot 10^l` with `digits` digits in the whole number c.

    References
    ----------
    .. [1] JCGM 101:2008, *Propagation of distributions using a Monte Carlo
       method*, 7.7, 7.9.2 and 7.9.4.

    Examples
    --------
    >>> found = monte_carlo(
    ...     lambda a, b: a + b, {"a": normal(1, 0.3), "b": normal(2, 0.4)}, seed=1
    ... )
    >>> round(found.estimate, 1), round(found.standard, 1), found.settled
    (3.0, 0.5, True)
    """
    if not _is_coverage(coverage):
        raise InputError(
            "coverage", f"{coverage!r}", "between 0 and 1", "Write 0.95 for 95 %."
        )
    block = max(ceil(100 / (1 - coverage)), _LEAST_BLOCK)
    for what, value, least in (
        ("number of draws", draws, ceil(2 / (1 - coverage))),
        ("most draws", most_draws, _FEWEST_BLOCKS * block),
        ("digits", digits, 1),
    ):
        whole = isinstance(value, (int, np.integer))
        if value is not None and not (whole and least <= value <= _MOST):
            allowed = f"a whole number from {least} to {_MOST}"
            raise InputError(what, f"{value!r}", allowed, "Ask for another number.")
    exact = {
        name: _number(name, each) for name, each in inputs.items() if not callable(each)
    }
    random = np.random.default_rng(seed)

    def drawn(n: int) -> Numbers:
        values = {
            name: each(random, n) if callable(each) else exact[name]
            for name, each in inputs.items()
        }
        with np.errstate(all="ignore"):  # said below, in words
            result = np.asarray(function(**values), np.float64)
        result = np.broadcast_to(result, (n,))
        bad = int(n - np.count_nonzero(np.abs(result) < _TOO_MUCH))
        if bad:
            raise InputError(
                what="result of a draw",
                read=f"no finite number for {bad} of {n} draws",
                allowed="a number for each",
                do="Check the formula and the uncertainties that go in.",
            )
        return result

    if draws is not None:
        return _summary(drawn(draws), coverage, np.nan, True)
    blocks: list[Numbers] = []
    figures: list[Numbers] = []
    while True:
        blocks.append(drawn(block))
        part = _summary(blocks[-1], coverage, np.nan, True)
        figures.append(np.array([part.estimate, part.standard, part.low, part.high]))
        if len(blocks) < _FEWEST_BLOCKS:
            continue
        table = np.array(figures)
        apart = table.std(axis=0, ddof=1) / np.sqrt(len(table))
        within, between = np.mean(table[:, 1] ** 2), table[:, 0].var()
        tolerance = _tolerance(float(np.sqrt(within + between)), digits)
        settled = bool(np.all(2 * apart <= tolerance))
        if settled or (len(blocks) + 1) * block > most_draws:
            return _summary(np.concatenate(blocks), coverage, tolerance, settled)


def _is_coverage(value: Any) -> bool:
    return isinstance(value, (float, np.floating)) and bool(0 < value < 1)


def _tolerance(u: float, digits: int) -> float:
    """Give half a unit of the last digit kept of u."""
    if u == 0:
        return 0.0
    last = floor(log10(u)) - digits + 1
    if round(u / 10.0**last) == 10**digits:  # 0.0996 is written 0.10
        last += 1
    return 0.5 * 10.0**last


def _summary(
    values: Numbers, coverage: float, tolerance: float, settled: bool
) -> MonteCarlo:
    # JCGM 101, 7.7: q of the M sorted values lie inside, r of them below.
    m = values.size
    q = min(floor(coverage * m + 0.5), m - 1)
    r = (m - q + 1) // 2 - 1
    # Only the ends are sorted: the shortest interval begins and ends there too.
    ends = m - q
    if 2 * ends < m:
        cut = np.partition(values, (ends - 1, m - ends))
        below, above = np.sort(cut[:ends]), np.sort(cut[m - ends :])
    else:
        cut = np.sort(values)
        below, above = cut[:ends], cut[q:]
    start = int(np.argmin(above - below))
    return MonteCarlo(
        estimate=float(values.mean()),
        standard=float(values.std(ddof=1)),
        low=float(below[r]),
        high=float(above[r]),
        shortest_low=float(below[start]),
        shortest_high=float(above[start]),
        draws=m,
        tolerance=tolerance,
        settled=settled,
    )
