"""Where a lesson's class comes from: a file, or a folder that groups add to."""

from __future__ import annotations

import asyncio
import os
import weakref
from collections.abc import Callable
from pathlib import Path

from bouncelab.analysis.bounciness import Bounciness, bounciness
from bouncelab.errors import BounceLabError
from bouncelab.readings.checks import check_drops
from bouncelab.readings.files import read_drops
from bouncelab.readings.folder import ClassFolder

__all__ = ["ClassSource"]

_EVERY = 1.0  # s between two looks at a folder


class ClassSource:
    """A class's results, taken up anew when a watched folder changes.

    Parameters
    ----------
    path : path-like
        A class file, or a folder of groups' files.

    Attributes
    ----------
    found : Bounciness
        The results as of now.
    notes : list of str
        Which files of a folder count; empty for a file.

    Raises
    ------
    FileError
        If the file cannot be read.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self._folder: ClassFolder | None = None
        self.notes: list[str] = []
        if Path(path).is_dir():
            self._folder = ClassFolder(path)
            self._folder.look()
            self.notes = self._folder.notes
            self.found: Bounciness = bounciness(self._folder.drops)
        else:
            self.found = bounciness(check_drops(read_drops(path)))

    def watch(self, changed: Callable[[], None]) -> None:
        """Call a method whenever the folder has changed; for a file, never.

        Parameters
        ----------
        changed : callable
            A bound method; it is not kept alive by being called.
        """
        if self._folder is None:
            return
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            return  # outside a notebook nothing waits for changes
        method = weakref.WeakMethod(changed)

        def look() -> None:
            tell = method()
            if tell is None:
                return  # the lesson is gone
            loop.call_later(_EVERY, look)  # first, so that no fault ends the watch
            if self.look():
                tell()

        loop.call_later(_EVERY, look)

    def look(self) -> bool:
        """Look at the folder now.

        Returns
        -------
        bool
            Whether the results are new.
        """
        if self._folder is None:
            return False
        try:
            new = self._folder.look()
        except BounceLabError as error:
            said = " ".join(str(error).split())
            before, self.notes = self.notes, [said[:1].upper() + said[1:]]
            return before != self.notes
        if new:
            self.found = bounciness(self._folder.drops)
        back = self.notes != self._folder.notes  # the folder was away for a while
        self.notes = self._folder.notes
        return new or back
