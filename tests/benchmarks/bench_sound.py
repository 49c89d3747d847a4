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

from bouncelab.readings.sound import listen

RATE, ROUNDS, TIMES, MOST_MB = 48_000, 5, 3, 500
HOUR = """
import resource, sys
from pathlib import Path
from bouncelab.readings.sound import listen
told = []
found = listen(Path(sys.argv[1]), progress=told.append)
used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(len(found.drops), len(told), used)
"""


def a_minute():
    """Six drops in a room with some noise."""
    rng = np.random.default_rng(3)
    made = 0.002 * rng.standard_normal(60 * RATE)
    ring = np.arange(RATE // 10) / RATE
    for start in range(2, 60, 10):
        at, gap, loud = float(start), 0.7, 0.6
        while gap > 0.06:
            first = round(at * RATE)
            thud = np.exp(-ring / 0.01) * np.sin(2 * np.pi * 700 * ring)
            made[first : first + ring.size] += loud * thud
            at, gap, loud = at + gap, 0.78 * gap, 0.75 * loud
    return made


def seconds(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main():
    with tempfile.TemporaryDirectory() as place:
        minute, hour = Path(place, "minute.wav"), Path(place, "hour.flac")
        made = a_minute()
        soundfile.write(minute, made, RATE)
        with soundfile.SoundFile(hour, "w", RATE, 1) as file:
            for _ in range(60):
                file.write(made)

        def read_and_turn():
            np.fft.rfft(soundfile.read(minute)[0])

        heard = listen(minute)
        pairs = [
            (seconds(lambda: listen(minute)), seconds(read_and_turn))
            for _ in range(ROUNDS)
        ]
        ratio = statistics.median(a / b for a, b in pairs)
        print(f"a minute at 48 kHz, {len(heard.drops)} of 6 drops heard")
        print(f"  beside reading it and one FFT: {ratio:.1f} (aim {TIMES})")
        start = time.perf_counter()
        told = subprocess.run(
            [sys.executable, "-c", HOUR, hour],
            capture_output=True,
            text=True,
            check=True,
        )
        drops, steps, used = (float(each) for each in told.stdout.split())
        print(
            f"an hour: {drops:.0f} of 360 drops, {steps:.0f} steps of progress, "
            f"{used:.0f} MB (aim {MOST_MB}), {time.perf_counter() - start:.0f} s"
        )
    return int(ratio > TIMES or used > MOST_MB)


if __name__ == "__main__":
    raise SystemExit(main())
