"""The equation of motion of an inflated ball on a floor, without units.

Lengths count in radii, times in small-compression contact times T and energies in
m R²/T². A state is compression, its rate, and energy lost so far in the cover and
to flattening (if it counts). What the constants are is said in `_scaled`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import InputError
from bouncelab.physics.contact import MOMENTS, Law, follow, trace

__all__ = ["follow_block"]

Array = NDArray[np.float64]

_STIFF = 4.0  # decay rate from which on shorter steps are taken


def _overpressure(xi: Array, c: Array) -> Array:
    gauge, inside, exponent = c[0], c[1], c[2]
    gone = xi * xi * (0.75 - 0.25 * xi)  # share of the volume
    return np.asarray(gauge + inside * np.expm1(-exponent * np.log1p(-gone)))


def _grip(y: Array, c: Array, wall: Array) -> Array:
    """Give the force over the compression; unlike the force it has no root at 0."""
    xi, w = y[0], y[1]
    return np.asarray((1 - 0.5 * xi) * (_overpressure(xi, c) + c[3] * w) + wall)


def _law(loading: bool, flattening: bool) -> Law:
    def wall(c: Array) -> Array:
        return np.asarray(c[4] if loading else c[4] * (1 - c[5]))

    def rates(y: Array, c: Array) -> Array:
        xi, w = y[0], y[1]
        above, damping = 1 - 0.5 * xi, c[3] * w
        out = np.empty_like(y)
        out[0] = w
        out[1] = c[6] - xi * (above * (_overpressure(xi, c) + damping) + wall(c))
        out[2] = xi * above * damping * w
        if flattening:
            if not loading:
                out[1] += 0.5 * w * w
            out[1] /= above
            out[3] = 0.25 * np.abs(w) ** 3
        return out

    def left(y: Array, c: Array) -> Array:
        if loading:
            return np.asarray(y[1])
        return np.asarray(np.minimum(y[0], _grip(y, c, wall(c))))

    def force(y: Array, c: Array) -> Array:
        push = y[0] * _grip(y, c, wall(c))
        return np.asarray(push + 0.5 * y[1] ** 2 if flattening and loading else push)

    def spent(y: Array, c: Array) -> NDArray[np.bool_]:
        # What is left cannot even lift the centre back to where it touched down.
        hysteresis = 0.0 if loading else 0.5 * c[4] * c[5] * c[7] ** 2
        return np.asarray(y[2:].sum(axis=0) + hysteresis >= 0.5 * c[8] ** 2)

    return Law(rates, left, force if loading else None, spent)


def _stored(xi: Array, c: Array, share: Array | float = 1.0) -> tuple[Array, Array]:
    """Give the energy in the gas and in the wall, in the scaled unit."""
    gauge, inside, n = c[0], c[1], c[2]
    gone = xi * xi * (0.75 - 0.25 * xi)
    squeezed = -np.log1p(-gone)
    rise = np.where(n > 1, n - 1, 1.0)
    heated = np.where(n > 1, np.expm1((n - 1) * squeezed) / rise, squeezed)
    # The volume in the scaled unit is 2/3; the air outside, (inside − gauge), helps.
    gas = 2 / 3 * (inside * (heated - gone) + gauge * gone)
    return np.asarray(gas), np.asarray(0.5 * c[4] * share * xi**2)


def _scaled(values: Array) -> tuple[Array, Array, Array, Array]:
    """Give the constants of each impact, and its units of length, time and mass."""
    mass, diameter, gauge, speed, loss, wall, wall_loss, outside, _, g, n = values
    radius, inside = 0.5 * diameter, gauge + outside
    # The gas alone acts like a spring that stiffens: F = soft x + hard x³. Half a
    # period of it at the depth where it holds all the energy is the unit of time.
    soft = 2 * np.pi * radius * gauge + wall
    hard = 1.5 * np.pi * n * inside / radius
    energy = 0.5 * mass * speed**2
    deep = 2 * energy / (0.5 * soft + np.sqrt(0.25 * soft**2 + hard * energy))
    weight = mass * g
    below = soft + np.cbrt(weight**2 * hard)
    sag = np.where(weight > 0, weight / np.where(weight > 0, below, 1.0), 0.0)
    deep = np.maximum(deep, sag**2)
    time = np.pi * np.sqrt(mass / (soft + 0.75 * hard * deep))
    push = 2 * np.pi * radius * time**2 / mass
    constants = np.array(
        [
            gauge * push,
            inside * push,
            n,
            loss * radius / time * push,
            wall * time**2 / mass,
            wall_loss,
            g * time**2 / radius,
            np.zeros_like(mass),  # the largest compression, once it is known
            speed * time / radius,
        ]
    )
    return constants, radius, time, mass


def _refuse_crushing(constants: Array, values: Array) -> None:
    """Refuse an impact that might press the ball to half its height."""
    gas, wall = _stored(np.ones(constants.shape[1]), constants)
    room = gas + wall - constants[6]
    crushed = 0.5 * constants[8] ** 2 > room
    if crushed.any():
        at = int(np.argmax(crushed))
        fastest = values[3, at] * np.sqrt(max(2 * room[at], 0.0)) / constants[8, at]
        raise InputError(
            "impact speed",
            f"{values[3, at]:g} m/s at a gauge pressure of {values[2, at]:g} Pa",
            f"up to {fastest:.3g} m/s for this ball, which may not be pressed flat",
            "Check mass, diameter, pressure and speed.",
        )


def follow_block(
    values: Array, flattening: bool, curves: bool
) -> tuple[dict[str, Array], dict[str, Array]]:
    """Follow many impacts from first contact to the end of the force.

    Parameters
    ----------
    values : ndarray, shape (11, n)
        The numbers of `bouncelab.physics.impact_shell.shell_impact` in SI units:
        mass, diameter, gauge pressure, impact speed, loss constant, wall stiffness,
        wall loss, atmospheric pressure, temperature in K, gravity, exponent.
    flattening : bool
        Whether the flat part comes to rest.
    curves : bool
        Whether to give the curves too.

    Returns
    -------
    tuple of dict
        The fields of `ShellImpact` and of `ShellCurves`, in SI units.

    Raises
    ------
    InputError
        If a ball might be pressed to half its height.

    Examples
    --------
    >>> ball = [0.62, 0.242, 55e3, 6.0, 0.0, 0.0, 0.0, 101325.0, 293.15, 0.0, 1.4]
    >>> result, _ = follow_block(np.array(ball)[:, np.newaxis], False, False)
    >>> result["restitution"].round(6).tolist()
    [1.0]
    """
    c, radius, time, mass = _scaled(values)
    _refuse_crushing(c, values)
    count = values.shape[1]
    start = np.zeros((4 if flattening else 3, count))
    start[1] = c[8]
    squeezing, letting_go = _law(True, flattening), _law(False, flattening)
    # A loss so strong that it stops the ball sooner than its spring would.
    pace = _STIFF / np.maximum(np.sqrt(2 * c[3] * c[8]), _STIFF)
    load = follow(squeezing, start, c, pace)
    c[7] = load.state[0]
    go = load.ended
    slower = _STIFF / np.maximum(c[3] * c[7], _STIFF)
    free = follow(letting_go, load.state[:, go], c[:, go], slower[go])
    end, rest = load.state.copy(), np.zeros(count)
    end[:, go], rest[go] = free.state, free.duration
    leaves = go.copy()
    leaves[go] = free.ended

    xi, w, cover = end[:3]
    flat = end[3] if flattening else np.zeros(count)
    moving = 1 - 0.5 * xi if flattening else np.ones(count)
    # Above 1 only by rounding: no part of the model adds energy.
    e = np.where(leaves, np.minimum(-w * moving / c[8], 1.0), 0.0)
    contact_time = np.where(leaves, (load.duration + rest) * time, np.inf)
    newton, joule = mass * radius / time**2, mass * radius**2 / time**2
    top = c[7]
    force = top * _grip(load.state, c, c[4])
    pressure, warming = _gas_state(top, c, values)
    impact = 0.5 * c[8] ** 2
    gas, wall = _stored(xi, c, 1 - c[5])
    cover = cover + 0.5 * c[4] * c[5] * top**2
    vibration = gas + wall + 0.5 * w**2 * (moving - moving**2)
    finite = np.where(leaves, contact_time, 0.0)
    impulse = mass * (values[3] * (1 + e) + values[9] * finite)
    energies = {
        "impact_energy": impact,
        "rebound_energy": impact * e**2,
        "lost_in_cover": np.where(leaves, cover, impact - flat),
        "lost_to_flattening": flat,
        "left_in_vibration": np.where(leaves, vibration, 0.0),
        "from_weight": np.where(leaves, c[6] * xi, 0.0),
    }
    summary = {
        "restitution": e,
        "contact_time": contact_time,
        "compression": top * radius,
        "contact_radius": radius * np.sqrt(top * (2 - top)),
        "peak_force": np.maximum(load.peak, force) * newton,
        "impulse": np.where(leaves, impulse, np.inf),
        "peak_gauge_pressure": pressure,
        "warming": warming,
        **{name: energy * joule for name, energy in energies.items()},
    }
    if not curves:
        return summary, {}
    there = trace(squeezing, start, c, load.duration, pace)
    back = trace(letting_go, load.state, c, rest, slower)
    units = (radius, time, newton, joule)
    first = _curves(there, True, flattening, c, values, units)
    second = _curves(back[1:], False, flattening, c, values, units)
    drawn = {name: np.concatenate([first[name], second[name]]) for name in first}
    share = np.linspace(0.0, 1.0, MOMENTS + 1)[:, np.newaxis]
    times = [share * load.duration, load.duration + share[1:] * rest]
    return summary, {"time": np.concatenate(times) * time, **drawn}


def _gas_state(xi: Array, c: Array, values: Array) -> tuple[Array, Array]:
    """Give gauge pressure in Pa and warming in K."""
    squeezed = -np.log1p(-xi * xi * (0.75 - 0.25 * xi))
    inside, n = values[2] + values[7], values[10]
    pressure = values[2] + inside * np.expm1(n * squeezed)
    return np.asarray(pressure), np.asarray(values[8] * np.expm1((n - 1) * squeezed))


def _curves(
    path: Array,
    loading: bool,
    flattening: bool,
    c: Array,
    values: Array,
    units: tuple[Array, Array, Array, Array],
) -> dict[str, Array]:
    radius, time, newton, joule = units
    xi, w, cover = (path[:, row] for row in range(3))
    flat = path[:, 3] if flattening else np.zeros_like(xi)
    law = _law(True, flattening)
    push = (
        np.array([law.force(y, c) for y in path])
        if loading and law.force is not None
        else xi * np.array([_grip(y, c, c[4] * (1 - c[5])) for y in path])
    )
    gas, wall = _stored(xi, c, 1.0 if loading else 1 - c[5])
    pressure, warming = _gas_state(xi, c, values)
    hysteresis = 0.0 if loading else 0.5 * c[4] * c[5] * c[7] ** 2
    moving = 1 - 0.5 * xi if flattening else 1.0
    return {
        "compression": np.maximum(xi, 0.0) * radius,
        "contact_radius": radius * np.sqrt(np.maximum(xi * (2 - xi), 0.0)),
        "speed": w * radius / time,
        "force": push * newton,
        "gauge_pressure": pressure,
        "warming": warming,
        "kinetic": 0.5 * moving * w**2 * joule,
        "in_gas": gas * joule,
        "in_wall": wall * joule,
        "from_weight": c[6] * xi * joule,
        "lost_in_cover": (cover + hysteresis) * joule,
        "lost_to_flattening": flat * joule,
    }
