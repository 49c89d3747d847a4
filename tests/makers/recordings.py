"""Invented recordings of bouncing balls, with the truth of what is in them.

The sounds are made of parts that the detector knows nothing of: impacts are noise
bursts and decaying modes of random pitch, rooms are exponentially fading echoes, noise
is white, rosy, or swells like speech, footsteps are low thuds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

__all__ = ["Made", "Style", "make_recording"]


@dataclass(frozen=True)
class Style:
    """How a recording is made."""

    rate: int = 44100
    snr: float = 30.0  # dB, first impact's first 20 ms against the noise
    noise: str = "white"  # white, rosy, speech
    room: float = 0.3  # s, in which an echo fades by 60 dB; 0 for none
    ball: bool = True
    second: bool = False  # another ball at the same time
    steps: bool = False
    clip: float = 0.0  # share of the peak that is cut off
    gain: bool = False  # automatic gain
    lead: float = 0.8  # s before the first impact
    tail: float = 0.6


@dataclass(frozen=True)
class Made:
    """Samples, and what is true of them."""

    samples: np.ndarray
    rate: int
    times: np.ndarray
    e: float  # at the second impact
    height: float
    ratios: np.ndarray  # e of each impact

    def e_at(self, when: float) -> float:
        """The true e of the impact that is nearest to a time."""
        place = int(np.argmin(np.abs(self.times - when)))
        return float(self.ratios[min(place, len(self.ratios) - 1)])


def train(rng, height, e1, slope, g=9.81):
    """Impact times and speeds of a ball whose e falls with speed, without air."""
    times, speeds = [np.sqrt(2 * height / g)], [np.sqrt(2 * g * height)]
    reference = None
    while True:
        v = speeds[-1]
        reference = reference or e1 * v  # speed at the second impact, nearly
        e = min(e1 - slope * (v / reference - 1), 0.97)
        after = e * v
        flight = 2 * after / g
        if flight < 0.06 or len(times) > 25:
            return np.array(times), np.array(speeds)
        times.append(times[-1] + flight)
        speeds.append(after)


def thud(rng, rate, voice):
    """One impact: a short burst of noise and some modes that die away."""
    t = np.arange(int(0.12 * rate)) / rate
    pitch, fade, share, burst = voice
    made = burst * rng.normal(size=t.size) * np.exp(-t / 0.0025)
    for f, d, a in zip(pitch, fade, share, strict=True):
        if f < 0.45 * rate:
            made += a * np.exp(-t / d) * np.sin(2 * np.pi * f * t + rng.uniform(0, 0.5))
    return made


def a_voice(rng):
    count = rng.integers(2, 6)
    return (
        np.exp(rng.uniform(np.log(180), np.log(6000), count)),
        np.exp(rng.uniform(np.log(0.004), np.log(0.03), count)),
        rng.uniform(0.3, 1.0, count),
        rng.uniform(0.2, 1.0),
    )


def noise_of(rng, kind, size, rate):
    made = rng.normal(size=size)
    if kind in ("rosy", "speech"):
        spectrum = np.fft.rfft(made)
        f = np.fft.rfftfreq(size, 1 / rate)
        made = np.fft.irfft(spectrum / np.sqrt(np.maximum(f, 30.0)), size)
    if kind == "speech":  # syllables: swells of a tenth of a second
        knots = max(4, int(size / rate * 8))
        swell = np.interp(
            np.linspace(0, knots - 1, size),
            np.arange(knots),
            rng.gamma(0.7, 1.0, knots),
        )
        made = made * (0.1 + swell)
    return made / np.sqrt(np.mean(made**2))


def echoed(rng, dry, rate, seconds):
    if seconds <= 0:
        return dry
    t = np.arange(int(seconds * rate)) / rate
    tail = rng.normal(size=t.size) * 10 ** (-3 * t / seconds) * 0.05
    tail[: int(0.004 * rate)] = 0.0
    n = dry.size + tail.size
    wet = np.fft.irfft(np.fft.rfft(dry, n) * np.fft.rfft(tail, n), n)[: dry.size]
    return dry + wet


def lay(target, start, sound, amplitude):
    end = min(target.size, start + sound.size)
    if start < end:
        target[start:end] += amplitude * sound[: end - start]


def make_recording(rng: np.random.Generator, style: Style = Style()) -> Made:
    """Make one recording; the same generator state gives the same."""
    rate = style.rate
    height, e1 = rng.uniform(0.4, 2.0), rng.uniform(0.55, 0.9)
    slope = rng.uniform(0.0, 0.06)
    times, speeds = train(rng, height, e1, slope)
    shift = style.lead - times[0] + rng.uniform(0, 0.5)
    times = times + shift
    size = int((times[-1] + style.tail + 0.3) * rate)
    dry = np.zeros(size)
    voice = a_voice(rng)
    loud = (speeds / speeds[0]) ** rng.uniform(1.0, 1.4)
    if style.ball:
        for when, amplitude in zip(times, loud, strict=True):
            exact = when * rate
            lay(dry, int(np.ceil(exact)), thud(rng, rate, voice), amplitude)
    if style.second:
        other, v = train(rng, rng.uniform(0.4, 2.0), rng.uniform(0.55, 0.9), 0.02)
        other = other - other[0] + times[0] + rng.uniform(-0.4, 0.8)
        voice2, quiet = a_voice(rng), rng.uniform(0.2, 0.5)
        for when, speed in zip(other, v, strict=True):
            if when > 0:
                lay(
                    dry, int(when * rate), thud(rng, rate, voice2), quiet * speed / v[0]
                )
    if style.steps:
        for when in np.arange(rng.uniform(0, 0.5), size / rate, rng.uniform(0.5, 0.7)):
            low = (np.array([70.0, 130.0]), np.array([0.04, 0.03]), np.ones(2), 0.15)
            at = when + rng.normal(0, 0.03)
            lay(dry, max(0, int(at * rate)), thud(rng, rate, low), 0.25)
    sound = echoed(rng, dry, rate, style.room)
    start = int(times[0] * rate)
    level = np.sqrt(np.mean(dry[start : start + int(0.02 * rate)] ** 2))
    level = level if level > 0 else 1.0
    sound = sound + noise_of(rng, style.noise, size, rate) * level * 10 ** (
        -style.snr / 20
    )
    if style.gain:
        slow = np.sqrt(np.convolve(sound**2, np.ones(rate // 5) / (rate // 5), "same"))
        sound = sound / (slow + 0.1 * slow.max())
    peak = np.abs(sound).max()
    if style.clip:
        sound = np.clip(sound, -peak * (1 - style.clip), peak * (1 - style.clip))
        peak = np.abs(sound).max()
    e_two = speeds[2] / speeds[1] if len(speeds) > 2 else np.nan
    samples = (0.7 * sound / peak).astype(np.float32)
    ratios = speeds[1:] / speeds[:-1]
    return Made(samples, rate, times, float(e_two), height, ratios)


def without_ball(style: Style) -> Style:
    """The same surroundings, and nobody drops a ball."""
    return replace(style, ball=False)
