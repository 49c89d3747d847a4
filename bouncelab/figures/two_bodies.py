"""Two bodies meet on a line: the scene, and what each carries before and after."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from bouncelab.figures.scene import (
    Reading,
    Scene,
    Shape,
    arrows,
    label,
    line,
    rectangle,
    signed,
)
from bouncelab.physics.collisions import Collision, collide

__all__ = ["two_bodies_scene"]

_FRAMES = 121
_SPAN = 2.0  # s shown, half before and half after the meeting
_METRE = 70.0  # drawing units
_MIDDLE, _GROUND = 320.0, 140.0
_CUBE = 26.0  # edge of a body of 1 kg
_PART = 60.0  # length of an arrow for 1 m/s
_BAR = 200.0  # length of the bar of all energy


def two_bodies_scene(values: Mapping[str, Any]) -> Scene:
    """Show two bodies that meet.

    Parameters
    ----------
    values : mapping
        ``mass_one``, ``mass_two`` in kg; ``speed_one``, ``speed_two`` in m/s,
        to the right; ``restitution``; ``released`` in J; ``seen`` is ``floor``
        or ``centre`` (of mass).

    Returns
    -------
    Scene
        One second before to one second after they meet; both are drawn as cubes
        of one material.

    Examples
    --------
    >>> scene = two_bodies_scene(
    ...     {
    ...         "mass_one": 1,
    ...         "mass_two": 1,
    ...         "speed_one": 1,
    ...         "speed_two": 0,
    ...         "restitution": 1,
    ...         "released": 0,
    ...         "seen": "floor",
    ...     }
    ... )
    >>> scene.told
    'Momentum 1.00 before and 1.00 kg m/s after, energy of motion 0.50 and 0.50 J.'
    """
    masses = (float(values["mass_one"]), float(values["mass_two"]))
    speeds = (float(values["speed_one"]), float(values["speed_two"]))
    met = collide(
        masses=masses,
        velocities=speeds,
        restitution=float(values["restitution"]),
        energy_released=float(values["released"]),
    )
    times = np.linspace(-_SPAN / 2, _SPAN / 2, _FRAMES)
    after = times > 0
    meets = speeds[0] > speeds[1]
    view = met.centre_velocity if values["seen"] == "centre" else 0.0
    before, later = met.velocities_before, met.velocities_after
    if not meets:
        later = before
    shapes: list[Shape] = [
        line("bl-ground", x1=0, y1=_GROUND, x2=2 * _MIDDLE, y2=_GROUND)
    ]
    for tick in range(-4, 5):
        x = _MIDDLE + tick * _METRE - view * times * _METRE
        shapes.append(line("bl-thin", x1=x, y1=_GROUND, x2=x, y2=_GROUND + 8))
    edges = [_CUBE * mass ** (1 / 3) for mass in masses]
    over: list[Shape] = []  # clear of both bodies, and of each other where they meet
    for side, (mass, look) in enumerate(zip(masses, ("bl-one", "bl-two"), strict=True)):
        edge = edges[side]
        v = np.where(after, later[side], before[side]) - view
        x = _MIDDLE + v * times * _METRE - (edge if side == 0 else 0.0)
        shapes.append(rectangle(look, x=x, y=_GROUND - edge, width=edge, height=edge))
        end, anchor = ((x + edge - 4, "end"), (x + 4, "start"))[side]
        top = _GROUND - max(edges)
        over += [
            label("bl-small", f"{mass:g} kg", x=end, y=top - 28, anchor=anchor),
            *arrows(
                "bl-arrow" if side == 0 else "bl-arrow-two",
                x=x + edge / 2,
                y=top - 10 - 9 * side,
                length=v * _PART / 2,
            ),
        ]
    shapes += over
    shapes += _bars(met, meets)
    return Scene(
        times=[f"{signed(1000 * t, 0)} ms" for t in times],
        shapes=shapes,
        readings=_readings(met, meets, view, times),
        words=_words(met, meets, values),
        told=_told(met) if meets else "They do not meet: the left one is not faster.",
        note=(
            "The arrows are velocities. No friction, no spin; the meeting itself takes "
            "no time here. A ball's e falls a little with speed. A body that is very "
            "fast leaves the picture; its numbers go on."
        ),
        view=(0.0, 0.0, 2 * _MIDDLE, 250.0),
        seconds=4.0,
    )


def _bars(met: Collision, meets: bool) -> list[Shape]:
    """Draw the energy of motion before and after as bars."""
    kept = met.ledger.total_kinetic_before
    left = met.ledger.total_kinetic_after if meets else kept
    most = max(kept, left, 1e-12)
    shapes: list[Shape] = []
    for place, (name, amount) in enumerate((("before", kept), ("after", left))):
        y = 180.0 + 32 * place
        shapes += [
            label("", f"energy {name}", x=110, y=y + 14, anchor="end"),
            rectangle("bl-bar-kept", x=120, y=y, width=_BAR * amount / most, height=20),
            label("", f"{amount:.2f} J", x=130 + _BAR, y=y + 14, anchor="start"),
        ]
    if meets and left < kept:
        start = 120 + _BAR * left / most
        shapes.append(
            rectangle(
                "bl-bar-lost", x=start, y=212, width=120 + _BAR - start, height=20
            )
        )
        shapes.append(label("bl-small", "lost", x=120 + _BAR, y=245, anchor="end"))
    else:
        shapes.append(rectangle("bl-bar-lost", x=0, y=0, width=0, height=0))
        shapes.append(label("bl-small", " ", x=0, y=245, anchor="end"))
    return shapes


def _readings(met: Collision, meets: bool, view: float, times: Any) -> list[Reading]:
    after = (times > 0) & meets
    rows = []
    for side, name in enumerate(("left", "right")):
        mass = met.masses[side]
        v = np.where(after, met.velocities_after[side], met.velocities_before[side])
        v = v - view
        rows.append(Reading(f"velocity, {name}", [f"{signed(x, 2)} m/s" for x in v]))
        momentum = [f"{signed(mass * x, 2)} kg m/s" for x in v]
        rows.append(Reading(f"momentum, {name}", momentum))
        rows.append(
            Reading(
                f"energy of motion, {name}", [f"{mass * x * x / 2:.2f} J" for x in v]
            )
        )
    rows.append(
        Reading(
            "velocity of the centre of mass",
            [f"{signed(met.centre_velocity - view, 2)} m/s"],
        )
    )
    return rows


def _plain(momentum: float) -> str:
    return signed(momentum, 2).removeprefix("+")


def _told(met: Collision) -> str:
    books = met.ledger
    return (
        f"Momentum {_plain(books.total_momentum_before)} before and "
        f"{_plain(books.total_momentum_after)} kg m/s after, energy of motion "
        f"{books.total_kinetic_before:.2f} and {books.total_kinetic_after:.2f} J."
    )


def _words(met: Collision, meets: bool, values: Mapping[str, Any]) -> str:
    seen = "the centre of mass" if values["seen"] == "centre" else "the floor"
    first, second = met.masses
    one, two = met.velocities_before
    said = (
        f"Seen from {seen}: a body of {first:g} kg at {signed(one, 2)} m/s "
        f"and one of {second:g} kg at {signed(two, 2)} m/s"
    )
    if not meets:
        return f"{said} do not meet."
    return (
        f"{said} meet with e = {met.restitution:g} and leave with "
        f"{' and '.join(signed(v, 2) for v in met.velocities_after)} m/s "
        "(velocities against the floor)."
    )
