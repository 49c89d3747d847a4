"""The demo recordings are what their maker makes, and small."""

import csv
import io
import wave

import numpy as np
import pytest

from bouncelab.places import kit_folder
from bouncelab.readings.sound import listen
from makers.demo_recordings import DEMOS, RATE, recording, table, train, wav_file

FOLDER = kit_folder("data") / "recordings"


def samples(data):
    with wave.open(io.BytesIO(data)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2")


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo.name)
def test_a_recording_is_the_one_that_its_maker_makes(demo):
    stored = samples((FOLDER / f"{demo.name}.wav").read_bytes()).astype(int)
    # Rounding may differ by one step from one numpy to the next.
    assert np.abs(stored - samples(wav_file(demo))).max() <= 1


def test_the_list_says_what_is_true_and_that_it_is_invented():
    text = (FOLDER / "recordings.csv").read_text(encoding="utf-8")
    assert text == table()
    assert text.startswith("# Invented")
    rows = list(csv.DictReader(text.splitlines()[1:]))
    assert [row["file"] for row in rows] == [f"{demo.name}.wav" for demo in DEMOS]


def test_all_recordings_together_are_small():
    sizes = [path.stat().st_size for path in FOLDER.iterdir()]
    assert max(sizes) < 150_000
    assert sum(sizes) < 500_000


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo.name)
def test_each_first_impact_is_loud_where_the_list_says(demo):
    times, speeds, e = train(demo)
    made = np.abs(recording(demo))
    first = round(times[0] * RATE)
    assert made[first : first + 160].max() > 3 * made[first - 320 : first].max()
    assert np.all(np.diff(speeds) < 0)
    assert 0.5 < e < 0.95


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo.name)
def test_the_kit_hears_in_each_what_is_true(demo):
    times, _, e = train(demo)
    known = None if demo.ball == "bouncy ball" else demo.ball

    (drop,) = listen(FOLDER / f"{demo.name}.wav", ball=known).drops

    assert len(drop.impacts) >= (5 if demo.name == "noisy_gym" else 6)
    assert max(np.abs(times - each).min() for each in drop.impacts) < 3e-4
    assert abs(drop.restitution - e) < max(0.002, 2 * drop.restitution_u)
    assert drop.drop_height == pytest.approx(demo.drop_height, abs=0.05)


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo.name)
def test_bounces_grow_softer_and_a_room_answers(demo):
    times, _, _ = train(demo)
    made = recording(demo)
    calm = np.sqrt(np.mean(made[: round(0.3 * RATE)] ** 2))
    loud, later = [], []
    for time in times[:3]:
        at = round(time * RATE)
        loud.append(np.sqrt(np.mean(made[at : at + 320] ** 2)))
        later.append(np.sqrt(np.mean(made[at + 960 : at + 1600] ** 2)))

    assert np.all(np.diff(loud) < 0)
    assert loud[0] > 5 * calm
    assert calm < later[0] < loud[0]  # an echo that has not died yet
