"""An inflated ball against the floor, slowed down a thousand times: the scene."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from bouncelab.figures.contact_curves import Contact, meet_floor
from bouncelab.figures.scene import (
    Reading,
    Scene,
    Shape,
    label,
    line,
    path,
    rectangle,
)
from bouncelab.units import STANDARD_GRAVITY, show_length, show_pressure

__all__ = ["floor_contact_scene"]

_SLOWED = 1000
_FLOOR = 190.0
_METRE = 600.0  # drawing units
_NEARER = 4.0  # how much larger the solid ball is drawn
_LEFT, _RIGHT = 130.0, 330.0
_ARROW = 60.0  # length for the larger peak of the two balls
_BARS, _LONG = 420.0, 120.0


def floor_contact_scene(values: Mapping[str, Any]) -> Scene:
    """Show an inflated and a solid ball in contact with the floor.

    Parameters
    ----------
    values : mapping
        As for `bouncelab.figures.contact_curves.meet_floor`.

    Returns
    -------
    Scene
        Shape, force, pressure, warmth and energy; a second of the player at its
        normal pace is a millisecond.

    Examples
    --------
    >>> floor_contact_scene(
    ...     {
    ...         "ball": "basketball-7",
    ...         "gauge": 55,
    ...         "height": 175,
    ...         "cover": "none",
    ...         "solid": "rubber",
    ...     }
    ... ).told
    'Contact 12.2 ms, solid ball 2.45 ms. Restitution 1.00 and 0.90.'
    """
    both = meet_floor(values)
    shell, solid = both.contact_times
    first, second = both.restitutions
    near = _NEARER * _METRE
    told = (
        f"Contact {1e3 * shell:.1f} ms, solid ball {_brief(solid)}. Restitution "
        f"{first:.2f} and {second:.2f}."
    )
    if both.stopped_at_mark:
        told = (
            f"Stopped at {show_pressure(both.gauge_pressure)}, the marked maximum: "
            f"higher, that ball may burst. {told}"
        )
    return Scene(
        times=[f"{1e3 * t:+.2f} ms" for t in both.time],
        shapes=[
            line("bl-ground", x1=0, y1=_FLOOR, x2=_BARS - 15, y2=_FLOOR),
            _body(
                "bl-air",
                _LEFT,
                _METRE * both.ball.diameter_m / 2,
                _METRE * both.dent,
                _METRE * both.height,
            ),
            _body(
                "bl-solid",
                _RIGHT,
                near * both.solid.diameter / 2,
                near * both.solid_dent,
                near * both.solid_height,
            ),
            *_pushes(both),
            label("", both.ball.name, x=_LEFT, y=_FLOOR + 18),
            label("", both.solid.name, x=_RIGHT, y=_FLOOR + 18),
            label("bl-small", "drawn 4 times larger", x=_RIGHT, y=_FLOOR + 34),
            *_bars(both),
        ],
        readings=_readings(both),
        words=_words(both),
        told=told,
        note=(
            "The model: a cover that does not stretch, pressed flat below the floor's "
            "level, with one loss; a floor that does not give. It ends where the force "
            "does: a dull ball is still dented then. It cannot say how much a cover "
            "loses (you choose it), nor what age, cold, spin, a soft floor or a thick "
            "wall do. Weight adds up to a hundredth to the energies. Moduli and loss "
            "of the solid ball are assumed."
        ),
        view=(0.0, 0.0, 560.0, 240.0),
        seconds=_SLOWED * float(both.time[-1] - both.time[0]),
        still=int(np.argmax(both.force)),
    )


def _brief(seconds: float) -> str:
    return f"{1e3 * seconds:.2f} ms"


def _body(look: str, x: float, radius: float, dent: Any, height: Any) -> Shape:
    """Draw a sphere that lacks what would be below its flat part."""
    foot = np.sqrt(
        np.maximum(2 * radius * dent - dent**2, 0.0025)
    )  # two ends of an arc
    outlines = [
        f"M{x - a:.2f} {y:.2f}A{radius:.2f} {radius:.2f} 0 1 1 {x + a:.2f} {y:.2f}Z"
        for a, y in zip(foot, _FLOOR - height, strict=True)
    ]
    return path(look, outlines)


def _pushes(both: Contact) -> list[Shape]:
    most = max(both.peak_forces)
    shapes = []
    for x, force in ((_LEFT, both.force), (_RIGHT, both.solid_force)):
        tip = _FLOOR - _ARROW * force / most
        wing = np.minimum(5.0, _FLOOR - tip)
        shapes.append(
            path(
                "bl-arrow",
                [
                    f"M{x:.0f} {_FLOOR:.0f}V{y:.1f}m-{w:.1f} {w:.1f}L{x:.0f} {y:.1f}"
                    f"l{w:.1f} {w:.1f}"
                    for y, w in zip(tip, wing, strict=True)
                ],
            )
        )
    return shapes


def _bars(both: Contact) -> list[Shape]:
    """Draw pressure, warmth and energies of the inflated ball as bars."""
    energy = float(np.max(both.motion + both.in_air + both.lost))
    peak = float(both.pressure.max())
    hottest = max(float(both.warming.max()), 1e-12)
    rows = (
        ("gauge pressure", "bl-one", both.pressure / peak),
        ("the air warms by", "bl-two", both.warming / hottest),
        ("energy of motion", "bl-bar-kept", both.motion / energy),
        ("energy in the air", "bl-air", both.in_air / energy),
        ("lost: warmth, sound", "bl-bar-lost", both.lost / energy),
    )
    shapes = []
    for place, (name, look, share) in enumerate(rows):
        y = 24.0 + 40 * place
        shapes += [
            label("bl-small", name, x=_BARS, y=y - 5, anchor="start"),
            rectangle(look, x=_BARS, y=y, width=_LONG * share, height=14),
        ]
    return shapes


def _readings(both: Contact) -> list[Reading]:
    dent = both.dent
    flat = 2 * np.sqrt(np.maximum(both.ball.diameter_m * dent - dent**2, 0.0))
    return [
        Reading("pressed in", [show_length(x, "mm", 1) for x in both.dent]),
        Reading("width of the flat part", [show_length(x, "mm", 0) for x in flat]),
        Reading("force of the floor", [f"{f:.0f} N" for f in both.force]),
        Reading("gauge pressure", [show_pressure(p) for p in both.pressure]),
        Reading("the air warms by", [f"{t:.1f} K" for t in both.warming]),
        Reading("energy of motion", [f"{e:.2f} J" for e in both.motion]),
        Reading("energy in the air", [f"{e:.2f} J" for e in both.in_air]),
        Reading("lost", [f"{e:.2f} J" for e in both.lost]),
        Reading(
            "solid ball: pressed in", [show_length(x, "mm", 2) for x in both.solid_dent]
        ),
        Reading("solid ball: force", [f"{f:.0f} N" for f in both.solid_force]),
        Reading("speed before", [f"{both.speed:.2f} m/s"]),
        Reading("speed after", [f"{both.restitutions[0] * both.speed:.2f} m/s"]),
    ]


def _words(both: Contact) -> str:
    most = float(both.dent.max())
    weight = both.peak_forces[0] / (both.ball.mass_kg * STANDARD_GRAVITY)
    return (
        f"A {both.ball.name} at {show_pressure(both.gauge_pressure)} meets the floor "
        f"at {both.speed:.2f} m/s. It is pressed in by {show_length(most, 'mm', 1)}; "
        f"the floor pushes with up to {both.peak_forces[0]:.0f} N, {weight:.0f} times "
        f"its weight. The pressure rises to {show_pressure(both.pressure.max())} and "
        f"the air warms by {both.warming.max():.1f} K. After "
        f"{1e3 * both.contact_times[0]:.1f} ms it leaves with {both.motion[-1]:.2f} J "
        f"of {both.motion[0]:.2f} J. A {both.solid.name} is in contact for "
        f"{_brief(both.contact_times[1])}."
    )
