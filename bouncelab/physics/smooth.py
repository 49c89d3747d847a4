"""The functions of drag, written so that nothing is lost as the drag vanishes.

Each is 1 where its argument is 0. Divided out by hand they would be 0/0 there,
and an uncertainty carried through them would lose its digits close by.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import factorial
from typing import Any

import numpy as np

from bouncelab.physics.numbers import applied, nominal

__all__ = [
    "arcosh_of_exp",
    "arctan_of_root",
    "arsinh_of_root",
    "exp_less_one",
    "log_of_cosh",
    "log_one_more",
    "sine",
]

_EDGE = 0.05  # nearer to 0 than this the series: 12 terms leave less than 1e-16
_TERMS = range(12)
_EXP = [1 / factorial(n + 1) for n in _TERMS]
_LOG = [(-1) ** n / (n + 1) for n in _TERMS]
_ARCTAN = [(-1) ** n / (2 * n + 1) for n in _TERMS]
_ARSINH = [
    (-1) ** n * factorial(2 * n) / (4**n * factorial(n) ** 2 * (2 * n + 1))
    for n in _TERMS
]
_SINE = [(-1) ** n / factorial(2 * n + 1) for n in _TERMS]
# The next two were expanded with sympy; `tests/physics/test_smooth.py` does it again.
_ARCOSH = [1, 1 / 6, 1 / 120, -1 / 336, -1 / 5760, 19 / 126720, 79 / 12579840]
_ARCOSH += [-11 / 1161216, -2339 / 7896268800, 11813 / 17650483200]
_COSH = [1, -1 / 6, 2 / 45, -17 / 1260, 62 / 14175, -691 / 467775, 21844 / 42567525]
_COSH += [-929569 / 5108103000, 6404582 / 97692469875, -221930581 / 9280784638125]


def _smooth(
    x: Any, far: Callable[[Any], Any], near: Sequence[float], edge: float = 0.0
) -> Any:
    x = np.asarray(x)
    if x.dtype != object and edge == 0:
        # Only 0/0 itself is lost; slopes, which would be, are not asked for.
        none = x == 0
        return (
            np.where(none, 1.0, far(np.where(none, 1.0, x))) if none.any() else far(x)
        )
    close = np.abs(nominal(x)) < _EDGE
    if not close.any():
        return far(x)
    at = np.where(close, x, 0.0)
    series: Any = np.zeros(x.shape)
    for factor in reversed(near):
        series = series * at + factor
    if close.all():
        return series
    return np.where(close, series, far(np.where(close, _EDGE, x)))


def exp_less_one(x: Any) -> Any:
    """Give (exp(x) − 1)/x.

    Parameters
    ----------
    x : float, UFloat or array_like
        Any number up to 700.

    Returns
    -------
    float, UFloat or ndarray
        Same shape.

    Examples
    --------
    >>> float(exp_less_one(0.0))
    1.0
    """
    return _smooth(x, lambda far: applied("expm1", far) / far, _EXP)


def log_one_more(x: Any) -> Any:
    """Give log(1 + x)/x.

    Parameters
    ----------
    x : float, UFloat or array_like
        Above −1.

    Returns
    -------
    float, UFloat or ndarray
        Same shape.

    Examples
    --------
    >>> float(log_one_more(0.0))
    1.0
    """
    return _smooth(x, lambda far: applied("log1p", far) / far, _LOG)


def arctan_of_root(x: Any) -> Any:
    """Give arctan(√x)/√x.

    Parameters
    ----------
    x : float, UFloat or array_like
        Not below 0.

    Returns
    -------
    float, UFloat or ndarray
        Same shape.

    Examples
    --------
    >>> float(arctan_of_root(0.0))
    1.0
    """
    return _smooth(x, lambda far: applied("arctan", far**0.5) / far**0.5, _ARCTAN)


def arsinh_of_root(x: Any) -> Any:
    """Give arsinh(√x)/√x.

    Parameters
    ----------
    x : float, UFloat or array_like
        Not below 0.

    Returns
    -------
    float, UFloat or ndarray
        Same shape.

    Examples
    --------
    >>> float(arsinh_of_root(0.0))
    1.0
    """
    return _smooth(x, lambda far: applied("arcsinh", far**0.5) / far**0.5, _ARSINH)


def arcosh_of_exp(x: Any) -> Any:
    """Give arcosh(exp(x))/√(2x).

    Parameters
    ----------
    x : float, UFloat or array_like
        Not below 0.

    Returns
    -------
    float, UFloat or ndarray
        Same shape.

    Examples
    --------
    >>> float(arcosh_of_exp(0.0))
    1.0
    """

    def far(x: Any) -> Any:
        root = (-applied("expm1", -2 * x)) ** 0.5
        return (x + applied("log1p", root)) / (2 * x) ** 0.5

    return _smooth(x, far, _ARCOSH)


def log_of_cosh(x: Any) -> Any:
    """Give 2 log(cosh √x)/x.

    Parameters
    ----------
    x : float, UFloat or array_like
        Not below 0.

    Returns
    -------
    float, UFloat or ndarray
        Same shape.

    Examples
    --------
    >>> float(log_of_cosh(0.0))
    1.0
    """

    def far(x: Any) -> Any:
        root = x**0.5
        return 2 * (root + applied("log1p", applied("expm1", -2 * root) / 2)) / x

    return _smooth(x, far, _COSH, _EDGE)


def sine(x: Any) -> Any:
    """Give sin(√x)/√x.

    Parameters
    ----------
    x : float, UFloat or array_like
        Not below 0.

    Returns
    -------
    float, UFloat or ndarray
        Same shape.

    Examples
    --------
    >>> float(sine(0.0))
    1.0
    """
    return _smooth(x, lambda far: applied("sin", far**0.5) / far**0.5, _SINE)
