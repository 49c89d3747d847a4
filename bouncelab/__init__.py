"""A teaching kit on collisions and bounciness: from a typed drop to a verdict.

The names below are what a teacher types in a notebook cell. Each is fetched
from its room when it is first used, so importing the kit costs next to nothing.
"""

from __future__ import annotations

import sys
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bouncelab.analysis.bounciness import bounciness
    from bouncelab.analysis.quality import ReadingQuality
    from bouncelab.catalogue import balls, find_range, ranges
    from bouncelab.figures.strips import draw_strips
    from bouncelab.physics.restitution import restitution_from_heights
    from bouncelab.readings.checks import CHECKS, check_drops
    from bouncelab.readings.files import read_drops, write_drops
    from bouncelab.widgets.drop_lab import DropLab
    from bouncelab.widgets.hand_in import HandIn
    from bouncelab.widgets.lessons.compare_class import CompareClass
    from bouncelab.widgets.lessons.floor_contact import FloorContact
    from bouncelab.widgets.lessons.one_number import OneNumber
    from bouncelab.widgets.lessons.sealed_air import SealedAir
    from bouncelab.widgets.lessons.train_of_bounces import TrainOfBounces
    from bouncelab.widgets.lessons.tune_ball import TuneBall
    from bouncelab.widgets.lessons.two_bodies import TwoBodies
    from bouncelab.widgets.sound_lab import SoundLab

__all__ = [
    "CHECKS",  # what each check of readings looks for
    "CompareClass",  # notebook 7: same pressure, other bounce
    "DropLab",  # the table that students type their drops into
    "FloorContact",  # notebook 3: the hundredth of a second on the floor
    "HandIn",  # all entries in one file
    "OneNumber",  # notebook 6: bounciness gets a number
    "ReadingQuality",  # how well heights can be read
    "SealedAir",  # notebook 2: why a ball bounces at all
    "SoundLab",  # notebook 9: e from the times between bounces, by ear
    "TrainOfBounces",  # notebook 5: where the energy of a bounce goes
    "TuneBall",  # notebook 8: a ball brought to the mark
    "TwoBodies",  # notebook 4: two things collide
    "balls",  # the kinds of balls the kit knows
    "bounciness",  # restitution, uncertainty and verdicts from drops
    "check_drops",  # mark readings that a person should look at
    "draw_strips",  # every rebound, with its range
    "find_range",  # one published bounce range by its id
    "ranges",  # all published bounce ranges
    "read_drops",  # a class file, as CSV or XLSX
    "restitution_from_heights",  # e from two heights
    "write_drops",  # a class file with its marks
]

_ROOMS = {
    "CHECKS": "readings.checks",
    "CompareClass": "widgets.lessons.compare_class",
    "DropLab": "widgets.drop_lab",
    "FloorContact": "widgets.lessons.floor_contact",
    "HandIn": "widgets.hand_in",
    "OneNumber": "widgets.lessons.one_number",
    "ReadingQuality": "analysis.quality",
    "SealedAir": "widgets.lessons.sealed_air",
    "SoundLab": "widgets.sound_lab",
    "TrainOfBounces": "widgets.lessons.train_of_bounces",
    "TuneBall": "widgets.lessons.tune_ball",
    "TwoBodies": "widgets.lessons.two_bodies",
    "balls": "catalogue",
    "bounciness": "analysis.bounciness",
    "check_drops": "readings.checks",
    "draw_strips": "figures.strips",
    "find_range": "catalogue",
    "ranges": "catalogue",
    "read_drops": "readings.files",
    "restitution_from_heights": "physics.restitution",
    "write_drops": "readings.files",
}

if sys.platform == "emscripten":
    import_module(f"{__name__}.in_browser").fetch_when_imported()


def __getattr__(name: str) -> Any:
    if name not in _ROOMS:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(f"{__name__}.{_ROOMS[name]}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
