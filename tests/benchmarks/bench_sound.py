"""What does it cost to listen to a minute, and to an hour, of sound?

Run it by hand: python tests/benchmarks/bench_sound.py
"""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bouncelab.readings.sound import listen
from makers.recordings import Style, make_recording
from makers.rooms import PLACES

RATE, ROUNDS, TIMES, MOST_MB, PATIENCE = 48_000, 5, 3, 500, 400
HOUR = """
import re, sys
from pathlib import Path
from bouncelab.readings.sound import listen
told = []
found = listen(Path(sys.argv[1]), progress=told.append)
used = re.search(r"VmHWM:\\s+([0-9]+)", Path("/proc/self/status").read_text())
print(len(found.drops), len(told), int(used[1]) / 1024)
"""
MINUTES = {
    "in a quiet classroom": Style(RATE, snr=40, place=PLACES["classroom"]),
    "in a noisy hall": Style(
        RATE, snr=20, noise="speech", steps=True, place=PLACES["hall"]
    ),
}


def a_minute(style):
    """Drops one after the other, and how many of them are whole."""
    pieces, size = [], 0
    while size < 60 * RATE:
        made = make_recording(np.random.default_rng(len(pieces)), style)
        pieces.append(made.samples)
        size += made.samples.size
    return np.concatenate(pieces)[: 60 * RATE], len(pieces) - 1


def seconds(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def of_a_minute(path):
    """The cost beside reading the file and one real FFT, in pairs."""

    def read_and_turn():
        np.fft.rfft(soundfile.read(path)[0])

    heard = listen(path)
    pairs = [
        (seconds(lambda: listen(path)), seconds(read_and_turn)) for _ in range(ROUNDS)
    ]
    return len(heard.drops), statistics.median(a / b for a, b in pairs)


def of_an_hour(path):
    """Drops, steps of progress, memory in MB (as Linux tells it), seconds."""
    start = time.perf_counter()
    told = subprocess.run(
        [sys.executable, "-c", HOUR, path],
        capture_output=True,
        text=True,
        check=True,
        timeout=PATIENCE,
    )
    return *map(float, told.stdout.split()), time.perf_counter() - start


def main():
    failed = False
    with tempfile.TemporaryDirectory() as place:
        for name, style in MINUTES.items():
            made, count = a_minute(style)
            minute, hour = Path(place, "minute.wav"), Path(place, "hour.flac")
            soundfile.write(minute, made, RATE)
            heard, ratio = of_a_minute(minute)
            print(f"a minute at 48 kHz {name}, {heard} of {count} drops heard")
            print(f"  beside reading it and one FFT: {ratio:.1f} (aim {TIMES})")
            with soundfile.SoundFile(hour, "w", RATE, 1) as file:
                for _ in range(60):
                    file.write(made)
            try:
                drops, steps, used, took = of_an_hour(hour)
            except subprocess.TimeoutExpired:
                print(f"  an hour: not done in {PATIENCE} s")
                failed = True
                continue
            print(
                f"  an hour: {drops:.0f} of {60 * count} drops, {steps:.0f} steps of "
                f"progress, {used:.0f} MB (aim {MOST_MB}), "
                f"{took:.0f} s",
                flush=True,
            )
            failed |= ratio > TIMES or used > MOST_MB
    return int(failed)


if __name__ == "__main__":
    raise SystemExit(main())
