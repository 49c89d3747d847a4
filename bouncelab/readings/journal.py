"""Every accepted keystroke on disk: autosave, undo and recovery of a sheet.

The journal is a text file of JSON lines. The first line is a whole sheet, each
further line is one step. A step is written and flushed to the disk before it
is acknowledged, so a killed kernel or a pulled plug costs at most the step that
was being written, and that one is noticed when the journal is opened again.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from bouncelab.errors import BounceLabError, FileError
from bouncelab.places import not_written, write_whole
from bouncelab.readings.sheet import Sheet, apply

__all__ = ["History", "Journal"]

_DEPTH = 200  # steps that can be undone
_MOST_LINES = 2000  # a longer journal is written anew when it is opened


@dataclass(frozen=True, slots=True)
class History:
    """A sheet with the sheets before it, so that every step can be undone.

    Attributes
    ----------
    sheet : Sheet
        The sheet now.
    past, future : tuple of Sheet
        Sheets to go back to, and those that were undone; the nearest last.
    last : tuple
        Which cell the last step wrote; more typing in it is the same step.
    """

    sheet: Sheet = field(default_factory=Sheet)
    past: tuple[Sheet, ...] = ()
    future: tuple[Sheet, ...] = ()
    last: tuple[Any, ...] = ()

    def after(self, step: Mapping[str, Any]) -> History:
        """Give the history after a step, ``undo`` and ``redo`` among them.

        Parameters
        ----------
        step : mapping
            A step for `apply`, or ``{"do": "undo"}`` or ``{"do": "redo"}``.

        Returns
        -------
        History
            The same history if there is nothing to undo or to redo.

        Raises
        ------
        InputError
            As `apply` does.
        """
        do = step.get("do")
        if do == "undo":
            if not self.past:
                return self
            future = (*self.future, self.sheet)
            return History(self.past[-1], self.past[:-1], future)
        if do == "redo":
            if not self.future:
                return self
            past = (*self.past, self.sheet)
            return History(self.future[-1], past, self.future[:-1])
        sheet = apply(self.sheet, step)
        if sheet == self.sheet:
            return self
        cell = _target(step)
        if cell and cell == self.last:
            return History(sheet, self.past, (), cell)
        return History(sheet, (*self.past, self.sheet)[-_DEPTH:], (), cell)


def _target(step: Mapping[str, Any]) -> tuple[Any, ...]:
    if step["do"] == "cell":
        return ("cell", step["row"], step["column"])
    if step["do"] == "setup" and not step.get("whole"):
        return ("setup", step["field"])
    return ()


class Journal:
    """The sheet of one group, kept on disk.

    Parameters
    ----------
    path : path-like
        The journal's file, such as ``readings/drop-lab.jsonl``. It is made at the
        first step. If it is there, the sheet in it is taken up again.

    Attributes
    ----------
    history : History
        The sheet now, with what can be undone.
    remarks : list of str
        What was noticed on opening, in plain sentences.
    unsaved : int
        Steps that are not on the disk yet, because it refused them.

    Raises
    ------
    FileError
        If a journal is there and cannot be read.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = Path(path)
        self.history = History()
        self.remarks: list[str] = []
        self._waiting: list[bytes] = []
        self._size = -1
        if self.path.exists():
            self._open()

    @property
    def sheet(self) -> Sheet:
        """The sheet now."""
        return self.history.sheet

    @property
    def unsaved(self) -> int:
        """How many steps are not on the disk yet."""
        return len(self._waiting)

    def _open(self) -> None:
        try:
            raw = self.path.read_bytes()
        except OSError as error:
            raise FileError(
                what=f"the saved readings {self.path.name}",
                read=(error.strerror or type(error).__name__).lower(),
                allowed="a file that can be read",
                do="Close other programs that use it, or ask for help.",
            ) from error
        lines = raw.split(b"\n")
        broken = lines.pop()  # empty when the last line is whole
        spoilt = int(bool(broken))
        history, first = History(), True
        for line in lines:
            try:
                plain = json.loads(line)
                if first or "sheet" in plain:
                    history = History(Sheet.from_dict(plain["sheet"]))
                else:
                    history = history.after(plain)
                first = False
            except (ValueError, KeyError, TypeError, AttributeError):
                # InputError is a ValueError; one bad line never costs the rest.
                spoilt += 1
        self.history = history
        self._size = len(raw)
        if spoilt:
            kept = self.path.with_name(self.path.name + ".damaged")
            write_whole(kept, raw)
            self.remarks.append(
                f"{spoilt} line{'s' * (spoilt > 1)} of the saved readings could not "
                f"be read. Check the last reading; the file as found is in {kept.name}."
            )
        if spoilt or len(lines) > _MOST_LINES:
            self._write_anew()

    def _write_anew(self) -> None:
        data = _line({"sheet": self.sheet.to_dict()})
        write_whole(self.path, data)
        self._size = len(data)

    def step(self, step: Mapping[str, Any]) -> Sheet:
        """Take one step and put it on the disk before giving the new sheet.

        Parameters
        ----------
        step : mapping
            A step as in `bouncelab.readings.sheet.apply`, or ``undo``, ``redo``.

        Returns
        -------
        Sheet
            The sheet after the step.

        Raises
        ------
        InputError
            If the step does not fit; nothing has changed then.
        FileError
            If the disk refuses; the step is taken all the same, waits in
            memory, and is written with the next one.
        """
        after = self.history.after(step)
        if after is self.history:
            return self.sheet
        self.history = after
        # What an undo leads to depends on steps that may stand in no file any
        # more, so the sheet itself is written.
        undone = step.get("do") in ("undo", "redo")
        line = {"sheet": after.sheet.to_dict()} if undone else dict(step)
        self._waiting.append(_line(line))
        self.save()
        return self.sheet

    def save(self) -> None:
        """Write the steps that wait; do nothing if none does.

        Raises
        ------
        FileError
            If the disk refuses.
        """
        if not self._waiting:
            return
        try:
            self._step_aside_if_taken()
            if self._size < 0:
                self._write_anew()
            elif self._waiting:
                self._append(b"".join(self._waiting))
        except OSError as error:
            if isinstance(error, BounceLabError):
                raise
            raise not_written(self.path, error) from error
        self._waiting.clear()

    def _append(self, data: bytes) -> None:
        # Unbuffered: after a refusal nothing lurks that would be written later.
        with self.path.open("r+b", buffering=0) as file:
            file.seek(self._size)
            try:
                written = 0
                while written < len(data):
                    written += file.write(data[written:])
                os.fsync(file.fileno())
            except OSError:
                file.truncate(self._size)
                raise
        self._size += len(data)

    def _step_aside_if_taken(self) -> None:
        """Go on in a file of our own if somebody else wrote to this one."""
        found = self.path.stat().st_size if self.path.exists() else -1
        if found == self._size:
            return
        if found < 0:  # somebody removed it: the whole sheet is written again
            self._size = -1
            self._write_anew()
            self._waiting.clear()
            return
        taken = self.path
        number = 2
        while self.path.exists():
            self.path = taken.with_name(f"{taken.stem}-{number}{taken.suffix}")
            number += 1
        self.remarks.append(
            f"{taken.name} was changed by another window, so this sheet is now "
            f"saved in {self.path.name}. Nothing in {taken.name} was touched."
        )
        self._size = -1
        self._write_anew()
        self._waiting.clear()


def _line(plain: Mapping[str, Any]) -> bytes:
    return json.dumps(plain, ensure_ascii=False).encode("utf-8", "replace") + b"\n"
