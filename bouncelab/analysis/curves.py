"""Bounce against pressure: a rising curve through a few measured pressures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

__all__ = ["FORMS", "Curve", "fit_curve"]

Numbers: TypeAlias = NDArray[np.float64]

_LARGEST_A = 1.02  # a gas cannot give back more than it took, but for noise
_LEAST_C, _MOST_C, _GRID = 300.0, 1e6, 80  # Pa
_ROUNDS = 3  # the gauge's weight depends on the slope, so the fit is repeated
_GOLDEN = 0.6180339887498949


def _hyperbola(p: Any, c: Any) -> Any:
    return 1.0 / (p + c)


def _exponential(p: Any, c: Any) -> Any:
    return np.exp(-p / c)


FORMS: dict[str, Callable[[Any, Any], Any]] = {
    "a - b/(p + c)": _hyperbola,
    "a - b exp(-p/c)": _exponential,
}


@dataclass(frozen=True, slots=True)
class Curve:
    """A fitted curve.

    Attributes
    ----------
    form : str
        One of `FORMS`.
    a, b, c : float
        Its constants; `a` and the curve have no unit, `c` is in Pa.
    covariance : ndarray, shape (3, 3)
        Of the three constants.
    """

    form: str
    a: float
    b: float
    c: float
    covariance: Numbers

    def at(self, pressure: Any) -> Any:
        """Give the curve at gauge pressures in Pa."""
        return self.a - self.b * FORMS[self.form](np.asarray(pressure), self.c)

    def slopes(self, pressure: Any) -> Numbers:
        """Give the derivatives by a, b, c, shape (3, N)."""
        p = np.asarray(pressure, dtype=np.float64)
        base = FORMS[self.form](p, self.c)
        if self.form == "a - b/(p + c)":
            by_c = self.b * base**2
        else:
            by_c = -self.b * base * p / self.c**2
        return np.stack([np.ones_like(p), -base, by_c])

    def uncertainty(self, pressure: Any) -> Numbers:
        """Give the standard uncertainty of the curve at gauge pressures in Pa."""
        rows = self.slopes(pressure)
        variance = np.einsum("i...,ij,j...->...", rows, self.covariance, rows)
        return np.asarray(np.sqrt(np.maximum(variance, 0.0)))

    def pressure_for(self, value: float) -> float:
        """Give the gauge pressure in Pa at which the curve has a value, or NaN."""
        rest = self.a - value
        if rest <= 0 or self.b <= 0:
            return float("nan")
        if self.form == "a - b/(p + c)":
            return self.b / rest - self.c
        return float(-self.c * np.log(rest / self.b))


def fit_curve(
    form: str,
    *,
    pressure: Numbers,
    value: Numbers,
    variance: Numbers,
    gauge_uncertainty: float,
) -> Curve:
    r"""Fit a curve to the means at a few pressures.

    Parameters
    ----------
    form : str
        One of `FORMS`.
    pressure, value, variance : ndarray, shape (L,)
        Gauge pressure in Pa, mean value, and the variance of that mean.
    gauge_uncertainty : float
        Standard uncertainty that each pressure carries, in Pa.

    Returns
    -------
    Curve
        With a, b, c above zero and a up to 1.02.

    Notes
    -----
    All drops at one pressure share that pressure's error, so the means are
    weighted with :math:`w = 1/[s^2/n + (f'(p)\,u_p)^2]`. For a given c the curve
    is a straight line in a and b; c is searched on a grid and then refined by
    golden section. If the points lie further from the curve than their weights
    allow, the covariance grows in proportion.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.3 and annex H.3; separable least squares:
       G. H. Golub and V. Pereyra, *SIAM J. Numer. Anal.* 10 (1973) 413, from
       memory.

    Examples
    --------
    >>> p = np.array([10e3, 25e3, 40e3, 55e3, 70e3])
    >>> curve = fit_curve(
    ...     "a - b/(p + c)",
    ...     pressure=p,
    ...     value=0.75 - 6e3 / (p + 8e3),
    ...     variance=np.full(5, 1e-6),
    ...     gauge_uncertainty=0.0,
    ... )
    >>> round(curve.a, 4), round(curve.b), round(curve.c)
    (0.75, 6000, 8000)
    """
    base = FORMS[form]
    weight = 1.0 / np.maximum(variance, 1e-12)
    for _ in range(_ROUNDS):
        a, b, c = _search(base, pressure, value, weight)
        curve = Curve(form, a, b, c, np.zeros((3, 3)))
        step = 1.0  # Pa
        slope = (curve.at(pressure + step) - curve.at(pressure - step)) / (2 * step)
        weight = 1.0 / np.maximum(variance + (slope * gauge_uncertainty) ** 2, 1e-12)
    rows = curve.slopes(pressure)
    # c is thousands of pascals and a is about one: scaled, the matrix inverts well.
    scale = np.array([1.0, max(b, 1e-9), max(c, 1e-9)])
    normal = (rows * scale[:, None] * weight) @ (rows * scale[:, None]).T
    covariance = np.linalg.pinv(normal, rcond=1e-13) * np.outer(scale, scale)
    spare = pressure.size - 3
    if spare > 0:
        misfit = float(np.sum(weight * (value - curve.at(pressure)) ** 2)) / spare
        covariance *= max(1.0, misfit)
    return Curve(form, a, b, c, covariance)


def _search(
    base: Callable[[Any, Any], Any], p: Numbers, y: Numbers, w: Numbers
) -> tuple[float, float, float]:
    logs = np.linspace(np.log(_LEAST_C), np.log(_MOST_C), _GRID)
    misfits = _linear(base(p[:, None], np.exp(logs)), y, w)[2]
    best = int(np.argmin(misfits))
    low, high = logs[max(best - 1, 0)], logs[min(best + 1, _GRID - 1)]
    for _ in range(60):
        inner = np.array([high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)])
        first, second = _linear(base(p[:, None], np.exp(inner)), y, w)[2]
        if first <= second:
            high = inner[1]
        else:
            low = inner[0]
    c = float(np.exp((low + high) / 2))
    a, b, _ = _linear(base(p[:, None], np.array([c])), y, w)
    return float(a[0]), float(b[0]), c


def _linear(g: Numbers, y: Numbers, w: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    """Give the best a, b and the misfit for each column of basis values."""
    total = w.sum()
    mean_g, mean_y = w @ g / total, w @ y / total
    away_g, away_y = g - mean_g, (y - mean_y)[:, None]
    square = np.maximum(w @ away_g**2, 1e-300)
    b = np.maximum(-(w @ (away_g * away_y)) / square, 0.0)
    a = mean_y + b * mean_g
    tall = a > _LARGEST_A
    if tall.any():
        fixed = (w @ (g * (_LARGEST_A - y)[:, None])) / np.maximum(w @ g**2, 1e-300)
        b = np.where(tall, np.maximum(fixed, 0.0), b)
        a = np.where(tall, _LARGEST_A, a)
    misfit = w @ (y[:, None] - (a - b * g)) ** 2
    return a, b, misfit
