"""What closed air goes through while it is squeezed, and its P-V picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from bouncelab.figures.picture import COLOURS, Picture
from bouncelab.physics.ball_air import sealed_pressure
from bouncelab.physics.gas import (
    ADIABATIC,
    ISOTHERMAL,
    absolute_pressure,
    gauge_pressure,
    squeeze,
)
from bouncelab.units import STANDARD_ATMOSPHERE_PA, in_unit

__all__ = ["AT_THE_TURN", "NOTHING", "SqueezePath", "draw_squeeze", "squeeze_path"]

Array = NDArray[np.float64]

_START = 40e-6  # m³ of air, in a syringe that is marked to 60 ml
_ROOM = 20.0  # °C
_MOVE, _WAIT = 36, 18  # frames
AT_THE_TURN = _MOVE  # the frame at which the piston has moved all the way
NOTHING = 0.005  # J; less is shown as 0.00


@dataclass(frozen=True, slots=True)
class SqueezePath:
    """What the air goes through; one value for each frame.

    Attributes
    ----------
    part : tuple of str
        ``in``, ``wait`` or ``back``.
    volume, pressure, temperature : ndarray
        In m³, absolute in Pa, and in °C.
    work, by_hand, heat : ndarray
        Done on the air since the start, the hand's share of it, and what the air
        has given to the walls, in J.
    """

    part: tuple[str, ...]
    volume: Array
    pressure: Array
    temperature: Array
    work: Array
    by_hand: Array
    heat: Array


@dataclass(slots=True)
class _Walk:
    """Frames so far; each leg starts where the last one ended."""

    part: list[str]
    volume: list[float]
    pressure: list[float]
    temperature: list[float]
    work: list[float] = field(default_factory=lambda: [0.0])
    heat: list[float] = field(default_factory=lambda: [0.0])

    def move(self, part: str, volume: float, exponent: float) -> None:
        """Move the piston."""
        to = np.linspace(self.volume[-1], volume, _MOVE + 1)[1:]
        air = squeeze(
            absolute_pressure=self.pressure[-1],
            volume=self.volume[-1],
            new_volume=to,
            temperature_c=self.temperature[-1],
            exponent=exponent,
        )
        # As warm as before, an ideal gas holds as much energy: the work has left.
        left = air.work if exponent == ISOTHERMAL else np.zeros_like(to)
        self.part += [part] * _MOVE
        self.volume += to.tolist()
        self.pressure += air.absolute_pressure.tolist()
        self.temperature += np.broadcast_to(air.temperature_c, to.shape).tolist()
        self.heat += (self.heat[-1] + left).tolist()
        self.work += (self.work[-1] + air.work).tolist()

    def wait(self) -> None:
        """Hold the piston until the air is as warm as the room."""
        share = np.linspace(0, 1, _WAIT + 1)[1:]
        warm = self.temperature[-1]
        to = warm + share * (_ROOM - warm)
        gauge = sealed_pressure(
            gauge_pressure=gauge_pressure(absolute_pressure=self.pressure[-1]),
            temperature_c=warm,
            new_temperature_c=to,
        )
        self.part += ["wait"] * _WAIT
        self.volume += [self.volume[-1]] * _WAIT
        self.pressure += absolute_pressure(gauge_pressure=gauge).tolist()
        self.temperature += to.tolist()
        # In the end all work so far has left, since the air is as warm as at first.
        self.heat += (self.heat[-1] + share * (self.work[-1] - self.heat[-1])).tolist()
        self.work += [self.work[-1]] * _WAIT


def squeeze_path(values: Mapping[str, Any]) -> SqueezePath:
    """Follow the air through a squeeze and back.

    Parameters
    ----------
    values : mapping
        ``volume``, the smallest or largest, in % of the start; ``gauge`` in kPa, at
        the start; ``way`` is ``slow``, ``fast`` or ``wait``.

    Returns
    -------
    SqueezePath
        Slowly means as warm as the room throughout; fast means no heat leaves; a
        wait lasts until the air is as warm as the room again.

    Raises
    ------
    InputError
        If a value is outside its range.

    Examples
    --------
    >>> air = squeeze_path({"volume": 50, "gauge": 0, "way": "wait"})
    >>> air.temperature[[0, 36, 54, 90, 108]].round().tolist()
    [20.0, 114.0, 20.0, -51.0, 20.0]
    """
    way = values["way"]
    inside = absolute_pressure(gauge_pressure=1e3 * float(values["gauge"]))
    exponent = ISOTHERMAL if way == "slow" else ADIABATIC
    walk = _Walk(["in"], [_START], [float(inside)], [_ROOM])
    walk.move("in", _START * float(values["volume"]) / 100, exponent)
    if way == "wait":
        walk.wait()
    walk.move("back", _START, exponent)
    if way == "wait":
        walk.wait()
    volume, work = np.array(walk.volume), np.array(walk.work)
    return SqueezePath(
        part=tuple(walk.part),
        volume=volume,
        pressure=np.array(walk.pressure),
        temperature=np.array(walk.temperature),
        work=work,
        by_hand=work - STANDARD_ATMOSPHERE_PA * (_START - volume),
        heat=np.array(walk.heat),
    )


def draw_squeeze(values: Mapping[str, Any]) -> Picture:
    """Draw pressure against volume, with the work as the area under it.

    Parameters
    ----------
    values : mapping
        As for `squeeze_path`.

    Returns
    -------
    Picture
        The path in and back; the area between them is lost as heat.

    Examples
    --------
    >>> draw_squeeze({"volume": 50, "gauge": 0, "way": "slow"}).words[:43]
    'Absolute pressure against volume: in along '
    """
    air = squeeze_path(values)
    turn = AT_THE_TURN
    volume = 1e6 * air.volume
    pressure = in_unit(air.pressure, "pressure", "kPa")
    figure = Figure(figsize=(6.4, 3.0))
    axes = figure.add_axes((0.1, 0.17, 0.62, 0.78))
    axes.fill_between(
        volume[: turn + 1], pressure[: turn + 1], color="0.88", label="work on the air"
    )
    there, back = volume[: turn + 1], volume[turn:]
    axes.plot(there, pressure[: turn + 1], color=COLOURS[0], lw=2, label="in")
    axes.plot(back, pressure[turn:], color=COLOURS[1], lw=2, ls="--", label="back")
    outside = in_unit(STANDARD_ATMOSPHERE_PA, "pressure", "kPa")
    axes.axhline(outside, color="0.3", lw=1, ls=":", label="air outside")
    axes.plot(volume[0], pressure[0], "o", color="black", label="start")
    # Larger than the start, so that both are seen where they meet.
    end = {"marker": "s", "markersize": 11, "mfc": "none", "linestyle": "none"}
    axes.plot(volume[-1], pressure[-1], color="black", label="end", **end)
    axes.set_ylim(0, 1.08 * max(float(pressure.max()), outside))
    axes.set_xlabel("volume (ml)")
    axes.set_ylabel("absolute pressure (kPa)")
    figure.legend(loc="center right", frameon=False)
    law = "p V = constant" if values["way"] == "slow" else "p V^1.4 = constant"
    left = float(air.work[-1])
    ending = (
        f"The paths enclose {left:.2f} J, which left as heat."
        if abs(left) >= NOTHING
        else "The way back is the same line: nothing is lost."
    )
    return Picture(
        figure,
        f"Absolute pressure against volume: in along {law}, from "
        f"{pressure[0]:.0f} to {pressure[turn]:.0f} kPa. The grey area under it is the "
        f"work, {air.work[turn]:.2f} J. {ending}",
    )
