"""A hammer strikes a piece of metal again and again, and it gets warm."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from bouncelab.figures.scene import (
    Reading,
    Scene,
    Shape,
    circle,
    label,
    line,
    rectangle,
)
from bouncelab.physics.energy import impact_warming, motion_energy
from bouncelab.units import read_mass

__all__ = ["METALS", "hammer_scene"]

# Specific heats in J/(kg K). Iron, aluminium: OpenStax, University Physics 2, 1.4.
# Lead: from memory; tables differ by 1 %.
METALS = {"lead": 129.0, "iron": 452.0, "aluminium": 900.0}

_BEATS = 8  # frames for one blow
_GROUND, _ANVIL, _MIDDLE, _LIFT = 230.0, 176.0, 190.0, 84.0
_STEM, _BULB, _COLUMN = 430.0, 206.0, 170.0
_STEPS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


def hammer_scene(values: Mapping[str, Any]) -> Scene:
    """Show hammer blows, and a thermometer that says what they add up to.

    Parameters
    ----------
    values : mapping
        ``hammer`` in kg; ``speed`` in m/s; ``blows``; ``restitution`` of a blow;
        ``metal``, one of `METALS`; ``piece`` in g; ``share`` of the energy that
        stays in the piece, in %.

    Returns
    -------
    Scene
        Blow by blow. Nothing cools meanwhile.

    Raises
    ------
    InputError
        If a value is outside its range.

    Examples
    --------
    >>> values = {"hammer": 1, "speed": 5, "blows": 20, "restitution": 0}
    >>> hammer_scene({**values, "metal": "lead", "piece": 100, "share": 100}).told[-38:]
    'the piece is warmer by 19.4 K at most.'
    """
    blows = int(values["blows"])
    speed, e = float(values["speed"]), float(values["restitution"])
    beat = np.arange(blows * _BEATS + 1)
    struck = (beat + _BEATS // 2) // _BEATS
    arriving = motion_energy(mass=float(values["hammer"]), speed=speed)
    back = motion_energy(mass=float(values["hammer"]), speed=e * speed)
    lost = struck * (arriving - back)
    warmer = impact_warming(
        mass=float(values["hammer"]),
        impact_speed=speed,
        restitution=e,
        warmed_mass=read_mass(f"{float(values['piece']):g}", unit="g"),
        specific_heat=METALS[values["metal"]],
        share=float(values["share"]) / 100,
        impacts=struck,
    )
    lifted = _LIFT * np.abs(np.cos(np.pi * beat / _BEATS))
    most = float(warmer[-1])
    told = (
        f"After {blows} {'blow' if blows == 1 else 'blows'} {lost[-1]:.1f} J have left "
        f"the motion, and the piece is warmer by {_kelvin(most)} at most."
    )
    return Scene(
        times=[f"blow {n}" if n else "before" for n in struck],
        shapes=[*_forge(lifted, float(values["piece"])), *_thermometer(warmer)],
        readings=[
            Reading("blows so far", [str(n) for n in struck]),
            Reading("energy of motion of one blow", [f"{arriving:.2f} J"]),
            Reading("of it, back in the hammer", [f"{back:.2f} J"]),
            Reading("lost from the motion so far", [f"{x:.1f} J" for x in lost]),
            Reading("warmer by at most", [_kelvin(x) for x in warmer]),
        ],
        words=(
            f"A hammer of {float(values['hammer']):g} kg strikes "
            f"{float(values['piece']):g} g of {values['metal']} {blows} times at "
            f"{speed:g} m/s with e = {e:g}; {float(values['share']):g} % of the "
            f"energy lost stays in the piece. A thermometer rises by {_kelvin(most)}."
        ),
        told=told,
        note=(
            "At most: nothing cools between the blows, and what hammer, anvil and "
            "sound carry off is only in the share that you choose. The hammer's "
            "swing is not to scale."
        ),
        view=(0.0, 0.0, 560.0, 250.0),
        seconds=min(0.5 * blows, 12.0),
    )


def _kelvin(rise: float) -> str:
    return f"{rise:.1f} K" if rise >= 1 else f"{rise:.2f} K"


def _forge(lifted: Any, piece: float) -> list[Shape]:
    high = 6 + 14 * (piece / 500) ** (1 / 3)
    top = _ANVIL - high
    head = top - 30 - lifted
    return [
        line("bl-ground", x1=0, y1=_GROUND, x2=400, y2=_GROUND),
        rectangle(
            "bl-wall", x=_MIDDLE - 60, y=_ANVIL, width=120, height=_GROUND - _ANVIL
        ),
        label("", "anvil", x=_MIDDLE, y=_GROUND - 22),
        rectangle("bl-solid", x=_MIDDLE - 22, y=top, width=44, height=high),
        label("bl-small", "piece", x=_MIDDLE + 28, y=top + high / 2, anchor="start"),
        rectangle("bl-one", x=_MIDDLE - 18, y=head, width=36, height=30),
        rectangle("bl-two", x=_MIDDLE - 138, y=head + 11, width=120, height=8),
    ]


def _thermometer(warmer: Any) -> list[Shape]:
    most = float(warmer[-1])
    step = next((s for s in _STEPS if 5 * s >= most), _STEPS[-1])
    scale = _COLUMN / max(5 * step, most)
    shapes = [
        rectangle("bl-wall", x=_STEM - 7, y=_BULB - _COLUMN - 8, width=14, height=178),
        rectangle(
            "bl-bar-lost",
            x=_STEM - 4,
            y=_BULB - scale * warmer,
            width=8,
            height=scale * warmer,
        ),
        circle("bl-bar-lost", x=_STEM, y=_BULB + 8, radius=12),
        label("bl-small", "warmer by", x=_STEM + 16, y=18, anchor="start"),
    ]
    for tick in range(6):
        y = _BULB - scale * step * tick
        shapes += [
            line("bl-thin", x1=_STEM + 8, y1=y, x2=_STEM + 18, y2=y),
            label(
                "bl-small", f"{step * tick:g} K", x=_STEM + 22, y=y + 4, anchor="start"
            ),
        ]
    return shapes
