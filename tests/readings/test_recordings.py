"""Recordings of many kinds, and files that are none."""

import sys

import numpy as np
import pytest
import soundfile

from bouncelab.errors import FileError
from bouncelab.readings import recordings
from bouncelab.readings.recordings import open_recording

av = pytest.importorskip("av")

CLICKS = (0.3, 0.9, 1.4)  # s


def sound(rate=48_000, seconds=1.8):
    """Clicks at known times, on a little noise."""
    rng = np.random.default_rng(5)
    made = 1e-3 * rng.standard_normal(round(rate * seconds))
    for at in CLICKS:
        start = round(at * rate)
        ring = np.arange(round(0.02 * rate)) / rate
        made[start : start + ring.size] += (
            0.5 * np.exp(-ring / 0.004) * np.sin(2 * np.pi * 900 * ring)
        )
    return made


def by_phone(path, samples, rate, codec="aac", bits=64_000, picture=False):
    """Save as a phone does."""
    with av.open(str(path), "w") as container:
        if picture:
            film = container.add_stream("mpeg4", rate=10)
            film.width = film.height = 32
            film.pix_fmt = "yuv420p"
        if samples is not None:
            stream = container.add_stream(codec, rate=rate, layout="mono")
            stream.bit_rate = bits
            frame = av.AudioFrame.from_ndarray(
                samples.astype(np.float32)[None], format="fltp", layout="mono"
            )
            frame.sample_rate = rate
            for packet in (*stream.encode(frame), *stream.encode(None)):
                container.mux(packet)
        if picture:
            still = av.VideoFrame.from_ndarray(np.zeros((32, 32, 3), np.uint8))
            for packet in (*film.encode(still), *film.encode(None)):
                container.mux(packet)
    return path


def read(path):
    with open_recording(path) as recording:
        return recording, np.concatenate(list(recording.blocks))


def clicks(samples, rate):
    """Where the loudness first passes a quarter of the greatest, after a silence."""
    loud = np.flatnonzero(np.abs(samples) > 0.25 * np.abs(samples).max()) / rate
    return loud[np.insert(np.diff(loud) > 0.2, 0, True)]


@pytest.mark.parametrize("rate", [8000, 22_050, 44_100, 96_000, 192_000])
@pytest.mark.parametrize("kind", ["wav", "flac"])
def test_any_usual_rate_is_read_as_it_was_saved(tmp_path, kind, rate):
    path = tmp_path / f"drop.{kind}"
    soundfile.write(path, sound(rate), rate, subtype="PCM_24")
    recording, samples = read(path)
    assert (recording.rate, recording.seconds) == (rate, pytest.approx(1.8, abs=1e-4))
    np.testing.assert_allclose(samples, sound(rate), atol=2e-7)


@pytest.mark.parametrize("ending", ["ogg", "mp3"])
def test_packed_recordings_keep_the_times_between_clicks(tmp_path, ending):
    path = tmp_path / f"drop.{ending}"
    soundfile.write(path, sound(), 48_000)
    _, samples = read(path)
    np.testing.assert_allclose(
        np.diff(clicks(samples, 48_000)), np.diff(CLICKS), atol=2e-3
    )


@pytest.mark.parametrize("ending", ["m4a", "mp4", "mov"])
def test_what_phones_save_keeps_the_times_between_clicks(tmp_path, ending):
    path = by_phone(tmp_path / f"drop.{ending}", sound(), 48_000)
    recording, samples = read(path)
    assert recording.rate == 48_000
    np.testing.assert_allclose(
        np.diff(clicks(samples, 48_000)), np.diff(CLICKS), atol=2e-3
    )


def test_the_sound_track_of_a_film_is_read(tmp_path):
    path = by_phone(tmp_path / "film.mp4", sound(), 48_000, picture=True)
    assert clicks(read(path)[1], 48_000).size == len(CLICKS)


def test_both_channels_are_heard(tmp_path):
    left = sound()
    soundfile.write(tmp_path / "two.wav", np.column_stack([left, 0 * left]), 48_000)
    _, samples = read(tmp_path / "two.wav")
    np.testing.assert_allclose(samples, left / 2, atol=2e-5)


def test_a_wrong_ending_does_not_matter(tmp_path):
    soundfile.write(tmp_path / "drop.flac", sound(), 48_000)
    for ending in ("wav", "raw", "txt", "m4a"):
        wrong = (tmp_path / "drop.flac").rename(tmp_path / f"drop.{ending}")
        assert clicks(read(wrong)[1], 48_000).size == len(CLICKS)
        wrong.rename(tmp_path / "drop.flac")


@pytest.mark.parametrize("width", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32"])
def test_wav_is_read_without_libsndfile_as_with_it(tmp_path, monkeypatch, width):
    path = tmp_path / "drop.wav"
    soundfile.write(path, np.column_stack([sound(), -0.5 * sound()]), 48_000, width)
    _, with_it = read(path)
    monkeypatch.setitem(sys.modules, "soundfile", None)
    monkeypatch.setitem(sys.modules, "av", None)
    recording, without = read(path)
    assert recording.seconds == pytest.approx(1.8)
    np.testing.assert_allclose(without, with_it, atol=1e-7)


def test_without_the_extra_a_phone_s_file_says_how_to_get_it(tmp_path, monkeypatch):
    path = by_phone(tmp_path / "drop.m4a", sound(), 48_000)
    monkeypatch.setitem(sys.modules, "av", None)
    with pytest.raises(FileError, match=r"bouncelab\[phone\]"):
        read(path)


def test_the_blocks_of_a_long_recording_join_without_a_seam(tmp_path, monkeypatch):
    monkeypatch.setattr(recordings, "BLOCK", 1000)
    soundfile.write(tmp_path / "drop.wav", sound(), 48_000, subtype="PCM_24")
    with open_recording(tmp_path / "drop.wav") as recording:
        blocks = list(recording.blocks)
    assert max(block.size for block in blocks) == 1000
    np.testing.assert_allclose(np.concatenate(blocks), sound(), atol=2e-7)


@pytest.mark.parametrize("ending", ["wav", "flac", "ogg", "mp3", "aac"])
def test_a_file_that_was_cut_off_gives_what_is_left(tmp_path, ending):
    path = tmp_path / f"drop.{ending}"
    if ending == "aac":
        by_phone(path, sound(), 48_000)
    else:
        soundfile.write(path, sound(), 48_000)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(0.65 * len(whole))])
    recording, samples = read(path)
    assert 1 <= clicks(samples, recording.rate).size < len(CLICKS)


def test_a_damaged_middle_does_not_stop_the_reading(tmp_path):
    path = tmp_path / "drop.flac"
    soundfile.write(path, sound(), 48_000)
    data = bytearray(path.read_bytes())
    middle = len(data) // 2
    data[middle : middle + 400] = bytes(400)
    path.write_bytes(data)
    _, samples = read(path)
    assert np.isfinite(samples).all()
    assert clicks(samples, 48_000)[0] == pytest.approx(CLICKS[0], abs=2e-3)


def test_numbers_that_are_none_become_silence(tmp_path):
    samples = sound()
    samples[100:200] = np.nan
    samples[300] = np.inf
    soundfile.write(tmp_path / "drop.wav", samples, 48_000, subtype="FLOAT")
    _, heard = read(tmp_path / "drop.wav")
    assert not heard[100:200].any()
    assert heard[300] == 0


def test_what_is_no_recording_is_refused_in_one_line(tmp_path):
    (tmp_path / "empty.wav").write_bytes(b"")
    (tmp_path / "words.mp3").write_text("not a sound at all\n" * 50)
    (tmp_path / "noise.m4a").write_bytes(np.random.default_rng(1).bytes(5000))
    soundfile.write(tmp_path / "nothing.wav", np.zeros(0), 48_000)
    soundfile.write(tmp_path / "slow.wav", np.zeros(500), 100)
    by_phone(tmp_path / "silent.mp4", None, 0, picture=True)
    whole = by_phone(tmp_path / "cut.m4a", sound(), 48_000).read_bytes()
    (tmp_path / "cut.m4a").write_bytes(whole[: len(whole) // 2])
    for name, said in {
        "absent.wav": "no such file",
        "empty.wav": "an empty file",
        "words.mp3": "no known kind",
        "noise.m4a": "no known kind",
        "nothing.wav": "no length",
        "slow.wav": "100 samples a second",
        "silent.mp4": "without sound",
        "cut.m4a": "no known kind",
        ".": "a folder",
    }.items():
        with pytest.raises(FileError, match=said) as refused:
            read(tmp_path / name)
        assert "\n" not in str(refused.value)


def test_a_recording_of_five_hours_is_refused_by_its_length(tmp_path, monkeypatch):
    monkeypatch.setattr(recordings, "_LONGEST", 1.0)
    soundfile.write(tmp_path / "long.flac", sound(), 48_000)
    with pytest.raises(FileError, match="Cut out the part"):
        read(tmp_path / "long.flac")


def test_what_goes_wrong_while_listening_is_not_taken_for_a_bad_file(tmp_path):
    soundfile.write(tmp_path / "drop.wav", sound(), 48_000)
    with pytest.raises(KeyError), open_recording(tmp_path / "drop.wav"):
        raise KeyError("elsewhere")
