"""Impacts in a recording: when each began, how sure that is, and how loud it was."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

__all__ = ["Impact", "find_impacts"]

Numbers: TypeAlias = NDArray[np.float64]

_EDGES = (250.0, 600.0, 1200.0, 2400.0, 4800.0, 9600.0, 18000.0)  # Hz, of the bands
_HOP = 0.0005  # s, of the envelopes
_BEFORE, _AFTER = 0.012, 0.004  # s, compared to find a sudden rise
_GUARD = 0.001  # s, left out between them
_FLOOR = 1.0  # s, over which the usual loudness is taken
_APART = 0.02  # s, between two impacts
_RISE = 5.0  # least logarithm of the odds for a rise, all bands together
_LITTLE = 0.05  # of the usual energy; less is as good as nothing
_LEAD, _TAIL = 0.012, 0.003  # s, in which the onset is sought about the rise
_SURE = 5e-5  # s; no onset is known better


@dataclass(frozen=True, slots=True)
class Impact:
    """A sudden sound.

    Attributes
    ----------
    time, u : float
        When it began, with its standard uncertainty, in s.
    strength : float
        How far it rises above what was there, all bands together.
    loudness : float
        Root mean square of its first milliseconds.
    """

    time: float
    u: float
    strength: float
    loudness: float


def find_impacts(
    blocks: Iterable[Numbers],
    rate: int,
    *,
    progress: Callable[[float], None] | None = None,
) -> tuple[list[Impact], Numbers]:
    """Find the sudden sounds of a recording.

    Parameters
    ----------
    blocks : iterable of ndarray
        Mono samples, one block after the other.
    rate : int
        Samples a second.
    progress : callable, optional
        Told the seconds heard so far.

    Returns
    -------
    tuple of list of Impact and ndarray
        In the order of time; and the envelope of the whole for a picture, its largest
        value in each 10 ms.

    Notes
    -----
    The sound is parted into octaves; in each, the energy after a moment is compared
    with that before it, in units of the usual one of that second, and the odds for a
    rise are added up [1]_: a thud of any pitch stands out, a steady tone or hum does
    not. The onset itself is where two variances, before and after, fit the samples
    best (Akaike's criterion [2]_); the spread of that criterion gives the uncertainty.

    References
    ----------
    .. [1] Likelihood ratio of two variances; common practice, no source.
    .. [2] N. Maeda, *Zisin* 38 (1985) 365, for onsets by Akaike's criterion, from
       memory.
    """
    hop = max(1, round(rate * _HOP))
    pad = int(rate * 0.1)
    found: list[Impact] = []
    outline: list[Numbers] = []
    edges = _bands(rate)
    widths = np.array([high - low for low, high in edges])
    filters = [_filter(each, rate) for each in edges]
    states: list[Any] = [None] * len(filters)
    kept, start = np.zeros(0), 0  # samples still needed, and where they begin
    envelope = np.zeros((len(filters), 0))
    done = 0
    for block in blocks:
        if not block.size:
            continue
        outline.append(_outline(block, rate))
        rows = []
        for k, sos in enumerate(filters):
            made, states[k] = _filtered(sos, block, states[k])
            rows.append(made**2)
        kept = np.concatenate([kept, block])
        energy = np.array(rows)
        whole = energy.shape[1] // hop * hop
        short = energy[:, :whole].reshape(len(filters), -1, hop).mean(axis=2)
        if whole < energy.shape[1]:  # the last hop of a block may be short
            rest = energy[:, whole:].mean(axis=1, keepdims=True)
            short = np.concatenate([short, rest], axis=1)
        envelope = np.concatenate([envelope, short], axis=1)
        found += _in_block(envelope, kept, start, hop, rate, widths)
        done += block.size
        keep = min(kept.size, pad + int(rate * _FLOOR))
        start += kept.size - keep
        kept = kept[kept.size - keep :]
        envelope = envelope[:, -max(keep // hop, 1) :]
        if progress is not None:
            progress(done / rate)
    return _thinned(found), np.concatenate(outline) if outline else np.zeros(0)


def _outline(block: Numbers, rate: int) -> Numbers:
    size = max(1, rate // 100)
    whole = block.size // size * size
    if not whole:
        return np.array([np.abs(block).max()])
    made: Numbers = np.abs(block[:whole]).reshape(-1, size).max(axis=1)
    return made


def _bands(rate: int) -> list[tuple[float, float]]:
    top = 0.45 * rate
    edges = [each for each in _EDGES if each < top] + [top]
    return [(low, high) for low, high in pairwise(edges) if high > 1.3 * low]


def _filter(edges: tuple[float, float], rate: int) -> Any:
    from scipy.signal import butter

    return butter(2, edges, btype="bandpass", fs=rate, output="sos")


def _filtered(sos: Any, block: Numbers, state: Any) -> tuple[Numbers, Any]:
    from scipy.signal import sosfilt, sosfilt_zi

    if state is None:
        state = sosfilt_zi(sos) * 0.0
    made, after = sosfilt(sos, block, zi=state)
    return made, after


def _in_block(
    envelope: Numbers,
    kept: Numbers,
    start: int,
    hop: int,
    rate: int,
    widths: Numbers,
) -> list[Impact]:
    """Find the impacts in the samples that are at hand."""
    from scipy.signal import find_peaks

    per_second = rate / hop
    before, after = round(_BEFORE * per_second), round(_AFTER * per_second)
    guard = max(1, round(_GUARD * per_second))
    if envelope.shape[1] < before + after + guard + 2:
        return []
    usual = np.median(envelope, axis=1, keepdims=True)
    loud = envelope / np.maximum(usual, 1e-14)
    total = np.cumsum(np.pad(loud, ((0, 0), (1, 0))), axis=1)
    at = np.arange(before + guard, envelope.shape[1] - after)
    late = (total[:, at + after] - total[:, at]) / after + _LITTLE
    early = (total[:, at - guard] - total[:, at - guard - before]) / before + _LITTLE
    # A band of a width W holds about W T free values in a time T.
    free_late, free_early = widths[:, None] * _AFTER, widths[:, None] * _BEFORE
    pooled = (free_late * late + free_early * early) / (free_late + free_early)
    odds = (free_late + free_early) * np.log(pooled)
    odds -= free_early * np.log(early) + free_late * np.log(late)
    strength = np.where(late > early, odds, 0.0).sum(axis=0)
    peaks, _ = find_peaks(
        strength, height=_RISE, distance=max(1, round(_APART * per_second / 2))
    )
    made = []
    for peak in peaks:
        middle = start + at[peak] * hop  # in samples of the whole
        impact = _onset(kept, middle - start, rate, float(strength[peak]))
        if impact is not None:
            made.append(
                Impact(
                    impact.time + start / rate,
                    impact.u,
                    impact.strength,
                    impact.loudness,
                )
            )
    return made


def _onset(kept: Numbers, middle: int, rate: int, strength: float) -> Impact | None:
    """Find where a sound begins, by the variances before and after."""
    low, high = middle - int(_LEAD * rate), middle + int(_TAIL * rate)
    if low < 1 or high + 2 > kept.size:
        return None
    part = np.diff(kept[low - 1 : high])  # higher notes count more: they start sharper
    n = part.size
    squares = np.cumsum(part**2)
    tiny = 1e-14 + 1e-9 * squares[-1] / n
    k = np.arange(int(0.15 * n), n - max(4, int(0.0004 * rate)))
    head = np.maximum(squares[k - 1] / k, tiny)
    tail = np.maximum((squares[-1] - squares[k - 1]) / (n - k), tiny)
    aic = k * np.log(head) + (n - k) * np.log(tail)
    weight = np.exp(-0.5 * (aic - aic.min()))
    weight /= weight.sum()
    best = float(k[np.argmin(aic)])
    spread = float(np.sqrt(np.sum(weight * (k - best) ** 2)))
    first = kept[low + int(best) : low + int(best) + int(0.006 * rate)]
    loudness = float(np.sqrt(np.mean(first**2))) if first.size else 0.0
    return Impact(
        float((low + best) / rate),
        float(np.hypot(spread / rate, _SURE)),
        strength,
        loudness,
    )


def _thinned(found: list[Impact]) -> list[Impact]:
    """Keep the strongest of those that lie together, as blocks overlap."""
    kept: list[Impact] = []
    for each in sorted(found, key=lambda impact: impact.time):
        if kept and each.time - kept[-1].time < _APART:
            if each.strength > kept[-1].strength:
                kept[-1] = each
            continue
        kept.append(each)
    return kept
