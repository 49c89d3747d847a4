"""What a standard uncertainty is worth: propagation, Type A and B, and coverage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.chance_laws import student_quantile
from bouncelab.errors import InputError

__all__ = ["Expanded", "Propagated", "effective_dof", "expanded", "propagate"]

_LARGEST = 1e150  # beyond it squares leave the floats
_LEAST_DOF = 0.1  # an uncertainty that is itself known to a factor of 3 or so
_STEP = 0.1  # of a standard uncertainty; balances cut-off and rounding


@dataclass(frozen=True, slots=True)
class Expanded:
    """A combined uncertainty.

    Attributes
    ----------
    standard : float or ndarray
        Combined standard uncertainty.
    nu_eff : float or ndarray
        Effective degrees of freedom.
    expanded : float or ndarray
        Half-width of the interval with the asked coverage.
    """

    standard: Any
    nu_eff: Any
    expanded: Any


def expanded(
    *,
    type_a: Any,
    dof_a: Any,
    type_b: Any,
    dof_b: Any = np.inf,
    coverage: float = 0.95,
) -> Expanded:
    r"""Combine a Type A and a Type B uncertainty of one mean.

    Parameters
    ----------
    type_a : float or array_like, shape (N,)
        Standard uncertainty of the mean from its scatter, :math:`s/\sqrt n`.
    dof_a : float or array_like, shape (N,)
        Its degrees of freedom, :math:`n - 1`.
    type_b : float or array_like, shape (N,)
        Standard uncertainty that all readings share; added once.
    dof_b : float or array_like, shape (N,), optional
        Its degrees of freedom.
    coverage : float, optional
        Between 0 and 1.

    Returns
    -------
    Expanded
        In the unit of the inputs.

    Raises
    ------
    InputError
        As `effective_dof`, or if the coverage is not between 0 and 1.

    Notes
    -----
    :math:`u^2 = u_A^2 + u_B^2`, the effective degrees of freedom by Welch and
    Satterthwaite, :math:`\nu = u^4/(u_A^4/\nu_A + u_B^4/\nu_B)`, and the
    quantile of Student's t for them.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), G.4.1, Eq. (G.2b), and G.6.4.

    Examples
    --------
    >>> found = expanded(type_a=0.003, dof_a=4, type_b=0.004)
    >>> round(found.standard, 4), round(found.nu_eff, 1), round(found.expanded, 4)
    (0.005, 30.9, 0.0102)
    """
    nu = effective_dof((type_a, type_b), (dof_a, dof_b))
    if not _is_coverage(coverage):
        raise InputError(
            "coverage", f"{coverage!r}", "between 0 and 1", "Write 0.95 for 95 %."
        )
    a, b = (np.asarray(each, dtype=np.float64) for each in (type_a, type_b))
    u = np.broadcast_to(np.hypot(a, b), np.shape(nu)).copy()
    t = student_quantile(nu, 0.5 + coverage / 2)
    if u.ndim == 0:
        return Expanded(float(u), float(nu), float(t * u))
    return Expanded(u, nu, t * u)


def _is_coverage(value: Any) -> bool:
    return isinstance(value, (float, np.floating)) and bool(0 < value < 1)


def effective_dof(contributions: Any, dofs: Any) -> Any:
    r"""Give the effective degrees of freedom of a combined uncertainty.

    Parameters
    ----------
    contributions : sequence of K floats or array_like
        Independent parts of one uncertainty, each a standard uncertainty times
        its sensitivity, in the unit of the result. They broadcast.
    dofs : sequence of K floats or array_like
        Their degrees of freedom; infinite where a part is exactly known.

    Returns
    -------
    float or ndarray
        Infinite if no part has finite degrees of freedom.

    Raises
    ------
    InputError
        If a contribution is below zero, degrees of freedom are below 0.1, a
        value is no number, or the numbers or shapes do not fit.

    Notes
    -----
    Welch and Satterthwaite: :math:`\nu = u^4/\sum_i (u_i^4/\nu_i)`,
    :math:`u^2 = \sum_i u_i^2`.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), G.4.1, Eq. (G.2b).

    Examples
    --------
    >>> round(effective_dof([3.0, 4.0], [4, 9]), 2)
    12.84
    """
    if len(contributions) != len(dofs):
        raise InputError(
            what="degrees of freedom",
            read=f"{len(dofs)} of them for {len(contributions)} contributions",
            allowed="one for each contribution",
            do="Write infinity where a contribution is exactly known.",
        )
    try:
        parts = np.broadcast_arrays(
            *(np.asarray(each, dtype=np.float64) for each in (*contributions, *dofs))
        )
    except (TypeError, ValueError, OverflowError) as error:
        raise InputError(
            what="contributions and degrees of freedom",
            read=str(error),
            allowed="numbers, or arrays of one length",
            do="Give one value of each for every result.",
        ) from error
    u, nu = np.array(parts[: len(dofs)]), np.array(parts[len(dofs) :])
    for what, bad, values, allowed, do in (
        (
            "standard uncertainty",
            ~((u >= 0) & (u <= _LARGEST)),
            u,
            "0 or more, and not too large to square",
            "Check the sign.",
        ),
        (
            "degrees of freedom",
            ~(nu >= _LEAST_DOF),
            nu,
            f"{_LEAST_DOF:g} or more",
            "A single reading has no scatter: give its uncertainty as Type B.",
        ),
    ):
        if bad.any():
            raise InputError(what, f"{values[bad].flat[0]:g}", allowed, do)
    # As shares of the largest, so that nothing vanishes in the fourth power.
    largest = u.max(axis=0)
    share = u / np.where(largest > 0, largest, 1.0)
    lack = (share**4 / nu).sum(axis=0)
    total = (share**2).sum(axis=0) ** 2
    some = lack > 1 / _LARGEST
    result = np.where(some, total / np.where(some, lack, 1.0), np.inf)
    return float(result) if result.ndim == 0 else result


@dataclass(frozen=True, slots=True)
class Propagated:
    """Results of a function of uncertain inputs; K inputs, R results.

    Attributes
    ----------
    values : ndarray, shape (R,)
        The function at the best estimates.
    covariance : ndarray, shape (R, R)
        To first order.
    sensitivities : ndarray, shape (R, K)
        First derivatives.
    bias : ndarray, shape (R,)
        Expected value less `values`, to second order.
    """

    values: NDArray[np.float64]
    covariance: NDArray[np.float64]
    sensitivities: NDArray[np.float64]
    bias: NDArray[np.float64]

    @property
    def standard(self) -> NDArray[np.float64]:
        """Standard uncertainties to first order, shape (R,)."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    @property
    def correlation(self) -> NDArray[np.float64]:
        """Correlation coefficients of the results, shape (R, R)."""
        u = np.where(self.standard > 0, self.standard, 1.0)
        return np.asarray(self.covariance / np.outer(u, u))


def propagate(function: Callable[..., Any], means: Any, covariance: Any) -> Propagated:
    r"""Propagate uncertainties, correlated or not, through a smooth function.

    Parameters
    ----------
    function : callable
        Called with K numbers; gives one number or a sequence of R numbers.
    means : array_like, shape (K,)
        Best estimates of the inputs.
    covariance : array_like, shape (K, K)
        Their covariance matrix: squared standard uncertainties on the diagonal.

    Returns
    -------
    Propagated
        Values, covariance to first order and bias to second order.

    Raises
    ------
    InputError
        If the shapes do not fit, the matrix cannot be a covariance, or the
        function gives something that is not a finite number.

    Notes
    -----
    :math:`V_y = J V_x J^T`, and a bias of
    :math:`\tfrac12 \sum_{ij} f_{ij} V_{ij}`. Derivatives are differences over a
    small part of each uncertainty, good to nine digits or so.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 5.1.2, 5.1.3 note 2, and 5.2.2.

    Examples
    --------
    >>> found = propagate(lambda a, b: a * b, [2.0, 3.0], [[0.01, 0], [0, 0.04]])
    >>> found.values.round(6), found.standard.round(6)
    (array([6.]), array([0.5]))
    """
    try:
        x = np.asarray(means, dtype=np.float64)
        v = np.asarray(covariance, dtype=np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise InputError(
            what="means and covariance matrix",
            read=str(error),
            allowed="numbers",
            do="Give one row and one column for each input.",
        ) from error
    if x.ndim != 1 or v.shape != (x.size, x.size):
        raise InputError(
            what="covariance matrix",
            read=f"shape {v.shape} for {x.size} inputs",
            allowed=f"shape {(x.size, x.size)}",
            do="Give one row and one column for each input.",
        )
    u = np.sqrt(np.maximum(np.diag(v), 0.0))
    scale = np.where(u > 0, u, 1.0)
    shares, directions = np.zeros(0), v
    good = bool((np.abs(x) <= _LARGEST).all() and (np.abs(v) <= _LARGEST).all())
    if good:
        # Rounding may leave it a little lopsided, or a little below zero.
        r = v / np.outer(scale, scale)
        shares, directions = np.linalg.eigh(r)
        good = bool(np.abs(r - r.T).max() <= 1e-9 and shares.min() >= -1e-9)
    if not good:
        raise InputError(
            what="means and covariance matrix",
            read=f"{x.tolist()}, {v.tolist()}",
            allowed="numbers, symmetric, with correlations from -1 to 1",
            do="Check the correlations.",
        )

    def at(point: NDArray[np.float64]) -> NDArray[np.float64]:
        with np.errstate(all="ignore"):  # said below, in words
            result = np.atleast_1d(np.asarray(function(*point), dtype=np.float64))
        if not (np.abs(result) <= _LARGEST).all():
            raise InputError(
                what="result of the function",
                read=f"{result.tolist()} at {point.tolist()}",
                allowed="finite numbers near the best estimates",
                do="Check the formula, or use Monte Carlo.",
            )
        return result

    values = at(x)
    steps = _STEP * np.where(u > 0, u, np.maximum(np.abs(x), 1.0) * _STEP)
    slopes = []
    for one in np.diag(steps):
        near, far = at(x + one) - at(x - one), at(x + 2 * one) - at(x - 2 * one)
        slopes.append((8 * near - far) / 12)
    j = np.array(slopes).T / steps
    bias = np.zeros_like(values)
    for share, direction in zip(shares, directions.T, strict=True):
        one = _STEP * u * direction * np.sqrt(max(share, 0.0))
        bias += (at(x + one) + at(x - one) - 2 * values) / (2 * _STEP**2)
    return Propagated(values, j @ v @ j.T, j, bias)
