"""The echo of a room, from the arrivals of reflections that statistics expects.

A phone lies `distance` from where the ball lands, in a room of `volume` in which sound
fades by 60 dB in `fade`. Until a time t after the impact, 4π(ct)³/3V image sources have
been heard, each by d/ct weaker than the sound that came straight, and worn by the walls
[1]_. So few single reflections come first and more and more of them make the tail; all
together they carry (d/r)² of the direct sound's energy, with r = 0.057 √(V/fade) in SI.

References
----------
.. [1] H. Kuttruff, *Room Acoustics*, ch. 4 and 5, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

__all__ = ["PLACES", "Room", "direct_over_echo", "in_room"]

C = 343.0  # m/s, sound in air


@dataclass(frozen=True)
class Room:
    """A room and where the phone lies in it; no fading time is a field outdoors."""

    fade: float  # s
    volume: float = 200.0  # m³
    distance: float = 1.0  # m


PLACES = {
    "playground": Room(0.0),
    "classroom": Room(0.6, 180.0),
    "hall": Room(1.6, 2500.0),
    "corridor": Room(1.0, 150.0),
}


def direct_over_echo(room: Room) -> float:
    """How much louder the direct sound is than all reflections, in dB; low notes."""
    density = 4 * np.pi * C * room.distance**2 / room.volume
    return float(-10 * np.log10(density * room.fade / (6 * np.log(10))))


def in_room(rng, dry, rate, room):
    """The sound as the phone hears it; the direct sound is not delayed."""
    if room.fade <= 0:
        return dry
    from scipy.signal import fftconvolve

    return dry + fftconvolve(dry, reflections(rng, rate, room))[: dry.size]


def reflections(rng, rate, room):
    """What follows a single sample of sound."""
    t = room.distance / C + np.arange(1, int(0.8 * room.fade * rate)) / rate
    expected = 4 * np.pi * C**3 * t**2 / room.volume / rate
    many = rng.poisson(expected)
    signed = 2 * rng.binomial(many, 0.5) - many  # from hard walls and from gaps
    made = signed * room.distance / (C * t) * 10 ** (-3 * t / room.fade)
    return _softened(np.concatenate([[0.0], made]), rate, rng.uniform(4e3, 9e3))


def _softened(sound, rate, corner):
    """High notes fade in cloth and air."""
    from scipy.signal import lfilter

    keep = float(np.exp(-2 * np.pi * corner / rate))
    return lfilter([1 - keep], [1, -keep], sound)
