"""The air in a ball: how much there is, and what warmth does to its pressure."""

from __future__ import annotations

from typing import Any

import numpy as np

from bouncelab.physics.gas import absolute_pressure, amount_of_gas
from bouncelab.physics.numbers import checked, fitting, given, held
from bouncelab.physics.surroundings import MOLAR_MASS_AIR
from bouncelab.units import STANDARD_ATMOSPHERE_PA, ZERO_CELSIUS_K, kelvin

__all__ = ["air_in_ball", "ball_volume", "sealed_pressure", "sealed_temperature"]


def _celsius(what: str, value: Any) -> Any:
    return checked(what, value, "°C", above=-ZERO_CELSIUS_K)


@held
def ball_volume(*, diameter: Any) -> Any:
    """Give the volume of a ball.

    Parameters
    ----------
    diameter : float, UFloat or array_like
        In m, above 0; of the bladder, where the cover is thick.

    Returns
    -------
    float, UFloat or ndarray
        In m³.

    Raises
    ------
    InputError
        If a diameter is not above 0 m.

    Examples
    --------
    >>> round(ball_volume(diameter=0.242), 6)
    0.007421
    """
    return given(np.pi * checked("diameter", diameter, "m", above=0) ** 3 / 6)


@held
def air_in_ball(
    *,
    gauge_pressure: Any,
    volume: Any,
    temperature_c: Any = 20.0,
    atmospheric_pressure: Any = STANDARD_ATMOSPHERE_PA,
) -> Any:
    """Give the mass of the air in a ball.

    Parameters
    ----------
    gauge_pressure : float, UFloat or array_like
        In Pa.
    volume : float, UFloat or array_like
        In m³.
    temperature_c : float, UFloat or array_like, optional
        In °C.
    atmospheric_pressure : float, UFloat or array_like, optional
        Of the air outside, in Pa.

    Returns
    -------
    float, UFloat or ndarray
        In kg. A balance shows less: the ball also displaces air.

    Raises
    ------
    InputError
        If a value is outside its range or not a number.

    Examples
    --------
    >>> round(air_in_ball(gauge_pressure=55e3, volume=0.00742), 4)
    0.0138
    """
    inside = absolute_pressure(
        gauge_pressure=gauge_pressure, atmospheric_pressure=atmospheric_pressure
    )
    amount = amount_of_gas(
        absolute_pressure=inside, volume=volume, temperature_c=temperature_c
    )
    return given(amount * MOLAR_MASS_AIR)


@held
def sealed_pressure(
    *,
    gauge_pressure: Any,
    temperature_c: Any,
    new_temperature_c: Any,
    atmospheric_pressure: Any = STANDARD_ATMOSPHERE_PA,
) -> Any:
    r"""Give the gauge pressure of a sealed ball at another temperature.

    Parameters
    ----------
    gauge_pressure : float, UFloat or array_like
        In Pa, at `temperature_c`.
    temperature_c, new_temperature_c : float, UFloat or array_like
        Of the air inside, in °C.
    atmospheric_pressure : float, UFloat or array_like, optional
        Of the air outside, in Pa; the same both times.

    Returns
    -------
    float, UFloat or ndarray
        :math:`(p_g + p_a)\,T'/T - p_a`, in Pa.

    Raises
    ------
    InputError
        If the ball's pressure lies below vacuum or a temperature below absolute
        zero.

    Notes
    -----
    Volume and amount stay the same: the cover does not stretch, no air leaks. A
    ball left in the sun gains pressure; keep it below the marked maximum.

    Examples
    --------
    >>> cold = sealed_pressure(
    ...     gauge_pressure=55e3, temperature_c=20.0, new_temperature_c=5.0
    ... )
    >>> round(cold)
    47001
    """
    inside = absolute_pressure(
        gauge_pressure=gauge_pressure, atmospheric_pressure=atmospheric_pressure
    )
    before = kelvin(_celsius("temperature", temperature_c))
    after = kelvin(_celsius("new temperature", new_temperature_c))
    fitting(pressure=inside, temperature=before, new_temperature=after)
    return given(inside * after / before - np.asarray(atmospheric_pressure))


@held
def sealed_temperature(
    *,
    gauge_pressure: Any,
    temperature_c: Any,
    new_gauge_pressure: Any,
    atmospheric_pressure: Any = STANDARD_ATMOSPHERE_PA,
) -> Any:
    """Give the temperature at which a sealed ball shows another pressure.

    Parameters
    ----------
    gauge_pressure : float, UFloat or array_like
        In Pa, at `temperature_c`.
    temperature_c : float, UFloat or array_like
        Of the air inside, in °C.
    new_gauge_pressure : float, UFloat or array_like
        In Pa.
    atmospheric_pressure : float, UFloat or array_like, optional
        Of the air outside, in Pa.

    Returns
    -------
    float, UFloat or ndarray
        In °C: the inverse of `sealed_pressure`.

    Raises
    ------
    InputError
        If a pressure lies at or below vacuum or a temperature below absolute zero.

    Examples
    --------
    >>> warm = sealed_temperature(
    ...     gauge_pressure=55e3, temperature_c=20.0, new_gauge_pressure=60e3
    ... )
    >>> round(warm, 1)
    29.4
    """
    outside = atmospheric_pressure
    first = absolute_pressure(
        gauge_pressure=gauge_pressure, atmospheric_pressure=outside
    )
    second = absolute_pressure(
        gauge_pressure=new_gauge_pressure, atmospheric_pressure=outside
    )
    first = checked("absolute pressure", first, "Pa", above=0)
    celsius = _celsius("temperature", temperature_c)
    fitting(pressure=first, new_pressure=second, temperature=celsius)
    return given(celsius + kelvin(celsius) * (second - first) / first)
