"""The demo recordings are what their maker makes, and small."""

import csv
import io
import wave

import numpy as np
import pytest

from bouncelab.places import kit_folder
from makers.demo_recordings import DEMOS, recording, table, train, wav_file

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
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < 300_000


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo.name)
def test_each_first_impact_is_loud_where_the_list_says(demo):
    times, speeds, e = train(demo)
    made = np.abs(recording(demo))
    first = round(times[0] * 11_025)
    assert made[first : first + 110].max() > 3 * made[first - 220 : first].max()
    assert np.all(np.diff(speeds) < 0)
    assert 0.5 < e < 0.95
