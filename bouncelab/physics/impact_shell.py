"""An inflated ball meets the floor: force, shape, warmth and bounce from its pressure.

The ball is a sphere of radius R whose cover does not stretch; the part below the
floor's level is pressed flat and the rest keeps its shape. The air inside pushes
on the flat part.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.physics.contact import in_blocks
from bouncelab.physics.gas import ADIABATIC
from bouncelab.physics.numbers import checked, held
from bouncelab.physics.results import Result
from bouncelab.physics.shell_law import follow_block
from bouncelab.units import (
    STANDARD_ATMOSPHERE_PA,
    STANDARD_GRAVITY,
    ZERO_CELSIUS_K,
    kelvin,
)

__all__ = ["ShellCurves", "ShellImpact", "shell_impact"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ShellCurves(Result):
    """What happens during the contact; each has shape (241, N).

    Attributes
    ----------
    time : ndarray
        Since first contact, in s.
    compression, contact_radius : ndarray
        How near the centre has come to the floor, and the flat part's radius, in m.
    speed : ndarray
        Of the centre towards the floor, in m/s.
    force : ndarray
        Of the floor on the ball, in N.
    gauge_pressure : ndarray
        Of the air inside, in Pa.
    warming : ndarray
        Of the air inside since first contact, in K.
    kinetic, in_gas, in_wall, from_weight, lost_in_cover, lost_to_flattening : ndarray
        In J. At every moment the first three and the losses sum up to the impact
        energy and what the weight has added, to 1e-8 of these two.
    """

    time: Annotated[Array, "s"]
    compression: Annotated[Array, "m"]
    contact_radius: Annotated[Array, "m"]
    speed: Annotated[Array, "m/s"]
    force: Annotated[Array, "N"]
    gauge_pressure: Annotated[Array, "Pa"]
    warming: Annotated[Array, "K"]
    kinetic: Annotated[Array, "J"]
    in_gas: Annotated[Array, "J"]
    in_wall: Annotated[Array, "J"]
    from_weight: Annotated[Array, "J"]
    lost_in_cover: Annotated[Array, "J"]
    lost_to_flattening: Annotated[Array, "J"]


@dataclass(frozen=True, slots=True)
class ShellImpact(Result):
    """An impact of an inflated ball; each is a number or has shape (N,).

    Attributes
    ----------
    restitution : float or ndarray
        0 where the ball cannot leave the floor.
    contact_time : float or ndarray
        In s; infinite where the ball cannot leave the floor.
    compression, contact_radius : float or ndarray
        The largest, in m.
    peak_force : float or ndarray
        In N.
    impulse : float or ndarray
        Of the floor on the ball, in N s; infinite with the contact time.
    peak_gauge_pressure : float or ndarray
        In Pa.
    warming : float or ndarray
        Of the air inside at the largest compression, in K; it is given back.
    impact_energy, rebound_energy : float or ndarray
        Of motion, in J.
    lost_in_cover, lost_to_flattening, left_in_vibration : float or ndarray
        In J. The last is what air and wall still hold when the force is gone. They
        and the rebound energy sum up to the impact energy plus `from_weight`.
    from_weight : float or ndarray
        What the weight has added by then, in J.
    curves : ShellCurves or None
        The contact in time.
    """

    restitution: Annotated[Any, ""]
    contact_time: Annotated[Any, "s"]
    compression: Annotated[Any, "m"]
    contact_radius: Annotated[Any, "m"]
    peak_force: Annotated[Any, "N"]
    impulse: Annotated[Any, "N s"]
    peak_gauge_pressure: Annotated[Any, "Pa"]
    warming: Annotated[Any, "K"]
    impact_energy: Annotated[Any, "J"]
    rebound_energy: Annotated[Any, "J"]
    lost_in_cover: Annotated[Any, "J"]
    lost_to_flattening: Annotated[Any, "J"]
    left_in_vibration: Annotated[Any, "J"]
    from_weight: Annotated[Any, "J"]
    curves: ShellCurves | None


@held
def shell_impact(
    *,
    mass: Any,
    diameter: Any,
    gauge_pressure: Any,
    impact_speed: Any,
    loss_constant: Any = 0.0,
    wall_stiffness: Any = 0.0,
    wall_loss: Any = 0.0,
    flattening: bool = False,
    temperature_c: Any = 20.0,
    atmospheric_pressure: Any = STANDARD_ATMOSPHERE_PA,
    gravity: Any = STANDARD_GRAVITY,
    exponent: Any = ADIABATIC,
    curves: bool = True,
) -> ShellImpact:
    r"""Follow the impact of an inflated ball on a floor, or thousands at once.

    Parameters
    ----------
    mass, diameter : float or array_like, shape (N,)
        In kg and m.
    gauge_pressure : float or array_like, shape (N,)
        Before the impact, in Pa, from 0.
    impact_speed : float or array_like, shape (N,)
        In m/s. It is refused where the ball might be pressed to half its height.
    loss_constant : float or array_like, shape (N,), optional
        :math:`\chi` in Pa s/m, from 0: from the class's own drops, see `fit_loss`.
    wall_stiffness : float or array_like, shape (N,), optional
        :math:`k_w` in N/m: what the cover adds to the air.
    wall_loss : float or array_like, shape (N,), optional
        :math:`\eta`, 0 to 1: the share of the wall's push that does not come back.
    flattening : bool, optional
        Whether the flat part comes to rest on the floor and is jerked off again,
        which costs about :math:`2x_{max}/(3R)` of the energy.
    temperature_c, atmospheric_pressure, gravity : float or array_like, optional
        In °C, Pa and m/s²; gravity may be 0.
    exponent : float or array_like, optional
        1.4 for a bounce; 1 for a squeeze so slow that the air stays cool.
    curves : bool, optional
        Whether to give the contact in time too, for 20 000 impacts at most.

    Returns
    -------
    ShellImpact
        Restitution, contact time, peaks, where the energy went, and curves.

    Raises
    ------
    InputError
        If a value is outside its range, shapes do not fit, or the ball is too fast
        for its pressure.

    Notes
    -----
    With compression :math:`x`, :math:`A = \pi(2Rx - x^2)` and
    :math:`p = (p_g + p_a)(V_0/V)^n`,

    .. math::
        m\ddot x = mg - F, \quad F = A\,[p - p_a + \chi\dot x] + F_w,
        \quad F_w = k_w x \text{ or, unloading, } (1 - \eta) k_w x

    The contact ends when :math:`F` falls to 0, since a floor cannot pull. The air
    is one pressure throughout (sound crosses the ball in under a millisecond) and
    keeps its heat (which travels half a millimetre meanwhile).

    The model says contact time, force, compression, pressure and warmth; how
    :math:`e` rises with pressure and falls with speed once :math:`\chi` is fitted;
    that a flat ball is nearly dead. It cannot say :math:`e` from the material, nor
    what a soft floor, age, a cold cover, buckling of a limp ball, a thick wall
    (tennis balls) or spin do; nor that a well inflated ball leaves the floor still a
    little compressed, as real balls do. One constant fits :math:`e` against pressure to
    0.02–0.05 and exaggerates its dependence on speed; adding :math:`k_w` does
    better, but only drops from two heights can tell the two apart. Its pressures
    predict and do not propose: keep every ball below its marked maximum.

    Examples
    --------
    >>> ball = {"mass": 0.62, "diameter": 0.242, "impact_speed": 5.94}
    >>> bounce = shell_impact(gauge_pressure=55e3, loss_constant=2500.0, **ball)
    >>> round(bounce.restitution, 3), round(1000 * bounce.contact_time, 1)
    (0.85, 12.3)
    >>> soft, hard = shell_impact(
    ...     gauge_pressure=[20e3, 80e3], loss_constant=2500.0, **ball
    ... ).restitution.round(2)
    >>> soft < hard
    np.True_
    """
    values = {
        "mass": checked("mass", mass, "kg", above=0),
        "diameter": checked("diameter", diameter, "m", above=0),
        "gauge pressure": checked("gauge pressure", gauge_pressure, "Pa", least=0),
        "impact speed": checked("impact speed", impact_speed, "m/s", above=0),
        "loss constant": checked("loss constant", loss_constant, "Pa s/m", least=0),
        "wall stiffness": checked("wall stiffness", wall_stiffness, "N/m", least=0),
        "wall loss": checked("wall loss", wall_loss, least=0, most=1),
        "air outside": checked(
            "atmospheric pressure", atmospheric_pressure, "Pa", above=0
        ),
        "temperature": kelvin(
            checked("temperature", temperature_c, "°C", above=-ZERO_CELSIUS_K)
        ),
        "gravity": checked("gravity", gravity, "m/s²", least=0),
        "exponent": checked("exponent", exponent, least=1),
    }
    fields, drawn = in_blocks(
        values, lambda rows: follow_block(rows, flattening, curves), curves
    )
    return ShellImpact(curves=None if drawn is None else ShellCurves(**drawn), **fields)
