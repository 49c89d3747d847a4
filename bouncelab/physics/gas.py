"""The laws of a gas: pressure, volume, temperature, amount and work.

Air counts as an ideal gas: at a ball's pressure that is right to about 0.1 %.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from bouncelab.physics.numbers import applied, checked, fitting, given, held
from bouncelab.physics.results import Result
from bouncelab.physics.smooth import exp_less_one
from bouncelab.physics.surroundings import GAS_CONSTANT
from bouncelab.units import STANDARD_ATMOSPHERE_PA, ZERO_CELSIUS_K, kelvin

__all__ = [
    "ADIABATIC",
    "ISOTHERMAL",
    "Squeeze",
    "absolute_pressure",
    "amount_of_gas",
    "gauge_pressure",
    "squeeze",
]

ADIABATIC = 1.4  # ratio of the heat capacities of air: U.S. Standard Atmosphere 1976
ISOTHERMAL = 1.0


@dataclass(frozen=True, slots=True)
class Squeeze(Result):
    """A gas after its volume has changed.

    Attributes
    ----------
    absolute_pressure : float, UFloat or ndarray
        In Pa.
    temperature_c : float, UFloat or ndarray
        In °C.
    work : float, UFloat or ndarray
        Done on the gas, in J; below 0 where it grew.
    """

    absolute_pressure: Annotated[Any, "Pa"]
    temperature_c: Annotated[Any, ""]
    work: Annotated[Any, "J"]


def _celsius(what: str, value: Any) -> Any:
    return checked(what, value, "°C", above=-ZERO_CELSIUS_K)


def _air(value: Any) -> Any:
    return checked("atmospheric pressure", value, "Pa", least=0)


@held
def absolute_pressure(
    *, gauge_pressure: Any, atmospheric_pressure: Any = STANDARD_ATMOSPHERE_PA
) -> Any:
    """Give the pressure above vacuum from what a gauge shows.

    Parameters
    ----------
    gauge_pressure : float, UFloat or array_like
        Above the air outside, in Pa.
    atmospheric_pressure : float, UFloat or array_like, optional
        Of the air outside, in Pa; a barometer's reading is better.

    Returns
    -------
    float, UFloat or ndarray
        In Pa, 0 or more.

    Raises
    ------
    InputError
        If the result would lie below vacuum, or a value is not a number.

    Examples
    --------
    >>> absolute_pressure(gauge_pressure=55e3)
    156325.0
    """
    gauge = checked("gauge pressure", gauge_pressure, "Pa")
    outside = _air(atmospheric_pressure)
    fitting(gauge_pressure=gauge, atmospheric_pressure=outside)
    return given(
        checked(
            "absolute pressure",
            gauge + outside,
            "Pa",
            least=0,
            do="No gauge reads lower than a vacuum; check its unit and sign.",
        )
    )


@held
def gauge_pressure(
    *, absolute_pressure: Any, atmospheric_pressure: Any = STANDARD_ATMOSPHERE_PA
) -> Any:
    """Give what a gauge shows from the pressure above vacuum.

    Parameters
    ----------
    absolute_pressure : float, UFloat or array_like
        In Pa, not below 0.
    atmospheric_pressure : float, UFloat or array_like, optional
        Of the air outside, in Pa.

    Returns
    -------
    float, UFloat or ndarray
        In Pa; below 0 where the air outside presses harder.

    Raises
    ------
    InputError
        If a pressure is below 0 Pa or not a number.

    Examples
    --------
    >>> gauge_pressure(absolute_pressure=156325.0)
    55000.0
    """
    inside = checked("absolute pressure", absolute_pressure, "Pa", least=0)
    outside = _air(atmospheric_pressure)
    fitting(absolute_pressure=inside, atmospheric_pressure=outside)
    return given(inside - outside)


@held
def squeeze(
    *,
    absolute_pressure: Any,
    volume: Any,
    new_volume: Any,
    temperature_c: Any = 20.0,
    exponent: Any = ADIABATIC,
) -> Squeeze:
    r"""Give a gas after its volume has changed.

    Parameters
    ----------
    absolute_pressure : float, UFloat or array_like
        Before, in Pa.
    volume, new_volume : float, UFloat or array_like
        Before and after, in m³.
    temperature_c : float, UFloat or array_like, optional
        Before, in °C.
    exponent : float or array_like, optional
        1.4 for air squeezed so fast that no heat leaves it (a bounce), 1 so slowly
        that it stays as warm as it was (Boyle's law), anything between.

    Returns
    -------
    Squeeze
        Pressure, temperature, and work done on the gas.

    Raises
    ------
    InputError
        If a pressure or volume is not above 0, a temperature not above absolute
        zero, the exponent below 1, or shapes do not fit.

    Notes
    -----
    .. math::
        p' = p\,(V/V')^n, \quad T' = T\,(V/V')^{n-1}, \quad
        W = pV\,\frac{(V/V')^{n-1} - 1}{n - 1}

    The last becomes :math:`pV\ln(V/V')` at :math:`n = 1`. The work of the air
    outside, which helps to squeeze a ball, is not taken off.

    References
    ----------
    .. [1] OpenStax, *University Physics* 2, 3.4 and 3.6.

    Examples
    --------
    >>> slowly = squeeze(
    ...     absolute_pressure=100e3, volume=2.0, new_volume=1.0, exponent=1
    ... )
    >>> slowly.absolute_pressure, slowly.temperature_c
    (200000.0, 20.0)
    """
    p = checked("absolute pressure", absolute_pressure, "Pa", above=0)
    v = checked("volume", volume, "m³", above=0)
    v_new = checked("new volume", new_volume, "m³", above=0)
    celsius = _celsius("temperature", temperature_c)
    n = checked("exponent", exponent, least=1)
    fitting(pressure=p, volume=v, new_volume=v_new, temperature=celsius, exponent=n)
    tightening = applied("log", v / v_new)
    warmed = applied("expm1", (n - 1) * tightening)
    return Squeeze(
        absolute_pressure=given(p * (v / v_new) ** n),
        temperature_c=given(celsius + kelvin(celsius) * warmed),
        work=given(p * v * tightening * exp_less_one((n - 1) * tightening)),
    )


@held
def amount_of_gas(*, absolute_pressure: Any, volume: Any, temperature_c: Any) -> Any:
    r"""Give the amount of a gas.

    Parameters
    ----------
    absolute_pressure : float, UFloat or array_like
        In Pa, not below 0.
    volume : float, UFloat or array_like
        In m³.
    temperature_c : float, UFloat or array_like
        In °C.

    Returns
    -------
    float, UFloat or ndarray
        :math:`n = pV/(RT)`, in mol.

    Raises
    ------
    InputError
        If a value is outside its range or not a number.

    Examples
    --------
    >>> amount = amount_of_gas(
    ...     absolute_pressure=7.00e5, volume=2.00e-3, temperature_c=18.0
    ... )
    >>> round(amount, 3)
    0.578
    """
    p = checked("absolute pressure", absolute_pressure, "Pa", least=0)
    v = checked("volume", volume, "m³", above=0)
    celsius = _celsius("temperature", temperature_c)
    fitting(pressure=p, volume=v, temperature=celsius)
    return given(p * v / (GAS_CONSTANT * kelvin(celsius)))
