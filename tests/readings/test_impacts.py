"""Sudden sounds: where they begin, and which stand out."""

import numpy as np
import pytest

from bouncelab.readings.impacts import find_impacts

RATE = 44_100


def thud(pitch, fade=0.015):
    t = np.arange(int(0.1 * RATE)) / RATE
    return np.exp(-t / fade) * np.sin(2 * np.pi * pitch * t)


def laid(sound, places, loud=1.0, noise=0.01, seconds=4.0, seed=1):
    made = np.random.default_rng(seed).normal(0, noise, int(seconds * RATE))
    for place in places:
        first = round(place * RATE)
        made[first : first + sound.size] += loud * sound
    return made


def nearest(impacts, place):
    return min(impacts, key=lambda each: abs(each.time - place))


@pytest.mark.parametrize("pitch", [300, 800, 3000])
def test_a_thud_of_any_pitch_is_timed_in_noise(pitch):
    # The noise is white, so that a low thud is drowned where high notes count more.
    places = np.arange(0.5, 3.6, 0.31)
    impacts, _ = find_impacts([laid(thud(pitch), places, noise=0.1)], RATE)
    away = [abs(nearest(impacts, place).time - place) for place in places]

    assert np.median(away) < 4e-4


def test_what_is_sudden_in_one_band_stands_out_less_than_in_many():
    random = np.random.default_rng(2)
    click = random.normal(size=400) * np.exp(-np.arange(400) / 80)
    whistle = np.sin(2 * np.pi * 2500 * np.arange(RATE) / RATE)
    made = laid(click, [1.0], loud=0.1)
    blown = np.minimum(1.0, np.arange(RATE) / (0.005 * RATE))
    made[2 * RATE : 3 * RATE] += 0.5 * whistle * blown
    impacts, _ = find_impacts([made], RATE)

    assert nearest(impacts, 1.0).strength > nearest(impacts, 2.0).strength
    assert nearest(impacts, 1.0).clear


def test_an_onset_is_as_sure_as_it_is_found():
    places = np.arange(0.4, 3.7, 0.23)
    off = []
    for seed, noise in enumerate((0.003, 0.03, 0.1)):
        impacts, _ = find_impacts(
            [laid(thud(900), places, noise=noise, seed=seed)], RATE
        )
        found = [nearest(impacts, place) for place in places]
        off += [
            (each.time - place) / each.u
            for each, place in zip(found, places, strict=True)
        ]

    assert np.mean(np.abs(off) < 2) > 0.85


def test_colours_part_the_energy_of_a_thud_among_bands():
    impacts, _ = find_impacts([laid(thud(4500), [1.0])], RATE)
    colour = nearest(impacts, 1.0).colour

    assert sum(colour) == pytest.approx(1.0, abs=1e-3)
    assert int(np.argmax(colour)) == 3  # 3250 to 5750 Hz


@pytest.mark.parametrize("rate", [8000, 22_050, 48_000, 192_000])
def test_pieces_do_not_lose_or_double_an_impact(rate):
    random = np.random.default_rng(5)
    made = random.normal(0, 1e-3, 45 * rate)
    places = np.array([19.98, 20.02, 20.05, 39.95, 40.0, 41.0])
    burst = np.exp(-np.arange(rate // 100) / (0.002 * rate))
    for place in places:
        first = round(place * rate)
        made[first : first + burst.size] += random.normal(size=burst.size) * burst
    impacts, outline = find_impacts(np.array_split(made, 31), rate)
    clear = np.array([each.time for each in impacts if each.clear])

    assert clear == pytest.approx(places, abs=1e-3)
    assert outline.size == pytest.approx(4500, abs=35)
