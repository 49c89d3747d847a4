"""What a phone does to sound before it is saved: gain, clipping, packing."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from bouncelab.readings.recordings import open_recording

__all__ = ["automatic_gain", "clipped", "lag", "packed", "two_microphones"]

ENDINGS = {"aac": ("aac", "m4a", "fltp"), "mp3": ("libmp3lame", "mp3", "fltp")}


def automatic_gain(rng, sound, rate):
    """Turned down fast where it is loud, up again slowly, and never ahead of time."""
    step = rate // 1000
    whole = -(-sound.size // step)
    level = np.pad(np.abs(sound), (0, whole * step - sound.size))
    level = level.reshape(whole, step).max(axis=1)
    down = np.exp(-1 / rng.uniform(3, 15))  # ms
    up = np.exp(-1 / rng.uniform(150, 800))
    usual, follow = 0.1 * level.max(), np.empty(whole)
    now = usual
    for k, each in enumerate(level):
        keep = down if each > now else up
        now = keep * now + (1 - keep) * each
        follow[k] = now
    gain = np.repeat(1 / np.maximum(follow, usual), step)
    late = np.concatenate([np.full(step, gain[0]), gain])  # it is set after the fact
    return sound * late[: sound.size]


def clipped(sound, share):
    """Cut off above a share of the peak."""
    most = np.abs(sound).max() * (1 - share)
    return np.clip(sound, -most, most)


def two_microphones(rng, sound, rate):
    """Two channels, one a few centimetres farther from the ball."""
    late = int(rng.uniform(0.0, 0.0004) * rate)
    other = np.concatenate([np.zeros(late), sound])[: sound.size]
    return np.column_stack([sound, rng.uniform(0.5, 1.0) * other])


def packed(sound, rate, kind, bits):
    """Saved as AAC or MP3 and read again as the kit reads it."""
    import av

    codec, ending, form = ENDINGS[kind]
    with tempfile.TemporaryDirectory() as place:
        path = Path(place, f"drop.{ending}")
        with av.open(str(path), "w") as container:
            stream = container.add_stream(codec, rate=rate, layout="mono")
            stream.bit_rate = bits
            frame = av.AudioFrame.from_ndarray(
                sound.astype(np.float32)[None], format=form, layout="mono"
            )
            frame.sample_rate = rate
            for packet in (*stream.encode(frame), *stream.encode(None)):
                container.mux(packet)
        with open_recording(path) as recording:
            return np.concatenate(list(recording.blocks))


def lag(before, after, rate, most=0.1):
    """By how many seconds the second sound is later than the first."""
    size = 2 ** int(np.ceil(np.log2(before.size + after.size)))
    product = np.fft.rfft(after, size) * np.conj(np.fft.rfft(before, size))
    match = np.fft.irfft(product, size)
    reach = int(most * rate)
    places = np.concatenate([np.arange(reach), np.arange(-reach, 0)])
    return float(places[np.argmax(match[places])] / rate)
