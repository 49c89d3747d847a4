"""Makes the four invented recordings of bouncing balls in `data/recordings`.

Nobody recorded them: impact times follow from `bounce_train`, with drag and contact
time; each impact is a thump as long as the contact and a few notes that die away.
Run ``python tests/makers/demo_recordings.py`` from the top of the project to write
them again. They are WAV files, which every browser's Python reads.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bouncelab.physics.bounces import bounce_train
from bouncelab.physics.fall import drag_constant

__all__ = ["DEMOS", "Demo", "recording", "table", "wav_file"]

RATE = 16_000  # Hz
LEAST_FLIGHT = 0.06  # s; later impacts run into each other
RUMBLE = 60.0  # Hz; a phone's microphone hears nothing below
EARLY = ((0.0071, 0.30), (0.0133, 0.22), (0.0214, 0.15), (0.0327, 0.11))  # s, share


@dataclass(frozen=True)
class Demo:
    """A ball, how it bounces, and where."""

    name: str
    ball: str
    mass: float  # kg
    diameter: float  # m
    drop_height: float  # m
    e: float  # at 4 m/s
    slope: float  # fall of e from 4 m/s to 8 m/s
    contact: float  # s
    notes: tuple[tuple[float, float, float], ...]  # Hz, s to fade, share
    seconds: float
    noise: float  # of the first impact's loudness
    room: float = 0.25  # s, to fade by 60 dB
    crowd: int = 0  # voices
    seed: int = 0


# The futsal balls and the basketball bounce as the class of Larkfield School found.
DEMOS = (
    Demo(
        "futsal_ball", "futsal ball", 0.420, 0.2005, 2.0, 0.5884, 0.03, 0.0095,
        ((210, 0.016, 1.0), (455, 0.010, 0.6), (1130, 0.006, 0.3)), 3.0, 0.004,
        room=0.4, seed=1,
    ),
    Demo(
        "basketball", "basketball", 0.605, 0.2435, 1.8, 0.794, 0.02, 0.013,
        ((165, 0.020, 1.0), (690, 0.028, 0.5), (1480, 0.012, 0.3)), 4.3, 0.006,
        room=0.7, seed=2,
    ),
    Demo(
        "bouncy_ball", "bouncy ball", 0.018, 0.030, 0.6, 0.85, 0.04, 0.0012,
        ((940, 0.008, 0.7), (2350, 0.005, 1.0), (3900, 0.003, 0.6)), 3.3, 0.008, seed=3,
    ),
    Demo(
        "noisy_gym", "futsal ball", 0.420, 0.2005, 2.0, 0.6108, 0.03, 0.0095,
        ((225, 0.015, 1.0), (480, 0.011, 0.6), (1210, 0.006, 0.4)), 3.4, 0.05,
        room=1.2, crowd=6, seed=4,
    ),
)  # fmt: skip


def train(demo: Demo):
    """Impacts of the demo's ball that can be told apart, and its e at the second."""
    air = drag_constant(
        mass=demo.mass, diameter=demo.diameter, drag_coefficient=0.47, air_density=1.2
    )
    whole = bounce_train(
        drop_height=demo.drop_height,
        restitution=lambda speed: demo.e - demo.slope * (speed / 4.0 - 1.0),
        bounces=40,
        drag_constant=air,
        contact_time=demo.contact,
    )
    shift = 0.35 - whole.impact_times[0]
    times = whole.impact_times + shift
    apart = np.insert(np.diff(times) > LEAST_FLIGHT, 0, True)
    keep = np.cumprod(apart).astype(bool) & (times < demo.seconds - 0.1)
    return times[keep], whole.impact_speeds[keep], float(whole.restitutions[1])


def strike(rng: np.random.Generator, demo: Demo, start: float, hard: float):
    """One impact that begins a fraction of a sample late; a hard one is brighter."""
    t = np.arange(round(0.2 * RATE)) / RATE - start
    on = t >= 0
    t = np.where(on, t, 0.0)
    # The floor is pressed and let go: a push and its pull, without a lasting part.
    thump = np.sin(2 * np.pi * t / demo.contact) * (t < demo.contact)
    slap = rng.normal(size=t.size) * np.exp(-t / 0.0015)
    made = 0.5 * thump + 0.5 * slap
    for order, (pitch, fade, share) in enumerate(demo.notes):
        loud = share * hard ** (0.4 * order) * rng.uniform(0.85, 1.15)
        made += loud * np.exp(-t / fade) * np.sin(2 * np.pi * pitch * t)
    return made * on


def shaped(noise: np.ndarray, gain) -> np.ndarray:
    """Noise whose spectrum is multiplied by a function of the frequency."""
    spectrum = np.fft.rfft(noise) * gain(np.fft.rfftfreq(noise.size, 1 / RATE))
    return np.fft.irfft(spectrum, noise.size)


def echoes(rng: np.random.Generator, seconds: float) -> np.ndarray:
    """What a room makes of one click: a few walls, then a tail whose highs go first."""
    t = np.arange(round(seconds * RATE)) / RATE
    low = shaped(rng.normal(size=t.size), lambda f: f < 1200)
    high = shaped(rng.normal(size=t.size), lambda f: f >= 1200)
    fading = 10 ** (-3 * t / seconds)
    tail = 0.03 * fading * (low + high * fading)
    tail *= t > 0.02
    for delay, share in EARLY:
        tail[round(delay * RATE)] += share
    return tail


def echoed(dry: np.ndarray, room: np.ndarray) -> np.ndarray:
    """A sound with what the room adds to it."""
    n = dry.size + room.size
    return dry + np.fft.irfft(np.fft.rfft(dry, n) * np.fft.rfft(room, n), n)[: dry.size]


def voice(rng: np.random.Generator, size: int) -> np.ndarray:
    """Somebody who talks far away: a gliding note with overtones, in syllables."""
    t = np.arange(size) / RATE
    count = int(size / RATE * 5) + 2
    knots = np.linspace(0, size / RATE, count)
    pitch = np.interp(t, knots, rng.uniform(110, 240) * rng.uniform(0.85, 1.2, count))
    loud = np.interp(t, knots, rng.gamma(0.8, 1.0, count))
    turn = 2 * np.pi * np.cumsum(pitch) / RATE
    vowels = rng.uniform(350, 2600, 2)
    made = np.zeros(size)
    for order in range(1, 20):
        near = np.exp(-(((pitch[:, None] * order - vowels) / 220) ** 2)).sum(axis=1)
        made += (0.05 + near) * np.sin(order * turn + rng.uniform(0, 6.28))
    hiss = 0.25 * shaped(rng.normal(size=size), lambda f: (f > 2500) & (f < 6000))
    return loud * (made / made.std() + hiss)


def recording(demo: Demo) -> np.ndarray:
    """Samples from −1 to 1."""
    rng = np.random.default_rng(demo.seed)
    times, speeds, _ = train(demo)
    size = round(demo.seconds * RATE)
    made = np.zeros(size + RATE)
    for time, speed in zip(times, speeds, strict=True):
        first = int(np.ceil(time * RATE))
        hard = speed / speeds[0]
        one = strike(rng, demo, time - first / RATE, hard)
        made[first : first + one.size] += hard**1.2 * one
    made = echoed(made, echoes(rng, demo.room))[:size]
    # A fan, and the building: louder the lower.
    still = shaped(rng.normal(size=size), lambda f: np.maximum(f, 40.0) ** -0.5)
    still /= still.std()
    if demo.crowd:
        talk = sum(voice(rng, size) for _ in range(demo.crowd))
        talk = echoed(talk, echoes(rng, demo.room))
        still = 0.5 * still + talk / talk.std()
    made = made + demo.noise * still
    made = shaped(made, lambda f: (1j * f / (1j * f + RUMBLE)) ** 2)  # never early
    return 0.8 * made / np.abs(made).max()


def wav_file(demo: Demo) -> bytes:
    """The bytes of a mono WAV file with 16 bits a sample."""
    import wave

    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(np.round(32767 * recording(demo)).astype("<i2").tobytes())
    return out.getvalue()


def table() -> str:
    """What is true of the recordings, as CSV."""
    out = io.StringIO()
    out.write("# Invented: these recordings were computed; no ball was dropped.\n")
    lines = csv.writer(out, lineterminator="\n")
    lines.writerow(
        ["file", "ball", "drop height (m)", "e at the second impact", "impacts (s)"]
    )
    for demo in DEMOS:
        times, _, e = train(demo)
        told = " ".join(f"{time:.5f}" for time in times)
        lines.writerow(
            [f"{demo.name}.wav", demo.ball, demo.drop_height, f"{e:.4f}", told]
        )
    return out.getvalue()


def main() -> None:
    """Write the files."""
    folder = Path("data/recordings")
    folder.mkdir(exist_ok=True)
    for demo in DEMOS:
        (folder / f"{demo.name}.wav").write_bytes(wav_file(demo))
    (folder / "recordings.csv").write_text(table(), encoding="utf-8")


if __name__ == "__main__":
    main()
