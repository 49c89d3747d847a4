"""Where the energy of a bounce or a blow goes: height, motion, air, ball, warmth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from bouncelab.physics.numbers import checked, fitting, given, held, nominal
from bouncelab.physics.results import Result
from bouncelab.units import STANDARD_GRAVITY

__all__ = [
    "BounceEnergy",
    "bounce_energy",
    "height_energy",
    "impact_warming",
    "motion_energy",
    "warming",
]


@dataclass(frozen=True, slots=True)
class BounceEnergy(Result):
    """The energy of one drop and bounce, from rest to the top of the rebound, in J.

    Attributes
    ----------
    start : float, UFloat or ndarray
        Energy of height at the drop height.
    lost_falling : float, UFloat or ndarray
        To the air on the way down.
    at_impact : float, UFloat or ndarray
        Of motion, just before the floor.
    lost_in_impact : float, UFloat or ndarray
        To warmth of ball and floor, to vibration and sound. What the air inside
        stores during the contact it gives back: see `shell_impact` for the shares.
    after_impact : float, UFloat or ndarray
        Of motion, just after the floor.
    lost_rising : float, UFloat or ndarray
        To the air on the way up.
    end : float, UFloat or ndarray
        Energy of height at the rebound height: the start less the three losses.
    """

    start: Annotated[Any, "J"]
    lost_falling: Annotated[Any, "J"]
    at_impact: Annotated[Any, "J"]
    lost_in_impact: Annotated[Any, "J"]
    after_impact: Annotated[Any, "J"]
    lost_rising: Annotated[Any, "J"]
    end: Annotated[Any, "J"]


@held
def motion_energy(*, mass: Any, speed: Any) -> Any:
    """Give the kinetic energy of a moving body.

    Parameters
    ----------
    mass : float, UFloat or array_like
        In kg.
    speed : float, UFloat or array_like
        In m/s.

    Returns
    -------
    float, UFloat or ndarray
        Half of mass times speed squared, in J.

    Raises
    ------
    InputError
        If the mass is not above 0 kg or a value is not a number.

    Examples
    --------
    >>> motion_energy(mass=2.0, speed=3.0)
    9.0
    """
    m = checked("mass", mass, "kg", above=0)
    v = checked("speed", speed, "m/s")
    fitting(mass=m, speed=v)
    return given(0.5 * m * v**2)


@held
def height_energy(*, mass: Any, height: Any, gravity: Any = STANDARD_GRAVITY) -> Any:
    """Give the gravitational energy of a body above the floor.

    Parameters
    ----------
    mass : float, UFloat or array_like
        In kg.
    height : float, UFloat or array_like
        In m; below the floor it is negative.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In J, counted from the floor.

    Raises
    ------
    InputError
        If mass or gravity is not above 0 or a value is not a number.

    Examples
    --------
    >>> round(height_energy(mass=0.62, height=1.8), 2)
    10.94
    """
    m = checked("mass", mass, "kg", above=0)
    h = checked("height", height, "m")
    g = checked("gravity", gravity, "m/s²", above=0)
    fitting(mass=m, height=h, gravity=g)
    return given(m * g * h)


@held
def bounce_energy(
    *,
    mass: Any,
    drop_height: Any,
    rebound_height: Any,
    impact_speed: Any = None,
    rebound_speed: Any = None,
    gravity: Any = STANDARD_GRAVITY,
) -> BounceEnergy:
    r"""Give where the energy of a drop and its bounce goes.

    Parameters
    ----------
    mass : float, UFloat or array_like
        In kg.
    drop_height, rebound_height : float, UFloat or array_like
        Of the same point of the ball, in m.
    impact_speed, rebound_speed : float, UFloat or array_like, optional
        At the floor, in m/s, measured or from `bouncelab.physics.fall` and
        `bouncelab.physics.flight`. Left out, the air takes nothing.
    gravity : float, UFloat or array_like, optional
        In m/s²; with buoyancy, the effective one that the speeds were worked out
        with.

    Returns
    -------
    BounceEnergy
        In the order in which it happens; the entries close to rounding.

    Raises
    ------
    InputError
        If a value is outside its range, or a speed is such that the air or the
        floor would have given energy.

    Notes
    -----
    :math:`mgh_1 = \tfrac12 m v^2 + W_1`, :math:`\tfrac12 m v^2 =
    \tfrac12 m v'^2 + Q`, :math:`\tfrac12 m v'^2 = mgh_2 + W_2`. No spin.

    Examples
    --------
    >>> energy = bounce_energy(mass=0.62, drop_height=1.8, rebound_height=1.08)
    >>> round(energy.lost_in_impact / energy.start, 12)
    0.4
    """
    start = height_energy(
        mass=mass,
        height=checked("drop height", drop_height, "m", above=0),
        gravity=gravity,
    )
    end = height_energy(
        mass=mass,
        height=checked("rebound height", rebound_height, "m", least=0),
        gravity=gravity,
    )
    arriving = (
        start if impact_speed is None else motion_energy(mass=mass, speed=impact_speed)
    )
    leaving = (
        end if rebound_speed is None else motion_energy(mass=mass, speed=rebound_speed)
    )
    fitting(start=start, end=end, arriving=arriving, leaving=leaving)
    # Speeds that were worked out from heights may be off by rounding.
    rounding = 1e-9 * nominal(start)
    losses = {
        "energy lost to the air falling": start - arriving,
        "energy lost in the impact": arriving - leaving,
        "energy lost to the air rising": leaving - end,
    }
    for what, lost in losses.items():
        plain = nominal(lost)
        seen = np.where(plain > -rounding, np.maximum(plain, 0.0), plain)
        checked(what, seen, "J", least=0, do="Check heights, speeds and gravity.")
    fall, impact, rise = losses.values()
    return BounceEnergy(
        given(start),
        given(fall),
        given(arriving),
        given(impact),
        given(leaving),
        given(rise),
        given(end),
    )


@held
def warming(*, energy: Any, mass: Any, specific_heat: Any, share: Any) -> Any:
    r"""Give how much warmer a piece gets from energy that is lost in it.

    Parameters
    ----------
    energy : float, UFloat or array_like
        In J, not below 0.
    mass : float, UFloat or array_like
        Of the piece, in kg.
    specific_heat : float, UFloat or array_like
        Of its material, in J/(kg K).
    share : float, UFloat or array_like
        What part of the energy ends as warmth in the piece, from 0 to 1. It is an
        assumption and has to be stated: 1 gives an upper bound.

    Returns
    -------
    float, UFloat or ndarray
        :math:`f E/(m c)`, in K.

    Raises
    ------
    InputError
        If a value is outside its range or shapes do not fit.

    Examples
    --------
    >>> round(warming(energy=250.0, mass=0.1, specific_heat=129.0, share=0.5), 2)
    9.69
    """
    e = checked("energy", energy, "J", least=0)
    m = checked("mass", mass, "kg", above=0)
    c = checked("specific heat", specific_heat, "J/(kg K)", above=0)
    f = checked(
        "share of the energy", share, least=0, most=1, do="Divide a percentage by 100."
    )
    fitting(energy=e, mass=m, specific_heat=c, share=f)
    return given(f * e / (m * c))


@held
def impact_warming(
    *,
    mass: Any,
    impact_speed: Any,
    restitution: Any,
    warmed_mass: Any,
    specific_heat: Any,
    share: Any,
    impacts: Any = 1,
) -> Any:
    r"""Give how much warmer bounces make a ball, or hammer blows a piece of metal.

    Parameters
    ----------
    mass : float, UFloat or array_like
        Of the ball or hammer, in kg.
    impact_speed : float, UFloat or array_like
        In m/s.
    restitution : float, UFloat or array_like
        From 0 to 1.
    warmed_mass : float, UFloat or array_like
        Of what takes up the warmth, in kg: a ball's wall, or the piece struck.
    specific_heat, share : float, UFloat or array_like
        As for `warming`.
    impacts : float or array_like, optional
        How many.

    Returns
    -------
    float, UFloat or ndarray
        :math:`f N\,\tfrac12 m v^2(1-e^2)/(m_p c)`, in K, if nothing cools meanwhile.

    Raises
    ------
    InputError
        If a value is outside its range or shapes do not fit.

    Notes
    -----
    For blows: wear eye protection, chips fly; the piece gets hot; lead is
    poisonous. Follow the school's own rules.

    Examples
    --------
    >>> rise = impact_warming(
    ...     mass=0.62,
    ...     impact_speed=5.9,
    ...     restitution=0.76,
    ...     warmed_mass=0.62,
    ...     specific_heat=2010.0,
    ...     share=1.0,
    ... )
    >>> round(1000 * rise, 1)
    3.7
    """
    e = checked("restitution", restitution, least=0, most=1)
    count = checked("number of impacts", impacts, least=0)
    energy = motion_energy(mass=mass, speed=impact_speed)
    fitting(restitution=e, energy=energy, impacts=count)
    return warming(
        energy=count * energy * (1 - e**2),
        mass=warmed_mass,
        specific_heat=specific_heat,
        share=share,
    )
