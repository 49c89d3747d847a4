"""A ball falls and rises through air: drag, buoyancy, and the air itself."""

from __future__ import annotations

from typing import Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.units import STANDARD_ATMOSPHERE_PA, kelvin

__all__ = ["air_density", "drag_constant"]

GAS_CONSTANT = 8.314462618  # J/(mol K), exact by the SI of 2019
MOLAR_MASS_AIR = 0.0289644  # kg/mol, dry: U.S. Standard Atmosphere 1976, table 3
MOLAR_MASS_WATER = 0.01801528  # kg/mol


def _positive(what: str, value: Any, unit: str, least: float = 0.0) -> Any:
    array = np.asarray(value, dtype=np.float64)
    bad = ~((array > least) & np.isfinite(array))
    if bad.any():
        raise InputError(
            what=what,
            read=f"{array[bad].flat[0]:g} {unit}",
            allowed=f"above {least:g} {unit}",
            do="Check the number and its unit.",
        )
    return array


def air_density(
    *,
    temperature_c: Any = 20.0,
    pressure: Any = STANDARD_ATMOSPHERE_PA,
    humidity: Any = 0.0,
) -> Any:
    r"""Give the density of air.

    Parameters
    ----------
    temperature_c : float or array_like, optional
        In °C.
    pressure : float or array_like, optional
        Absolute, in Pa.
    humidity : float or array_like, optional
        Relative, from 0 to 1.

    Returns
    -------
    float or ndarray
        In kg/m³.

    Raises
    ------
    InputError
        If a value is out of its range or not a number.

    Notes
    -----
    Ideal gas: :math:`\rho = (p M - p_v (M - M_w))/(R T)` with the vapour
    pressure :math:`p_v` by the Magnus form of [1]_. From 0 to 40 °C it is
    within 0.1 % of the CIPM formula.

    References
    ----------
    .. [1] O. A. Alduchov and R. E. Eskridge, *J. Appl. Meteor.* 35 (1996) 601,
       eq. (21), from memory.

    Examples
    --------
    >>> round(air_density(temperature_c=20.0), 3)
    1.204
    """
    kelvins = _positive("temperature", kelvin(np.asarray(temperature_c)), "K")
    p = _positive("air pressure", pressure, "Pa")
    wet = np.asarray(humidity, dtype=np.float64)
    if not np.all((wet >= 0) & (wet <= 1)):
        raise InputError(
            what="relative humidity",
            read=f"{wet}",
            allowed="0 to 1",
            do="Divide a percentage by 100.",
        )
    celsius = np.asarray(temperature_c, dtype=np.float64)
    vapour = wet * 610.94 * np.exp(17.625 * celsius / (celsius + 243.04))
    mass = p * MOLAR_MASS_AIR - vapour * (MOLAR_MASS_AIR - MOLAR_MASS_WATER)
    density = mass / (GAS_CONSTANT * kelvins)
    return float(density) if density.ndim == 0 else density


def drag_constant(
    *, mass: Any, diameter: Any, drag_coefficient: Any, air_density: Any
) -> Any:
    r"""Give the drag constant of a ball.

    Parameters
    ----------
    mass : float or array_like
        As a balance shows it in air, in kg.
    diameter : float or array_like
        In m.
    drag_coefficient : float or array_like
        No unit; 0.4 to 0.6 for balls at the speeds of a drop.
    air_density : float or array_like
        In kg/m³.

    Returns
    -------
    float or ndarray
        :math:`k` in 1/m.

    Raises
    ------
    InputError
        If a value is not above zero.

    Notes
    -----
    .. math:: k = \frac{\rho C_d\, \pi d^2/4}{2 (m + \tfrac32 \rho V)}

    The balance does not see the displaced air :math:`\rho V`; half as much again
    is dragged along (the added mass of a sphere).

    Examples
    --------
    >>> round(
    ...     drag_constant(
    ...         mass=0.62, diameter=0.242, drag_coefficient=0.5, air_density=1.204
    ...     ),
    ...     4,
    ... )
    0.0219
    """
    m = _positive("mass", mass, "kg")
    d = _positive("diameter", diameter, "m")
    c = _positive("drag coefficient", drag_coefficient, "")
    rho = _positive("air density", air_density, "kg/m³")
    inertia = m + 1.5 * rho * np.pi * d**3 / 6
    k = rho * c * (np.pi * d**2 / 4) / (2 * inertia)
    return float(k) if k.ndim == 0 else k
