"""Fit a law to measured values by least squares, with the step of Gauss and Newton."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import InputError

__all__ = ["Fit", "Model", "least_squares"]

Numbers: TypeAlias = NDArray[np.float64]
Model: TypeAlias = Callable[[Numbers], "tuple[Numbers, Numbers] | None"]

_STEPS = 200  # a law that fits at all needs about 5
_SETTLED = 1e-13  # of the largest value
_HALVINGS = 40
_ALIKE = 1e-13  # columns of slopes more alike than this tell parameters no longer apart


@dataclass(frozen=True, slots=True)
class Fit:
    """The best parameters of a law; P parameters, n values.

    Attributes
    ----------
    parameters : ndarray, shape (P,)
        With the smallest sum of squares.
    unscaled : ndarray, shape (P, P)
        Their covariance for values of standard uncertainty 1.
    residuals : ndarray, shape (n,)
        Values less fitted values.
    dof : int
        Values less parameters.
    """

    parameters: Numbers
    unscaled: Numbers
    residuals: Numbers
    dof: int

    @property
    def residual_sd(self) -> float:
        """Standard uncertainty of a value as the residuals show it; NaN if none do."""
        if self.dof == 0:
            return float("nan")
        return float(np.sqrt(self.residuals @ self.residuals / self.dof))


def least_squares(model: Model, observed: Any, start: Any) -> Fit:
    r"""Find the parameters for which a law comes nearest to measured values.

    Parameters
    ----------
    model : callable
        Called with parameters of shape (P,); gives the values of the law, shape
        (n,), and their slopes, shape (n, P), or None where the law has none.
    observed : array_like, shape (n,)
        Measured values of one unit and one uncertainty; not fewer than P.
    start : array_like, shape (P,)
        Where to begin.

    Returns
    -------
    Fit
        Best parameters and what their covariance follows from.

    Raises
    ------
    InputError
        If the parameters do not settle, or cannot be told apart.

    Notes
    -----
    Each step solves the linear problem by QR; it is halved while it would make
    the sum of squares larger.

    Examples
    --------
    >>> x = np.array([0.0, 1.0, 2.0])
    >>> line = lambda at: (at[0] + at[1] * x, np.column_stack([np.ones(3), x]))
    >>> least_squares(line, [1.0, 3.0, 5.0], [0.0, 0.0]).parameters.round(9)
    array([1., 2.])
    """
    values = np.asarray(observed, dtype=np.float64)
    at = np.asarray(start, dtype=np.float64)
    settled = _SETTLED * np.abs(values).max()
    found = model(at)
    for _ in range(_STEPS):
        if found is None:
            break
        residuals, slopes = values - found[0], found[1]
        # Columns of one length, so that units do not matter.
        size = np.sqrt((slopes**2).sum(axis=0))
        if not np.all(size > 0):
            break
        q, r = np.linalg.qr(slopes / size)
        if np.abs(np.diag(r)).min() < _ALIKE:
            break
        inverse = np.linalg.inv(r) / size[:, None]
        step = inverse @ (q.T @ residuals)
        if np.abs(slopes @ step).max() <= settled:
            dof = values.size - at.size
            return Fit(at + step, inverse @ inverse.T, residuals - slopes @ step, dof)
        most = residuals @ residuals * (1 + 1e-9) + values.size * settled**2
        for _ in range(_HALVINGS):
            found = model(at + step)
            if found is not None and np.sum((values - found[0]) ** 2) <= most:
                break
            step = step / 2
        at = at + step
    raise InputError(
        what="measured values",
        read=", ".join(f"{each:.4g}" for each in values[:6]),
        allowed="values that follow the law they are fitted with",
        do="Check them, or choose a law with fewer parameters.",
    )
