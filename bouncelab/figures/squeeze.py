"""Air in a closed syringe, squeezed or stretched: the scene."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from bouncelab.figures.scene import (
    Reading,
    Scene,
    Shape,
    arrows,
    circle,
    label,
    line,
    rectangle,
    signed,
)
from bouncelab.figures.squeeze_path import (
    AT_THE_TURN,
    NOTHING,
    SqueezePath,
    squeeze_path,
)
from bouncelab.physics.gas import gauge_pressure
from bouncelab.physics.pump import piston_force
from bouncelab.units import STANDARD_ATMOSPHERE_PA, show_pressure

__all__ = ["squeeze_scene"]

_BORE = 0.029  # m, about that of a 60 ml syringe: common practice, no source
_LEFT, _TOP, _HIGH = 40.0, 46.0, 88.0  # of the drawing
_LONG = 200.0  # of the air at the start
_PUSH = 14.0  # length of the arrow for the air outside
_BAR, _FULL = 420.0, 600e3  # length of the pressure bar, for so many Pa
_COLD, _HOT = -80.0, 160.0  # °C, ends of the thermometer
_WAYS = {
    "slow": "slowly in and slowly back",
    "fast": "fast in and at once back",
    "wait": "fast in, a wait, and fast back",
}


def squeeze_scene(values: Mapping[str, Any]) -> Scene:
    """Show air in a closed syringe while it is squeezed or stretched.

    Parameters
    ----------
    values : mapping
        As for `squeeze_path`.

    Returns
    -------
    Scene
        The syringe, the pressure on both sides of the piston, and a thermometer.

    Examples
    --------
    >>> squeeze_scene({"volume": 50, "gauge": 0, "way": "fast"}).told
    'Work done on the air: 3.24 J, given back: 3.24 J. Nothing is missing.'
    """
    air = squeeze_path(values)
    gauge = gauge_pressure(absolute_pressure=air.pressure)
    force = piston_force(gauge_pressure=gauge, diameter=_BORE)
    said = {"in": "moving in", "wait": "waiting", "back": "moving back"}
    if values["volume"] > 100:
        said |= {"in": "moving out"}
    return Scene(
        times=[said[part] for part in air.part],
        shapes=[*_syringe(air), *_bar(air), *_thermometer(air)],
        readings=[
            Reading("volume", [f"{1e6 * v:.1f} ml" for v in air.volume]),
            Reading("absolute pressure", [show_pressure(p) for p in air.pressure]),
            Reading("gauge pressure", [show_pressure(p) for p in gauge]),
            Reading("temperature", [f"{t:.0f} °C" for t in air.temperature]),
            Reading("push of the hand", [f"{signed(f, 0)} N" for f in force]),
            Reading("work done on the air", [f"{signed(w, 2)} J" for w in air.work]),
            Reading("of this by the hand", [f"{signed(w, 2)} J" for w in air.by_hand]),
            Reading("heat given to the walls", [f"{signed(q, 2)} J" for q in air.heat]),
        ],
        words=_words(air, values),
        told=_told(air),
        note=(
            "The model: no leak, no friction, one pressure throughout. Slowly means "
            "so slowly that the air stays as warm as the room, fast so fast that no "
            "heat has time to leave; a real hand lies between. The arrows are the "
            "push of the air on the piston and the end, inside and outside."
        ),
        view=(0.0, 0.0, 560.0, 250.0),
        seconds=5.0,
        still=AT_THE_TURN,
    )


def _syringe(air: SqueezePath) -> list[Shape]:
    long = _LONG * air.volume / air.volume[0]
    face = _LEFT + long
    middle = _TOP + _HIGH / 2
    wide = 1.5 * _LONG + 28  # holds the piston, too
    shapes = [
        rectangle("bl-wall", x=_LEFT - 10, y=_TOP - 8, width=wide, height=8),
        rectangle("bl-wall", x=_LEFT - 10, y=_TOP + _HIGH, width=wide, height=8),
        rectangle("bl-wall", x=_LEFT - 10, y=_TOP, width=10, height=_HIGH),
        rectangle("bl-air", x=_LEFT, y=_TOP, width=long, height=_HIGH),
        rectangle("bl-solid", x=face, y=_TOP, width=14, height=_HIGH),
        rectangle("bl-solid", x=face + 14, y=middle - 5, width=90, height=10),
    ]
    # A fixed scatter: the same air, nearer together or further apart.
    places = (0.5 + 0.618034 * np.arange(20)) % 1
    for count, place in enumerate(places):
        y = _TOP + 8 + (_HIGH - 16) * ((count + 0.5) / len(places))
        shapes.append(circle("bl-one", x=_LEFT + place * (long - 6) + 3, y=y, radius=3))
    push = _PUSH * air.pressure / STANDARD_ATMOSPHERE_PA
    for y in (_TOP + 18, _TOP + _HIGH - 18):
        shapes += [
            *arrows("bl-arrow", x=face - push, y=y, length=push),
            *arrows("bl-arrow", x=_LEFT + push, y=y, length=-push),
            *arrows("bl-arrow-two", x=face + 14 + _PUSH, y=y, length=-_PUSH),
        ]
    return [
        *shapes,
        label("", "air inside", x=_LEFT, y=_TOP - 16, anchor="start"),
        label("", "piston", x=face + 7, y=_TOP - 16),
        label("bl-small", "air outside", x=face + 22, y=_TOP + _HIGH + 24),
    ]


def _bar(air: SqueezePath) -> list[Shape]:
    y = 182.0
    ends = 20 + _BAR * air.pressure / _FULL
    mark = 20 + _BAR * STANDARD_ATMOSPHERE_PA / _FULL
    return [
        rectangle("bl-bar-kept", x=20, y=y, width=ends - 20, height=16),
        line("bl-thin", x1=mark, y1=y - 4, x2=mark, y2=y + 34),
        label("bl-small", "absolute: from vacuum", x=20, y=y - 8, anchor="start"),
        label("bl-small", "air outside", x=mark - 5, y=y + 50, anchor="end"),
        line("bl-arrow", x1=mark, y1=y + 26, x2=ends, y2=y + 26),
        label("bl-small", "gauge: from here", x=mark, y=y + 50, anchor="start"),
    ]


def _thermometer(air: SqueezePath) -> list[Shape]:
    x, low, high = 510.0, 226.0, 40.0

    def height(celsius: Any) -> Any:
        return low + (high - low) * (celsius - _COLD) / (_HOT - _COLD)

    top = height(air.temperature)
    shapes = [
        rectangle("bl-wall", x=x, y=high, width=14, height=low - high),
        rectangle("bl-bar-lost", x=x, y=top, width=14, height=low - top),
        label("bl-small", "temperature", x=x + 6, y=28),
    ]
    for celsius in (-40, 20, 80, 140):
        y = height(float(celsius))
        shapes += [
            line("bl-thin", x1=x - 4, y1=y, x2=x + 18, y2=y),
            label(
                "bl-small",
                f"{celsius} °C".replace("-", "−"),
                x=x - 8,
                y=y + 4,
                anchor="end",
            ),
        ]
    return shapes


def _told(air: SqueezePath) -> str:
    put_in = float(air.work[AT_THE_TURN])
    left = float(air.work[-1])
    if put_in < 0:
        said = (
            f"The air did {-put_in:.2f} J of work as it grew; "
            f"{left - put_in:.2f} J pushed it back. "
        )
    else:
        said = (
            f"Work done on the air: {put_in:.2f} J, given back: {put_in - left:.2f} J. "
        )
    if abs(left) < NOTHING:
        return said + "Nothing is missing."
    return said + f"The missing {left:.2f} J has warmed the walls."


def _words(air: SqueezePath, values: Mapping[str, Any]) -> str:
    turn = AT_THE_TURN
    start, squeezed = (f"{air.temperature[at]:.0f}" for at in (0, turn))
    went = (
        f"stays at {start} °C"
        if start == squeezed
        else f"goes from {start} to {squeezed} °C"
    )
    return (
        f"Air in a closed syringe, {_WAYS[values['way']]}: from "
        f"{1e6 * air.volume[0]:.0f} to {1e6 * air.volume[turn]:.0f} ml the absolute "
        f"pressure goes from {show_pressure(air.pressure[0])} to "
        f"{show_pressure(air.pressure[turn])} and the temperature {went}; "
        f"back at the start they are {show_pressure(air.pressure[-1])} and "
        f"{air.temperature[-1]:.0f} °C."
    )
