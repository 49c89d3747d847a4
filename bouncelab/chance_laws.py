r"""Student's and Fisher's laws on numpy alone, so that a browser need not fetch more.

Student's upper tail is an integral over a half-line that is smooth for all degrees of
freedom. With :math:`v^2 = \tfrac\nu2\ln(1 + s^2/\nu)`,

.. math:: P(T > t) \propto \int_{v_0}^\infty e^{-v^2}\,v\,
          \Big[\tfrac\nu2\big(1 - e^{-2v^2/\nu}\big)\Big]^{-1/2} dv ,

and Gauss's rule, laid over as much as is above 1e-16 of the first value, gives ten
digits and more, small tails included. The normal law is its limit.
"""

from __future__ import annotations

from collections.abc import Callable
from math import erfc, exp, inf, isinf, log, log1p, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "fisher_above",
    "student_above",
    "student_below",
    "student_beyond",
    "student_quantile",
]

Numbers = NDArray[np.float64]

_FEW, _MANY = (np.polynomial.legendre.leggauss(n) for n in (32, 64))
_REACH = 37.0  # beyond it e^-q is below 1e-16
# ln of the square root of a times Γ(a)/Γ(a + 1/2), in powers of 1/a, one in two.
_GAMMAS = (1 / 8, -1 / 192, 1 / 640, -17 / 14336, 31 / 18432)
_STEPS = np.arange(10.0)  # ten further on that series is good to 1e-14
_NORMAL = 1e15  # so much freedom is as good as infinite
_BLOCK = 4096  # rows at a time, to stay within a few megabytes
_ROUNDS = 60
_HASTINGS = ((2.515517, 0.802853, 0.010328), (1.0, 1.432788, 0.189269, 0.001308))


def student_above(nu: Any, t: Any) -> Any:
    """Give the probability that Student's t is above a value.

    Parameters
    ----------
    nu : float or array_like, shape (N,)
        Degrees of freedom, above 0; infinity for the normal law.
    t : float or array_like, shape (N,)
        The value; may be infinite.

    Returns
    -------
    float or ndarray, shape (N,)
        From 0 to 1; NaN where an input is NaN. Small ones keep their digits.

    References
    ----------
    .. [1] M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions*
       (1964), chapter 25, for the rule, from memory; the integral was worked
       out for this kit.

    Examples
    --------
    >>> round(student_above(4, 2.776445105198), 9)
    0.025
    >>> round(student_above(float("inf"), 1.959963984540), 9)
    0.025
    """
    return _by_blocks(_above, nu, t)


def student_below(nu: Any, t: Any) -> Any:
    """Give the probability that Student's t is below a value.

    Parameters
    ----------
    nu, t : float or array_like, shape (N,)
        As for `student_above`.

    Returns
    -------
    float or ndarray, shape (N,)
        From 0 to 1.

    Examples
    --------
    >>> student_below(1, [-1.0, 0.0, 1.0]).round(12).tolist()
    [0.25, 0.5, 0.75]
    """
    return student_above(nu, np.negative(t))


def student_quantile(nu: Any, share: Any) -> Any:
    """Give the value that Student's t stays below with some probability.

    Parameters
    ----------
    nu : float or array_like, shape (N,)
        Degrees of freedom, above 0; infinity for the normal law.
    share : float or array_like, shape (N,)
        The probability, from 0 to 1.

    Returns
    -------
    float or ndarray, shape (N,)
        In standard uncertainties; NaN where an input is NaN.

    Notes
    -----
    Newton's steps, in the logarithms of tail and value where the tail is below a
    quarter, and straight above it: both curves bend one way, so no step goes wrong.

    Examples
    --------
    >>> student_quantile([4, 9, float("inf")], 0.975).round(6).tolist()
    [2.776445, 2.262157, 1.959964]
    """
    return _by_blocks(_quantile, nu, share)


def student_beyond(nu: float, shift: float, edge: float) -> float:
    r"""Give the probability that a shifted Student's t is beyond an edge on a side.

    Parameters
    ----------
    nu : float
        Degrees of freedom, 1 or more.
    shift : float
        The noncentrality: how far the mean is off, in its standard errors.
    edge : float
        The edge, above 0; the other is at minus `edge`.

    Returns
    -------
    float
        From 0 to 1: the power of a two-sided t test.

    Notes
    -----
    The normal law's share beyond the edges, averaged over the scatter that may be
    seen: with :math:`s = e^u` and :math:`\nu s^2` chi-squared,

    .. math:: P = \int [\Phi(\delta - ks) + \Phi(-\delta - ks)]\,
              e^{\nu(u - e^{2u}/2)}\,du \Big/ \int e^{\nu(u - e^{2u}/2)}\,du .

    Good to nine digits.

    Examples
    --------
    >>> round(student_beyond(18, 2.9814, 2.100922), 2)
    0.8
    """
    nu = min(nu, 1e9)
    reach = 38 / nu + sqrt(38 / nu)
    u = np.linspace(-reach, log1p(2 * reach) / 2, 161 if nu > 3 else 961)
    weight = np.exp(nu * (u - np.expm1(2 * u) / 2))
    far = edge * np.exp(u)
    both = [erfc((far_at - d) / sqrt(2)) for d in (shift, -shift) for far_at in far]
    return float(np.tile(weight, 2) @ np.array(both) / (2 * weight.sum()))


def fisher_above(k: int, n: float, f: float) -> float:
    """Give the probability that Fisher's F is above a value.

    Parameters
    ----------
    k : int
        Degrees of freedom between, 1 or more.
    n : float
        Degrees of freedom within, above 0. If infinite, `k` times `f` follows the
        chi-squared law.
    f : float
        The value, 0 or more.

    Returns
    -------
    float
        From 0 to 1.

    Notes
    -----
    A sum of positive terms, two degrees of freedom at a time, from Student's tail
    (`k` odd) or from nothing (`k` even).

    References
    ----------
    .. [1] M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions*
       (1964), 26.6.4 to 26.6.8, from memory.

    Examples
    --------
    >>> round(fisher_above(2, 10, 4.102821), 6)
    0.05
    >>> round(fisher_above(3, float("inf"), 7.814728 / 3), 6)
    0.05
    """
    if not f > 0:
        return 1.0
    if isinf(f):
        return 0.0
    n = min(n, _NORMAL)
    terms = (k - 1) // 2
    rest = k * f / (n + k * f)
    if k % 2:
        t = sqrt(k * f)
        least, head = 0.5, 2.0 * float(student_above(n, t))
        first = log(2 * t) + float(_log_density(np.array([n]), np.array([t]))[0])
    else:
        whole = -n / 2 * log1p(k * f / n)
        least, head, first = 1.0, exp(whole), whole + log(rest * n / 2)
    # In logarithms: with many degrees of freedom the first terms are below any float,
    # and the last are not.
    b = least + np.arange(terms)
    steps = np.log(rest * (n / 2 + b[1:] - 1) / b[1:])
    logs = first + np.concatenate([np.zeros(min(terms, 1)), np.cumsum(steps)])
    return min(head + float(np.exp(logs).sum()), 1.0)


def _by_blocks(work: Callable[[Numbers, Numbers], Numbers], nu: Any, x: Any) -> Any:
    nus, xs = np.broadcast_arrays(
        *(np.asarray(each, dtype=np.float64) for each in (nu, x))
    )
    flat = [each.ravel() for each in (np.minimum(nus, _NORMAL), xs)]
    out = np.empty(nus.size)
    for first in range(0, nus.size, _BLOCK):
        part = slice(first, first + _BLOCK)
        out[part] = work(flat[0][part], flat[1][part])
    return float(out[0]) if nus.ndim == 0 else out.reshape(nus.shape)


def _tail(nu: Numbers, q: Numbers) -> Numbers:
    """Give the integral beyond q, without its factor exp(-q)."""
    # With little freedom the integrand's poles are near.
    at, weight = _MANY if nu.size and nu.min() < 1 else _FEW
    half, start = nu[:, None] / 2, np.sqrt(q)[:, None]
    length = np.sqrt(q[:, None] + _REACH) - start
    step = length * (at + 1) / 2
    v = start + step
    height = np.exp(-step * (start + v)) * v / np.sqrt(-half * np.expm1(-v * v / half))
    return np.asarray(length[:, 0] * (height @ weight))


def _whole(nu: Numbers) -> Numbers:
    """Give the integral from 0 on, by Gamma functions."""
    half = nu / 2
    far = half + _STEPS.size
    steps = np.prod(1 + 0.5 / (half[:, None] + _STEPS), axis=1)
    whole = np.sqrt(np.pi * half / far) * steps
    series = np.polynomial.polynomial.polyval(far**-2, _GAMMAS) / far
    return np.asarray(whole * np.exp(series))


def _above(nu: Numbers, t: Numbers, whole: Numbers | None = None) -> Numbers:
    far = np.minimum(np.abs(t), 1e150)
    q = nu / 2 * np.log1p(far**2 / nu)
    whole = _whole(nu) if whole is None else whole
    tail = np.where(np.isinf(t), 0.0, 0.5 * np.exp(-q) * _tail(nu, q) / whole)
    return np.where(t < 0, 1 - tail, tail)


def _log_density(nu: Numbers, t: Numbers, whole: Numbers | None = None) -> Numbers:
    whole = _whole(nu) if whole is None else whole
    return -(nu + 1) / 2 * np.log1p(t**2 / nu) - np.log(sqrt(2) * whole)


def _quantile(nu: Numbers, share: Numbers) -> Numbers:
    tail = np.minimum(share, 1 - share)
    found = np.full(nu.shape, np.nan)
    found[tail == 0] = inf
    found[tail == 0.5] = 0.0
    left = np.flatnonzero((tail > 0) & (tail < 0.5) & (nu > 0))
    n, goal = nu[left], tail[left]
    whole = _whole(n)
    t = _start(n, goal, whole)
    for _ in range(_ROUNDS):
        now, slope = _above(n, t, whole), np.exp(_log_density(n, t, whole))
        straight = t + (now - goal) / slope
        bent = t * np.exp(np.log(now / goal) * now / (t * slope))
        new = np.where(goal < 0.25, bent, straight)
        found[left] = new
        more = np.abs(new - t) > 1e-7 * new  # the next error is its square
        if not more.any():
            break
        left, t = left[more], new[more]
        n, goal, whole = n[more], goal[more], whole[more]
    return np.where(share < 0.5, -found, found)


def _start(nu: Numbers, tail: Numbers, whole: Numbers) -> Numbers:
    top = 1 / (sqrt(2) * whole)  # the density at 0
    root = np.sqrt(-2 * np.log(tail))
    above, below = (np.polynomial.polynomial.polyval(root, c) for c in _HASTINGS)
    z = root - above / below
    # Cornish and Fisher's series for much freedom, the tail's power for little.
    gentle = z + (z**3 + z) / (4 * nu) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * nu**2)
    heavy = np.sqrt(nu) * (top / np.sqrt(nu) / tail) ** (1 / np.minimum(nu, 3))
    far = np.where(nu < 3, heavy, gentle)
    return np.where(tail < 0.25, far, (0.5 - tail) / top)
