"""Pumping a ball up: strokes, the air that goes in, and where to stop.

Never inflate a ball above the pressure marked on it: it can burst, loudly, and
throw its valve or cover. Use a hand pump with a gauge rather than a compressor,
keep faces away from the valve, moisten the needle, do not pump up a ball with a
bulge or a cut, and follow the maker's and the school's own rules. The functions
here refuse any pressure above the marked maximum.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.physics.ball_air import air_in_ball, sealed_pressure
from bouncelab.physics.numbers import checked, fitting, given, held, nominal
from bouncelab.physics.results import Result
from bouncelab.units import STANDARD_ATMOSPHERE_PA

__all__ = [
    "Pumping",
    "piston_force",
    "pressure_to_set",
    "pump_up",
    "refuse_over_inflation",
]


@dataclass(frozen=True, slots=True)
class Pumping(Result):
    """What it takes to pump a ball up.

    Attributes
    ----------
    strokes : float, UFloat or ndarray
        Full strokes of the pump.
    air_added : float, UFloat or ndarray
        Mass of the air that goes in, in kg.
    strokes_to_maximum : float, UFloat or ndarray
        Strokes from the target to the marked maximum: the margin for error.
    """

    strokes: Annotated[Any, ""]
    air_added: Annotated[Any, "kg"]
    strokes_to_maximum: Annotated[Any, ""]


def refuse_over_inflation(*, gauge_pressure: Any, maximum_gauge_pressure: Any) -> None:
    """Stop if a pressure lies above the maximum that is marked on the ball.

    Parameters
    ----------
    gauge_pressure : float, UFloat or array_like
        That someone might set, in Pa.
    maximum_gauge_pressure : float or array_like
        As marked on the ball, in Pa.

    Raises
    ------
    InputError
        If a pressure is above its maximum, or is not a number.

    Notes
    -----
    Over-inflated balls burst. The maker's mark counts, whatever the game's rules
    or a wanted bounce would ask for.

    Examples
    --------
    >>> refuse_over_inflation(gauge_pressure=55e3, maximum_gauge_pressure=62e3)
    """
    wanted = nominal(checked("gauge pressure", gauge_pressure, "Pa"))
    most = nominal(checked("marked maximum", maximum_gauge_pressure, "Pa", above=0))
    fitting(gauge_pressure=wanted, marked_maximum=most)
    wanted, most = np.broadcast_arrays(wanted, most)
    over = wanted > most
    if over.any():
        raise InputError(
            what="gauge pressure to set",
            read=f"{wanted[over].flat[0]:.0f} Pa",
            allowed=f"up to the {most[over].flat[0]:.0f} Pa marked on the ball",
            do="Do not pump it higher: a ball above its marked maximum may burst.",
        )


@held
def pump_up(
    *,
    gauge_pressure: Any,
    target_gauge_pressure: Any,
    maximum_gauge_pressure: Any,
    ball_volume: Any,
    pump_volume: Any,
    temperature_c: Any = 20.0,
    atmospheric_pressure: Any = STANDARD_ATMOSPHERE_PA,
) -> Pumping:
    r"""Give the pump strokes from one pressure to another, and the air added.

    Parameters
    ----------
    gauge_pressure, target_gauge_pressure : float, UFloat or array_like
        Now and wanted, in Pa; the target is not below the present pressure.
    maximum_gauge_pressure : float or array_like
        As marked on the ball, in Pa. There is no default: read it off the ball.
    ball_volume, pump_volume : float, UFloat or array_like
        Of the ball and of one full stroke, in m³.
    temperature_c : float, UFloat or array_like, optional
        Of all the air, in °C.
    atmospheric_pressure : float, UFloat or array_like, optional
        Of the air that the pump draws in, in Pa.

    Returns
    -------
    Pumping
        Strokes, mass of air added, and strokes left to the maximum.

    Raises
    ------
    InputError
        If the target is above the marked maximum or below the present pressure,
        or a value is outside its range.

    Notes
    -----
    Each stroke moves one pump volume of outside air into the ball, so

    .. math:: N = \frac{(p' - p)\,V_\mathrm{ball}}{p_a V_\mathrm{pump}}

    at one temperature, with a ball of fixed size and a pump without dead space;
    real pumps need more. Count strokes to know when to look at the gauge, not in
    place of the gauge, and heed the cautions at the head of this module.

    Examples
    --------
    >>> job = pump_up(
    ...     gauge_pressure=40e3,
    ...     target_gauge_pressure=55e3,
    ...     maximum_gauge_pressure=62e3,
    ...     ball_volume=0.00742,
    ...     pump_volume=100e-6,
    ... )
    >>> round(job.strokes, 1), round(1000 * job.air_added, 2)
    (11.0, 1.32)
    """
    refuse_over_inflation(
        gauge_pressure=target_gauge_pressure,
        maximum_gauge_pressure=maximum_gauge_pressure,
    )
    outside = checked("atmospheric pressure", atmospheric_pressure, "Pa", above=0)
    now = checked("gauge pressure", gauge_pressure, "Pa")
    wanted = checked("target gauge pressure", target_gauge_pressure, "Pa")
    most = checked("marked maximum", maximum_gauge_pressure, "Pa")
    volume = checked("ball volume", ball_volume, "m³", above=0)
    stroke = checked("pump volume", pump_volume, "m³", above=0)
    fitting(now=now, target=wanted, maximum=most, ball=volume, pump=stroke, air=outside)
    checked(
        "rise of the gauge pressure",
        wanted - now,
        "Pa",
        least=0,
        do="To let air out, use the valve; pumping only adds.",
    )
    state = {"volume": volume, "temperature_c": temperature_c}
    before, after = (
        air_in_ball(gauge_pressure=p, atmospheric_pressure=outside, **state)
        for p in (now, wanted)
    )
    a_stroke = outside * stroke / volume
    return Pumping(
        strokes=given((wanted - now) / a_stroke),
        air_added=given(after - before),
        strokes_to_maximum=given((most - wanted) / a_stroke),
    )


@held
def pressure_to_set(
    *,
    gauge_pressure: Any,
    temperature_c: Any,
    pump_temperature_c: Any,
    maximum_gauge_pressure: Any,
    atmospheric_pressure: Any = STANDARD_ATMOSPHERE_PA,
) -> Any:
    """Give the pressure to set indoors so that a ball is right where it is used.

    Parameters
    ----------
    gauge_pressure : float, UFloat or array_like
        Wanted where the ball is used, in Pa.
    temperature_c, pump_temperature_c : float, UFloat or array_like
        Where it is used and where it is pumped up, in °C.
    maximum_gauge_pressure : float or array_like
        As marked on the ball, in Pa.
    atmospheric_pressure : float, UFloat or array_like, optional
        Of the air outside, in Pa.

    Returns
    -------
    float, UFloat or ndarray
        Gauge pressure to set, in Pa.

    Raises
    ------
    InputError
        If the wanted pressure or the one to set is above the marked maximum, or a
        value is outside its range.

    Notes
    -----
    `bouncelab.physics.ball_air.sealed_pressure` the other way round. Over-inflation is
    dangerous: heed the cautions at the head of this module, and let the ball and
    its air reach the room's temperature before reading the gauge.

    Examples
    --------
    >>> warm_room = pressure_to_set(
    ...     gauge_pressure=50e3,
    ...     temperature_c=10.0,
    ...     pump_temperature_c=20.0,
    ...     maximum_gauge_pressure=62e3,
    ... )
    >>> round(warm_room)
    55344
    """
    there = sealed_pressure(
        gauge_pressure=gauge_pressure,
        temperature_c=temperature_c,
        new_temperature_c=pump_temperature_c,
        atmospheric_pressure=atmospheric_pressure,
    )
    for pressure in (gauge_pressure, there):
        refuse_over_inflation(
            gauge_pressure=pressure, maximum_gauge_pressure=maximum_gauge_pressure
        )
    return there


@held
def piston_force(*, gauge_pressure: Any, diameter: Any) -> Any:
    """Give the push that a pressure gives to a round piston, such as a pump's.

    Parameters
    ----------
    gauge_pressure : float, UFloat or array_like
        In Pa.
    diameter : float, UFloat or array_like
        Of the piston, in m.

    Returns
    -------
    float, UFloat or ndarray
        Pressure times area, in N: what a hand must hold at the end of a stroke.

    Raises
    ------
    InputError
        If a value is not a number or the diameter not above 0 m.

    Examples
    --------
    >>> round(piston_force(gauge_pressure=55e3, diameter=0.03), 1)
    38.9
    """
    p = checked("gauge pressure", gauge_pressure, "Pa")
    d = checked("diameter", diameter, "m", above=0)
    fitting(gauge_pressure=p, diameter=d)
    return given(p * np.pi * d**2 / 4)
