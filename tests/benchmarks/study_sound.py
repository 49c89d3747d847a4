"""How often is a bouncing ball heard rightly? Synthesised recordings, many of them.

Run it by hand: python tests/benchmarks/study_sound.py [recordings of each kind]

The table of all kinds is printed, and below it the same recordings as librosa's onset
detection hears them, with our finder of trains and our fit. A drop tells e at the
second impact that was heard, so it is held against that one's, of the ball that it
follows.
Seeds below 20 000 were looked at while the finder was made; the table uses others.
A folder of recorded thuds in BOUNCELAB_THUDS (see `recorded_thuds.py`) adds a row.
"""

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from importlib.util import find_spec
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from peer_onsets import DELTAS, hear_by_peer
from recorded_thuds import thuds

from bouncelab.kinds import find_ball
from bouncelab.readings.sound import hear
from makers.noises import chords, drums
from makers.recordings import Made, Style, make_recording
from makers.rooms import PLACES

SEEDS, CHUNK = 20_000, 20
LEVELS = (40, 30, 20, 10, 5, 0, -5)  # dB
BALL = "basketball 7"
KINDS = {f"{level} dB": {"snr": level} for level in LEVELS} | {
    "8 kHz": {"rate": 8000},
    "an echo louder than the ball": {"place": None},
    "a second ball": {"second": True},
    "footsteps": {"steps": True},
    "claps": {"also": "clap"},
    "a chair": {"also": "scrape"},
    "a whistle": {"also": "whistle"},
    "clipped": {"clip": 0.4},
    "automatic gain": {"gain": True},
    "two microphones": {"stereo": True},
    "AAC, 64 kbit/s": {"packing": "aac"},
    "MP3, 64 kbit/s": {"packing": "mp3"},
    "20 dB, gain, clipped, AAC": {
        "snr": 20,
        "gain": True,
        "clip": 0.3,
        "packing": "aac",
    },
    "air and contact, ball said": {"air": True, "said": True},
    "air and contact, ball not said": {"air": True},
    "recorded thuds": {"thuds": True},
    "recorded thuds, 20 dB": {"thuds": True, "snr": 20},
    "no ball": {"ball": False, "snr": 20},
    "no ball, footsteps": {"ball": False, "snr": 20, "steps": True},
    "no ball, claps": {"ball": False, "snr": 20, "also": "clap"},
    "no ball, a chair": {"ball": False, "snr": 20, "also": "scrape"},
    "no ball, a whistle": {"ball": False, "snr": 20, "also": "whistle"},
    "no ball, music": {"music": True},
}


@dataclass
class Tally:
    """What was told of the recordings of one kind."""

    count: int = 0
    good: int = 0
    none: int = 0
    told: int = 0
    covered: int = 0
    sure: int = 0
    late: list = field(default_factory=list)

    def add(self, made, found):
        """Hold what was heard against the truth."""
        self.count += 1
        if not found.drops:
            self.none += 1
            return
        balls = made.balls()
        away = {id(drop): _away(drop, balls) for drop in found.drops}
        longest = max(found.drops, key=lambda drop: len(drop.impacts))
        self.told += 1
        self.good += away[id(longest)] < 0.01
        self.covered += away[id(longest)] <= 2 * longest.restitution_u
        # Surely wrong: outside its own 99 % interval, and by so much that it matters.
        self.sure += any(
            away[id(drop)] > max(0.02, 2.6 * drop.restitution_u) for drop in found.drops
        )
        if balls:
            times, _ = _followed(longest, balls)
            late = _nearest(np.array(longest.impacts), times)
            self.late += list(np.abs(late - np.median(late)))

    def joined(self, other):
        """Both together."""
        names = ("count", "good", "none", "told", "covered", "sure", "late")
        return Tally(*(getattr(self, name) + getattr(other, name) for name in names))

    def figures(self):
        """What stands in a row of the table."""
        if not self.count:
            return ["–"] * 5
        return [
            f"{self.good / self.count:.3f}",
            f"{self.none / self.count:.3f}",
            f"{self.covered / self.told:.3f}" if self.told else "–",
            f"{self.sure / self.count:.3f}",
            f"{1e3 * np.median(self.late):.3f} ms" if self.late else "–",
        ]


def _nearest(heard, times):
    return heard - times[np.argmin(np.abs(times[:, None] - heard), axis=0)]


def _followed(drop, balls):
    """The ball whose impacts lie nearest to those of a drop."""
    heard = np.array(drop.impacts)
    return min(balls, key=lambda ball: np.median(np.abs(_nearest(heard, ball[0]))))


def _away(drop, balls):
    if not balls:
        return np.inf
    times, ratios = _followed(drop, balls)
    place = int(np.argmin(np.abs(times - drop.impacts[1])))
    return abs(drop.restitution - ratios[min(place, len(ratios) - 1)])


def recording(kind, seed):
    """Make one of a kind; place, noise, rate and distance go round with the seed."""
    kind, turn = dict(kind), np.random.default_rng([seed, 7])
    rate = kind.get("rate", (44_100, 48_000)[seed % 2])
    if kind.pop("music", False):
        made = (chords, drums)[seed % 2](turn, rate, 12.0, beat=turn.uniform(0.35, 0.7))
        made += 1e-3 * turn.normal(size=made.size)
        none = np.zeros(0)
        return Made(made, rate, none, np.nan, 0.0, none)
    place = list(PLACES.values())[seed // 3 % len(PLACES)]
    style = {
        "snr": 30,
        "rate": rate,
        "noise": ("white", "rosy", "speech")[seed % 3],
        "room": turn.uniform(0.6, 1.0),
        "place": replace(place, distance=turn.uniform(0.5, 2.0)),
    }
    kind.pop("said", None)
    if kind.pop("air", False):
        kind |= {
            "drag": turn.uniform(0.021, 0.026),
            "contact": turn.uniform(0.01, 0.015),
        }
    if kind.pop("thuds", False):
        found = thuds(rate)
        kind |= {"material": found[seed % len(found)]}
    return make_recording(np.random.default_rng(seed), Style(**style | kind))


def study(job):
    """Some recordings of a kind, as heard by us and, if asked, by the peers."""
    name, seeds, peer = job
    ours, theirs = Tally(), {each: Tally() for each in DELTAS}
    ball = find_ball(BALL) if KINDS[name].get("said") else None
    for seed in seeds:
        made = recording(KINDS[name], seed)
        samples = made.samples.astype(float)
        ours.add(made, hear([samples], made.rate, ball=ball))
        for each in DELTAS if peer else ():
            theirs[each].add(made, hear_by_peer(samples, made.rate, DELTAS[each]))
    return name, ours, theirs


def main():
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("count", type=int, nargs="?", default=200)
    asked.add_argument("--first", type=int, default=SEEDS, help="first seed")
    asked.add_argument("--only", default="", help="kinds whose name holds this word")
    asked.add_argument("--alone", action="store_true", help="without the peer")
    asked = asked.parse_args()
    names = [name for name in KINDS if asked.only in name]
    if not thuds(44_100):
        names = [name for name in names if "thuds" not in KINDS[name]]
        print("No recorded thuds; `recorded_thuds.py` says where to get them.\n")
    peer = not asked.alone and find_spec("librosa") is not None
    if not peer:
        print("Without a peer; for one: python -m pip install -e .[bench]\n")
    last = asked.first + asked.count
    jobs = [
        (name, range(k, min(k + CHUNK, last)), peer and name.endswith(" dB"))
        for name in names
        for k in range(asked.first, last, CHUNK)
    ]
    print(f"{asked.count} recordings of each kind, seeds from {asked.first} on.\n")
    ours = {name: Tally() for name in names}
    theirs = {each: dict(ours) for each in DELTAS}
    heading(
        "recording",
        "e within 0.01",
        "none heard",
        "95 % interval covers",
        "wrong and sure",
        "median timing error",
    )
    with ProcessPoolExecutor(2) as executor:
        for name, mine, peers in executor.map(study, jobs):
            ours[name] = ours[name].joined(mine)
            for each, tally in peers.items():
                theirs[each][name] = theirs[each][name].joined(tally)
            if ours[name].count == asked.count:
                row(name, ours[name].figures())
    if peer:
        columns = ("ours", *(f"librosa {each}" for each in DELTAS))
        heading(
            "noise",
            *(
                f"{each}: {what}"
                for each in columns
                for what in ("e within 0.01", "timing")
            ),
        )
    for name in names:
        both = [tallies[name].figures() for tallies in (ours, *theirs.values())]
        if theirs["in quiet"][name].count:
            row(name, [each[k] for each in both for k in (0, -1)])


def heading(*columns):
    print(f"\n| {' | '.join(columns)} |\n" + "| --- " * len(columns) + "|", flush=True)


def row(name, figures):
    said = name if "dB" in name or "no ball" in name else f"30 dB, {name}"
    print(f"| {said.replace('-', '−')} | {' | '.join(figures)} |", flush=True)


if __name__ == "__main__":
    main()
