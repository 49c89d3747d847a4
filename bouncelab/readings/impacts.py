"""Impacts in a recording: when each began, how sure that is, and how loud it was."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

__all__ = ["Impact", "find_impacts"]

Numbers: TypeAlias = NDArray[Any]

_WINDOW = 0.002  # s, of one spectrum; the next begins half of it later
_PIECE, _MARGIN = 20.0, 0.05  # s, looked at together, and what is kept from before
_SLOW_FOR = 5  # spectra before, whose mean is taken away
_EDGES = (250.0, 750.0, 1750.0, 3250.0, 5750.0, 9750.0, 18750.0)  # Hz, of the bands
_BEFORE, _GUARD, _AFTER = 12, 2, 4  # spectra compared to find a sudden rise
_LITTLE = 0.05  # of the usual energy; less is as good as nothing
_ENOUGH = 8.0  # of that logarithm; more in one band counts little
_APART = 0.01  # s, in which only the most sudden sound counts
_CLEAR = 10.0  # the same of a sound that noise alone seldom makes
_RISE = 3.0  # least logarithm of the odds for a rise, all bands together
_DENSE = 20.0  # sudden sounds in a second at the most
_LEAD, _TAIL = 0.011, 0.004  # s, in which the onset is sought about the rise
_SOUNDS, _GUARDED = 0.006, 0.001  # s of an impact, and left out before it
_FINE = 24_000  # places in a second at which an onset is tried
_TOGETHER = 2048  # spectra, so that they fit in a processor's cache
_SURE = 3e-5  # s; no onset is known better
_LOOKED_AT = 12.0  # sounds of a second, the strongest, whose onset is sought further
_POOR = 4e-4  # s; an onset known worse is sought in other ways
_SMOOTH = (3e-4, 1e-3)  # s, over which the sound is averaged then
_SLOW = 1e-3  # s, the longest of them


@dataclass(frozen=True, slots=True)
class Impact:
    """A sudden sound.

    Attributes
    ----------
    time, u : float
        When it began, with its standard uncertainty, in s.
    strength : float
        Logarithm of the odds for a rise above what was there, all bands together.
    loudness : float
        Root mean square of its first milliseconds.
    quiet : float
        The same of the milliseconds before it.
    colour : tuple of float
        How its energy above what was there parts among the bands; sums to 1.
    """

    time: float
    u: float
    strength: float
    loudness: float
    quiet: float = 0.0
    colour: tuple[float, ...] = ()

    @property
    def clear(self) -> bool:
        """Whether a person would call it a sudden sound; noise alone makes few."""
        return self.strength > _CLEAR


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
    Short spectra part the sound into octaves; in each, the energy after a moment is
    compared with that before it, in units of the usual one of that piece, and the odds
    for a rise are added up [1]_: a thud of any pitch stands out, a steady tone or hum
    does not. The onset itself is where two variances, before and after, fit the samples
    best (Akaike's criterion [2]_), those of the sound's differences first, and where
    that is not sure those of the sound itself and of its averages; the spread of the
    criterion gives the uncertainty.

    References
    ----------
    .. [1] Likelihood ratio of two variances; common practice, no source.
    .. [2] N. Maeda, *Zisin* 38 (1985) 365, for onsets by Akaike's criterion, from
       memory.
    """
    found: list[Impact] = []
    outline: list[Numbers] = [np.zeros(0)]
    for piece in _pieces(blocks, rate):
        outline.append(_outline(piece.samples[piece.old :], rate))
        found += _in_piece(piece, rate)
        if progress is not None:
            progress((piece.start + piece.samples.size) / rate)
    return found, np.concatenate(outline)


@dataclass(frozen=True, slots=True)
class _Piece:
    """Samples that are looked at together."""

    samples: Numbers
    start: int  # of the recording
    old: int  # of the samples, looked at before
    last: bool


def _pieces(blocks: Iterable[Numbers], rate: int) -> Iterator[_Piece]:
    """Cut a recording in pieces that reach back a little."""
    size, margin = int(_PIECE * rate), int(_MARGIN * rate)
    kept = np.zeros(0, np.float32)
    start = old = 0
    waiting: list[Numbers] = []
    count = 0
    for block in blocks:
        waiting.append(np.asarray(block, np.float32))
        count += block.size
        if count < size:
            continue
        kept = np.concatenate([kept, *waiting])
        yield _Piece(kept, start, old, False)
        start += kept.size - 2 * margin
        kept, old = kept[-2 * margin :].copy(), 2 * margin
        waiting, count = [], 0
    if count or not start:
        yield _Piece(np.concatenate([kept, *waiting]), start, old, True)


def _outline(samples: Numbers, rate: int) -> Numbers:
    size = max(1, rate // 100)
    whole = samples.size // size * size
    if not whole:
        return np.abs(samples[:1]).astype(np.float64)
    made: Numbers = np.abs(samples[:whole]).reshape(-1, size).max(axis=1)
    return made.astype(np.float64)


def _in_piece(piece: _Piece, rate: int) -> list[Impact]:
    hop = max(1, round(rate * _WINDOW / 2))
    if piece.samples.size < _BEFORE * hop:
        return []
    samples = _without_offset(piece.samples, hop)
    energy, wide = _energies(samples, rate, hop)
    if energy.shape[1] < _BEFORE + _GUARD + _AFTER + 1:
        return []
    strength = _rises(energy, wide)
    peaks = _peaks(strength, max(1, round(_APART * rate / hop)))
    # The middle of spectrum f is the sample (f + 1) hop.
    first = _BEFORE + _GUARD
    middle = (peaks + first + 1) * hop
    margin = int(_MARGIN * rate)
    # The margin between two pieces is parted in its middle.
    keep = (middle >= (margin if piece.old else 0)) & (
        piece.last | (middle < samples.size - margin)
    )
    peaks, middle = peaks[keep], middle[keep]
    most = int(_DENSE * max(1.0, samples.size / rate))
    if peaks.size > most:
        keep = np.sort(np.argsort(-strength[peaks])[:most])
        peaks, middle = peaks[keep], middle[keep]
    if not peaks.size:
        return []
    weak = np.argsort(np.argsort(-strength[peaks])) > _LOOKED_AT * samples.size / rate
    at, u, loud, quiet = _onsets(samples, middle, rate, weak)
    colours = _colours(energy, peaks + first)
    return [
        Impact(
            float((piece.start + a) / rate),
            float(np.hypot(np.hypot(b, 0.4) / rate, _SURE)),
            float(strength[peak]),
            float(c),
            float(d),
            tuple(float(each) for each in colour),
        )
        for a, b, c, d, peak, colour in zip(
            at, u, loud, quiet, peaks, colours, strict=True
        )
    ]


def _energies(samples: Numbers, rate: int, hop: int) -> tuple[Numbers, Numbers]:
    """Give the energy of each band in each spectrum, and the widths of the bands."""
    size = 2 * hop
    f = np.fft.rfftfreq(size, 1 / rate)
    edges = np.unique(np.searchsorted(f, _EDGES))
    edges = edges[edges < f.size]
    wide = np.diff(edges, append=f.size if rate < 2 * _EDGES[-1] else edges[-1])
    wide = wide[wide > 0]
    made = np.zeros((max(0, 1 + (samples.size - size) // hop), wide.size), np.float32)
    if made.size:
        window = np.hanning(size + 1)[:-1].astype(np.float32)
        views = sliding_window_view(samples, size)[::hop]
        for k in range(0, made.shape[0], _TOGETHER):
            turned = np.fft.rfft(views[k : k + _TOGETHER] * window, axis=1)
            power = turned.real**2 + turned.imag**2
            made[k : k + _TOGETHER] = np.add.reduceat(power, edges, axis=1)[
                :, : wide.size
            ]
    return np.ascontiguousarray(made.T), wide


def _without_offset(samples: Numbers, hop: int) -> Numbers:
    """Take away the mean of what was just before, so that nothing rises too early."""
    count = -(-samples.size // hop)
    parts = np.pad(samples, (0, count * hop - samples.size)).reshape(count, hop)
    mean = parts.mean(axis=1)
    total = np.cumsum(np.pad(mean, (_SLOW_FOR + 2, 0), mode="edge"), dtype=np.float64)
    slow = ((total[_SLOW_FOR:] - total[:-_SLOW_FOR]) / _SLOW_FOR).astype(np.float32)
    earlier, later = slow[:count, None], slow[1 : count + 1, None]
    share = np.arange(hop, dtype=np.float32) / np.float32(hop)
    made: Numbers = (parts - (earlier + (later - earlier) * share)).ravel()
    return made[: samples.size]


def _rises(energy: Numbers, wide: Numbers) -> Numbers:
    """Give the odds for a rise, the first at spectrum _BEFORE + _GUARD."""
    usual = np.median(energy, axis=1, keepdims=True)
    loud = energy / np.maximum(usual, 1e-14)
    total = np.cumsum(np.pad(loud, ((0, 0), (1, 0))), axis=1, dtype=np.float64)
    at = np.arange(_BEFORE + _GUARD, energy.shape[1] - _AFTER + 1)
    late = (total[:, at + _AFTER] - total[:, at]) / _AFTER + _LITTLE
    early = (
        total[:, at - _GUARD] - total[:, at - _GUARD - _BEFORE]
    ) / _BEFORE + _LITTLE
    n_late, n_early = (wide * _AFTER / 2)[:, None], (wide * _BEFORE / 2)[:, None]
    pooled = (n_late * late + n_early * early) / (n_late + n_early)
    odds = (n_late + n_early) * np.log(pooled)
    odds -= n_early * np.log(early) + n_late * np.log(late)
    # No band alone counts for much: a whistle is sudden in one, an impact in many.
    rise = np.where(late > early, np.maximum(odds, 0.0), 0.0)
    made: Numbers = (_ENOUGH * np.log1p(rise / _ENOUGH)).sum(axis=0)
    return made


def _peaks(strength: Numbers, reach: int) -> Numbers:
    """Give where the strength is the largest within reach on both sides."""
    padded = np.pad(strength, reach, constant_values=-1.0)
    most = sliding_window_view(padded, 2 * reach + 1).max(axis=1)
    made: Numbers = np.flatnonzero((strength >= most) & (strength > _RISE))
    if made.size:
        made = made[np.diff(made, prepend=made[0] - reach - 1) > 1]
    return made


def _onsets(
    samples: Numbers, middle: Numbers, rate: int, weak: Numbers
) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    """Give sample, uncertainty in samples, loudness after and before each onset."""
    lead, after, guard = (int(each * rate) for each in (_LEAD, _SOUNDS, _GUARDED))
    size = lead + int(_TAIL * rate)
    slow = max(1, int(_SLOW * rate))
    # The sound about each rise, with what the slowest filter needs before it.
    padded = np.pad(samples, (lead + slow + after + guard, size + after))
    low = middle + after + guard  # of the padded samples, where a part begins
    parts = padded[low[:, None] + np.arange(size + slow)]
    at, spread = _change(np.diff(parts[:, slow - 1 :], axis=1), rate, 1)
    # Low thuds drown where high notes count more: look at them in other ways.
    for seconds in (1 / rate, *_SMOOTH):
        poor = np.flatnonzero((spread > _POOR * rate) & ~weak)
        if not poor.size:
            break
        length = max(1, int(seconds * rate))
        total = np.cumsum(parts[poor], axis=1, dtype=np.float64)
        mean = total[:, slow:] - total[:, slow - length : -length]
        found, sure = _change(mean, rate, length)
        better = sure < spread[poor]
        at[poor[better]], spread[poor[better]] = found[better], sure[better]
    begin = low + slow + at
    loud = padded[begin[:, None] + np.arange(after)]
    quiet = padded[begin[:, None] - guard + np.arange(-after, 0)]
    return (
        begin - lead - slow - after - guard,
        spread,
        np.sqrt((loud**2).mean(axis=1)),
        np.sqrt((quiet**2).mean(axis=1)),
    )


def _change(parts: Numbers, rate: int, smooth: int) -> tuple[Numbers, Numbers]:
    """Give where the variance of each row changes, and how sure that is."""
    n = parts.shape[1]
    squares = np.cumsum(parts**2, axis=1, dtype=np.float64)
    k = np.arange(int(0.15 * n), n - max(4, int(0.0004 * rate)), max(1, rate // _FINE))
    # Shares of the whole, in single precision: their logarithms are what takes time.
    share = squares[:, k - 1] / np.maximum(squares[:, -1:], 1e-14)
    head = np.maximum(share, 1e-9).astype(np.float32)
    rest = np.maximum(1 - share, 1e-9).astype(np.float32)
    before, after = k.astype(np.float32), (n - k).astype(np.float32)
    aic = before * np.log(head / before) + after * np.log(rest / after)
    least = aic.min(axis=1, keepdims=True)
    weight = np.exp((least - aic) * np.float32(0.5 / smooth))
    best = k[np.argmin(aic, axis=1)]
    away = (k - best[:, None]).astype(np.float32)
    spread = np.sqrt((weight * away**2).sum(axis=1) / weight.sum(axis=1))
    return best, spread.astype(np.float64)


def _colours(energy: Numbers, at: Numbers) -> Numbers:
    """Give how the energy above what was there parts among the bands."""
    steps = np.arange(8)
    inside = np.minimum(at[:, None] + steps, energy.shape[1] - 1)
    before = np.maximum(at[:, None] - _GUARD - 1 - steps, 0)
    more = energy[:, inside].mean(axis=2) - energy[:, before].mean(axis=2)
    more = np.maximum(more, 1e-12).T
    made: Numbers = more / more.sum(axis=1, keepdims=True)
    return made
