"""The invented recordings are what they say; their truth is held against physics."""

import numpy as np
import pytest

from bouncelab.physics.bounces import bounce_train
from makers.phones import automatic_gain, lag, packed
from makers.recordings import Style, make_recording, train
from makers.rooms import PLACES, Room, direct_over_echo, in_room

RATE = 44_100


@pytest.mark.parametrize(
    ("drag", "contact"), [(0.0, 0.0), (0.023, 0.012), (0.12, 0.001)]
)
def test_trains_are_those_of_the_library_s_physics(drag, contact):
    times, speeds, ratios = train(
        None, 1.5, 0.8, 0.0, g=9.80665, drag=drag, contact=contact
    )
    known = bounce_train(
        drop_height=1.5,
        restitution=0.8,
        bounces=times.size,
        drag_constant=drag,
        contact_time=contact,
    )

    assert np.diff(times) == pytest.approx(np.diff(known.impact_times), rel=1e-9)
    assert speeds == pytest.approx(known.impact_speeds, rel=1e-9)
    assert ratios == pytest.approx(np.full(times.size - 1, 0.8))


@pytest.mark.parametrize("name", ["classroom", "hall", "corridor"])
def test_an_echo_is_as_loud_and_as_long_as_the_room_makes_it(name):
    room = PLACES[name]
    rng = np.random.default_rng(2)
    impulse = np.zeros(2 * RATE)
    impulse[0] = 1.0
    # Low notes are not softened: look below 1 kHz.
    sound = np.mean(
        [
            np.abs(np.fft.rfft(in_room(rng, impulse, RATE, room) - impulse)) ** 2
            for _ in range(20)
        ],
        axis=0,
    )
    low = sound[: sound.size // 22].mean()

    assert 10 * np.log10(low) == pytest.approx(-direct_over_echo(room), abs=1.0)


def test_an_echo_fades_by_60_db_in_the_time_that_is_asked():
    room = Room(0.8, 200.0, 1.0)
    impulse = np.zeros(RATE)
    impulse[0] = 1.0
    echo = in_room(np.random.default_rng(2), impulse, RATE, room) ** 2
    early, late = (
        echo[int(at * RATE) : int((at + 0.1) * RATE)].sum() for at in (0.1, 0.4)
    )

    assert 10 * np.log10(early / late) == pytest.approx(60 * 0.3 / 0.8, abs=1.5)


@pytest.mark.parametrize("snr", [40, 10, 0])
def test_noise_is_as_loud_as_is_asked(snr):
    style = Style(snr=snr, room=0.0)
    made = make_recording(np.random.default_rng(8), style)
    quiet = made.samples[: int(0.5 * RATE)]
    first = int(made.times[0] * RATE)
    loud = made.samples[first : first + int(0.02 * RATE)]
    heard = np.mean(loud**2.0) / np.mean(quiet**2.0)

    assert 10 * np.log10(heard - 1) == pytest.approx(snr, abs=1.0)


def test_gain_is_not_turned_before_a_sound_comes():
    sound = np.full(RATE, 0.01)
    sound[RATE // 2 :] = 1.0
    made = automatic_gain(np.random.default_rng(1), sound, RATE)
    before, after = made[: RATE // 2], made[RATE // 2 + RATE // 10 :]

    assert before == pytest.approx(np.full(before.size, before[0]))
    assert after.max() < 0.2 * before[0] / 0.01


@pytest.mark.parametrize("kind", ["aac", "mp3"])
def test_packed_sound_is_late_by_no_more_than_is_said(kind):
    sound = make_recording(np.random.default_rng(3), Style(snr=40)).samples
    made = packed(sound, RATE, kind, 64_000)
    late = round(lag(sound, made, RATE) * RATE)
    size = min(sound.size, made.size - late) if late >= 0 else made.size
    alike = np.corrcoef(sound[:size], made[late : late + size])[0, 1]

    assert 0 <= late < 3000
    assert alike > 0.9


def test_a_seed_gives_the_same_recording_again():
    style = Style(
        place=PLACES["hall"], second=True, also="scrape", stereo=True, gain=True
    )
    one, two = (make_recording(np.random.default_rng(9), style) for _ in range(2))

    assert np.array_equal(one.samples, two.samples)
    assert len(one.balls()) == 2
    assert one.e == one.e_at(one.times[1])
