"""Bounce against pressure: a rising curve through a few measured pressures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import inf
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.chance_laws import fisher_above

__all__ = ["FORMS", "Curve", "fit_curve", "fit_curves"]

Numbers: TypeAlias = NDArray[np.float64]

_LARGEST_A = 1.02  # a gas cannot give back more than it took, but for noise
_LEAST_C, _MOST_C, _GRID = 300.0, 1e6, 80  # Pa
_ROUNDS = 3  # the gauge's weight depends on the slope, so the fit is repeated
_SHRINKS = 40  # of the bracket about c; each leaves 0.62 of it
_RISK = 0.05  # of doubting weights that are right
_HALVINGS = 50  # of a bracket, down to the last digit
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
        by_c = _by_c(self.form, p, self.b, self.c)
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
    golden section. If the points lie further from the curve than chance allows
    (chi square, 5 %), the covariance grows in proportion.

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
    (curve,) = fit_curves(
        form,
        pressure=pressure[None],
        value=value[None],
        variance=variance[None],
        gauge_uncertainty=gauge_uncertainty,
    )
    return curve


def fit_curves(
    form: str,
    *,
    pressure: Numbers,
    value: Numbers,
    variance: Numbers,
    gauge_uncertainty: float,
) -> list[Curve]:
    """Fit a curve to each of many balls at once.

    Parameters
    ----------
    form : str
        One of `FORMS`.
    pressure, value, variance : ndarray, shape (B, L)
        A row for each ball, as in `fit_curve`.
    gauge_uncertainty : float
        Standard uncertainty that each pressure carries, in Pa.

    Returns
    -------
    list of Curve
        One for each ball; the same as `fit_curve` would give.

    Examples
    --------
    >>> p = np.tile([10e3, 25e3, 40e3, 55e3, 70e3], (2, 1))
    >>> y = np.array([[0.75], [0.80]]) - 6e3 / (p + 8e3)
    >>> curves = fit_curves(
    ...     "a - b/(p + c)",
    ...     pressure=p,
    ...     value=y,
    ...     variance=np.full_like(p, 1e-6),
    ...     gauge_uncertainty=0.0,
    ... )
    >>> [round(each.a, 4) for each in curves]
    [0.75, 0.8]
    """
    weight = 1.0 / np.maximum(variance, 1e-12)
    for _ in range(_ROUNDS if gauge_uncertainty > 0 else 1):
        a, b, c = _search(FORMS[form], pressure, value, weight)
        slope = _steepness(form, pressure, b[:, None], c[:, None])
        weight = 1.0 / np.maximum(variance + (slope * gauge_uncertainty) ** 2, 1e-12)
    base = FORMS[form](pressure, c[:, None])
    rows = np.stack(
        [np.ones_like(pressure), -base, _by_c(form, pressure, b[:, None], c[:, None])],
        axis=1,
    )
    # c is thousands of pascals and a is about one: scaled, the matrix inverts well.
    scale = np.stack([np.ones_like(a), np.maximum(b, 1e-9), np.maximum(c, 1e-9)], 1)
    scaled = rows * scale[:, :, None]
    normal = np.einsum("bil,bl,bjl->bij", scaled, weight, scaled)
    covariance = np.linalg.pinv(normal, rcond=1e-13, hermitian=True)
    covariance *= scale[:, :, None] * scale[:, None, :]
    spare = pressure.shape[1] - 3
    if spare > 0:
        left = value - (a[:, None] - b[:, None] * base)
        misfit = np.einsum("bl,bl->b", weight, left**2) / spare
        doubted = misfit > _most_misfit(spare)
        covariance *= np.where(doubted, misfit, 1.0)[:, None, None]
    return [
        Curve(form, float(a[k]), float(b[k]), float(c[k]), covariance[k])
        for k in range(a.size)
    ]


@cache
def _most_misfit(spare: int) -> float:
    """Give the misfit that good weights exceed once in 20 times: chi squared's."""
    low, high = 0.0, 10.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if fisher_above(spare, inf, middle) > _RISK:
            low = middle
        else:
            high = middle
    return high


def _by_c(form: str, p: Any, b: Any, c: Any) -> Any:
    """Give the derivative of curves by c."""
    base = FORMS[form](p, c)
    return b * base**2 if form == "a - b/(p + c)" else -b * base * p / c**2


def _steepness(form: str, p: Numbers, b: Numbers, c: Numbers) -> Numbers:
    """Give the derivative of curves by the pressure."""
    base = FORMS[form](p, c)
    steep: Numbers = b * (base**2 if form == "a - b/(p + c)" else base / c)
    return steep


def _search(
    base: Callable[[Any, Any], Any], p: Numbers, y: Numbers, w: Numbers
) -> tuple[Numbers, Numbers, Numbers]:
    """Give the best a, b, c of each row of points, shape (B,) each."""
    logs = np.linspace(np.log(_LEAST_C), np.log(_MOST_C), _GRID)
    misfits = _linear(base(p[:, :, None], np.exp(logs)), y, w)[2]
    best = np.argmin(misfits, axis=1)
    low, high = logs[np.maximum(best - 1, 0)], logs[np.minimum(best + 1, _GRID - 1)]
    for _ in range(_SHRINKS):
        inner = np.stack(
            [high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)], axis=1
        )
        at = _linear(base(p[:, :, None], np.exp(inner)[:, None, :]), y, w)[2]
        lower = at[:, 0] <= at[:, 1]
        high = np.where(lower, inner[:, 1], high)
        low = np.where(lower, low, inner[:, 0])
    c = np.exp((low + high) / 2)
    a, b, _ = _linear(base(p[:, :, None], c[:, None, None]), y, w)
    return a[:, 0], b[:, 0], c


def _linear(g: Numbers, y: Numbers, w: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    """Give the best a, b and the misfit for each column of basis values.

    `g` has the shape (B, L, K), `y` and `w` (B, L); each answer has (B, K).
    """
    total = w.sum(axis=1)[:, None]
    mean_g = np.einsum("bl,blk->bk", w, g) / total
    mean_y = np.einsum("bl,bl->b", w, y)[:, None] / total
    away_g, away_y = g - mean_g[:, None, :], y - mean_y
    square = np.maximum(np.einsum("bl,blk->bk", w, away_g**2), 1e-300)
    both = np.einsum("bl,blk->bk", w * away_y, away_g)
    b = np.maximum(-both / square, 0.0)
    a = mean_y + b * mean_g
    tall = a > _LARGEST_A
    if tall.any():
        fixed = np.einsum("bl,blk->bk", w * (_LARGEST_A - y), g) / np.maximum(
            np.einsum("bl,blk->bk", w, g**2), 1e-300
        )
        b = np.where(tall, np.maximum(fixed, 0.0), b)
        a = np.where(tall, _LARGEST_A, a)
    left = y[:, :, None] - (a[:, None, :] - b[:, None, :] * g)
    return a, b, np.einsum("bl,blk->bk", w, left**2)
