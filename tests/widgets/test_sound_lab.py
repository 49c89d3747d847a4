"""The sound lab without a browser: what a page sends, and what it is told."""

import io
import re
import wave

import numpy as np
import pytest

from bouncelab.places import kit_folder
from bouncelab.readings.files import read_drops
from bouncelab.readings.hand_in import hand_in
from bouncelab.widgets.sound_lab import SoundLab

CLASS = kit_folder("data") / "larkfield_class.csv"
FUTSAL = "invented/futsal_ball.wav"
DEMO = kit_folder("data") / "recordings" / "basketball.wav"
RATE = 8000


@pytest.fixture
def lab(tmp_path):
    lab = SoundLab(folder=tmp_path)
    lab.take({"do": "choose", "name": FUTSAL})
    return lab


def wav(samples, rate=RATE):
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(np.round(32767 * np.asarray(samples)).astype("<i2").tobytes())
    return out.getvalue()


def clicks(times, seconds):
    rng = np.random.default_rng(0)
    made = rng.normal(size=int(seconds * RATE)) * 1e-4
    for time in times:
        at = int(time * RATE)
        made[at : at + 80] += 0.5 * np.exp(-np.arange(80) / 12) * rng.normal(size=80)
    return np.clip(made, -1, 1)


def state(lab):
    return lab.desk.state


def marks(lab):
    return [each for each in state(lab)["marks"] if each["counts"]]


def test_a_recording_of_the_kit_says_the_e_that_it_was_made_with(lab):
    assert state(lab)["said"] == [f"{FUTSAL}, 3.0 s. One drop was heard."]
    assert lab.bench.drop.restitution == pytest.approx(0.5924, abs=0.002)
    assert state(lab)["answer"][0].startswith("e = 0.592")
    assert "for a futsal ball" in " ".join(state(lab)["answer"])  # taken from its list
    assert [each["number"] for each in marks(lab)] == list("1234567")
    assert max(lab.desk.view["high"]) == 1.0


def test_an_impact_struck_out_counts_no_more_until_it_is_undone(lab):
    before = state(lab)["answer"]
    second = marks(lab)[1]["name"]

    lab.take({"do": "counts", "mark": second, "counts": False})

    assert len(marks(lab)) == 6
    assert "struck out by you" in [each["why"] for each in state(lab)["marks"]]
    assert "missed" in " ".join(state(lab)["answer"])

    lab.take({"do": "undo"})
    assert state(lab)["answer"] == before
    lab.take({"do": "redo"})
    assert len(marks(lab)) == 6
    lab.take({"do": "counts", "mark": second, "counts": True})
    assert state(lab)["answer"] == before
    lab.take({"do": "undo"})  # the bringing back alone
    assert len(marks(lab)) == 6


def test_striking_out_and_bringing_back_are_two_steps_to_undo(lab):
    second = marks(lab)[1]["name"]
    for counts in (False, True):
        lab.take({"do": "counts", "mark": second, "counts": counts})

    lab.take({"do": "undo"})

    assert len(marks(lab)) == 6


def test_nudges_move_an_impact_by_a_millisecond_or_a_tenth_and_e_with_it(lab):
    second = marks(lab)[1]
    e = lab.bench.drop.restitution
    for _ in range(3):
        lab.take({"do": "nudge", "mark": second["name"], "by": 1e-3})
    lab.take({"do": "nudge", "mark": second["name"], "by": -1e-4})

    moved = marks(lab)[1]
    assert moved["at"] == pytest.approx(second["at"] + 0.0029, abs=6e-5)
    assert moved["why"] == "counts, moved by you"
    assert moved["u"] == "0.50"
    assert lab.bench.drop.restitution != e
    assert any("placed by hand" in each for each in state(lab)["answer"])
    assert lab.desk.view["close"]["at"] == moved["at"]

    lab.take({"do": "undo"})  # a run of nudges is one step
    assert marks(lab)[1]["time"] == second["time"]


def test_a_time_can_be_typed_and_a_slip_changes_nothing(lab):
    third = marks(lab)[2]["name"]
    lab.take({"do": "place", "mark": third, "text": "1,5003 s"})
    assert marks(lab)[2]["time"] == "1.5003"

    for typed in ("1.5OO", "-1", "99", "nan", ""):
        lab.take({"do": "place", "mark": third, "text": typed})
        assert "seconds from the start" in state(lab)["bad"]
        assert marks(lab)[2]["time"] == "1.5003"


def test_an_impact_can_be_added_where_the_next_is_expected_or_anywhere(lab):
    last = marks(lab)[-1]
    lab.take({"do": "counts", "mark": last["name"], "counts": False})
    lab.take({"do": "add"})

    added = marks(lab)[-1]
    assert added["why"] == "added by you"
    assert added["at"] == pytest.approx(last["at"], abs=0.01)
    assert state(lab)["mark"] == added["name"]

    lab.take({"do": "add", "at": 2.5})
    assert [each["why"] for each in marks(lab)].count("added by you") == 2
    lab.take({"do": "counts", "mark": state(lab)["mark"], "counts": False})
    assert [each["why"] for each in marks(lab)].count("added by you") == 1


def test_with_too_few_impacts_there_is_no_answer_and_the_way_out_is_said(lab):
    for each in marks(lab)[2:]:
        lab.take({"do": "counts", "mark": each["name"], "counts": False})

    assert "three or more" in state(lab)["answer"][0]
    assert state(lab)["compared"] == ""
    lab.take({"do": "send"})
    assert "Mend the impacts first" in state(lab)["bad"]
    assert not list(lab.bench.journal.sheet.table()[1])


def test_ear_and_tape_agree_on_one_ball_and_not_on_another(tmp_path):
    lab = SoundLab(CLASS, folder=tmp_path)
    lab.take({"do": "choose", "name": FUTSAL})
    tapes = {text: value for value, text in state(lab)["tapes"]}
    same, cold = (
        next(value for text, value in tapes.items() if text.startswith(start))
        for start in (
            "Futsal ball on gym, wood, 60.0",
            "Futsal ball on gym, wood, 30.0",
        )
    )

    lab.take({"do": "tape", "text": same})
    assert "✓ They agree" in state(lab)["compared"]
    assert "6.1 m/s, as from 200 cm" in state(lab)["compared"]

    lab.take({"do": "tape", "text": cold})
    assert "✕ They do not agree: the ear's is higher" in state(lab)["compared"]


def test_a_drop_goes_to_the_class_marked_as_timed_and_no_second_time(lab, tmp_path):
    lab.take({"do": "ball", "text": "Futsal A"})
    lab.take({"do": "floor", "text": "gym, wood"})
    lab.take({"do": "group", "text": "Oak"})
    lab.take({"do": "height", "text": "200 cm"})
    lab.take({"do": "send"})
    lab.take({"do": "send"})

    assert state(lab)["sent"].startswith("✓ Row 1 of ")
    (said,) = (each for each in state(lab)["answer"] if "g = " in each)
    g, half = map(float, re.search(r"g = ([\d.]+) ± ([\d.]+) m/s²", said).groups())
    assert abs(g - 9.81) < half < 1
    table = read_drops(tmp_path / "timed-drops.csv").table
    assert table[["group", "ball", "floor", "method"]].values.tolist() == [
        ["Oak", "Futsal A", "gym, wood", "timed"]
    ]
    drop, rebound = table[["drop_height_m", "rebound_height_m"]].values[0]
    assert drop == 2.0
    assert rebound == pytest.approx(0.62, abs=0.004)  # as the class's tapes say

    lab.take({"do": "undo"})  # the second press changed nothing
    assert not (tmp_path / "timed-drops.csv").exists()
    lab.take({"do": "redo"})
    assert len(read_drops(tmp_path / "timed-drops.csv").table) == 1


def test_without_a_tape_the_first_flight_is_the_drop(lab, tmp_path):
    lab.take({"do": "send"})

    table = read_drops(tmp_path / "timed-drops.csv").table
    drop, rebound = table[["drop_height_m", "rebound_height_m"]].values[0]
    assert (drop, rebound) == pytest.approx((0.62, 0.214), abs=0.004)
    assert "from the top of the first bounce" in table["note"].iloc[0]
    assert table["ball"].iloc[0] == "futsal ball"

    lab.take({"do": "height", "text": "50 cm"})
    lab.take({"do": "send"})
    assert "more than the first bounce" in state(lab)["bad"]


def test_everything_is_there_again_after_a_restart_and_is_handed_in(lab, tmp_path):
    lab.take({"do": "counts", "mark": marks(lab)[-1]["name"], "counts": False})
    lab.take({"do": "nudge", "mark": marks(lab)[2]["name"], "by": 0.001})
    lab.take({"do": "send"})
    before = state(lab)

    again = SoundLab(folder=tmp_path)

    for name in ("recording", "marks", "answer", "fields"):
        assert state(again)[name] == before[name]
    path, _ = hand_in(tmp_path)
    text = path.read_text("utf-8-sig")
    assert "futsal_ball.wav: impact at 2.0" in text
    assert "timed" in text


def test_a_file_of_ones_own_is_listened_to_and_a_copy_kept(tmp_path):
    lab = SoundLab(folder=tmp_path)
    lab.load("my ball.wav", DEMO.read_bytes())

    assert lab.bench.drop.restitution == pytest.approx(0.79, abs=0.01)
    kept = tmp_path / "recordings" / "my ball.wav"
    assert kept.read_bytes() == DEMO.read_bytes()
    lab.load("../my ball.wav", wav(clicks([0.5], 2)))
    assert (tmp_path / "recordings" / "my ball-2.wav").exists()
    assert ("my ball.wav", "my ball.wav") in [
        tuple(e) for e in state(lab)["recordings"]
    ]


def test_the_kind_of_an_invented_ball_does_not_stay_for_ones_own(lab):
    assert state(lab)["fields"]["kind"] == "futsal"
    lab.load("mine.wav", DEMO.read_bytes())
    assert state(lab)["fields"]["kind"] == ""
    lab.take({"do": "kind", "text": "basketball-7"})
    lab.load("again.wav", DEMO.read_bytes())
    assert state(lab)["fields"]["kind"] == "basketball-7"


def test_recordings_that_lie_with_the_notebooks_come_first(tmp_path):
    data = tmp_path / "data"
    (data / "recordings").mkdir(parents=True)
    (data / "recordings" / "ours.wav").write_bytes(DEMO.read_bytes())
    (data / "recordings" / "recordings.csv").write_text("file,ball\nours.wav,netball\n")
    (data / "class.csv").write_bytes(CLASS.read_bytes())
    lab = SoundLab(data / "class.csv", folder=tmp_path / "readings")

    lab.take({"do": "choose", "name": "invented/ours.wav"})

    assert state(lab)["fields"]["kind"] == "netball"
    assert len(state(lab)["recordings"]) == 2


def test_a_drop_height_that_cannot_be_read_is_no_answer_until_it_is_sent(lab):
    before = state(lab)["answer"]
    lab.take({"do": "height", "text": "2OO cm"})
    assert state(lab)["answer"] == before
    assert state(lab)["bad"] == ""
    lab.take({"do": "send"})
    assert "2OO" in state(lab)["bad"]


def test_a_large_file_comes_in_pieces(tmp_path):
    lab = SoundLab(folder=tmp_path)
    data = DEMO.read_bytes()
    cut = len(data) // 3
    told = []
    lab.desk.send = lambda content, buffers=None: told.append(content)
    for k in range(3):
        some = data[k * cut : (k + 1) * cut if k < 2 else None]
        asked = {"ask": "piece", "name": "a.wav", "first": k == 0, "last": k == 2}
        lab._told(lab.desk, {**asked, "keep": True}, [memoryview(some)])

    assert told == [{"piece": "ok"}] * 3
    assert (tmp_path / "recordings" / "a.wav").read_bytes() == data
    assert len(marks(lab)) == 9


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("empty.wav", b"", "an empty file"),
        ("notes.wav", b"this is a text", "no known kind of recording"),
        ("cut.wav", DEMO.read_bytes()[:40], "recording"),
        ("still.wav", wav(np.zeros(2 * RATE)), "the recording is silent"),
        ("one.wav", wav(clicks([0.5], 2)), "No bounces heard"),
        ("beat.wav", wav(clicks(np.arange(0.3, 6, 0.5), 6.5)), "come evenly"),
    ],
)
def test_what_holds_no_bounces_is_answered_and_earlier_work_stays(
    lab, tmp_path, name, data, words
):
    lab.take({"do": "nudge", "mark": marks(lab)[1]["name"], "by": 0.001})
    moved = marks(lab)[1]["time"]

    lab.load(name, data)

    said = " ".join([state(lab)["bad"], *state(lab)["said"]])
    assert words in said
    if state(lab)["bad"]:  # no recording at all: the one before stays open
        assert state(lab)["recording"] == FUTSAL
        assert not (tmp_path / "recordings" / name).exists()
    lab.take({"do": "choose", "name": FUTSAL})
    assert marks(lab)[1]["time"] == moved


def test_sounds_that_no_drop_was_heard_in_can_be_brought_back_by_hand(tmp_path):
    lab = SoundLab(folder=tmp_path)
    lab.load("beat.wav", wav(clicks(np.arange(0.3, 6, 0.5), 6.5)))
    sounds = state(lab)["marks"]
    assert len(sounds) >= 10
    assert "bring" in " ".join(state(lab)["said"])
    lab.load("quick.wav", wav(clicks([0.5, 1.2, 1.76], 3)))
    for each in state(lab)["marks"][:3]:
        lab.take({"do": "counts", "mark": each["name"], "counts": True})

    assert lab.bench.drop is not None or state(lab)["answer"]
    assert len(marks(lab)) >= 3


def test_a_recording_from_the_microphone_is_kept_only_if_it_is_saved(tmp_path):
    lab = SoundLab(folder=tmp_path)
    lab.load("recording 1.wav", DEMO.read_bytes(), keep=False)
    assert state(lab)["unsaved"]
    assert not (tmp_path / "recordings").exists()
    lab.take({"do": "counts", "mark": marks(lab)[-1]["name"], "counts": False})
    lab.load("broken.wav", b"no sound")  # a failure loses nothing
    assert state(lab)["unsaved"]

    lab.take({"do": "save"})

    assert not state(lab)["unsaved"]
    assert (tmp_path / "recordings" / "recording 1.wav").exists()
    assert len(marks(lab)) == 8
    lab.load("recording 2.wav", DEMO.read_bytes(), keep=False)
    again = SoundLab(folder=tmp_path)
    assert "no such file" in state(again)["bad"]
    again.take({"do": "group", "text": "Oak"})
    assert state(again)["bad"] == ""


def test_a_part_can_be_heard_as_a_file_that_every_browser_plays(lab):
    sent = []
    lab.desk.send = lambda content, buffers=None: sent.append((content, buffers))
    for part in ("drop", "whole"):
        lab._told(lab.desk, {"ask": "play", "part": part}, [])

    lengths = []
    for _, (data,) in sent:
        with wave.open(io.BytesIO(data)) as file:
            lengths.append(file.getnframes() / file.getframerate())
    first, last = marks(lab)[0]["at"], marks(lab)[-1]["at"]
    assert lengths[0] == pytest.approx(last + 0.65 - max(0, first - 0.35), abs=0.01)
    assert lengths[1] == pytest.approx(3.0, abs=0.01)


def test_several_drops_are_looked_at_one_by_one(tmp_path):
    with wave.open(str(DEMO)) as file:
        rate, whole = file.getframerate(), file.readframes(file.getnframes())
    one = np.frombuffer(whole, "<i2") / 32768
    lab = SoundLab(folder=tmp_path)
    lab.load("two.wav", wav(np.concatenate([one, np.zeros(rate), one]), rate))
    assert [text for _, text in state(lab)["drops"]] == ["drop 1 of 2", "drop 2 of 2"]
    lab.take({"do": "add", "at": 4.5})

    lab.take({"do": "drop", "place": 1})

    assert marks(lab)[0]["at"] == pytest.approx(5.65, abs=0.01)
    assert "added by you" not in [each["why"] for each in state(lab)["marks"]]
    lab.take({"do": "send"})
    lab.take({"do": "drop", "place": 0})
    lab.take({"do": "send"})
    assert len(read_drops(tmp_path / "timed-drops.csv").table) == 2


def test_an_undo_stays_with_the_recording_that_is_open(lab):
    lab.take({"do": "choose", "name": "invented/basketball.wav"})
    name = marks(lab)[1]["name"]
    for _ in range(3):
        lab.take({"do": "nudge", "mark": name, "by": 0.001})
        lab.take({"do": "counts", "mark": name, "counts": False})
        lab.take({"do": "counts", "mark": name, "counts": True})
    for _ in range(20):
        lab.take({"do": "undo"})

    assert lab.bench.name == "invented/basketball.wav"
    assert state(lab)["fields"]["kind"] == "basketball-7"
    assert not any(each["by_hand"] for each in state(lab)["marks"])
    assert not state(lab)["can_undo"]
    assert state(lab)["can_redo"]


def test_a_file_that_is_refused_says_what_is_still_open(lab):
    lab.load("x.wav", b"no sound")

    assert state(lab)["bad"].endswith(f"Below is still {FUTSAL}.")
    assert state(lab)["recording"] == FUTSAL


def test_where_nothing_is_heard_nothing_is_asked_for(lab):
    lab.load("still.wav", wav(np.zeros(2 * RATE)))

    assert "silent" in " ".join(state(lab)["said"])
    assert "bring" not in " ".join(state(lab)["said"])
    assert state(lab)["answer"] == []
