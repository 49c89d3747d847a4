"""What a standard uncertainty is worth: Type A and B together, and coverage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from bouncelab.errors import InputError

__all__ = ["Expanded", "expanded"]


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
        If an uncertainty is below zero, degrees of freedom are not above zero,
        or the coverage is not between 0 and 1.

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
    a, nu_a, b, nu_b = np.broadcast_arrays(
        *(np.asarray(each, dtype=np.float64) for each in (type_a, dof_a, type_b, dof_b))
    )
    if not (np.all(a >= 0) and np.all(b >= 0)):
        raise InputError(
            what="standard uncertainty",
            read=f"{min(np.min(a), np.min(b)):g}",
            allowed="0 or more",
            do="Check the sign.",
        )
    if not (np.all(nu_a > 0) and np.all(nu_b > 0)):
        raise InputError(
            what="degrees of freedom",
            read=f"{min(np.min(nu_a), np.min(nu_b)):g}",
            allowed="above 0",
            do="A single reading has no scatter: give its uncertainty as Type B.",
        )
    if not 0 < coverage < 1:
        raise InputError(
            "coverage", f"{coverage:g}", "between 0 and 1", "Write 0.95 for 95 %."
        )
    from scipy.special import stdtrit

    u = np.hypot(a, b)
    # Shares of u, so that tiny uncertainties do not vanish in the fourth power.
    safe = np.where(u > 0, u, 1.0)
    lack = (a / safe) ** 4 / nu_a + (b / safe) ** 4 / nu_b
    nu = np.where(lack > 0, 1.0 / np.where(lack > 0, lack, 1.0), np.inf)
    # Beyond this t is normal to nine digits, and infinity has no quantile there.
    t = stdtrit(np.minimum(nu, 1e10), 0.5 + coverage / 2)
    if u.ndim == 0:
        return Expanded(float(u), float(nu), float(t * u))
    return Expanded(u, nu, t * u)
