"""Listening: synthesised recordings whose truth is known, and what is no ball."""

import json

import numpy as np
import pytest
import soundfile

from bouncelab.cli import main
from bouncelab.errors import InputError
from bouncelab.kinds import find_ball
from bouncelab.places import kit_folder
from bouncelab.readings.impacts import find_impacts
from bouncelab.readings.sound import hear, listen
from makers.recordings import Style, make_recording

RATE = 44100


def heard(made):
    return hear([made.samples.astype(float)], made.rate)


def run(style, seeds):
    """Give each drop told with its truth; None where no ball was heard."""
    told = []
    for seed in seeds:
        made = make_recording(np.random.default_rng(seed), style)
        found = heard(made)
        longest = max(found.drops, key=lambda d: len(d.impacts), default=None)
        told.append((made, longest))
    return told


@pytest.mark.parametrize(
    ("style", "least"),
    [
        (Style(snr=40, room=0.0), 0.95),
        (Style(snr=30, room=0.5, noise="rosy"), 0.95),
        (Style(snr=30, rate=8000), 0.9),
        (Style(snr=30, gain=True, clip=0.3), 0.95),
    ],
    ids=["quiet", "room", "8 kHz", "gain and clipping"],
)
def test_e_is_told_within_a_hundredth_and_as_surely_as_it_says(style, least):
    told = run(style, range(500, 520))
    found = [(made, drop) for made, drop in told if drop is not None]
    good = [abs(drop.restitution - made.e) < 0.01 for made, drop in found]
    covered = [
        abs(drop.restitution - made.e) <= 2 * drop.restitution_u for made, drop in found
    ]

    assert sum(good) / len(told) >= least
    assert np.mean(covered) >= 0.93


def test_impacts_are_timed_to_a_fraction_of_a_millisecond():
    errors = [
        np.min(np.abs(made.times - when))
        for made, drop in run(Style(snr=20, room=0.3), range(600, 612))
        if drop is not None
        for when in drop.impacts
    ]

    assert len(errors) > 50
    assert np.median(errors) < 0.0003


def test_without_a_ball_none_is_heard():
    for noise in ("white", "rosy", "speech"):
        style = Style(snr=20, noise=noise, ball=False, steps=True)
        assert all(drop is None for _, drop in run(style, range(700, 706)))


@pytest.mark.parametrize(
    ("samples", "words"),
    [
        (np.zeros(RATE), "silent"),
        (np.sin(np.arange(2 * RATE) * 0.05), "No bounces heard"),
        (np.zeros(0), "silent"),
        (np.ones(3 * RATE) * 0.5, "No bounces heard"),
    ],
    ids=["silent", "a tone", "nothing", "a constant"],
)
def test_what_is_no_ball_has_its_words(samples, words):
    found = hear([samples], RATE)

    assert found.drops == ()
    assert words in found.why
    assert found.to_dict() == {"drops": [], "why": found.why}


def test_equal_intervals_are_no_bounce_and_that_is_said():
    rng = np.random.default_rng(0)
    sound = rng.normal(0, 1e-4, 8 * RATE)
    for k in range(14):
        at = int((0.3 + 0.5 * k) * RATE)
        sound[at : at + 400] += rng.normal(0, 0.5, 400) * np.exp(-np.arange(400) / 60)
    found = hear([sound], RATE)

    assert found.drops == ()
    assert "come evenly, every 0.50 s" in found.why


def test_blocks_do_not_change_what_is_heard():
    made = make_recording(np.random.default_rng(501), Style(snr=40, room=0.0))
    samples = made.samples.astype(float)
    whole = hear([samples], RATE)
    parts = hear(np.array_split(samples, 5), RATE)

    assert len(whole.drops) == len(parts.drops) == 1
    near = [
        min(abs(a - b) for b in parts.drops[0].impacts) for a in whole.drops[0].impacts
    ]
    assert np.median(near) < 1e-4


def test_two_drops_in_one_recording_are_parted():
    one = make_recording(np.random.default_rng(501), Style(snr=40, room=0.0))
    two = make_recording(np.random.default_rng(505), Style(snr=40, room=0.0))
    joined = np.concatenate([one.samples, two.samples]).astype(float)
    found = hear([joined], RATE)

    assert len(found.drops) == 2
    for made, drop in zip((one, two), found.drops, strict=True):
        assert drop.restitution == pytest.approx(made.e, abs=0.02)


def test_a_ball_that_is_known_is_corrected_for():
    made = make_recording(np.random.default_rng(501), Style(snr=40, room=0.0))
    plain = heard(made).drops[0]
    known = hear(
        [made.samples.astype(float)], RATE, ball=find_ball("basketball 7")
    ).drops[0]

    assert known.restitution != plain.restitution
    assert known.restitution == pytest.approx(plain.restitution, abs=0.03)


def test_the_times_that_the_finder_rejects_are_told():
    made = make_recording(np.random.default_rng(501), Style(snr=40, room=0.0))
    samples = made.samples.astype(float).copy()
    middle = int((made.times[1] + 0.4 * (made.times[2] - made.times[1])) * RATE)
    burst = np.random.default_rng(2).normal(0, 0.4, 300)
    samples[middle : middle + 300] += burst * np.exp(-np.arange(300) / 50)
    drop = hear([samples], RATE).drops[0]

    assert drop.restitution == pytest.approx(made.e, abs=0.01)
    assert any(abs(when - middle / RATE) < 0.002 for when, _ in drop.rejected)


def test_an_unknown_ball_is_refused(tmp_path):
    with pytest.raises(InputError, match="futsal ball"):
        listen(tmp_path / "x.wav", ball="a brick")


def test_the_command_tells_drops_in_words_and_json(tmp_path, capsys):
    made = make_recording(np.random.default_rng(501), Style(snr=40, room=0.0))
    path, picture = tmp_path / "drop.wav", tmp_path / "drop.svg"
    soundfile.write(path, made.samples, RATE)

    assert main(["sound", str(path), "--picture", str(picture)]) == 0
    assert "Drop 1" in capsys.readouterr().out
    assert picture.read_text("utf-8").startswith("<svg")
    assert main(["sound", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    (drop,) = told["drops"]
    assert drop["e"] == pytest.approx(made.e, abs=0.01)
    assert len(drop["impacts_s"]) == len(drop["u_impacts_s"]) >= 5
    soundfile.write(path, np.zeros(RATE), RATE)
    assert main(["sound", str(path)]) == 1
    assert "silent" in capsys.readouterr().out
    (tmp_path / "x.wav").write_text("no sound")
    assert main(["sound", str(tmp_path / "x.wav")]) == 2


def test_the_bouncy_ball_of_the_demo_is_heard_with_its_own_e():
    found = listen(kit_folder("data") / "recordings" / "bouncy_ball.wav")

    assert found.drops
    assert found.drops[0].restitution == pytest.approx(0.861, abs=0.012)


def test_a_sudden_sound_is_found_where_it_is():
    rng = np.random.default_rng(3)
    sound = rng.normal(0, 1e-3, RATE)
    sound[22050:22400] += rng.normal(0, 0.3, 350)
    impacts, outline = find_impacts([sound], RATE)

    assert any(abs(each.time - 0.5) < 1e-4 for each in impacts)
    assert outline.size == 100
