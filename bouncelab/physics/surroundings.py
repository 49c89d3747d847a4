"""What surrounds a falling ball: the air, its drag on a sphere, and gravity."""

from __future__ import annotations

from typing import Any

import numpy as np

from bouncelab.physics.numbers import (
    applied,
    checked,
    fitting,
    given,
    held,
    nominal,
)
from bouncelab.units import STANDARD_ATMOSPHERE_PA, kelvin

__all__ = [
    "air_density",
    "air_viscosity",
    "local_gravity",
    "reynolds_number",
    "sphere_drag",
]

GAS_CONSTANT = 8.314462618  # J/(mol K), exact by the SI of 2019
MOLAR_MASS_AIR = 0.0289644  # kg/mol, dry: U.S. Standard Atmosphere 1976, table 3
MOLAR_MASS_WATER = 0.01801528  # kg/mol

# WGS 84: NIMA TR8350.2 (2000), chapters 3 and 4.
_EQUATOR = 9.7803253359  # m/s²
_SOMIGLIANA = 0.00193185265241
_ECCENTRICITY_SQUARED = 0.00669437999014
_FREE_AIR = 3.086e-6  # 1/s², the usual figure of geodesy texts

_CRISIS = 2e5  # Reynolds number; the drag of a smooth sphere falls soon after


@held
def air_density(
    *,
    temperature_c: Any = 20.0,
    pressure: Any = STANDARD_ATMOSPHERE_PA,
    humidity: Any = 0.0,
) -> Any:
    r"""Give the density of air.

    Parameters
    ----------
    temperature_c : float, UFloat or array_like, optional
        In °C, from −60 to 60.
    pressure : float, UFloat or array_like, optional
        Absolute, in Pa.
    humidity : float, UFloat or array_like, optional
        Relative, from 0 to 1.

    Returns
    -------
    float, UFloat or ndarray
        In kg/m³.

    Raises
    ------
    InputError
        If a value is out of its range or not a number.

    Notes
    -----
    Ideal gas: :math:`\rho = [p M - p_v (M - M_w)]/(R T)` with the vapour
    pressure :math:`p_v` by the Magnus form of [1]_. From 5 to 35 °C it is
    within 0.1 % of the formula of the CIPM [2]_.

    References
    ----------
    .. [1] O. A. Alduchov and R. E. Eskridge, *J. Appl. Meteor.* 35 (1996) 601,
       eq. (21), from memory.
    .. [2] A. Picard, R. S. Davis, M. Gläser and K. Fujii, *Metrologia* 45 (2008)
       149.

    Examples
    --------
    >>> round(air_density(temperature_c=20.0), 3)
    1.204
    """
    celsius = checked("temperature", temperature_c, "°C", least=-60, most=60)
    p = checked("air pressure", pressure, "Pa", above=0, do="Give it as absolute.")
    wet = checked(
        "relative humidity", humidity, least=0, most=1, do="Divide a percentage by 100."
    )
    fitting(temperature=celsius, pressure=p, humidity=wet)
    vapour = wet * 610.94 * applied("exp", 17.625 * celsius / (celsius + 243.04))
    mass = p * MOLAR_MASS_AIR - vapour * (MOLAR_MASS_AIR - MOLAR_MASS_WATER)
    return given(mass / (GAS_CONSTANT * kelvin(celsius)))


@held
def air_viscosity(*, temperature_c: Any = 20.0) -> Any:
    r"""Give the dynamic viscosity of air.

    Parameters
    ----------
    temperature_c : float, UFloat or array_like, optional
        In °C, from −100 to 200.

    Returns
    -------
    float, UFloat or ndarray
        In Pa·s.

    Raises
    ------
    InputError
        If a temperature is out of range or not a number.

    Notes
    -----
    Sutherland's formula, :math:`\mu = \beta T^{3/2}/(T + S)`; the pressure does
    not matter.

    References
    ----------
    .. [1] *U.S. Standard Atmosphere 1976*, eq. (51).

    Examples
    --------
    >>> print(f"{air_viscosity(temperature_c=15.0):.3e}")
    1.789e-05
    """
    t = kelvin(checked("temperature", temperature_c, "°C", least=-100, most=200))
    return given(1.458e-6 * t**1.5 / (t + 110.4))


@held
def reynolds_number(
    *, speed: Any, diameter: Any, air_density: Any, air_viscosity: Any
) -> Any:
    r"""Give the Reynolds number of a moving ball.

    Parameters
    ----------
    speed : float, UFloat or array_like
        In m/s.
    diameter : float, UFloat or array_like
        In m.
    air_density : float, UFloat or array_like
        In kg/m³.
    air_viscosity : float, UFloat or array_like
        Dynamic, in Pa·s.

    Returns
    -------
    float, UFloat or ndarray
        No unit.

    Raises
    ------
    InputError
        If a speed is below zero, another value is not above zero, or the shapes
        do not fit.

    Notes
    -----
    :math:`Re = \rho v d/\mu`.

    Examples
    --------
    >>> round(
    ...     reynolds_number(
    ...         speed=6.0, diameter=0.242, air_density=1.204, air_viscosity=1.813e-5
    ...     )
    ... )
    96426
    """
    v = checked("speed", speed, "m/s", least=0)
    d = checked("diameter", diameter, "m", above=0)
    rho = checked("air density", air_density, "kg/m³", above=0)
    mu = checked("air viscosity", air_viscosity, "Pa·s", above=0)
    fitting(speed=v, diameter=d, air_density=rho, air_viscosity=mu)
    return given(rho * v * d / mu)


@held
def sphere_drag(reynolds_number: Any) -> tuple[Any, Any]:
    r"""Give the drag coefficient of a sphere, and how sure it is for a ball.

    Parameters
    ----------
    reynolds_number : float or array_like
        Above 0, up to 200 000.

    Returns
    -------
    drag_coefficient : float or ndarray
        No unit.
    standard_uncertainty : float or ndarray
        Type B: 10 % up to a Reynolds number of 100 000, and 20 % above.

    Raises
    ------
    InputError
        If a value is out of range; beyond it the drag falls to a third at a
        speed that depends on seams and roughness.

    Notes
    -----
    .. math::

        C_d = \frac{24}{Re}(1 + 0.15\,Re^{0.687})
        + \frac{0.42}{1 + 42\,500\,Re^{-1.16}}

    Measured points for smooth spheres lie within 7 % of it from 50 to 100 000;
    the rest of the uncertainty allows for seams, felt and roughness.

    References
    ----------
    .. [1] R. Clift and W. H. Gauvin, *Can. J. Chem. Eng.* 49 (1971) 439, from
       memory.

    Examples
    --------
    >>> coefficient, u = sphere_drag(50_000)
    >>> round(coefficient, 2), round(u, 2)
    (0.49, 0.05)
    """
    re = nominal(
        checked(
            "Reynolds number",
            reynolds_number,
            above=0,
            most=_CRISIS,
            do="Take a measured drag coefficient for so fast a ball.",
        )
    )
    slow = 24 / re * (1 + 0.15 * re**0.687)
    coefficient = slow + 0.42 / (1 + 42_500 * re**-1.16)
    return given(coefficient), given(coefficient * np.where(re <= 1e5, 0.1, 0.2))


@held
def local_gravity(*, latitude: Any, height: Any = 0.0) -> Any:
    r"""Give the acceleration of free fall at a place on Earth.

    Parameters
    ----------
    latitude : float or array_like
        In degrees, from −90 to 90.
    height : float or array_like, optional
        Above sea level, in m, from −500 to 9000.

    Returns
    -------
    float or ndarray
        In m/s²; the ground below moves it by up to about 0.001 m/s².

    Raises
    ------
    InputError
        If a value is out of range or the shapes do not fit.

    Notes
    -----
    Somigliana's formula for the ellipsoid of WGS 84, less the free-air
    correction:

    .. math::

        g = \frac{g_0 (1 + k \sin^2\varphi)}{\sqrt{1 - \epsilon^2 \sin^2\varphi}}
        - 3.086 \times 10^{-6}\,\mathrm{s^{-2}}\, H

    References
    ----------
    .. [1] *World Geodetic System 1984*, NIMA TR8350.2 (2000), eq. (4-1).

    Examples
    --------
    >>> round(local_gravity(latitude=51.5), 4)
    9.812
    """
    at = nominal(checked("latitude", latitude, "°", least=-90, most=90))
    high = nominal(
        checked("height above sea level", height, "m", least=-500, most=9000)
    )
    fitting(latitude=at, height=high)
    square = np.sin(np.radians(at)) ** 2
    root = np.sqrt(1 - _ECCENTRICITY_SQUARED * square)
    return given(_EQUATOR * (1 + _SOMIGLIANA * square) / root - _FREE_AIR * high)
