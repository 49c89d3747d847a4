"""How sure is a coefficient of restitution? From the two heights it was found with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.monte_carlo import MonteCarlo, Sampler, monte_carlo
from bouncelab.physics.numbers import (
    blockwise,
    checked,
    fitting,
    given,
    held,
    nominal,
)
from bouncelab.physics.restitution import checked_heights
from bouncelab.physics.smooth import exp_less_one

__all__ = [
    "Sensitivities",
    "restitution_bias",
    "restitution_uncertainty",
    "sensitivities",
    "simulate_restitution",
]


@dataclass(frozen=True, slots=True)
class Sensitivities:
    """How far e moves for each metre of error in a reading; all in 1/m.

    Attributes
    ----------
    drop : float or ndarray
        For the drop height.
    rebound : float or ndarray
        For the reading of the rebound, at the top or the bottom of the ball.
    circumference : float or ndarray
        For the ball's circumference, where the rebound was read at its top and
        the drop at its bottom.
    offset : float or ndarray
        For a shift of the tape that is common to drop and rebound.
    """

    drop: Any
    rebound: Any
    circumference: Any
    offset: Any


@held
def sensitivities(*, drop_height: Any, rebound_height: Any) -> Sensitivities:
    r"""Give how far e moves for small errors of the readings.

    Parameters
    ----------
    drop_height : float or array_like, shape (N,)
        Height of the lowest point of the ball, in m.
    rebound_height : float or array_like, shape (N,)
        Height of the lowest point, above 0, in m. A reading :math:`T` at the top
        gives it as :math:`h_2 = T - C/\pi`, :math:`C` the circumference.

    Returns
    -------
    Sensitivities
        In 1/m.

    Raises
    ------
    InputError
        As `restitution_from_heights`, or if a rebound height is zero, where e
        has no slope.

    Notes
    -----
    .. math::

        \frac{\partial e}{\partial h_1} = -\frac{e}{2 h_1}, \quad
        \frac{\partial e}{\partial T} = \frac{e}{2 h_2}, \quad
        \frac{\partial e}{\partial C} = -\frac{e}{2\pi h_2}, \quad
        \frac{\partial e}{\partial o}
        = \frac e2\left(\frac1{h_2} - \frac1{h_1}\right)

    References
    ----------
    .. [1] JCGM 100:2008, *Guide to the Expression of Uncertainty in
       Measurement*, 5.1.3.

    Examples
    --------
    >>> found = sensitivities(drop_height=1.00, rebound_height=0.64)
    >>> round(found.drop, 3), round(found.rebound, 3), round(found.offset, 3)
    (-0.4, 0.625, 0.225)
    """
    h1, _ = checked_heights(drop_height, rebound_height)
    h2 = _risen(rebound_height)
    e = (h2 / h1) ** 0.5
    return Sensitivities(
        drop=given(-e / (2 * h1)),
        rebound=given(e / (2 * h2)),
        circumference=given(-e / (2 * np.pi * h2)),
        offset=given(e / 2 * (1 / h2 - 1 / h1)),
    )


def _inputs(
    drop_height: Any, rebound_height: Any, drop_u: Any, rebound_u: Any, r: Any
) -> tuple[Any, ...]:
    h1, _ = checked_heights(drop_height, rebound_height)
    h2 = _risen(rebound_height)
    do = "Give half-widths divided by √3, or standard deviations."
    u1 = checked("uncertainty of the drop height", drop_u, "m", least=0, do=do)
    u2 = checked("uncertainty of the rebound height", rebound_u, "m", least=0, do=do)
    r = checked("correlation", r, least=-1, most=1, do="Give 0 for separate readings.")
    fitting(
        drop_height=h1,
        rebound_height=h2,
        drop_uncertainty=u1,
        rebound_uncertainty=u2,
        correlation=r,
    )
    return tuple(map(nominal, (h1, h2, u1, u2, r)))


def _risen(rebound_height: Any) -> Any:
    return checked(
        "rebound height",
        rebound_height,
        "m",
        above=0,
        do="Use Monte Carlo for a ball that hardly comes back.",
    )


@held
def restitution_uncertainty(
    *,
    drop_height: Any,
    rebound_height: Any,
    drop_u: Any,
    rebound_u: Any,
    correlation: Any = 0.0,
) -> Any:
    r"""Give the standard uncertainty of e to first order.

    Parameters
    ----------
    drop_height, rebound_height : float or array_like, shape (N,)
        Heights of the lowest point of the ball, above 0, in m.
    drop_u, rebound_u : float or array_like, shape (N,)
        Their standard uncertainties, in m.
    correlation : float or array_like, shape (N,), optional
        Of the two heights' errors, from −1 to 1.

    Returns
    -------
    float or ndarray, shape (N,)
        No unit.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    .. math::

        u(e) = \frac e2 \sqrt{\left(\frac{u_1}{h_1}\right)^2
        + \left(\frac{u_2}{h_2}\right)^2 - 2 r \frac{u_1 u_2}{h_1 h_2}}

    Good while :math:`u_2/h_2` is below 0.1; beyond, `simulate_restitution`.

    References
    ----------
    .. [1] JCGM 100:2008, *Guide to the Expression of Uncertainty in
       Measurement*, 5.2.2, eq. (16).

    Examples
    --------
    >>> round(
    ...     restitution_uncertainty(
    ...         drop_height=1.0, rebound_height=0.64, drop_u=0.002, rebound_u=0.01
    ...     ),
    ...     5,
    ... )
    0.0063
    """

    def u(h1: Any, h2: Any, u1: Any, u2: Any, r: Any) -> Any:
        a, b = u1 / h1, u2 / h2
        # (a - b)² and what is left of it, so that r = 1 leaves nothing below zero.
        return np.sqrt(h2 / h1 * ((a - b) ** 2 + 2 * (1 - r) * a * b)) / 2

    values = _inputs(drop_height, rebound_height, drop_u, rebound_u, correlation)
    return given(blockwise(u, *values))


@held
def restitution_bias(
    *,
    drop_height: Any,
    rebound_height: Any,
    drop_u: Any,
    rebound_u: Any,
    correlation: Any = 0.0,
) -> Any:
    r"""Give how far the mean of e lies off because the square root bends.

    Parameters
    ----------
    drop_height, rebound_height : float or array_like, shape (N,)
        Heights of the lowest point of the ball, above 0, in m.
    drop_u, rebound_u : float or array_like, shape (N,)
        Their standard uncertainties, in m.
    correlation : float or array_like, shape (N,), optional
        Of the two heights' errors, from −1 to 1.

    Returns
    -------
    float or ndarray, shape (N,)
        Expected e less e of the expected heights; no unit.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    .. math::

        e\left[\frac38\left(\frac{u_1}{h_1}\right)^2
        - \frac18\left(\frac{u_2}{h_2}\right)^2
        - \frac14 r \frac{u_1 u_2}{h_1 h_2}\right]

    The second-order term of the Taylor series.

    References
    ----------
    .. [1] JCGM 100:2008, *Guide to the Expression of Uncertainty in
       Measurement*, 5.1.2, note.

    Examples
    --------
    >>> round(
    ...     restitution_bias(
    ...         drop_height=1.0, rebound_height=0.64, drop_u=0.002, rebound_u=0.032
    ...     ),
    ...     6,
    ... )
    -0.000249
    """

    def bias(h1: Any, h2: Any, u1: Any, u2: Any, r: Any) -> Any:
        a, b = u1 / h1, u2 / h2
        e = np.sqrt(h2 / h1)
        return e * (0.375 * a**2 - 0.125 * b**2 - 0.25 * r * a * b)

    values = _inputs(drop_height, rebound_height, drop_u, rebound_u, correlation)
    return given(blockwise(bias, *values))


def simulate_restitution(
    inputs: Mapping[str, Sampler | float], **settings: Any
) -> MonteCarlo:
    r"""Give e and its coverage interval from draws of what was read.

    Parameters
    ----------
    inputs : mapping of str to Sampler or float
        ``drop_height`` and ``rebound_height`` in m, and ``drag_constant`` in 1/m
        if the air counts: a sampler such as `bouncelab.monte_carlo.normal`, or a
        number that is taken as exact.
    **settings
        As for `bouncelab.monte_carlo.monte_carlo`.

    Returns
    -------
    MonteCarlo
        Of the coefficient of restitution; no unit.

    Raises
    ------
    InputError
        If an input is missing or unknown, or a drawn drop height is not above
        zero.

    Notes
    -----
    A drawn rebound below the floor counts as a ball that stayed there, e = 0.
    Draws above the drop are kept: cutting them would hide how wide the
    uncertainty is.

    References
    ----------
    .. [1] JCGM 101:2008, *Propagation of distributions using a Monte Carlo
       method*, 7.9.

    Examples
    --------
    >>> from bouncelab.monte_carlo import normal
    >>> found = simulate_restitution(
    ...     {"drop_height": 1.0, "rebound_height": normal(0.64, 0.01)}, seed=1
    ... )
    >>> round(found.estimate, 2), round(found.standard, 3)
    (0.8, 0.006)
    """
    needed, known = {"drop_height", "rebound_height"}, {"drag_constant"}
    if not needed <= set(inputs) <= needed | known:
        raise InputError(
            what="inputs",
            read=", ".join(inputs) or "nothing",
            allowed="drop_height, rebound_height and, if wanted, drag_constant",
            do="Correct the names.",
        )
    return monte_carlo(_drawn, inputs, **settings)


def _drawn(drop_height: Any, rebound_height: Any, drag_constant: Any = 0.0) -> Any:
    lowest = np.min(drop_height)
    if not lowest > 0:
        raise InputError(
            what="drawn drop height",
            read=f"{lowest:g} m",
            allowed="above 0 m",
            do="Give the drop height a smaller uncertainty.",
        )
    second = np.maximum(rebound_height, 0.0)
    squared = second / drop_height
    if np.any(drag_constant):
        k = np.maximum(drag_constant, 0.0)
        squared *= exp_less_one(2 * k * second) / exp_less_one(-2 * k * drop_height)
    return np.sqrt(squared)
