"""A recording's loudness, with the impacts that were heard in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure

from bouncelab.figures.picture import COLOURS, SHAPES, Picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from bouncelab.readings.sound import Heard, HeardDrop

__all__ = ["draw_recording"]

_STEP = 0.01  # s, of the outline
_POINTS = 1500  # of the outline in one row; the paper shows no more
_ROWS = 6  # drops drawn larger; more cannot be read
_ONE_ROW = 10.0  # s; a recording so short is seen in one row
_AROUND = (0.25, 0.45)  # s, before and after a drop


def draw_recording(heard: Heard) -> Picture:
    """Draw how loud a recording is, with a mark at each impact.

    Parameters
    ----------
    heard : Heard
        What `listen` gave.

    Returns
    -------
    Picture
        The whole recording, then each of the first six drops larger; and the same
        in words.

    Notes
    -----
    Filled marks are the impacts of a drop, each drop with its own shape and colour;
    crosses are sudden sounds that belong to none.

    Examples
    --------
    >>> import numpy as np
    >>> from bouncelab.readings.sound import hear
    >>> picture = draw_recording(hear([np.zeros(48_000)], 48_000))
    >>> print(picture.words)
    A recording of 1.0 s. No bounces heard: the recording is silent.
    """
    larger = list(enumerate(heard.drops[:_ROWS]))
    if len(heard.drops) <= 1 and heard.seconds <= _ONE_ROW:
        larger = []
    rows = 1 + len(larger)
    figure = Figure(figsize=(7.0, 1.0 + 1.5 * rows), layout="constrained")
    panels = figure.subplots(rows, squeeze=False)[:, 0]
    _row(panels[0], heard, 0.0, heard.seconds)
    for axes, (k, drop) in zip(panels[1:], larger, strict=True):
        first, last = drop.impacts[0], drop.impacts[-1]
        _row(axes, heard, max(0.0, first - _AROUND[0]), last + _AROUND[1])
        axes.set_title(f"drop {k + 1}", loc="left", fontsize="medium")
    panels[-1].set_xlabel("time from the start of the recording (s)")
    handles, labels = panels[0].get_legend_handles_labels()
    if handles:
        figure.legend(
            handles,
            labels,
            loc="outside upper center",
            ncols=min(len(handles), 4),
            frameon=False,
        )
    return Picture(figure, " ".join(_words(heard)))


def _row(axes: Axes, heard: Heard, start: float, end: float) -> None:
    """Draw one part of the recording."""
    when, loud = _outline(heard, start, end)
    axes.fill_between(when, -loud, loud, color="0.72", linewidth=0)
    top = float(loud.max(initial=0.0)) or 1.0
    for k, drop in enumerate(heard.drops):
        _marks(axes, drop.impacts, k, top, f"impacts of drop {k + 1}")
    others = _others(heard)
    if others:
        axes.plot(
            others,
            [-1.25 * top] * len(others),
            linestyle="none",
            marker="x",
            color="0.35",
            markersize=5,
            label="other sudden sounds",
        )
    axes.set_xlim(start, max(end, start + _STEP))
    axes.set_ylim(-1.5 * top, 1.5 * top)
    axes.set_yticks([])
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)


def _marks(
    axes: Axes, times: tuple[float, ...], drop: int, top: float, label: str
) -> None:
    colour = COLOURS[drop % len(COLOURS)]
    shape = SHAPES[(drop + drop // len(COLOURS)) % len(SHAPES)]
    axes.vlines(times, -top, 1.15 * top, color=colour, linewidth=0.8)
    axes.plot(
        times,
        [1.25 * top] * len(times),
        linestyle="none",
        marker=shape,
        color=colour,
        markersize=5,
        label=label,
    )


def _outline(
    heard: Heard, start: float, end: float
) -> tuple[np.ndarray[tuple[int], np.dtype[np.float64]], ...]:
    """Give times and loudness of a part, no finer than can be seen."""
    first = int(start / _STEP)
    part = heard.outline[first : int(np.ceil(end / _STEP)) + 1]
    join = max(1, -(-part.size // _POINTS))
    whole = part.size // join * join
    loud = part[:whole].reshape(-1, join).max(axis=1, initial=0.0)
    when = (first + join * (np.arange(loud.size) + 0.5)) * _STEP
    return when, loud


def _others(heard: Heard) -> list[float]:
    told = {time for drop in heard.drops for time in drop.impacts}
    return [each.time for each in heard.impacts if each.clear and each.time not in told]


def _words(heard: Heard) -> list[str]:
    said = [f"A recording of {heard.seconds:.1f} s."]
    said += [_of_drop(k, drop) for k, drop in enumerate(heard.drops, start=1)]
    others = len(_others(heard))
    if heard.drops and others:
        verb = "belongs" if others == 1 else "belong"
        sounds = "sound" if others == 1 else "sounds"
        said.append(f"{others} other sudden {sounds}, crossed, {verb} to no drop.")
    if heard.why:
        said.append(heard.why)
    return said


def _of_drop(number: int, drop: HeardDrop) -> str:
    gaps = np.diff(drop.impacts)
    return (
        f"Drop {number}: {len(drop.impacts)} impacts from {drop.impacts[0]:.2f} s to "
        f"{drop.impacts[-1]:.2f} s, the gaps between them shrinking from "
        f"{gaps[0]:.2f} s to {gaps[-1]:.2f} s."
    )
