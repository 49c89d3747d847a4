"""A lesson's class: looked at again and again, whatever happens in between."""

import asyncio
from concurrent.futures import ThreadPoolExecutor

import pytest

from bouncelab.widgets.lessons import class_source
from bouncelab.widgets.lessons.class_source import ClassSource

HEADINGS = "ball,drop height (cm),rebound height (cm)"
OAK = "\n".join([HEADINGS, *["Futsal ball,200,57"] * 3, ""])


class Listener:
    """Takes up what changed; may fail at the first time."""

    def __init__(self, *, fails=False):
        self.heard, self.fails = 0, fails

    def changed(self):
        """Count, and fail once if asked to."""
        self.heard += 1
        if self.fails and self.heard == 1:
            raise ValueError("a fault of the page")


@pytest.fixture
def at_once():
    """Leave the loop as it is: here things are put off."""


def run(lesson):
    """Run in a thread of its own; a browser may keep a loop in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, lesson()).result()


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "class"
    place.mkdir()
    (place / "oak.csv").write_text(OAK)
    return place


def test_a_folder_that_is_away_and_back_keeps_its_results_and_its_word(folder):
    source = ClassSource(folder)
    found = source.found
    folder.rename(folder.with_name("away"))

    assert source.look()
    assert "no such folder now" in source.notes[0]
    assert source.found is found
    assert not source.look()  # said once

    folder.with_name("away").rename(folder)
    assert source.look()
    assert source.notes == ["1 file, 3 rows."]


def test_a_fault_while_it_is_shown_does_not_end_the_watch(folder, monkeypatch):
    monkeypatch.setattr(class_source, "_EVERY", 0.02)
    listener, faults = Listener(fails=True), []

    async def lesson():
        loop = asyncio.get_running_loop()
        loop.set_exception_handler(lambda _loop, told: faults.append(told))
        source = ClassSource(folder)
        source.watch(listener.changed)
        for k in range(2):
            (folder / f"elm {k}.csv").write_text(OAK + f"Futsal ball,200,{58 + k}\n")
            for _ in range(100):
                await asyncio.sleep(0.02)
                if listener.heard > k:
                    break
        return source

    source = run(lesson)

    assert listener.heard == 2
    assert isinstance(faults[0]["exception"], ValueError)
    assert source.notes[0] == "3 files, 11 rows."


def test_a_lesson_that_is_gone_is_not_kept_alive_by_its_watch(folder, monkeypatch):
    monkeypatch.setattr(class_source, "_EVERY", 0.01)

    async def lesson():
        source, listener = ClassSource(folder), Listener()
        looks = []
        monkeypatch.setattr(source, "look", lambda: looks.append(1) and False)
        source.watch(listener.changed)
        await asyncio.sleep(0.1)
        before = len(looks)
        del listener
        await asyncio.sleep(0.05)
        after = len(looks)
        await asyncio.sleep(0.1)
        return before, after, len(looks)

    before, after, last = run(lesson)

    assert before > 1
    assert last == after


def test_a_file_is_read_once_and_never_watched(folder):
    source = ClassSource(folder / "oak.csv")

    assert not source.look()
    assert source.notes == []
    assert len(source.found.rows) == 1
