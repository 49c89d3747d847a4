"""A solid ball meets the floor, followed in time: force, shape, bounce and energy.

Near first touch the force of a sphere grows like a power of the compression that
no fixed-step scheme likes. With z the root of the compression, and a time that
runs slower while z is small, everything becomes smooth.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.physics.contact import Law, follow, in_blocks, trace
from bouncelab.physics.numbers import checked, fitting, held
from bouncelab.physics.results import Result

__all__ = ["SolidCurves", "SolidImpact", "solid_impact"]

Array = NDArray[np.float64]

_WHOLE = 2.6  # a contact without loss in the slowed time, about
_STIFF = 8.0  # decay rate from which on shorter steps are taken
_PACE = 0.5  # of the usual steps: keeps the energies to 1e-8 for every exponent


@dataclass(frozen=True, slots=True)
class SolidCurves(Result):
    """What happens during the contact; each has shape (241, N).

    Attributes
    ----------
    time, compression, speed, force : ndarray
        In s since first contact, m, m/s towards the floor, and N. The times are
        closer together near both ends.
    kinetic, stored, lost : ndarray
        In J; at every moment they sum up to the impact energy.
    """

    time: Annotated[Array, "s"]
    compression: Annotated[Array, "m"]
    speed: Annotated[Array, "m/s"]
    force: Annotated[Array, "N"]
    kinetic: Annotated[Array, "J"]
    stored: Annotated[Array, "J"]
    lost: Annotated[Array, "J"]


@dataclass(frozen=True, slots=True)
class SolidImpact(Result):
    """An impact of a solid ball; each is a number or has shape (N,).

    Attributes
    ----------
    restitution : float or ndarray
        Rebound speed over impact speed.
    contact_time, compression, peak_force, impulse : float or ndarray
        In s, m, N and N s.
    impact_energy, rebound_energy, lost, left_in_vibration : float or ndarray
        In J; the first is the sum of the others. The last is what the ball still
        holds when the force is gone.
    curves : SolidCurves or None
        The contact in time.
    """

    restitution: Annotated[Any, ""]
    contact_time: Annotated[Any, "s"]
    compression: Annotated[Any, "m"]
    peak_force: Annotated[Any, "N"]
    impulse: Annotated[Any, "N s"]
    impact_energy: Annotated[Any, "J"]
    rebound_energy: Annotated[Any, "J"]
    lost: Annotated[Any, "J"]
    left_in_vibration: Annotated[Any, "J"]
    curves: SolidCurves | None


# A state is root of compression, speed, energy lost and time, in units of the
# compression without loss, the impact speed, m v² and what follows from them.
# Constants are the exponents of the force and of its loss, and the loss.
def _power(z: Array, exponent: Array) -> Array:
    # Beyond the end z is a little below 0.
    return np.asarray(np.sign(z) * np.abs(z) ** (2 * exponent))


def _grip(y: Array, c: Array) -> Array:
    return np.asarray(_power(y[0], c[0] - c[1]) + c[2] * y[1])


def _push(y: Array, c: Array) -> Array:
    return np.asarray(0.5 * (c[0] + 1) * np.abs(y[0]) ** (2 * c[1]) * _grip(y, c))


def _rates(y: Array, c: Array) -> Array:
    slow = 2 * _WHOLE * y[0]
    out = np.empty_like(y)
    out[0] = _WHOLE * y[1]
    out[1] = -slow * _push(y, c)
    drag = 0.5 * (c[0] + 1) * c[2] * np.abs(y[0]) ** (2 * c[1])
    out[2] = slow * drag * y[1] ** 2
    out[3] = slow
    return out


def _turned(y: Array, c: Array) -> Array:
    return np.asarray(y[1])


def _gone(y: Array, c: Array) -> Array:
    # Where the loss goes with the force, the bracket never vanishes.
    return np.asarray(np.minimum(y[0], _grip(y, c)))


_LOADING = Law(_rates, _turned, _push)
_UNLOADING = Law(_rates, _gone)


@held
def solid_impact(
    *,
    mass: Any,
    impact_speed: Any,
    stiffness: Any,
    exponent: Any = 1.5,
    loss: Any = 0.0,
    loss_exponent: Any = None,
    curves: bool = True,
) -> SolidImpact:
    r"""Follow the impact of a solid ball, or thousands at once.

    Parameters
    ----------
    mass : float or array_like, shape (N,)
        In kg; for two bodies :math:`m_1 m_2/(m_1+m_2)`.
    impact_speed : float or array_like, shape (N,)
        In m/s, above 0.
    stiffness : float or array_like, shape (N,)
        :math:`K` in N/m^q.
    exponent : float or array_like, shape (N,), optional
        :math:`q`, from 1: 3/2 for a sphere, 1 for a spring.
    loss : float or array_like, shape (N,), optional
        :math:`b`, in units that follow from the law; from 0.
    loss_exponent : float or array_like, shape (N,), optional
        :math:`r`, from 0 to q; q itself if left out.
    curves : bool, optional
        Whether to give the contact in time too, for 20 000 impacts at most.

    Returns
    -------
    SolidImpact
        Restitution, contact time, peaks, energies, and curves.

    Raises
    ------
    InputError
        If a value is outside its range or shapes do not fit.

    Notes
    -----
    .. math:: m\ddot x = -F, \quad F = K\,(x^q + b\,x^r\,\dot x)

    with :math:`r = q`, :math:`b = a` this is Hunt and Crossley's law; with
    :math:`q = 1, r = 0` that of Kelvin and Voigt, :math:`b = c/k`; with
    :math:`q = 3/2, r = 1/2, b = \tfrac32 A` a viscoelastic sphere; with
    :math:`b = 0` that of Hertz. The contact ends when :math:`F` falls to 0. Weight
    is left out, and so are yield, ringing and spin.

    Examples
    --------
    >>> superball = solid_impact(mass=0.045, impact_speed=4.0, stiffness=4e5, loss=0.04)
    >>> round(superball.restitution, 2), round(1000 * superball.contact_time, 1)
    (0.9, 4.1)
    """
    q = checked("exponent", exponent, least=1)
    values = {
        "mass": checked("mass", mass, "kg", above=0),
        "impact speed": checked("impact speed", impact_speed, "m/s", above=0),
        "stiffness": checked("stiffness", stiffness, "N/m^q", above=0),
        "exponent": q,
        "loss": checked("loss", loss, least=0),
        "loss exponent": q
        if loss_exponent is None
        else checked("loss exponent", loss_exponent, least=0),
    }
    fitting(**values)
    checked("exponent less loss exponent", q - values["loss exponent"], least=0)
    fields, drawn = in_blocks(values, lambda rows: _follow_block(rows, curves), curves)
    return SolidImpact(curves=None if drawn is None else SolidCurves(**drawn), **fields)


def _pace(c: Array, z: Array) -> Array:
    rate = _WHOLE * (c[0] + 1) * c[2] * z ** (2 * c[1] + 1)
    return np.asarray(_PACE * _STIFF / np.maximum(rate, _STIFF))


def _follow_block(
    values: Array, curves: bool
) -> tuple[dict[str, Array], dict[str, Array]]:
    mass, speed, stiffness, q, loss, r = values
    deep = ((q + 1) * mass * speed**2 / (2 * stiffness)) ** (1 / (q + 1))
    c = np.array([q, r, loss * deep ** (r - q) * speed])
    start = np.zeros((4, mass.size))
    start[1] = 1.0
    # How deep a ball gets that is stopped by the loss alone.
    stopped = (2 * (r + 1) / np.maximum((q + 1) * c[2], 2 * (r + 1))) ** (1 / (r + 1))
    pace = _pace(c, np.sqrt(stopped))
    load = follow(_LOADING, start, c, pace)
    slower = _pace(c, load.state[0])
    free = follow(_UNLOADING, load.state, c, slower)
    joule, newton, second = mass * speed**2, mass * speed**2 / deep, deep / speed
    z, w, lost, time = free.state
    e = np.where(free.ended, np.clip(-w, 0.0, 1.0), 0.0)
    force = np.maximum(load.peak, _push(load.state, c))
    vibration = 0.5 * np.abs(z) ** (2 * (q + 1))
    summary = {
        "restitution": e,
        "contact_time": np.where(free.ended, time * second, np.inf),
        "compression": load.state[0] ** 2 * deep,
        "peak_force": force * newton,
        "impulse": mass * speed * (1 + e),
        "impact_energy": 0.5 * joule,
        "rebound_energy": 0.5 * e**2 * joule,
        "lost": np.where(free.ended, lost, 0.5) * joule,
        "left_in_vibration": np.where(free.ended, vibration, 0.0) * joule,
    }
    if not curves:
        return summary, {}
    path = np.concatenate(
        [
            trace(_LOADING, start, c, load.duration, pace),
            trace(_UNLOADING, load.state, c, free.duration, slower)[1:],
        ]
    )
    z, w, lost, time = (path[:, row] for row in range(4))
    drawn = {
        "time": time * second,
        "compression": z**2 * deep,
        "speed": w * speed,
        "force": np.array([_push(y, c) for y in path]) * newton,
        "kinetic": 0.5 * w**2 * joule,
        "stored": 0.5 * np.abs(z) ** (2 * (q + 1)) * joule,
        "lost": lost * joule,
    }
    return summary, drawn
