"""An inflated ball by hand: quick formulas, and the loss that fits a real bounce."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.physics.impact_shell import shell_impact
from bouncelab.physics.numbers import applied, checked, fitting, given, held
from bouncelab.physics.results import Result
from bouncelab.units import STANDARD_ATMOSPHERE_PA

__all__ = ["SmallImpact", "fit_loss", "resting_area", "small_impact"]


@dataclass(frozen=True, slots=True)
class SmallImpact(Result):
    """An impact in the limit of small compression and no loss.

    Attributes
    ----------
    stiffness : float, UFloat or ndarray
        In N/m.
    contact_time, compression, peak_force : float, UFloat or ndarray
        In s, m and N.
    """

    stiffness: Annotated[Any, "N/m"]
    contact_time: Annotated[Any, "s"]
    compression: Annotated[Any, "m"]
    peak_force: Annotated[Any, "N"]


@held
def small_impact(
    *, mass: Any, diameter: Any, gauge_pressure: Any, impact_speed: Any
) -> SmallImpact:
    r"""Give contact time, compression and force of an inflated ball by hand.

    Parameters
    ----------
    mass, diameter : float, UFloat or array_like
        In kg and m.
    gauge_pressure : float, UFloat or array_like
        In Pa, above 0.
    impact_speed : float, UFloat or array_like
        In m/s.

    Returns
    -------
    SmallImpact
        Stiffness and what follows from it.

    Raises
    ------
    InputError
        If a value is not above 0 or shapes do not fit.

    Notes
    -----
    Little compressed, the ball is a spring of stiffness :math:`k = 2\pi R p_g`:

    .. math::
        t_c = \pi\sqrt{m/k}, \quad x_{max} = v\sqrt{m/k}, \quad
        F_{max} = v\sqrt{k m}

    The contact time does not depend on the speed. For a basketball the full model
    stays within 2 % of it up to 9 m/s; the weight adds as much below 3 m/s.

    Examples
    --------
    >>> quick = small_impact(
    ...     mass=0.62, diameter=0.242, gauge_pressure=55e3, impact_speed=5.94
    ... )
    >>> round(1000 * quick.contact_time, 1), round(1000 * quick.compression)
    (12.1, 23)
    """
    m = checked("mass", mass, "kg", above=0)
    d = checked("diameter", diameter, "m", above=0)
    p = checked("gauge pressure", gauge_pressure, "Pa", above=0)
    v = checked("impact speed", impact_speed, "m/s", above=0)
    fitting(mass=m, diameter=d, gauge_pressure=p, impact_speed=v)
    stiffness = np.pi * d * p
    swing = applied("sqrt", m / stiffness)
    return SmallImpact(
        given(stiffness),
        given(np.pi * swing),
        given(v * swing),
        given(v * stiffness * swing),
    )


@held
def resting_area(*, load: Any, gauge_pressure: Any) -> Any:
    r"""Give the flat area on which an inflated thing rests.

    Parameters
    ----------
    load : float, UFloat or array_like
        Weight or push that it carries, in N.
    gauge_pressure : float, UFloat or array_like
        In Pa, above 0.

    Returns
    -------
    float, UFloat or ndarray
        Load over gauge pressure, in m². A stiff cover carries part of the load, and
        then the area is smaller.

    Raises
    ------
    InputError
        If the load is below 0 N or the pressure not above 0 Pa.

    Examples
    --------
    >>> resting_area(load=784.0, gauge_pressure=3.5e5)
    0.00224
    """
    weight = checked("load", load, "N", least=0)
    p = checked("gauge pressure", gauge_pressure, "Pa", above=0)
    fitting(load=weight, gauge_pressure=p)
    return given(weight / p)


@held
def fit_loss(
    *,
    restitution: Any,
    mass: Any,
    diameter: Any,
    gauge_pressure: Any,
    impact_speed: Any,
    atmospheric_pressure: Any = STANDARD_ATMOSPHERE_PA,
    **shell: Any,
) -> Any:
    r"""Give the loss constant with which the shell model bounces as a ball did.

    Parameters
    ----------
    restitution : float or array_like, shape (N,)
        Measured, corrected for drag; above 0 and below what the model gives
        without loss in the cover.
    mass, diameter, gauge_pressure, impact_speed : float or array_like, shape (N,)
        As for `bouncelab.physics.impact_shell.shell_impact`.
    atmospheric_pressure : float or array_like, optional
        In Pa.
    **shell : float or array_like
        Anything else that `shell_impact` takes, such as `wall_stiffness`.

    Returns
    -------
    float or ndarray, shape (N,)
        :math:`\chi` in Pa s/m. With it the model predicts other pressures, best
        between those that were measured.

    Raises
    ------
    InputError
        If a value is outside its range, or no loss gives that restitution.

    Notes
    -----
    A bracketed root search (Illinois rule) on the whole batch; restitution falls
    steadily as the loss rises.

    Examples
    --------
    >>> ball = {
    ...     "mass": 0.62,
    ...     "diameter": 0.242,
    ...     "gauge_pressure": 55e3,
    ...     "impact_speed": 5.94,
    ... }
    >>> loss = fit_loss(restitution=0.8, **ball)
    >>> round(shell_impact(loss_constant=loss, **ball).restitution, 9)
    0.8
    """
    target = checked("restitution", restitution, above=0, below=1)
    p = checked("gauge pressure", gauge_pressure, "Pa", least=0)
    v = checked("impact speed", impact_speed, "m/s", above=0)
    outside = checked("atmospheric pressure", atmospheric_pressure, "Pa", above=0)
    m, d = (
        checked("mass", mass, "kg", above=0),
        checked("diameter", diameter, "m", above=0),
    )
    shape = fitting(restitution=target, mass=m, diameter=d, pressure=p, speed=v)

    def over(loss: Any) -> Any:
        bounce = shell_impact(
            mass=m,
            diameter=d,
            gauge_pressure=p,
            impact_speed=v,
            loss_constant=loss,
            atmospheric_pressure=outside,
            curves=False,
            **shell,
        )
        return np.asarray(bounce.restitution) - target

    low = np.zeros(shape)
    f_low = over(low)
    # By hand e = 1 − (2/3) χ v/p for a little loss; the gas stiffens a flat ball.
    high = np.broadcast_to(3 * (1 / target - 1) * (p + 0.05 * outside) / v, shape)
    f_high = over(high)
    for _ in range(20):
        if np.all(f_high < 0):
            break
        high = np.where(f_high < 0, high, 4 * high)
        f_high = over(high)
    hopeless = (f_low <= 0) | (f_high >= 0)
    if hopeless.any():
        raise InputError(
            "restitution",
            f"{np.broadcast_to(target, shape)[hopeless].flat[0]:g}",
            f"below {(f_low + target)[hopeless].flat[0]:.4f}, the model's without loss",
            "Correct it for air drag, and check pressure and speed.",
        )
    for _ in range(60):
        middle = high - f_high * (high - low) / (f_high - f_low)
        f_middle = over(middle)
        across = f_middle * f_high < 0
        low, f_low = np.where(across, high, low), np.where(across, f_high, 0.5 * f_low)
        high, f_high = middle, f_middle
        if np.all(np.abs(f_high) < 1e-11):
            break
    return given(high)
