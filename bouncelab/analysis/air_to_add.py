"""From the pressure that a ball has to the one it needs: strokes and grams of air."""

from __future__ import annotations

from bouncelab.errors import InputError
from bouncelab.physics.ball_air import air_in_ball, ball_volume
from bouncelab.physics.pump import pump_up
from bouncelab.units import show_pressure

__all__ = ["STROKE", "air_to_add", "over_the_mark"]

STROKE = 200e-6  # m³ of air a stroke; common practice for hand pumps, no source
_SAME = 500.0  # Pa; no usual gauge tells less


def air_to_add(
    *,
    now: float,
    best: float,
    diameter: float,
    stroke: float = STROKE,
    maximum: float | None = None,
) -> str:
    """Say how much air to add or to let out, in a sentence.

    Parameters
    ----------
    now, best : float
        Gauge pressure in the ball and the one wanted, in Pa.
    diameter : float
        Of the ball, in m.
    stroke : float, optional
        What one full stroke of the pump moves, in m³.
    maximum : float, optional
        The marked maximum in Pa. No advice ever goes beyond it.

    Returns
    -------
    str
        One or two sentences.

    Raises
    ------
    InputError
        If a number is below zero, or `best` is above the maximum.

    Notes
    -----
    Grams by the gas law at 20 °C, strokes by `bouncelab.physics.pump.pump_up`.

    Examples
    --------
    >>> air_to_add(now=60e3, best=43e3, diameter=0.2)
    'Let out 0.85 g of air, a little at a time, and look at the gauge.'
    """
    if not now >= 0:
        raise InputError(
            what="the pressure in the ball now",
            read=f"{now:g} Pa",
            allowed="0 Pa or more, as the gauge shows it",
            do="Read the gauge again; it shows how much more than the air outside.",
        )
    stop = over_the_mark(now, maximum)
    if stop:
        return stop
    if abs(best - now) < _SAME:
        return "It is there, as far as a gauge can tell. Drop it to be sure."
    volume = float(ball_volume(diameter=diameter))
    air = [
        1e3 * float(air_in_ball(gauge_pressure=p, volume=volume)) for p in (now, best)
    ]
    if best < now:
        grams = air[0] - air[1]
        return (
            f"Let out {grams:.2f} g of air, a little at a time, and look at the gauge."
        )
    job = pump_up(
        gauge_pressure=now,
        target_gauge_pressure=best,
        maximum_gauge_pressure=maximum if maximum is not None else best,
        ball_volume=volume,
        pump_volume=stroke,
    )
    count = max(round(float(job.strokes)), 1)
    return (
        f"Add {air[1] - air[0]:.2f} g of air: about {count} "
        f"stroke{'s' * (count != 1)} of the pump, then look at the gauge."
    )


def over_the_mark(now: float, maximum: float | None) -> str:
    """Warn of a ball that holds more than its marked maximum.

    Parameters
    ----------
    now : float
        Gauge pressure in the ball, in Pa.
    maximum : float or None
        The marked maximum in Pa, if it is known.

    Returns
    -------
    str
        What to do; empty if the ball is below its mark.

    Examples
    --------
    >>> over_the_mark(60e3, 62e3)
    ''
    """
    if maximum is None or now <= maximum:
        return ""
    return (
        f"Stop: this is above the marked maximum of {show_pressure(maximum)}. "
        "Let air out, with your face away from the valve."
    )
