"""Recordings that are broken, odd or of something else: a clear line, and no crash."""

import tracemalloc
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile

from bouncelab.cli import main
from bouncelab.errors import FileError
from bouncelab.readings.sound import hear, listen
from makers.noises import SUDDEN, chords, drums
from makers.recordings import Style, make_recording
from makers.rooms import Room

av = pytest.importorskip("av")

RATE = 44_100
INDOORS = Room(0.6, 180.0, 1.0)


def a_drop(seed=501, **style):
    style = {"snr": 40, "place": INDOORS} | style
    return make_recording(np.random.default_rng(seed), Style(**style))


def saved(folder, samples, rate=RATE, ending="wav", **how):
    path = Path(folder, f"drop.{ending}")
    soundfile.write(path, samples, rate, **how)
    return path


def tells(path, made, within=0.01):
    """The recording is heard as one drop, with the e that it was made with."""
    found = listen(path)
    assert found.drops, found.why
    drop = max(found.drops, key=lambda each: len(each.impacts))
    assert drop.restitution == pytest.approx(made.e_at(drop.impacts[1]), abs=within)
    return found


def metronome(seconds=10, beat=0.5, accent=1.0):
    sound = np.random.default_rng(0).normal(0, 1e-4, int(seconds * RATE))
    t = np.arange(2000) / RATE
    for k, at in enumerate(np.arange(0.2, seconds - 0.2, beat)):
        loud = 0.5 if k % 4 else 0.5 * accent
        start = int(at * RATE)
        sound[start : start + t.size] += (
            loud * np.exp(-t / 0.004) * np.sin(2 * np.pi * 1800 * t)
        )
    return sound


@pytest.mark.parametrize("share", [0.5, 0.9, 0.98])
def test_a_clipped_recording_tells_e_all_the_same(tmp_path, share):
    made = a_drop(clip=share)
    tells(saved(tmp_path, made.samples), made)


def test_a_recording_at_192_000_samples_a_second_tells_e(tmp_path):
    made = a_drop(rate=192_000)
    tells(saved(tmp_path, made.samples, 192_000, "flac"), made)


def test_a_recording_at_8000_samples_a_second_tells_e(tmp_path):
    made = a_drop(rate=8000)
    tells(saved(tmp_path, made.samples, 8000), made)


@pytest.mark.parametrize("ending", ["wav", "m4a"])
def test_channels_of_opposite_phase_do_not_cancel(tmp_path, ending):
    made = a_drop(505)
    both = np.column_stack([made.samples, -made.samples])
    if ending == "wav":
        path = saved(tmp_path, both)
    else:
        path = tmp_path / "drop.m4a"
        with av.open(str(path), "w") as container:
            stream = container.add_stream("aac", rate=RATE, layout="stereo")
            stream.bit_rate = 128_000
            frame = av.AudioFrame.from_ndarray(
                np.ascontiguousarray(both.T), format="fltp", layout="stereo"
            )
            frame.sample_rate = RATE
            for packet in (*stream.encode(frame), *stream.encode(None)):
                container.mux(packet)
    tells(path, made)


def test_an_offset_from_zero_does_not_matter(tmp_path):
    made = a_drop()
    tells(saved(tmp_path, 0.5 * made.samples + 0.4), made)


def test_samples_that_are_no_numbers_do_not_matter(tmp_path):
    made = a_drop()
    samples = made.samples.copy()
    samples[1000:1100] = np.nan
    samples[5000] = np.inf
    tells(saved(tmp_path, samples, subtype="FLOAT"), made)


def test_a_file_that_breaks_off_tells_the_drop_that_is_left(tmp_path):
    made = a_drop(tail=3.0)
    path = saved(tmp_path, made.samples)
    whole = path.read_bytes()
    end = int((made.times[-1] + 0.5) * RATE)
    path.write_bytes(whole[: 44 + 2 * end])
    tells(path, made)


def test_a_file_that_breaks_off_in_the_first_flight_says_what_it_needs(tmp_path):
    made = a_drop()
    middle = int((made.times[0] + 0.1) * RATE)
    found = listen(saved(tmp_path, made.samples[:middle]))

    assert found.drops == ()
    assert found.why.startswith("No bounces heard")


def test_two_impacts_are_too_few_and_that_is_said(tmp_path):
    made = a_drop(room=0.0, place=None)
    middle = int((made.times[1] + 0.2) * RATE)
    found = listen(saved(tmp_path, made.samples[:middle]))

    assert found.drops == ()
    assert "three" in found.why


def test_single_samples_that_jump_are_no_ball(tmp_path):
    rng = np.random.default_rng(4)
    sound = rng.normal(0, 1e-3, 8 * RATE)
    sound[rng.integers(0, sound.size, 25)] = 0.9
    assert listen(saved(tmp_path, sound)).drops == ()


def test_one_dead_channel_does_not_matter(tmp_path):
    made = a_drop(505)
    both = np.column_stack([np.zeros_like(made.samples), made.samples])
    tells(saved(tmp_path, both), made)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("empty.wav", "an empty file"),
        ("nothing.wav", "no length"),
        ("words.mp3", "no known kind"),
        ("film.mp4", "without sound"),
        ("absent.wav", "no such file"),
        (".", "a folder"),
    ],
)
def test_what_cannot_be_read_is_said_in_one_line(tmp_path, capsys, name, said):
    (tmp_path / "empty.wav").write_bytes(b"")
    (tmp_path / "words.mp3").write_text("42 1/2 in\n" * 99)
    soundfile.write(tmp_path / "nothing.wav", np.zeros(0), RATE)
    with av.open(str(tmp_path / "film.mp4"), "w") as container:
        film = container.add_stream("mpeg4", rate=10)
        film.width = film.height = 32
        film.pix_fmt = "yuv420p"
        still = av.VideoFrame.from_ndarray(np.zeros((32, 32, 3), np.uint8))
        for packet in (*film.encode(still), *film.encode(None)):
            container.mux(packet)

    with pytest.raises(FileError, match=said):
        listen(tmp_path / name)
    assert main(["sound", str(tmp_path / name)]) == 2
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize(("beat", "accent"), [(0.5, 1.0), (0.33, 1.0), (1.0, 1.6)])
def test_a_metronome_is_no_ball_and_that_is_said(tmp_path, beat, accent):
    found = listen(saved(tmp_path, metronome(beat=beat, accent=accent)))

    assert found.drops == ()
    assert f"come evenly, every {beat:.2f} s" in found.why


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("music", [chords, drums])
def test_music_is_no_ball(music, seed):
    rng = np.random.default_rng(seed)
    sound = music(rng, RATE, 10.0, beat=rng.uniform(0.35, 0.7))
    found = hear([sound + rng.normal(0, 1e-3, sound.size)], RATE)

    assert found.drops == ()
    assert found.why.startswith("No bounces heard")


@pytest.mark.parametrize("kind", SUDDEN)
def test_claps_chairs_and_whistles_are_no_ball(kind):
    for seed in range(4):
        made = a_drop(seed, ball=False, also=kind, snr=20)
        assert hear([made.samples.astype(float)], made.rate).drops == ()


@pytest.mark.parametrize("pitch", [60.0, 440.0, 6000.0])
def test_a_tone_that_starts_and_stops_is_no_ball(pitch):
    t = np.arange(6 * RATE) / RATE
    tone = 0.5 * np.sin(2 * np.pi * pitch * t) * ((t > 1) & (t < 5))
    found = hear([tone], RATE)

    assert found.drops == ()
    assert found.why.startswith("No bounces heard")


def a_long_recording(rate, hours, made):
    """Blocks of silence with a drop in the middle, never all at once."""
    silence = np.zeros(60 * rate)
    minutes = int(60 * hours)
    for k in range(minutes):
        block = silence
        if k == minutes // 2:
            block = silence.copy()
            block[: made.samples.size] = made.samples
        yield block


def test_five_hours_are_refused_at_once_and_without_reading_them(tmp_path):
    path = tmp_path / "long.wav"
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, 8000, 0, "NONE", ""))
        file.writeframes(b"")
    size = 5 * 3600 * 8000 * 2
    with path.open("r+b") as file:  # a file with a hole holds nothing on the disk
        file.seek(4)
        file.write((size + 36).to_bytes(4, "little"))
        file.seek(40)
        file.write(size.to_bytes(4, "little"))
        file.truncate(size + 44)
    tracemalloc.start()
    with pytest.raises(FileError, match=r"5\.0 hours"):
        listen(path)
    assert tracemalloc.get_traced_memory()[1] < 20e6
    tracemalloc.stop()


def test_a_drop_in_a_long_silence_is_found_and_progress_is_told():
    made = a_drop(rate=8000)
    told = []
    found = hear(a_long_recording(8000, 1.0, made), 8000, progress=told.append)

    (drop,) = found.drops
    assert drop.impacts[0] == pytest.approx(1800 + made.times[0], abs=0.002)
    assert drop.restitution == pytest.approx(made.e, abs=0.01)
    assert told == sorted(told)
    assert (len(told), told[-1]) == (60, 3600.0)


def test_memory_does_not_grow_with_the_drops_of_a_long_recording():
    made = [a_drop(seed, rate=8000, snr=20, steps=True) for seed in (1, 2, 5)]
    piece = np.concatenate([each.samples for each in made]).astype(float)
    most, heard = [], []
    for times in (2, 8):
        tracemalloc.start()
        heard.append(len(hear((piece for _ in range(times)), 8000).drops))
        most.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()

    assert heard[1] > 3 * heard[0]
    assert most[1] < 1.5 * most[0]
