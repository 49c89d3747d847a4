"""A solid ball that loses nothing: compression, force and contact time after Hertz."""

from __future__ import annotations

from dataclasses import dataclass
from math import gamma, pi, sqrt
from typing import Annotated, Any

import numpy as np

from bouncelab.physics.momentum import bodies
from bouncelab.physics.numbers import checked, fitting, given, held
from bouncelab.physics.results import Result

__all__ = ["HertzImpact", "effective_modulus", "hertz_impact", "hertz_stiffness"]

# Twice the time to full compression over compression/speed: 2.943275.
_HERTZ_TIME = 4 * sqrt(pi) / 5 * gamma(2 / 5) / gamma(9 / 10)


@dataclass(frozen=True, slots=True)
class HertzImpact(Result):
    """An impact without loss after Hertz.

    Attributes
    ----------
    compression, peak_force, contact_time, contact_radius : float, UFloat or ndarray
        The largest approach in m, in N, in s, and in m.
    """

    compression: Annotated[Any, "m"]
    peak_force: Annotated[Any, "N"]
    contact_time: Annotated[Any, "s"]
    contact_radius: Annotated[Any, "m"]


@held
def effective_modulus(*, youngs_moduli: Any, poisson_ratios: Any) -> Any:
    r"""Give the modulus that counts where two materials meet.

    Parameters
    ----------
    youngs_moduli : pair of float, UFloat or array_like
        In Pa, above 0.
    poisson_ratios : pair of float, UFloat or array_like
        From 0 to 0.5.

    Returns
    -------
    float, UFloat or ndarray
        :math:`E^*` in Pa, :math:`1/E^* = (1-\nu_1^2)/E_1 + (1-\nu_2^2)/E_2`.

    Raises
    ------
    InputError
        If a value is outside its range or there are not two of each.

    Examples
    --------
    >>> steel = effective_modulus(
    ...     youngs_moduli=(200e9, 200e9), poisson_ratios=(0.3, 0.3)
    ... )
    >>> round(steel / 1e9, 1)
    109.9
    """
    e1, e2 = bodies("Young's modulus", youngs_moduli, "Pa", count=2, above=0)
    n1, n2 = bodies("Poisson's ratio", poisson_ratios, "", count=2, least=0, most=0.5)
    fitting(modulus_1=e1, modulus_2=e2, ratio_1=n1, ratio_2=n2)
    return given(1 / ((1 - n1**2) / e1 + (1 - n2**2) / e2))


@held
def hertz_stiffness(*, radius: Any, effective_modulus: Any) -> Any:
    r"""Give the stiffness of a sphere in :math:`F = K x^{3/2}`.

    Parameters
    ----------
    radius : float, UFloat or array_like
        In m; for two spheres :math:`R_1 R_2/(R_1+R_2)`.
    effective_modulus : float, UFloat or array_like
        In Pa.

    Returns
    -------
    float, UFloat or ndarray
        :math:`K = \tfrac43 E^* \sqrt R`, in N/m^1.5.

    Raises
    ------
    InputError
        If a value is not above 0.

    References
    ----------
    .. [1] H. Hertz, *J. reine angew. Math.* 92 (1882) 156.

    Examples
    --------
    >>> f"{hertz_stiffness(radius=0.01, effective_modulus=110e9):.3g}"
    '1.47e+10'
    """
    r = checked("radius", radius, "m", above=0)
    modulus = checked("effective modulus", effective_modulus, "Pa", above=0)
    fitting(radius=r, effective_modulus=modulus)
    return given(4 / 3 * modulus * r**0.5)


@held
def hertz_impact(
    *, mass: Any, radius: Any, effective_modulus: Any, impact_speed: Any
) -> HertzImpact:
    r"""Give compression, force and contact time of a solid ball without loss.

    Parameters
    ----------
    mass : float, UFloat or array_like
        In kg; for two bodies :math:`m_1 m_2/(m_1+m_2)`.
    radius, effective_modulus : float, UFloat or array_like
        In m and Pa.
    impact_speed : float, UFloat or array_like
        In m/s, above 0.

    Returns
    -------
    HertzImpact
        Times are right within some per cent even for balls that lose 40 %.

    Raises
    ------
    InputError
        If a value is not above 0 or shapes do not fit.

    Notes
    -----
    .. math::
        x_{max} = \left(\frac{5 m v^2}{4K}\right)^{2/5}, \quad
        F_{max} = K x_{max}^{3/2}, \quad t_c = 2.943275\, x_{max}/v

    Small compression, smooth surfaces, no ringing of the ball, no yield.

    References
    ----------
    .. [1] K. L. Johnson, *Contact Mechanics* (1985), 11.4, from memory.

    Examples
    --------
    >>> marble = hertz_impact(
    ...     mass=5e-3, radius=8e-3, effective_modulus=30e9, impact_speed=1.0
    ... )
    >>> f"{1e6 * marble.contact_time:.0f} µs"
    '58 µs'
    """
    m = checked("mass", mass, "kg", above=0)
    v = checked("impact speed", impact_speed, "m/s", above=0)
    stiffness = hertz_stiffness(radius=radius, effective_modulus=effective_modulus)
    fitting(mass=m, impact_speed=v, radius_and_modulus=stiffness)
    deep = (5 * m * v**2 / (4 * stiffness)) ** 0.4
    return HertzImpact(
        given(deep),
        given(stiffness * deep**1.5),
        given(_HERTZ_TIME * deep / v),
        given((np.asarray(radius) * deep) ** 0.5),
    )
