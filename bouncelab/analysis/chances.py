"""How likely a quantity lies inside limits, and what can then be said of it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.catalogue import BounceRange
from bouncelab.chance_laws import student_below, student_quantile
from bouncelab.errors import InputError

__all__ = [
    "SURE",
    "acceptance_limits",
    "edges",
    "more_drops",
    "probability_inside",
    "quantile",
    "verdict_words",
]

SURE = 0.95  # common practice: wrong once in twenty at a limit
MOST_MORE_DROPS = 50  # a class will not drop one ball more often


def probability_inside(
    mean: Any, standard_uncertainty: Any, nu_eff: Any, low: Any, high: Any
) -> Any:
    r"""Give the probability that a quantity lies between two limits.

    Parameters
    ----------
    mean, standard_uncertainty : float or array_like, shape (N,)
        Best estimate and its standard uncertainty, in one unit.
    nu_eff : float or array_like, shape (N,)
        Effective degrees of freedom, above 0; infinity for the normal law.
    low, high : float or array_like, shape (N,)
        Limits; minus or plus infinity where there is none.

    Returns
    -------
    float or ndarray, shape (N,)
        From 0 to 1. Without uncertainty it is 1 inside, limits included, else 0.

    Raises
    ------
    InputError
        If the mean is not finite, the uncertainty is below zero, or the degrees
        of freedom are not above zero.

    Notes
    -----
    With :math:`T_\nu` the distribution function of Student's t,

    .. math:: P = T_\nu\Big(\frac{U - y}{u}\Big) - T_\nu\Big(\frac{L - y}{u}\Big)

    as follows when nothing else is known of the quantity beforehand.

    References
    ----------
    .. [1] JCGM 106:2012, 7.2 to 7.5.

    Examples
    --------
    >>> round(probability_inside(1.30, 0.05, float("inf"), 1.20, 1.40), 4)
    0.9545
    """
    y, u, nu, least, most = np.broadcast_arrays(
        *(
            np.asarray(each, dtype=np.float64)
            for each in (mean, standard_uncertainty, nu_eff, low, high)
        )
    )
    for what, values, good, allowed in (
        ("mean rebound", y, np.isfinite(y), "a number"),
        ("standard uncertainty", u, (u >= 0) & np.isfinite(u), "0 or more"),
        ("degrees of freedom", nu, nu > 0, "above 0"),
    ):
        if not good.all():
            raise InputError(
                what, f"{values[~good].flat[0]:g}", allowed, "Check the readings."
            )
    known = u > 0
    safe = np.where(known, u, 1.0)
    a, b = (least - y) / safe, (most - y) / safe
    # Both ends in the lower tail, where small probabilities keep their digits.
    turn = a > 0
    a, b = np.where(turn, -b, a), np.where(turn, -a, b)
    upper, lower = student_below(nu, np.stack([b, a]))
    inside = np.where(known, upper - lower, (least <= y) & (y <= most))
    inside = np.clip(inside, 0.0, 1.0)
    return float(inside) if inside.ndim == 0 else inside


def acceptance_limits(
    limits: BounceRange,
    standard_uncertainty: float,
    nu_eff: float = np.inf,
    risk: float = 0.05,
) -> tuple[float | None, float | None]:
    """Give limits drawn in, so that a ball at them is wrongly passed seldom.

    Parameters
    ----------
    limits : BounceRange
        The range.
    standard_uncertainty : float
        Of the mean rebound, in m.
    nu_eff : float, optional
        Effective degrees of freedom.
    risk : float, optional
        Accepted consumer's risk at a limit, between 0 and 0.5.

    Returns
    -------
    tuple of float or None
        Lower and upper acceptance limit in m. If the lower is above the upper,
        the measurement is too coarse to pass any ball.

    Raises
    ------
    InputError
        If the risk is not between 0 and 0.5.

    Notes
    -----
    The guard band is 1.645 u for a risk of 5 % and the normal law.

    References
    ----------
    .. [1] JCGM 106:2012, 8.3.2.

    Examples
    --------
    >>> from bouncelab.catalogue import find_range
    >>> low, high = acceptance_limits(find_range("futsal-law-2"), 0.01)
    >>> round(low, 4), round(high, 4)
    (0.5164, 0.6336)
    """
    if not 0 < risk < 0.5:
        raise InputError(
            "risk", f"{risk:g}", "between 0 and 0.5", "Write 0.05 for 5 %."
        )
    guard = quantile(nu_eff, 1 - risk) * standard_uncertainty
    low, high = limits.rebound_min_m, limits.rebound_max_m
    return (
        None if low is None else low + guard,
        None if high is None else high - guard,
    )


def quantile(nu: float, share: float) -> float:
    """Give the value that Student's t stays below with probability `share`.

    Parameters
    ----------
    nu : float
        Degrees of freedom, above 0; may be infinite.
    share : float
        Between 0 and 1.

    Returns
    -------
    float
        In standard uncertainties.

    Examples
    --------
    >>> round(quantile(float("inf"), 0.95), 3)
    1.645
    """
    return float(student_quantile(nu, share))


def more_drops(
    mean: float, standard_uncertainty: float, nu_eff: float, limits: BounceRange, n: int
) -> int | None:
    r"""Give how many more drops may settle a verdict.

    Parameters
    ----------
    mean, standard_uncertainty : float
        Mean rebound and its standard uncertainty, in m.
    nu_eff : float
        Effective degrees of freedom.
    limits : BounceRange
        The range.
    n : int
        Drops made so far.

    Returns
    -------
    int or None
        None if up to 50 more would not settle it, or a single drop shows no
        scatter to reckon with.

    Notes
    -----
    The mean and the scatter are taken to stay. Scatter shrinks with the root of
    the number of drops; what all drops share does not. The two are parted by
    turning the effective degrees of freedom round,
    :math:`u_A = u\,[(n - 1)/\nu]^{1/4}`.

    Examples
    --------
    >>> from bouncelab.catalogue import find_range
    >>> more_drops(0.512, 0.008, 4.0, find_range("futsal-law-2"), 5)
    3
    """
    if n < 2 or not standard_uncertainty > 0:
        return None
    share = min((n - 1) / nu_eff, 1.0)
    type_a, u = standard_uncertainty * share**0.25, standard_uncertainty
    total = np.arange(n + 1, n + MOST_MORE_DROPS + 1)
    scatter = type_a**2 * n / total
    square = scatter + (u**2 - type_a**2)
    with np.errstate(divide="ignore", over="ignore"):
        nu = (total - 1) * (square / scatter) ** 2 if type_a > 0 else np.inf
    low, high = edges(limits)
    settled = verdict_words(mean, np.sqrt(square), nu, low, high)[0] != "cannot be told"
    return int(np.argmax(settled)) + 1 if settled.any() else None


def edges(limits: BounceRange) -> tuple[float, float]:
    """Give a range's limits in m, infinite where there is none.

    Parameters
    ----------
    limits : BounceRange
        The range.

    Returns
    -------
    tuple of float
        Lower and upper limit.

    Examples
    --------
    >>> from bouncelab.catalogue import find_range
    >>> edges(find_range("croquet-ca-championship"))
    (0.9398, inf)
    """
    low, high = limits.rebound_min_m, limits.rebound_max_m
    return -np.inf if low is None else low, np.inf if high is None else high


def verdict_words(
    mean: Any, u: Any, nu: Any, low: float, high: float
) -> tuple[NDArray[Any], NDArray[np.float64]]:
    """Give the verdicts on many means at once, with their probabilities.

    Parameters
    ----------
    mean, u, nu : float or array_like, shape (N,)
        As for `probability_inside`.
    low, high : float
        Limits; infinite where there is none.

    Returns
    -------
    tuple of ndarray, shape (N,)
        ``"meets"`` from a probability of 0.95 up, ``"does not meet"`` from 0.05
        down, else ``"cannot be told"``; and the probabilities.

    Notes
    -----
    An uncertainty so large that no mean could meet the limits makes every
    probability small, and that says nothing of the ball. A mean then fails only
    if it is too low with 0.95, or too high with 0.95.

    Examples
    --------
    >>> words, chance = verdict_words([0.4, 0.5, 0.6], 0.01, 9.0, 0.50, 0.65)
    >>> words.tolist()
    ['does not meet', 'cannot be told', 'meets']
    """
    inside, below, above = (
        np.atleast_1d(probability_inside(mean, u, nu, *ends))
        for ends in ((low, high), (-np.inf, low), (high, np.inf))
    )
    outside = inside <= 1 - SURE
    if np.isfinite(high - low):
        best = probability_inside((low + high) / 2, u, nu, low, high)
        outside &= (best >= SURE) | (np.maximum(below, above) >= SURE)
    passed = np.where(inside >= SURE, "meets", "cannot be told")
    return np.where(outside, "does not meet", passed), inside
