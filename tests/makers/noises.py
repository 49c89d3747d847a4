"""Sounds of a gym that no ball makes: noise, steps, claps, chairs, whistles, music."""

from __future__ import annotations

import numpy as np

__all__ = ["SUDDEN", "chords", "drums", "noise_of", "steps"]


def noise_of(rng, kind, size, rate):
    """White, rosy, or swelling like speech; root mean square 1."""
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


def steps(rng, seconds):
    """When somebody who walks sets down a foot."""
    for when in np.arange(rng.uniform(0, 0.5), seconds, rng.uniform(0.5, 0.7)):
        yield when + rng.normal(0, 0.03)


def clap(rng, rate):
    """Hands: a dull burst as long as the air between them rings."""
    t = np.arange(int(0.06 * rate)) / rate
    noise = rng.normal(size=t.size) * np.exp(-t / rng.uniform(0.004, 0.01))
    pitch = min(rng.uniform(700, 2500), 0.4 * rate)
    return noise * (0.4 + np.sin(2 * np.pi * pitch * t)) * np.minimum(t / 5e-4, 1)


def scrape(rng, rate):
    """A chair: it sticks and slips some hundred times a second and rings."""
    size = int(rng.uniform(0.25, 0.9) * rate)
    t = np.arange(size) / rate
    slips, at = np.zeros(size), 0.0
    usual = 1 / rng.uniform(90, 350)
    while at < size / rate:
        slips[int(at * rate)] = rng.gamma(2.0)
        at += usual * rng.gamma(20.0, 1 / 20)
    ring = np.zeros(int(0.02 * rate))
    for _ in range(4):
        pitch = rng.uniform(300, min(4000, 0.4 * rate))
        tail = t[: ring.size]
        ring += np.exp(-tail / rng.uniform(1e-3, 6e-3)) * np.sin(
            2 * np.pi * pitch * tail
        )
    swell = np.sin(np.pi * np.linspace(0, 1, size)) ** rng.uniform(0.3, 1.5)
    made = np.convolve(slips, ring)[:size] * swell
    return made / np.abs(made).max()


def whistle(rng, rate):
    """A referee's, whose pea makes it tremble."""
    t = np.arange(int(rng.uniform(0.2, 0.8) * rate)) / rate
    pitch = min(rng.uniform(2200, 3800), 0.35 * rate)
    tremble = 1 + 0.5 * np.sin(2 * np.pi * rng.uniform(25, 45) * t)
    shape = np.minimum(t / 0.008, 1) * np.minimum((t[-1] - t) / 0.03, 1)
    return 0.7 * shape * tremble * np.sin(2 * np.pi * pitch * t)


SUDDEN = {"clap": clap, "scrape": scrape, "whistle": whistle}


def chords(rng, rate, seconds, beat=0.5):
    """Struck strings, four at a time, on every beat and some between."""
    made = np.zeros(int(seconds * rate))
    for when in np.arange(0.1, seconds - 0.1, beat / 2):
        if rng.random() < 0.3:
            continue
        root, t = (
            110 * 2 ** (rng.integers(0, 12) / 12),
            np.arange(int(0.6 * rate)) / rate,
        )
        for part in (1, 1.26, 1.5, 2):
            for k in (1, 2, 3, 4):
                tone = np.sin(2 * np.pi * root * part * k * t) * np.exp(-t * k / 0.25)
                lay(made, int(when * rate), tone / k * np.minimum(t / 0.003, 1), 0.1)
    return made


def drums(rng, rate, seconds, beat=0.5):
    """A loop of a bass drum, a snare and eighths on a cymbal."""
    made, t = np.zeros(int(seconds * rate)), np.arange(int(0.2 * rate)) / rate
    for k, when in enumerate(np.arange(0.1, seconds - 0.1, beat / 2)):
        at = int((when + rng.normal(0, 0.004)) * rate)
        hiss = np.diff(rng.normal(size=t.size + 1)) * np.exp(-t / 0.02)
        lay(made, at, hiss, 0.1)
        if k % 4 == 0:
            low = np.sin(2 * np.pi * (50 * t + 3 * (1 - np.exp(-t / 0.02))))
            lay(made, at, low * np.exp(-t / 0.06), 0.8)
        if k % 4 == 2:
            lay(made, at, rng.normal(size=t.size) * np.exp(-t / 0.04), 0.3)
    return made


def lay(target, start, sound, amplitude):
    """Add a sound where it begins, as far as there is room."""
    end = min(target.size, start + sound.size)
    if 0 <= start < end:
        target[start:end] += amplitude * sound[: end - start]
