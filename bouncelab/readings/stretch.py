"""A part of a recording, to look at and to listen to."""

from __future__ import annotations

import io
import wave
from pathlib import Path
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.readings.recordings import open_recording

__all__ = ["Stretch", "read_stretch"]

Numbers: TypeAlias = NDArray[np.float64]


class Stretch:
    """Samples of a part of a recording.

    Parameters
    ----------
    start : float
        Where it begins in the recording, in s.
    rate : int
        Samples a second.
    samples : ndarray of float
        From -1 to 1.

    Examples
    --------
    >>> part = Stretch(2.0, 8000, np.sin(np.arange(8000) / 5))
    >>> low, high = part.outline(2.0, 2.5, 4)
    >>> high.round(1).tolist(), len(part.wav())
    ([1.0, 1.0, 1.0, 1.0], 16044)
    """

    def __init__(self, start: float, rate: int, samples: Numbers) -> None:
        self.start, self.rate, self.samples = start, rate, samples

    @property
    def end(self) -> float:
        """Where it ends, in s."""
        return self.start + self.samples.size / self.rate

    def outline(
        self, start: float, end: float, columns: int
    ) -> tuple[Numbers, Numbers]:
        """Give the smallest and largest sample in each of some equal parts.

        Parameters
        ----------
        start, end : float
            In s from the start of the recording.
        columns : int
            How many parts.

        Returns
        -------
        tuple of ndarray, shape (columns,)
            0 where there is no sound.
        """
        edges = np.linspace(start, end, columns + 1)
        at = np.rint((edges - self.start) * self.rate).astype(np.intp)
        low, high = np.zeros(columns), np.zeros(columns)
        for k in range(columns):
            some = self.samples[max(at[k], 0) : max(at[k + 1], at[k] + 1, 0)]
            if some.size:
                low[k], high[k] = some.min(), some.max()
        return low, high

    def wav(self) -> bytes:
        """Give it as a WAV file, which every browser plays."""
        out = io.BytesIO()
        with wave.open(out, "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(self.rate)
            whole = np.clip(np.rint(self.samples * 32767), -32768, 32767)
            file.writeframes(whole.astype("<i2").tobytes())
        return out.getvalue()


def read_stretch(path: Path, start: float, end: float) -> Stretch:
    """Read a part of a recording.

    Parameters
    ----------
    path : pathlib.Path
        As for `open_recording`.
    start, end : float
        In s; what is outside the recording is left out.

    Returns
    -------
    Stretch
        The part.

    Raises
    ------
    FileError
        If it is no recording.
    """
    kept: list[Numbers] = []
    with open_recording(path) as recording:
        rate = recording.rate
        first, last = max(0, round(start * rate)), round(end * rate)
        at = 0
        for block in recording.blocks:
            if at + block.size > first:  # a view would keep the whole block
                kept.append(block[max(0, first - at) : max(0, last - at)].copy())
            at += block.size
            if at >= last:
                break
    return Stretch(first / rate, rate, np.concatenate(kept) if kept else np.zeros(0))
