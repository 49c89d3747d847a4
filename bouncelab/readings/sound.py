"""What a recording of bounces says: e, its change with speed, drop height, g."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import InputError
from bouncelab.kinds import Ball, find_ball
from bouncelab.readings.heard_drop import HeardDrop, best_drop
from bouncelab.readings.impacts import Impact, find_impacts
from bouncelab.readings.recordings import open_recording
from bouncelab.readings.trains import find_trains, steady_beat

__all__ = ["Heard", "HeardDrop", "hear", "listen"]

Numbers: TypeAlias = NDArray[np.float64]

_BETWEEN = "does not fit between the bounces"


@dataclass(frozen=True, slots=True)
class Heard:
    """What was heard in a recording.

    Attributes
    ----------
    drops : tuple of HeardDrop
        In the order of time.
    why : str
        Why there is none, or what else to know.
    seconds : float
        Length of the recording.
    impacts : tuple of Impact
        Every sudden sound.
    outline : ndarray
        Largest value of the sound in each 10 ms, for a picture.
    ball : str or None
        Kind of ball whose drag and contact time are corrected for.
    """

    drops: tuple[HeardDrop, ...]
    why: str
    seconds: float
    impacts: tuple[Impact, ...] = field(repr=False)
    outline: Numbers = field(repr=False)
    ball: str | None = None

    @property
    def words(self) -> list[str]:
        """What was heard, in sentences."""
        said = []
        for k, drop in enumerate(self.drops, start=1):
            text = (
                f"Drop {k}, from {drop.impacts[0]:.2f} s on: {len(drop.impacts)} "
                f"impacts, e = {drop.restitution:.3f} ± {2 * drop.restitution_u:.3f} "
                "at the second"
            )
            if drop.drop_height is not None and drop.drop_height_u is not None:
                text += (
                    f"; dropped from {100 * drop.drop_height:.0f} ± "
                    f"{200 * drop.drop_height_u:.0f} cm, if e is the same law there"
                )
            said.append(f"{text}.")
        return [*said, self.why] if self.why else said

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {"drops": [each.to_dict() for each in self.drops], "why": self.why}


def listen(
    path: Path,
    *,
    ball: str | None = None,
    progress: Callable[[float], None] | None = None,
) -> Heard:
    """Listen to a recording of a bouncing ball.

    Parameters
    ----------
    path : pathlib.Path
        WAV, FLAC, OGG or MP3; with the extra ``phone`` also what phones save.
    ball : str, optional
        What ball it is, as a class calls it: its drag and contact time are then
        corrected for.
    progress : callable, optional
        Told the seconds heard so far.

    Returns
    -------
    Heard
        Drops with their impacts; none and a reason if no ball was heard.

    Raises
    ------
    FileError
        If it is no recording.
    InputError
        If the ball is not known.
    """
    kind = _kind(ball)
    with open_recording(path) as recording:
        return hear(recording.blocks, recording.rate, ball=kind, progress=progress)


def _kind(name: str | None) -> Ball | None:
    if name is None:
        return None
    kind = find_ball(name)
    if kind is None:
        raise InputError(
            what="the ball",
            read=f"“{name}”",
            allowed="a kind of ball that the kit knows, such as futsal ball",
            do="Write it as bouncelab ranges does, or leave it out.",
        )
    return kind


def hear(
    blocks: Iterable[Numbers],
    rate: int,
    *,
    ball: Ball | None = None,
    progress: Callable[[float], None] | None = None,
) -> Heard:
    """Find the drops in sound that is at hand.

    Parameters
    ----------
    blocks : iterable of ndarray
        Mono samples.
    rate : int
        Samples a second.
    ball : Ball, optional
        The kind of ball.
    progress : callable, optional
        Told the seconds heard so far.

    Returns
    -------
    Heard
        As `listen`.

    Notes
    -----
    Sound takes the same time to a microphone at rest from each impact, so it falls
    out of the intervals. Times are fitted by `fit_impact_times`.

    References
    ----------
    .. [1] C. E. Aguiar and F. Laudares, *Am. J. Phys.* 71 (2003) 499.
    """
    count = 0

    def counted() -> Iterable[Numbers]:
        nonlocal count
        for block in blocks:
            count += block.size
            yield block

    impacts, outline = find_impacts(counted(), rate, progress=progress)
    seconds = count / rate
    drops, doubted = [], 0
    for found in find_trains(impacts, seconds):
        drop = best_drop(found.impacts, ball)
        if drop is None:
            doubted += 1
            continue
        between = [(each.time, _BETWEEN) for each in found.between if each.clear]
        drops.append(replace(drop, rejected=tuple(sorted([*drop.rejected, *between]))))
    why = "" if drops else _why(impacts, outline, seconds, doubted)
    return Heard(
        tuple(drops),
        why,
        seconds,
        tuple(impacts),
        outline,
        ball.name if ball is not None else None,
    )


def _why(impacts: list[Impact], outline: Numbers, seconds: float, doubted: int) -> str:
    if not outline.size or float(np.max(outline)) < 1e-6:
        return "No bounces heard: the recording is silent."
    beat = steady_beat(impacts)
    if beat is not None:
        return (
            f"No bounces heard: the sounds come evenly, every {beat:.2f} s. A ball's "
            "bounces come faster and faster."
        )
    count = sum(each.clear for each in impacts)
    if count < 3:
        return (
            f"No bounces heard: {count or 'no'} sudden sound{'s' * (count != 1)} that "
            f"{'stands' if count == 1 else 'stand'} out in {seconds:.1f} s, and three "
            "are needed. Lay the phone nearer to where the ball lands."
        )
    if doubted:
        return "No bounces heard that fit one law well enough to give a number."
    return (
        f"No bounces heard: {count} sudden sounds, but no three or more that "
        "come faster and faster as a ball's do. Lay the phone on the floor and let the "
        "ball bounce to its end."
    )
