"""A folder of groups' files, read as one class, and again whenever one changes."""

from __future__ import annotations

import glob
import os
from dataclasses import dataclass
from pathlib import Path

from bouncelab.batches import fingerprint
from bouncelab.errors import BounceLabError, FileError
from bouncelab.readings.checks import check_drops
from bouncelab.readings.drops import Drops
from bouncelab.readings.files import read_drops
from bouncelab.readings.merge import merge_drops, traced
from bouncelab.readings.opening import bytes_of
from bouncelab.readings.twice import Rows, file_rows, saved_twice

__all__ = ["ClassFolder", "read_folder"]

ENDINGS = (".csv", ".xlsx")
_AGAIN = 4  # looks after a change; some disks count time in steps of 2 s


@dataclass(slots=True)
class _Known:
    """What is known of one file: its state on the disk, and its last good table."""

    state: tuple[int, int]
    mark: str
    drops: Drops | None
    why: str
    rows: Rows = ()
    again: int = _AGAIN


class ClassFolder:
    """A folder that groups put their class files into.

    Parameters
    ----------
    path : path-like
        The folder. It need not be there yet.

    Attributes
    ----------
    drops : Drops
        All groups' drops together, checked, as of the last look.
    notes : list of str
        Which files count, and what is wrong with the others.

    Notes
    -----
    A file in a folder below counts if its name begins with that folder's, as in a
    classroom server's boxes to hand in: ``ada/ada-drop-lab.csv``.

    Nothing is watched by the system, so that it works alike on shared drives; each
    `look` costs a glance at the file times, and reading only what changed. A file
    that cannot be read, such as one that is just being written, keeps its last good
    table and is tried again at every look; so does a folder that is away for a while.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = Path(path)
        self._known: dict[str, _Known] = {}
        self.drops = merge_drops([], source=self.path.name)
        self.notes: list[str] = []
        self._shown: tuple[tuple[str, str, str], ...] | None = None
        self._gone: list[str] = []
        self._out: set[str] = set()

    def look(self) -> bool:
        """Read what is new.

        Returns
        -------
        bool
            Whether anything changed since the last look.

        Raises
        ------
        FileError
            If the folder cannot be listed.
        """
        names = self._names()
        gone = sorted(set(self._known) - set(names))
        gone = [name for name in gone if self._known.pop(name).drops is not None]
        for name in names:
            self._read(name)
        shown = tuple((n, self._known[n].mark, self._known[n].why) for n in names)
        if shown == self._shown:
            return False
        self._shown = shown
        self._gone = gone
        self._merge(names)
        return True

    def _names(self) -> list[str]:
        try:
            inside = list(self.path.iterdir())
            found = sorted([each.name for each in inside] + _in_boxes(inside))
        except FileNotFoundError:
            if not self._known:
                return []
            raise FileError(
                what=f"the folder {self.path.name}",
                read="no such folder now",
                allowed="the folder that was here",
                do="Its last good rows are kept; connect the drive or put it back.",
            ) from None
        except OSError as error:
            raise FileError(
                what=f"the folder {self.path.name}",
                read=(error.strerror or type(error).__name__).lower(),
                allowed="a folder that can be opened",
                do="Look at its name, or choose another one.",
            ) from error
        return [
            name
            for name in found
            if name.lower().endswith(ENDINGS) and not name.startswith((".", "~"))
        ]

    def _read(self, name: str) -> None:
        path, known = self.path / name, self._known.get(name)
        try:
            told = path.stat()
            state = (told.st_mtime_ns, told.st_size)
            if known is not None and known.state == state and not known.why:
                if not known.again:
                    return
                known.again -= 1
            mark = fingerprint(bytes_of(path))
            if known is not None and known.mark == mark:
                known.state = state
                if not known.why:
                    return
            drops = read_drops(path)
            self._known[name] = _Known(state, mark, drops, "", file_rows(drops))
        except (BounceLabError, OSError) as error:
            why = _reason(error, path)
            if known is None:
                self._known[name] = _Known((0, 0), "", None, why)
            else:
                known.why = why

    def _merge(self, names: list[str]) -> None:
        notes = [
            f"{name} is gone."
            if name in self._out
            else f"{name} is gone: its rows no longer count."
            for name in self._gone
        ]
        for name in names:
            known = self._known[name]
            if known.why:
                kept = " Its last good rows are kept." if known.drops else ""
                notes.append(f"{name} cannot be read now: {known.why}{kept}")
        out, said = saved_twice({name: self._known[name].rows for name in names})
        self._out = out
        notes += said
        parts = [
            (Path(name).stem, drops)
            for name in names
            if name not in out and (drops := self._known[name].drops) is not None
        ]
        count = sum(len(drops.table) for _, drops in parts)
        files = f"{len(parts)} file{'s' * (len(parts) != 1)}"
        self.notes = [f"{files}, {count} rows.", *notes]
        whole = merge_drops(parts, source=self.path.name)
        self.drops = traced(check_drops(whole)) if count else whole


def _in_boxes(places: list[Path]) -> list[str]:
    """Name the class files in students' boxes, as a classroom server keeps them."""
    return [
        f"{box.name}/{path.name}"
        for box in places
        if box.is_dir() and os.access(box, os.R_OK)
        for path in box.glob(f"{glob.escape(box.name)}-*")
        if not path.name.endswith("-hand-in.csv")  # words, no table of drops
        and not path.is_symlink()  # to what may be another student's
    ]


def _reason(error: BounceLabError | OSError, path: Path) -> str:
    """Say why a file was not read, without its place on the disk or its name again."""
    if not isinstance(error, BounceLabError):
        return f"{(error.strerror or type(error).__name__).lower()}."
    said = " ".join(str(error).split()).replace(str(path), path.name)
    return said.removeprefix(path.name).lstrip(":, ")


def read_folder(path: str | os.PathLike[str]) -> ClassFolder:
    """Read a folder of groups' files once.

    Parameters
    ----------
    path : path-like
        The folder.

    Returns
    -------
    ClassFolder
        With its drops and notes.

    Raises
    ------
    FileError
        If the folder cannot be listed or holds no file that can be read.
    """
    folder = ClassFolder(path)
    folder.look()
    if not len(folder.drops.table):
        raise FileError(
            what=f"the folder {folder.path.name}",
            read=" ".join(folder.notes) or "nothing",
            allowed="class files that end in .csv or .xlsx",
            do="Put each group's file there, saved from the notebook or a spreadsheet.",
        )
    return folder
