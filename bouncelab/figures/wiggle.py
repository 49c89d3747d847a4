"""Readings that wiggle: how far does e move with them?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import InputError
from bouncelab.figures.scene import Reading, Scene, Shape, label, line, rectangle
from bouncelab.monte_carlo import rectangular
from bouncelab.physics.certainty import restitution_uncertainty
from bouncelab.physics.restitution import restitution_from_heights
from bouncelab.units import read_length, show_length

__all__ = ["Wiggle", "wiggle", "wiggle_scene"]

Array = NDArray[np.float64]

_READINGS = 120
_SEED = 7  # the same readings each time, so that only what is moved changes
_TOP, _FOOT = 20.0, 226.0
_RULERS = (70.0, 150.0)
_LEFT, _WIDE, _TALL = 230.0, 380.0, 140.0
_BINS = 20
_ZOOMS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0)  # half of the scale of e


@dataclass(frozen=True, slots=True)
class Wiggle:
    """Many readings of one and the same bounce.

    Attributes
    ----------
    true, shift, standard : float
        e of the heights as they are, how far the tape moves it, and the standard
        uncertainty that the formula gives for one reading.
    drops, rebounds, restitutions : ndarray
        What was read each time, in m, and e from it.
    """

    true: float
    shift: float
    standard: float
    drops: Array
    rebounds: Array
    restitutions: Array


def wiggle(values: Mapping[str, Any]) -> Wiggle:
    """Read the same drop and rebound again and again, each time a little wrong.

    Parameters
    ----------
    values : mapping
        In cm: ``drop`` and ``rebound`` as they are; ``drop_doubt`` and
        ``rebound_doubt``, how far a reading can be off either way, all errors
        equally likely; ``tape``, how much too high all readings are.

    Returns
    -------
    Wiggle
        120 readings, always with the same luck.

    Raises
    ------
    InputError
        If readings could be below the floor, or rebounds above drops.

    Examples
    --------
    >>> heights = {"drop": 100, "rebound": 64, "drop_doubt": 0, "tape": 0}
    >>> found = wiggle({**heights, "rebound_doubt": 2})
    >>> round(found.true, 3), round(found.standard, 4)
    (0.8, 0.0072)
    """
    drop, rebound, drop_doubt, rebound_doubt, tape = (
        read_length(f"{float(values[name]):g}", unit="cm")
        for name in ("drop", "rebound", "drop_doubt", "rebound_doubt", "tape")
    )
    lowest = rebound + min(tape, 0.0) - rebound_doubt
    if lowest <= 0 or rebound + rebound_doubt > drop - drop_doubt:
        raise InputError(
            what="rebound height",
            read=show_length(rebound),
            allowed="a height that no error moves below the floor or above the drop",
            do="Move it, or make the errors smaller.",
        )
    random = np.random.default_rng(_SEED)
    drops = tape + rectangular(drop, drop_doubt)(random, _READINGS)
    rebounds = tape + rectangular(rebound, rebound_doubt)(random, _READINGS)
    true, off = (
        restitution_from_heights(drop_height=drop + by, rebound_height=rebound + by)
        for by in (0.0, tape)
    )
    return Wiggle(
        true=true,
        shift=off - true,
        standard=restitution_uncertainty(
            drop_height=drop,
            rebound_height=rebound,
            drop_u=drop_doubt / sqrt(3),  # of equal chances between two limits
            rebound_u=rebound_doubt / sqrt(3),
        ),
        drops=drops,
        rebounds=rebounds,
        restitutions=restitution_from_heights(
            drop_height=drops, rebound_height=rebounds
        ),
    )


def wiggle_scene(values: Mapping[str, Any]) -> Scene:
    """Show readings that wiggle on their rulers, and e that wiggles with them.

    Parameters
    ----------
    values : mapping
        As for `wiggle`.

    Returns
    -------
    Scene
        One frame for each reading; bars count how often e came out where.

    Raises
    ------
    InputError
        As `wiggle`.

    Examples
    --------
    >>> exact = {"drop": 100, "rebound": 64, "drop_doubt": 0, "rebound_doubt": 0}
    >>> wiggle_scene({**exact, "tape": 0}).told
    '120 readings: mean e 0.8000, spread 0.0000; the formula says 0.0000.'
    """
    found = wiggle(values)
    e = found.restitutions
    count = np.arange(1, _READINGS + 1)
    means = np.cumsum(e) / count
    spreads = [float(e[:n].std(ddof=1)) for n in range(2, _READINGS + 1)]
    tape = float(values["tape"])
    told = (
        f"{_READINGS} readings: mean e {means[-1]:.4f}, spread {spreads[-1]:.4f}; the "
        f"formula says {found.standard:.4f}."
    )
    if tape:
        told += (
            f" The tape moves them all by {found.shift:+.4f}: more "
            "readings do not help against that."
        )
    return Scene(
        times=[f"reading {n}" for n in count],
        shapes=[*_rulers(values, found), *_counted(found)],
        readings=[
            Reading("drop height read", [show_length(h) for h in found.drops]),
            Reading("rebound height read", [show_length(h) for h in found.rebounds]),
            Reading("e from this reading", [f"{x:.4f}" for x in e]),
            Reading("mean of e so far", [f"{x:.4f}" for x in means]),
            Reading("spread of e so far", ["–", *(f"{s:.4f}" for s in spreads)]),
            Reading("standard uncertainty of e", [f"{found.standard:.4f}"]),
            Reading("e of the true heights", [f"{found.true:.4f}"]),
        ],
        words=(
            f"A drop from {values['drop']:g} cm read to ±{values['drop_doubt']:g} cm "
            f"and a rebound to {values['rebound']:g} cm read to "
            f"±{values['rebound_doubt']:g} cm, {_READINGS} times, with a tape "
            f"{f'that is {tape:+g} cm off' if tape else 'that stands right'}. Bars "
            f"count the e of each reading, from {e.min():.4f} to {e.max():.4f}."
        ),
        told=told,
        note=(
            "Spread means standard deviation. Readings are drawn by chance, the same "
            "each time, with all errors inside the limits equally likely."
        ),
        view=(0.0, 0.0, 640.0, 256.0),
        seconds=12.0,
        still=_READINGS - 1,
    )


def _rulers(values: Mapping[str, Any], found: Wiggle) -> list[Shape]:
    tall = max(float(found.drops.max()), read_length(f"{values['drop']:g}", unit="cm"))
    up = (_FOOT - _TOP) / tall
    shapes = [line("bl-ground", x1=30, y1=_FOOT, x2=200, y2=_FOOT)]
    for x, name, read, look in zip(
        _RULERS,
        ("drop", "rebound"),
        (found.drops, found.rebounds),
        ("bl-one", "bl-two"),
        strict=True,
    ):
        high = _FOOT - up * float(read.max())
        low = _FOOT - up * float(read.min())
        shapes += [
            line("bl-thin", x1=x, y1=_FOOT, x2=x, y2=_TOP),
            rectangle("bl-air", x=x - 14, y=high, width=28, height=low - high),
            rectangle(look, x=x - 20, y=_FOOT - up * read - 1.5, width=40, height=3),
            label("", name, x=x, y=_FOOT + 20),
        ]
    return shapes


def _counted(found: Wiggle) -> list[Shape]:
    """Draw the scale of e, a bar for each part of it, and the reading's place."""
    e, true = found.restitutions, found.true
    far = float(np.abs(e - true).max())
    half = next(zoom for zoom in _ZOOMS if zoom >= far or zoom == _ZOOMS[-1])
    place = _LEFT + _WIDE * (e - true + half) / (2 * half)
    bins = np.clip((_BINS * (place - _LEFT) / _WIDE).astype(int), 0, _BINS - 1)
    counts = np.cumsum(bins[:, None] == np.arange(_BINS), axis=0)
    tall = _TALL * counts / counts[-1].max()
    wide, foot = _WIDE / _BINS, _FOOT - 20
    shapes = [line("bl-ground", x1=_LEFT, y1=foot, x2=_LEFT + _WIDE, y2=foot)]
    for n in np.flatnonzero(counts[-1]):
        y, x = foot - tall[:, n], _LEFT + wide * float(n)
        shapes.append(rectangle("bl-bar-kept", x=x, y=y, width=wide, height=tall[:, n]))
    middle = _LEFT + _WIDE / 2
    shapes += [
        line("bl-thin", x1=middle, y1=foot, x2=middle, y2=44),
        label("bl-small", "true heights", x=middle, y=38),
        line("bl-arrow", x1=place, y1=foot + 12, x2=place, y2=foot - 12),
        label("", "e", x=_LEFT - 14, y=foot + 4),
    ]
    for tick in range(5):
        x, value = _LEFT + _WIDE * tick / 4, true + half * (tick - 2) / 2
        shapes += [
            line("bl-thin", x1=x, y1=foot, x2=x, y2=foot + 8),
            label("bl-small", f"{value:.3f}", x=x, y=foot + 26),
        ]
    return shapes
