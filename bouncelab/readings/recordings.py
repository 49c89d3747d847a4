"""A recording read in blocks, whatever program saved it."""

from __future__ import annotations

import wave
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import FileError

__all__ = ["Recording", "open_recording"]

Samples: TypeAlias = NDArray[np.float64]

BLOCK = 2**18  # samples read at a time
_CRUMB = 2**10  # the same where a file is damaged
_RATES = (4000, 192_000)  # Hz
_LONGEST = 4 * 3600.0  # s
_PHONE = (".m4a", ".mp4", ".aac", ".3gp", ".mov", ".webm", ".opus", ".amr", ".caf")


@dataclass(frozen=True, slots=True)
class Recording:
    """An open recording.

    Attributes
    ----------
    name : str
        The file's.
    rate : int
        Samples a second.
    blocks : iterator of ndarray
        Mono, one after the other. They end early where the file is damaged.
    seconds : float or None
        Its length, if the file says it.
    """

    name: str
    rate: int
    blocks: Iterator[Samples]
    seconds: float | None


@contextmanager
def open_recording(path: Path) -> Iterator[Recording]:
    """Open a recording: WAV, FLAC, OGG and MP3, and with the extra what phones save.

    Parameters
    ----------
    path : pathlib.Path
        The file; its ending need not be right.

    Yields
    ------
    Recording
        To be read once, from its beginning.

    Raises
    ------
    FileError
        If it is no recording, has no sound, or is too long.

    Notes
    -----
    Without libsndfile, as in a browser, WAV files of whole numbers can still be read.
    """
    try:
        size = path.stat().st_size
    except OSError as error:
        raise _no_sound(path, (error.strerror or "nothing").lower()) from error
    if path.is_dir():
        raise _no_sound(path, "a folder")
    if not size:
        raise _no_sound(path, "an empty file")
    with ExitStack() as held:
        for way in (_by_soundfile, _by_wave, _by_av):
            found = way(path, held)
            if found is not None:
                break
        else:
            raise _unknown(path)
        if found.seconds == 0:
            raise _no_sound(path, "a recording of no length")
        _fit(path, found.rate, found.seconds)
        yield Recording(found.name, found.rate, _counted(path, found), found.seconds)


def _by_soundfile(path: Path, held: ExitStack) -> Recording | None:
    try:
        import soundfile
    except (ImportError, OSError):  # the second: no libsndfile to load
        return None
    try:
        file = held.enter_context(soundfile.SoundFile(path))
    except (soundfile.SoundFileError, TypeError):  # the second: raw by its ending
        return None

    def blocks() -> Iterator[Samples]:
        nonlocal file
        size, at = BLOCK, 0
        while True:
            try:
                block = file.read(size, dtype="float32", always_2d=True)
            except soundfile.SoundFileError:
                if size == _CRUMB:  # damaged from here on
                    return
                size = _CRUMB  # what is whole before the damage
                try:
                    file = held.enter_context(soundfile.SoundFile(path))
                    file.seek(at)
                except soundfile.SoundFileError:
                    return
                continue
            if not len(block):
                return
            at += len(block)
            yield _mono(block)

    rate = int(file.samplerate)
    return Recording(path.name, rate, _together(blocks()), file.frames / rate)


def _by_wave(path: Path, held: ExitStack) -> Recording | None:
    try:
        file = held.enter_context(wave.Wave_read(str(path)))
    except (wave.Error, EOFError):
        return None
    wide, channels, rate = file.getsampwidth(), file.getnchannels(), file.getframerate()

    def blocks() -> Iterator[Samples]:
        while taken := file.readframes(BLOCK):
            whole = len(taken) // (wide * channels) * wide * channels
            yield _mono(_whole_numbers(taken[:whole], wide).reshape(-1, channels))

    return Recording(path.name, rate, blocks(), file.getnframes() / rate)


def _whole_numbers(taken: bytes, wide: int) -> Samples:
    """Give samples from -1 to 1 from the bytes of a WAV file."""
    if wide == 1:  # the one width without a sign
        return np.frombuffer(taken, np.uint8) / 128.0 - 1.0
    # Each sample's bytes become the upper ones of a number of 32 bits.
    upper = np.zeros((len(taken) // wide, 4), np.uint8)
    upper[:, 4 - wide :] = np.frombuffer(taken, np.uint8).reshape(-1, wide)
    return upper.view("<i4").ravel() / 2.0**31


def _by_av(path: Path, held: ExitStack) -> Recording | None:
    try:
        import av
    except ImportError:
        return None
    try:
        container = held.enter_context(av.open(str(path)))
    except (av.FFmpegError, OSError, ValueError):
        return None
    if not container.streams.audio:
        raise _no_sound(path, "a film or picture without sound")
    stream = container.streams.audio[0]
    rate = int(stream.rate or 0)
    _fit(path, rate, None)
    length = container.duration / av.time_base if container.duration else None
    turn = av.AudioResampler(format="flt", rate=rate)

    def frames() -> Iterator[Samples]:
        try:
            for frame in container.decode(stream):
                for made in turn.resample(frame):
                    channels = len(made.layout.channels)
                    yield _mono(made.to_ndarray().reshape(-1, channels))
        except av.FFmpegError:  # damaged from here on
            return

    return Recording(path.name, rate, _together(frames()), length)


def _together(pieces: Iterable[Samples]) -> Iterator[Samples]:
    """Join small pieces to blocks."""
    waiting: list[Samples] = []
    count = 0
    for piece in pieces:
        waiting.append(piece)
        count += piece.size
        if count >= BLOCK:
            yield np.concatenate(waiting)
            waiting, count = [], 0
    if waiting:
        yield np.concatenate(waiting)


def _counted(path: Path, found: Recording) -> Iterator[Samples]:
    """Give the blocks, and stop where a file is longer than it says and we allow."""
    count = 0
    for block in found.blocks:
        count += block.size
        _fit(path, found.rate, count / found.rate)
        yield block
    if not count:
        raise _no_sound(path, "no sound, or a damaged file")


def _mono(block: NDArray[Any]) -> Samples:
    """Mix channels; one that runs against the first is turned round, or they cancel."""
    whole = np.nan_to_num(block.astype(np.float64), copy=False, posinf=0, neginf=0)
    if whole.shape[1] == 1:
        return np.ascontiguousarray(whole[:, 0])
    steps = np.diff(whole, axis=0)  # an offset from zero is no likeness
    against = steps[:, 0] @ steps < 0
    made: Samples = (whole * np.where(against, -1.0, 1.0)).mean(axis=1)
    return made


def _fit(path: Path, rate: int, seconds: float | None) -> None:
    if not _RATES[0] <= rate <= _RATES[1]:
        raise FileError(
            what=path.name,
            read=f"{rate} samples a second",
            allowed=f"{_RATES[0]} to {_RATES[1]}",
            do="Record again with the phone's usual settings.",
        )
    if seconds is not None and seconds > _LONGEST:
        raise FileError(
            what=path.name,
            read=f"{seconds / 3600:.1f} hours of sound",
            allowed=f"up to {_LONGEST / 3600:.0f} hours",
            do="Cut out the part with the drops.",
        )


def _unknown(path: Path) -> FileError:
    from importlib.util import find_spec

    if path.suffix.lower() in _PHONE and find_spec("av") is None:
        return FileError(
            what=path.name,
            read="a recording as phones save them",
            allowed="WAV, FLAC, OGG or MP3 as this kit is installed",
            do='Install the rest with: python -m pip install "bouncelab[phone]", '
            "or save the recording as WAV.",
        )
    return _no_sound(path, "no known kind of recording")


def _no_sound(path: Path, read: str) -> FileError:
    return FileError(
        what=path.name,
        read=read,
        allowed="a recording with sound, such as WAV, FLAC, OGG, MP3 or M4A",
        do="Choose the file that your phone or computer recorded.",
    )
