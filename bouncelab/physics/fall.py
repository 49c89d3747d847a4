"""A ball falls from rest through air: speed, time and height in closed forms.

Gravity here may be the standard one, or `effective_gravity`, which is a little
less since the air carries the ball and is dragged along with it.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.physics.numbers import (
    blockwise,
    checked,
    checked_drag,
    fitting,
    given,
    held,
    nominal,
)
from bouncelab.physics.smooth import (
    arcosh_of_exp,
    exp_less_one,
    log_of_cosh,
    log_one_more,
)
from bouncelab.physics.surroundings import air_density
from bouncelab.units import STANDARD_GRAVITY

__all__ = [
    "air_density",
    "drag_constant",
    "effective_gravity",
    "fall_height",
    "fall_time",
    "height_for_speed",
    "impact_speed",
    "terminal_speed",
]


def _inertia(mass: Any, diameter: Any, air_density: Any) -> tuple[Any, Any, Any, Any]:
    m = checked("mass", mass, "kg", above=0)
    d = checked("diameter", diameter, "m", above=0)
    rho = checked("air density", air_density, "kg/m³", least=0)
    fitting(mass=m, diameter=d, air_density=rho)
    # The balance does not see the displaced air; half as much is dragged along.
    return m, d, rho, m + 1.5 * rho * np.pi * d**3 / 6


def _gravity(gravity: Any) -> Any:
    return checked("gravity", gravity, "m/s²", above=0)


@held
def drag_constant(
    *, mass: Any, diameter: Any, drag_coefficient: Any, air_density: Any
) -> Any:
    r"""Give the drag constant of a ball.

    Parameters
    ----------
    mass : float, UFloat or array_like
        As a balance shows it in air, in kg.
    diameter : float, UFloat or array_like
        In m.
    drag_coefficient : float, UFloat or array_like
        No unit; 0.4 to 0.6 for balls at the speeds of a drop.
    air_density : float, UFloat or array_like
        In kg/m³.

    Returns
    -------
    float, UFloat or ndarray
        :math:`k` in 1/m.

    Raises
    ------
    InputError
        If the mass or the diameter is not above zero, another value is below
        zero, or the shapes do not fit.

    Notes
    -----
    .. math:: k = \frac{\rho C_d\, \pi d^2/4}{2 (m + \tfrac32 \rho V)}

    The balance does not see the displaced air :math:`\rho V`; half as much again
    is dragged along (the added mass of a sphere [1]_).

    References
    ----------
    .. [1] H. Lamb, *Hydrodynamics*, 6th ed. (1932), §92, from memory.

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
    _, d, rho, inertia = _inertia(mass, diameter, air_density)
    c = checked("drag coefficient", drag_coefficient, least=0)
    fitting(mass=inertia, drag_coefficient=c)
    return given(rho * c * (np.pi * d**2 / 4) / (2 * inertia))


@held
def effective_gravity(
    *, mass: Any, diameter: Any, air_density: Any, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give the acceleration with which a ball starts to fall in air.

    Parameters
    ----------
    mass : float, UFloat or array_like
        As a balance shows it in air, in kg.
    diameter : float, UFloat or array_like
        In m.
    air_density : float, UFloat or array_like
        In kg/m³.
    gravity : float, UFloat or array_like, optional
        In empty space, in m/s².

    Returns
    -------
    float, UFloat or ndarray
        In m/s²; 2 % less than `gravity` for a basketball.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    :math:`g_e = g\,m/(m + \tfrac32 \rho V)`, with buoyancy and added mass.

    Examples
    --------
    >>> round(effective_gravity(mass=0.62, diameter=0.242, air_density=1.204), 2)
    9.6
    """
    m, _, _, inertia = _inertia(mass, diameter, air_density)
    g = _gravity(gravity)
    fitting(mass=inertia, gravity=g)
    return given(g * m / inertia)


@held
def terminal_speed(*, drag_constant: Any, gravity: Any = STANDARD_GRAVITY) -> Any:
    r"""Give the speed that a long fall approaches.

    Parameters
    ----------
    drag_constant : float, UFloat or array_like
        In 1/m, above 0.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In m/s.

    Raises
    ------
    InputError
        If a value is not above zero or the shapes do not fit.

    Notes
    -----
    :math:`v_t = \sqrt{g/k}`, where the drag is as large as the weight.

    Examples
    --------
    >>> round(terminal_speed(drag_constant=0.1288, gravity=9.6), 1)
    8.6
    """
    k = checked("drag constant", drag_constant, "1/m", above=0)
    g = _gravity(gravity)
    fitting(drag_constant=k, gravity=g)
    return given((g / k) ** 0.5)


@held
def impact_speed(
    *, drop_height: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give the speed after a fall from rest.

    Parameters
    ----------
    drop_height : float, UFloat or array_like
        In m, not below 0.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In m/s.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    From :math:`v\,dv/dh = g - k v^2`:
    :math:`v = v_t\sqrt{1 - e^{-2kh}} \to \sqrt{2gh}`. Constant drag coefficient,
    still air, no spin.

    Examples
    --------
    >>> round(impact_speed(drop_height=2.0), 3)
    6.263
    """
    h = checked("drop height", drop_height, "m", least=0)
    k, g = checked_drag(drag_constant, h), _gravity(gravity)
    fitting(drop_height=h, drag_constant=k, gravity=g)

    def speed(h: Any, k: Any, g: Any) -> Any:
        return (2 * g * h * exp_less_one(-2 * k * h)) ** 0.5

    return given(blockwise(speed, h, k, g))


@held
def fall_time(
    *, drop_height: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give how long a fall from rest takes.

    Parameters
    ----------
    drop_height : float, UFloat or array_like
        In m, not below 0.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In s.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    :math:`t = \mathrm{arcosh}(e^{kh})/\sqrt{k g} \to \sqrt{2h/g}`.

    Examples
    --------
    >>> round(fall_time(drop_height=2.0), 3)
    0.639
    """
    h = checked("drop height", drop_height, "m", least=0)
    k, g = checked_drag(drag_constant, h), _gravity(gravity)
    fitting(drop_height=h, drag_constant=k, gravity=g)

    def time(h: Any, k: Any, g: Any) -> Any:
        return (2 * h / g) ** 0.5 * arcosh_of_exp(k * h)

    return given(blockwise(time, h, k, g))


@held
def fall_height(
    *, time: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give how far a ball falls from rest in a time.

    Parameters
    ----------
    time : float, UFloat or array_like
        In s, not below 0.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In m.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    `fall_time` turned round: :math:`h = \ln\cosh(t\sqrt{k g})/k \to g t^2/2`.

    Examples
    --------
    >>> round(fall_height(time=1.0), 2)
    4.9
    """
    t = checked("time", time, "s", least=0)
    k, g = checked_drag(drag_constant, 0.0), _gravity(gravity)
    fitting(time=t, drag_constant=k, gravity=g)
    return given(g * t**2 / 2 * log_of_cosh(k * g * t**2))


@held
def height_for_speed(
    *, impact_speed: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give the height of a fall that ends with a wanted speed.

    Parameters
    ----------
    impact_speed : float, UFloat or array_like
        In m/s, not below 0, and below the terminal speed.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In m.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    `impact_speed` turned round: :math:`h = -\ln(1 - v^2/v_t^2)/(2k) \to v^2/(2g)`.

    Examples
    --------
    >>> round(height_for_speed(impact_speed=26.8), 1)
    36.6
    """
    v = checked("impact speed", impact_speed, "m/s", least=0)
    k, g = checked_drag(drag_constant, 0.0), _gravity(gravity)
    fitting(impact_speed=v, drag_constant=k, gravity=g)
    share = k * v**2 / g
    if np.any(nominal(share) >= 1):
        raise InputError(
            what="impact speed",
            read=f"{np.max(nominal(v)):g} m/s",
            allowed="below the terminal speed",
            do="Ask for a lower speed.",
        )
    return given(v**2 / (2 * g) * log_one_more(-share))
