"""Solid balls that lose energy: four laws, each with its restitution in closed form."""

from __future__ import annotations

from typing import Any

import numpy as np

from bouncelab.physics.numbers import applied, checked, fitting, given, held, nominal

__all__ = [
    "hunt_crossley_restitution",
    "kelvin_voigt_restitution",
    "viscoelastic_restitution",
    "yield_restitution",
    "yield_speed",
]

# Restitution for little loss, by a series in s: e = 1 − 2s/3 + 4s²/9 − …
_HUNT_CROSSLEY = (1, -2 / 3, 4 / 9, -44 / 135, 104 / 405, -40 / 189)
_SMALL_LOSS = 0.003  # where that series leaves 1e-16
_VISCOELASTIC = (1.15344, 0.79826)  # T. Schwager and T. Pöschel (1998), from memory
_VISCOELASTIC_MOST = 0.166  # e is 0.83 there
_YIELD_SPEED = 1.56  # K. L. Johnson, Contact Mechanics (1985), 11.5, from memory
_YIELD_PRESSURE = 1.6  # of the yield stress, same place
_YIELD_TREND = 1.18  # same place


@held
def hunt_crossley_restitution(*, loss: Any, impact_speed: Any) -> Any:
    r"""Give restitution for a loss in step with the force, after Hunt and Crossley.

    Parameters
    ----------
    loss : float or array_like
        :math:`a` in :math:`F = K x^q (1 + a\dot x)`, in s/m, from 0.
    impact_speed : float or array_like
        In m/s, from 0.

    Returns
    -------
    float or ndarray
        From 1 (no loss) towards 0. Any exponent :math:`q` gives the same.

    Raises
    ------
    InputError
        If a value is below 0 or shapes do not fit.

    Notes
    -----
    With :math:`s = a v`, :math:`s(1 + e) = \ln[(1+s)/(1 - s e)]`, that is
    :math:`e = [1 + W_0(-(1+s)e^{-(1+s)})]/s` with Lambert's function. Good to 1e-11.

    References
    ----------
    .. [1] K. H. Hunt and F. R. E. Crossley, *J. Appl. Mech.* 42 (1975) 440, for the
       force, from memory; the solution was worked out for this kit.

    Examples
    --------
    >>> round(hunt_crossley_restitution(loss=0.1, impact_speed=5.0), 4)
    0.7484
    """
    a = checked("loss", loss, "s/m", least=0)
    v = checked("impact speed", impact_speed, "m/s", least=0)
    fitting(loss=a, impact_speed=v)
    from scipy.special import lambertw

    s = nominal(a) * nominal(v)
    small = s < _SMALL_LOSS
    series = np.polynomial.polynomial.polyval(np.where(small, s, 0.0), _HUNT_CROSSLEY)
    large = np.where(small, 1.0, s)
    branch = lambertw(-(1 + large) * np.exp(-(1 + large))).real
    return given(np.where(small, series, (1 + branch) / large))


@held
def kelvin_voigt_restitution(*, damping_ratio: Any, pulls: bool = False) -> Any:
    r"""Give restitution of a spring and dashpot side by side, after Kelvin and Voigt.

    Parameters
    ----------
    damping_ratio : float, UFloat or array_like
        :math:`\zeta`, from 0 to below 1.
    pulls : bool, optional
        Whether the floor holds on to the ball until the spring is slack; a real
        floor cannot, so the contact ends where the force is 0.

    Returns
    -------
    float, UFloat or ndarray
        From 1 towards 0.135 (0 where it pulls); the same at every speed.

    Raises
    ------
    InputError
        If a damping ratio is outside 0 to 1.

    Notes
    -----
    .. math::
        e = \exp\left[-\frac{2\zeta\arccos\zeta}{\sqrt{1-\zeta^2}}\right],
        \quad e_\mathrm{pulls} = \exp\left[-\frac{\pi\zeta}{\sqrt{1-\zeta^2}}\right]

    References
    ----------
    .. [1] T. Schwager and T. Pöschel, *Granular Matter* 9 (2007) 465, from memory.

    Examples
    --------
    >>> round(kelvin_voigt_restitution(damping_ratio=0.1), 4)
    0.7441
    """
    zeta = checked("damping ratio", damping_ratio, least=0, below=1)
    angle = np.pi if pulls else 2 * applied("arccos", zeta)
    return given(applied("exp", -zeta * angle / (1 - zeta**2) ** 0.5))


@held
def viscoelastic_restitution(
    *, mass: Any, stiffness: Any, dissipation: Any, impact_speed: Any
) -> Any:
    r"""Give restitution of a viscoelastic sphere with little loss.

    Parameters
    ----------
    mass : float, UFloat or array_like
        In kg; reduced for two bodies.
    stiffness : float, UFloat or array_like
        Of `bouncelab.physics.hertz.hertz_stiffness`, in N/m^1.5.
    dissipation : float, UFloat or array_like
        :math:`A` of the material, in s, from 0.
    impact_speed : float, UFloat or array_like
        In m/s, from 0.

    Returns
    -------
    float, UFloat or ndarray
        From 1 down to 0.83, good to 3e-4.

    Raises
    ------
    InputError
        If a value is outside its range, or the loss too large for the series.

    Notes
    -----
    For :math:`F = K(x^{3/2} + \tfrac32 A\sqrt x\,\dot x)`,
    :math:`e = 1 - 1.15344\,\delta + 0.79826\,\delta^2` with
    :math:`\delta = \tfrac32 A (K/m)^{2/5} v^{1/5}`: faster impacts lose more.

    References
    ----------
    .. [1] T. Schwager and T. Pöschel, *Phys. Rev. E* 57 (1998) 650, from memory.

    Examples
    --------
    >>> e = viscoelastic_restitution(
    ...     mass=0.01, stiffness=1e9, dissipation=1e-6, impact_speed=1.0
    ... )
    >>> round(e, 4)
    0.9577
    """
    m = checked("mass", mass, "kg", above=0)
    k = checked("stiffness", stiffness, "N/m^1.5", above=0)
    a = checked("dissipation", dissipation, "s", least=0)
    v = checked("impact speed", impact_speed, "m/s", least=0)
    fitting(mass=m, stiffness=k, dissipation=a, impact_speed=v)
    delta = checked(
        "loss (3/2) A (K/m)^(2/5) v^(1/5)",
        1.5 * a * (k / m) ** 0.4 * v**0.2,
        least=0,
        most=_VISCOELASTIC_MOST,
        do="Follow such an impact in time with solid_impact.",
    )
    first, second = _VISCOELASTIC
    return given(1 - first * delta + second * delta**2)


@held
def yield_speed(*, yield_stress: Any, effective_modulus: Any, density: Any) -> Any:
    r"""Give the impact speed from which a ball dents or is dented for good.

    Parameters
    ----------
    yield_stress, effective_modulus : float, UFloat or array_like
        :math:`Y` of the softer body and :math:`E^*`, in Pa.
    density : float, UFloat or array_like
        Of the ball, in kg/m³.

    Returns
    -------
    float, UFloat or ndarray
        :math:`v_y = 1.56\sqrt{p_y^5/(E^{*4}\rho)}` with :math:`p_y = 1.6\,Y`, in m/s.

    Raises
    ------
    InputError
        If a value is not above 0 or shapes do not fit.

    References
    ----------
    .. [1] K. L. Johnson, *Contact Mechanics* (1985), 11.5, from memory.

    Examples
    --------
    >>> steel = yield_speed(yield_stress=1e9, effective_modulus=115e9, density=7800.0)
    >>> round(steel, 2)
    0.14
    """
    y = checked("yield stress", yield_stress, "Pa", above=0)
    modulus = checked("effective modulus", effective_modulus, "Pa", above=0)
    rho = checked("density", density, "kg/m³", above=0)
    fitting(yield_stress=y, effective_modulus=modulus, density=rho)
    pressure = _YIELD_PRESSURE * y
    return given(_YIELD_SPEED * ((pressure / modulus) ** 4 * pressure / rho) ** 0.5)


@held
def yield_restitution(*, impact_speed: Any, yield_speed: Any) -> Any:
    r"""Give the trend of restitution where the ball yields.

    Parameters
    ----------
    impact_speed, yield_speed : float, UFloat or array_like
        In m/s; the impact at least twice as fast as first yield, better ten times.

    Returns
    -------
    float, UFloat or ndarray
        :math:`e \approx 1.18\,(v_y/v)^{1/4}`: a trend, not a prediction.

    Raises
    ------
    InputError
        If a speed is not above 0, or the impact is too near to first yield.

    References
    ----------
    .. [1] K. L. Johnson, *Contact Mechanics* (1985), 11.5, from memory.

    Examples
    --------
    >>> round(yield_restitution(impact_speed=1.4, yield_speed=0.14), 2)
    0.66
    """
    v = checked("impact speed", impact_speed, "m/s", above=0)
    first = checked("yield speed", yield_speed, "m/s", above=0)
    fitting(impact_speed=v, yield_speed=first)
    checked(
        "impact speed over yield speed",
        v / first,
        least=2,
        do="Near first yield a ball loses little; take Hertz's impact there.",
    )
    return given(_YIELD_TREND * (first / v) ** 0.25)
