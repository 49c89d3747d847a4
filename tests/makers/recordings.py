"""Invented recordings of bouncing balls, with the truth of what is in them.

The sounds are made of parts that the detector knows nothing of: impacts are noise
bursts and decaying modes of random pitch, or pieces of real sound that are handed in;
`rooms` has the echo, `noises` what else is heard, `phones` what a phone does to it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from makers.noises import SUDDEN, lay, noise_of, steps
from makers.phones import automatic_gain, clipped, lag, packed, two_microphones
from makers.rooms import Room, in_room

__all__ = ["Made", "Style", "make_recording", "without_ball"]


@dataclass(frozen=True)
class Style:
    """How a recording is made."""

    rate: int = 44100
    snr: float = 30.0  # dB, first impact's first 20 ms against the noise
    noise: str = "white"  # white, rosy, speech
    room: float = 0.3  # s, in which a plain echo fades by 60 dB; 0 for none
    place: Room | None = None  # a room of a size in place of the plain echo
    ball: bool = True
    drag: float = 0.0  # 1/m, by which air slows the ball
    contact: float = 0.0  # s on the floor, each time
    material: np.ndarray | None = field(default=None, compare=False)  # of each impact
    second: bool = False  # another ball at the same time
    steps: bool = False
    also: str = ""  # clap, scrape or whistle, a few times
    clip: float = 0.0  # share of the peak that is cut off
    gain: bool = False  # automatic gain
    stereo: bool = False  # two microphones, mixed to one as the kit mixes them
    packing: str = ""  # aac or mp3
    bits: int = 64_000  # a second, if packed
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
    others: tuple[tuple[np.ndarray, np.ndarray], ...] = ()  # times and e, other balls

    def e_at(self, when: float) -> float:
        """The true e of the impact that is nearest to a time."""
        return _at(self.times, self.ratios, when)

    def balls(self) -> list[tuple[np.ndarray, np.ndarray]]:
        """Times and e of each impact, for each ball."""
        mine = [(self.times, self.ratios)] if self.times.size else []
        return [*mine, *self.others]


def _at(times, ratios, when):
    if not times.size:
        return float("nan")
    place = int(np.argmin(np.abs(times - when)))
    return float(ratios[min(place, len(ratios) - 1)])


def train(rng, height, e1, slope, g=9.81, drag=0.0, contact=0.0):
    """Impact times and speeds of a ball whose e falls with speed, and each e."""
    times, ratios = [np.sqrt(2 * height / g)], []
    speeds = [_landing(height, g, drag)]
    reference = None
    while True:
        v = speeds[-1]
        reference = reference or e1 * v  # speed at the second impact, nearly
        e = min(e1 - slope * (v / reference - 1), 0.97)
        flight, landing = _flight(e * v, g, drag)
        if flight < 0.06 or len(times) > 25:
            return np.array(times), np.array(speeds), np.array(ratios)
        times.append(times[-1] + contact + flight)
        speeds.append(landing)
        ratios.append(e)


def _landing(height, g, drag):
    if not drag:
        return np.sqrt(2 * g * height)
    return np.sqrt(g / drag * -np.expm1(-2 * drag * height))


def _flight(speed, g, drag):
    """Time and landing speed of a flight up and down, drag as the speed squared."""
    if not drag:
        return 2 * speed / g, speed
    top = np.log1p(drag * speed**2 / g) / (2 * drag)
    scale = np.sqrt(g * drag)
    up, down = np.arctan(speed * np.sqrt(drag / g)), np.arccosh(np.exp(drag * top))
    return (up + down) / scale, _landing(top, g, drag)


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


def echoed(rng, dry, rate, seconds):
    """A plain echo that does not care how far the phone lies; it can drown the ball."""
    if seconds <= 0:
        return dry
    t = np.arange(int(seconds * rate)) / rate
    tail = rng.normal(size=t.size) * 10 ** (-3 * t / seconds) * 0.05
    tail[: int(0.004 * rate)] = 0.0
    n = dry.size + tail.size
    wet = np.fft.irfft(np.fft.rfft(dry, n) * np.fft.rfft(tail, n), n)[: dry.size]
    return dry + wet


def make_recording(rng: np.random.Generator, style: Style = Style()) -> Made:
    """Make one recording; the same generator state gives the same."""
    rate = style.rate
    height, e1 = rng.uniform(0.4, 2.0), rng.uniform(0.55, 0.9)
    slope = rng.uniform(0.0, 0.06)
    times, speeds, ratios = train(
        rng, height, e1, slope, drag=style.drag, contact=style.contact
    )
    times = times + (style.lead - times[0] + rng.uniform(0, 0.5))
    size = int((times[-1] + style.tail + 0.3) * rate)
    dry = np.zeros(size)
    voice = a_voice(rng)
    loud = (speeds / speeds[0]) ** rng.uniform(1.0, 1.4)
    if style.ball:
        for when, amplitude in zip(times, loud, strict=True):
            one = style.material
            one = thud(rng, rate, voice) if one is None else one
            lay(dry, int(np.ceil(when * rate)), one, amplitude)
    others = ()
    if style.second:
        others = (_second(rng, dry, rate, times[0]),)
    if style.steps:
        low = (np.array([70.0, 130.0]), np.array([0.04, 0.03]), np.ones(2), 0.15)
        for when in steps(rng, size / rate):
            lay(dry, max(0, int(when * rate)), thud(rng, rate, low), 0.25)
    start = int(times[0] * rate)
    level = np.sqrt(np.mean(dry[start : start + int(0.02 * rate)] ** 2)) or 1.0
    if style.also:
        for _ in range(rng.integers(2, 5)):
            sudden = SUDDEN[style.also](rng, rate)
            lay(dry, int(rng.uniform(0, size)), sudden, level * rng.uniform(0.3, 2.0))
    if style.place is None:
        sound = echoed(rng, dry, rate, style.room)
    else:
        sound = in_room(rng, dry, rate, style.place)
    loudness = level * 10 ** (-style.snr / 20)
    sound = sound + noise_of(rng, style.noise, size, rate) * loudness
    sound, late = _by_phone(rng, sound, style)
    samples = (0.7 * sound / np.abs(sound).max()).astype(np.float32)
    if not style.ball:
        none = np.zeros(0)
        return Made(samples, rate, none, np.nan, height, none, _later(others, late))
    e_two = float(ratios[1]) if len(ratios) > 1 else np.nan
    return Made(
        samples, rate, times + late, e_two, height, ratios, _later(others, late)
    )


def _second(rng, dry, rate, first):
    other, v, ratios = train(rng, rng.uniform(0.4, 2.0), rng.uniform(0.55, 0.9), 0.02)
    other = other - other[0] + first + rng.uniform(-0.4, 0.8)
    voice, quiet = a_voice(rng), rng.uniform(0.2, 0.5)
    for when, speed in zip(other, v, strict=True):
        if when > 0:
            lay(dry, int(when * rate), thud(rng, rate, voice), quiet * speed / v[0])
    return other, ratios


def _by_phone(rng, sound, style):
    """Give what is read from the phone's file, and by how much it is late."""
    if style.gain:
        sound = automatic_gain(rng, sound, style.rate)
    if style.clip:
        sound = clipped(sound, style.clip)
    if style.stereo:
        sound = two_microphones(rng, sound, style.rate).mean(axis=1)
    if not style.packing:
        return sound, 0.0
    made = packed(
        0.7 * sound / np.abs(sound).max(), style.rate, style.packing, style.bits
    )
    return made, lag(sound, made, style.rate)


def _later(others, late):
    return tuple((times + late, ratios) for times, ratios in others)


def without_ball(style: Style) -> Style:
    """The same surroundings, and nobody drops a ball."""
    return replace(style, ball=False)
