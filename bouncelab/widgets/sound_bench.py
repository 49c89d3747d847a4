"""The bench of the sound lab: impacts edited, answered at once, kept and sent on."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import Any

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.errors import BounceLabError, InputError
from bouncelab.kinds import Ball, balls, find_ball
from bouncelab.readings.edited_train import (
    Mark,
    as_heights,
    edited,
    marks_of,
    next_place,
    reckon,
)
from bouncelab.readings.files import write_drops
from bouncelab.readings.journal import Journal
from bouncelab.readings.sound import Heard, HeardDrop
from bouncelab.units import read_length
from bouncelab.widgets.sound_table import Tapes, drops_of
from bouncelab.widgets.sound_words import (
    answer_words,
    compared_words,
    gravity_words,
    mark_rows,
    tape_choices,
)

__all__ = ["Bench"]

_FIELDS = {
    "kind": "kind of ball",
    "tape": "compared with the tape's",
    "ball": "ball's name",
    "floor": "floor",
    "pressure": "gauge pressure",
    "height": "drop height by tape",
}
_BEFORE, _AFTER = 0.35, 0.65  # s, shown about a drop
_WIDEST = 60.0  # s, shown at once where no drop was heard


class Bench:
    """What a person does to the impacts of a recording, kept at every step.

    Parameters
    ----------
    folder : pathlib.Path
        Where the journal is kept.
    class_file : path-like, optional
        A class's table of taped drops.

    Attributes
    ----------
    journal : Journal
        Settings, edits, and a row for each drop that was sent.
    name : str
        The recording that is open; empty if none is.
    marks : list of Mark
        Of the chosen drop, as they stand now.
    drop : HeardDrop or None
        What those that count say.
    """

    def __init__(
        self, folder: Path, class_file: str | os.PathLike[str] | None = None
    ) -> None:
        self.journal = Journal(folder / "timed-drops.jsonl")
        self.name = ""
        self.marks: list[Mark] = []
        self.drop: HeardDrop | None = None
        self._tapes = Tapes(folder / "drop-lab.jsonl", class_file)
        self._heard: Heard | None = None
        self._place = 0
        self._mark = ""
        self._why = ""
        self._saved = "Each step is kept at once."
        self._sent = ""

    def setting(self, name: str) -> str:
        """Give one of the settings that are kept, or an empty text."""
        return str(self.journal.sheet.setup.get(f"answer-{name}", ""))

    @property
    def ball(self) -> Ball | None:
        """The kind of ball that is corrected for."""
        return find_ball(self.setting(_FIELDS["kind"]))

    @property
    def chosen(self) -> Mark | None:
        """The mark that is looked at closely."""
        return next((each for each in self.marks if each.name == self._mark), None)

    @property
    def window(self) -> tuple[float, float]:
        """The part of the recording that is shown, in s."""
        if self._heard is None:
            return 0.0, 0.0
        seconds = self._heard.seconds
        if not self._heard.drops:
            return 0.0, min(seconds, _WIDEST)
        drop = self._heard.drops[self._place]
        start, end = drop.impacts[0] - _BEFORE, drop.impacts[-1] + _AFTER
        return max(0.0, start), min(seconds, end)

    def open(self, name: str, heard: Heard) -> None:
        """Go over to a recording.

        Parameters
        ----------
        name : str
            Its name.
        heard : Heard
            What was heard in it.
        """
        if name != self.name:
            self._place, self._mark, self._sent = 0, "", ""
        self.name, self._heard = name, heard
        if self.setting("recording") != name:
            self._keep("recording", name, whole=True)
        self._think()

    def close(self) -> None:
        """Have no recording open."""
        self.name, self._heard, self.marks, self.drop = "", None, [], None

    def suggest(self, ball: str) -> None:
        """Take over the kind of a ball; a ball without a kind leaves it open."""
        found = find_ball(ball) if ball else None
        kind = found.id if found is not None else ""
        if kind != self.setting(_FIELDS["kind"]):
            self._keep(_FIELDS["kind"], kind, whole=True)

    def rename(self, name: str) -> None:
        """Take edits over to the name that a recording was saved under."""
        if self.name and name != self.name:
            old, self.name = self.name, name
            for key, text in self._edits(old).items():
                self._keep(f"{name}: {key}", text, whole=True)
        self._keep("recording", name, whole=True)
        self._think()

    def take(self, step: dict[str, Any]) -> None:
        """Take one step.

        Parameters
        ----------
        step : dict
            ``do`` is ``drop`` (place), ``mark`` (mark), ``nudge`` (mark, by in s),
            ``place`` (mark, text in s), ``counts`` (mark, counts), ``add`` (at,
            optional), ``kind`` or another field (text), ``group`` (text), ``send``,
            ``undo`` or ``redo``.

        Raises
        ------
        InputError
            If it cannot be done; nothing has changed then.
        FileError
            If it cannot be kept on disk; it is done all the same.
        """
        do = str(step.get("do"))
        self._sent = ""
        try:
            if do in ("undo", "redo"):
                if self._leads_on(do):
                    self.journal.step({"do": do})
                    self._write()
            elif do == "drop":
                self._place = self._of_drops(step.get("place"))
                self._mark = ""
            elif do == "mark":
                self._mark = self._known(step).name
            elif do == "send":
                self._send()
            elif do == "group":
                text = str(step.get("text", ""))
                self.journal.step({"do": "setup", "field": "group", "text": text})
            elif do in _FIELDS:
                self._keep(_FIELDS[do], str(step.get("text", "")))
                self._follow_tape(do)
            elif do in ("nudge", "place", "counts", "add"):
                self._edit(do, step)
            else:
                raise InputError("a step", repr(do), "one that the page offers", "")
            if do not in ("drop", "mark"):
                self._saved = f"✓ Kept in {self._where(self.journal.path)}."
        finally:
            self._think()

    def _leads_on(self, do: str) -> bool:
        """Whether there is a step to undo or redo, in this recording's own work."""
        history = self.journal.history
        steps = history.past if do == "undo" else history.future
        mine = self.setting("recording")
        return bool(steps) and steps[-1].setup.get("answer-recording", "") == mine

    def _edit(self, do: str, step: dict[str, Any]) -> None:
        if do == "add":
            self._add(step.get("at"))
            return
        mark = self._known(step)
        self._mark = mark.name
        if do == "counts":
            text = "yes" if step.get("counts") else "no"
            self._keep_edit(f"{mark.name}, counts", text, whole=True)
        elif do == "nudge":
            self._move(mark, mark.time + float(step.get("by") or 0.0))
        else:
            self._move(mark, _seconds(str(step.get("text", "")), self._heard), True)

    def _move(self, mark: Mark, time: float, whole: bool = False) -> None:
        seconds = self._heard.seconds if self._heard else 0.0
        time = min(max(time, 0.0), seconds)
        what = "placed at" if mark.heard is None else "moved to"
        self._keep_edit(f"{mark.name}, {what}", f"{time:.4f} s", whole=whole)

    def _add(self, at: Any) -> None:
        if self._heard is None:
            raise InputError(
                what="an impact",
                read="no recording that is open",
                allowed="a recording",
                do="Choose one, load one or record one first.",
            )
        time = at if isinstance(at, (int, float)) else next_place(self.marks)
        if time is None:
            time = sum(self.window) / 2
        start = f"drop {self._place + 1}, added impact "
        known = [key for key in self._edits(self.name) if key.startswith(start)]
        number = len({key.split(", ")[1] for key in known}) + 1
        self._mark = f"{start}{number}"
        time = min(max(float(time), 0.0), self._heard.seconds)
        self._keep_edit(f"{self._mark}, placed at", f"{time:.4f} s", whole=True)

    def _send(self) -> None:
        """Put the drop into the class's table, marked as timed."""
        if self.drop is None:
            raise InputError(
                what="this drop",
                read=self._why or "no answer yet",
                allowed="three impacts or more that give e",
                do="Mend the impacts first.",
            )
        taped = self._taped()
        drop, rebound = as_heights(self.drop, self.ball, drop_height=taped)
        label = f"{self.name}, drop {self._place + 1}"
        kind = self.ball
        name = self.setting(_FIELDS["ball"]).strip() or (kind.name if kind else "")
        first = "drop height by tape" if taped else "from the top of the first bounce"
        cells = {
            "ball": name or "ball that was heard",
            "floor": self.setting(_FIELDS["floor"]),
            "drop_height": f"{drop:.4f} m",
            "rebound_height": f"{rebound:.4f} m",
            "gauge_pressure": self.setting(_FIELDS["pressure"]),
            "note": f"{label}; {first}",
            "method": "timed",
        }
        row = self._row_of(label)
        self.journal.step({"do": "row", "row": row, "cells": cells})
        where = self._write()
        every = drops_of(self.journal.sheet).findings
        found = [each for each in every if each.row == row + 1]
        doubts = "".join(f" ? {each.why} {each.cure}" for each in found)
        self._sent = f"✓ Row {row + 1} of {where}, marked as timed.{doubts}"

    def _taped(self) -> float | None:
        """Give the drop height that was read on a tape, in m, if it was."""
        height = self.setting(_FIELDS["height"]).strip()
        return read_length(height, unit="cm") if height else None

    def _row_of(self, label: str) -> int:
        """Give the row of a drop that was sent before, or the first empty one."""
        rows = self.journal.sheet.rows
        for place, row in enumerate(rows):
            if any(cell.startswith(f"{label};") for cell in row):
                return place
        empty = (place for place, row in enumerate(rows) if not any(row))
        return next(empty, len(rows))

    def _write(self) -> str:
        """Write the class file anew; without a drop there is none, and no file."""
        path = self.journal.path.with_suffix(".csv")
        if self.journal.sheet.table()[1]:
            write_drops(drops_of(self.journal.sheet), path)
        else:
            path.unlink(missing_ok=True)
        return self._where(path)

    def _follow_tape(self, do: str) -> None:
        """Take the kind of ball from the tape's, if none is chosen yet."""
        row = self._tape()
        if do == "tape" and row is not None and row.kind and self.ball is None:
            self._keep(_FIELDS["kind"], row.kind, whole=True)

    def _tape(self) -> BallBounce | None:
        return self._tapes.rows().get(self.setting(_FIELDS["tape"]))

    def _edits(self, name: str) -> dict[str, str]:
        start = f"answer-{name}: "
        setup = self.journal.sheet.setup
        return {
            k.removeprefix(start): v for k, v in setup.items() if k.startswith(start)
        }

    def _keep_edit(self, key: str, text: str, *, whole: bool = False) -> None:
        self._keep(f"{self.name}: {key}", text, whole=whole)

    def _keep(self, name: str, text: str, *, whole: bool = False) -> None:
        step = {"do": "setup", "field": f"answer-{name}", "text": text}
        self.journal.step({**step, "whole": True} if whole else step)

    def _where(self, path: Path) -> str:
        return f"{path.parent.name}/{path.name}"

    def _known(self, step: dict[str, Any]) -> Mark:
        for each in self.marks:
            if each.name == step.get("mark"):
                return each
        raise InputError(
            what="an impact",
            read=f"“{step.get('mark')}”",
            allowed="one in the table",
            do="Choose one of them.",
        )

    def _of_drops(self, place: Any) -> int:
        count = len(self._heard.drops) if self._heard else 0
        return min(max(int(place or 0), 0), max(count - 1, 0))

    def _think(self) -> None:
        """Reckon anew with the impacts as they stand."""
        self.marks, self.drop, self._why = [], None, ""
        if self._heard is None:
            return
        self._place = self._of_drops(self._place)
        mine = f"drop {self._place + 1}, "
        edits = {
            key: text
            for key, text in self._edits(self.name).items()
            if key.startswith(("impact at ", mine))
        }
        self.marks = edited(marks_of(self._heard, self._place), edits)
        try:
            self.drop = reckon(self.marks, self.ball)
        except BounceLabError as error:
            self._why = str(error)

    def state(self) -> dict[str, Any]:
        """Give what the page shows, as texts."""
        drop, row = self.drop, self._tape()
        if drop is not None:
            answer = answer_words(self.marks, drop, self.ball)
            with suppress(InputError):  # what is typed is looked at when it is sent
                taped = self._taped()
                answer += [] if taped is None else [gravity_words(drop, taped)]
        else:
            any_counts = any(each.counts for each in self.marks)
            answer = [f"? {self._why}"] if self._why and any_counts else []
        fields = {name: self.setting(kept) for name, kept in _FIELDS.items()}
        count = len(self._heard.drops) if self._heard else 0
        return {
            "recording": self.name,
            "drops": [[str(k), f"drop {k + 1} of {count}"] for k in range(count)],
            "drop": str(self._place),
            "marks": mark_rows(self.marks, drop),
            "mark": self._mark,
            "answer": answer,
            "compared": compared_words(drop, row, self.ball) if drop and row else "",
            "fields": {**fields, "group": self.journal.sheet.setup["group"]},
            "kinds": [["", "not known"], *([b.id, b.name] for b in balls())],
            "tapes": tape_choices(self._tapes.rows()),
            "sent": self._sent,
            "saved": " ".join([self._saved, *self.journal.remarks]),
            "can_undo": self._leads_on("undo"),
            "can_redo": self._leads_on("redo"),
        }


def _seconds(text: str, heard: Heard | None) -> float:
    seconds = heard.seconds if heard else 0.0
    try:
        time = float(text.strip().removesuffix("s").strip().replace(",", "."))
    except ValueError:
        time = -1.0
    if not 0 <= time <= seconds:
        raise InputError(
            what="the time of an impact",
            read=f"“{text}”",
            allowed=f"0 to {seconds:.2f} seconds",
            do="Type seconds from the start of the recording, such as 1.2345.",
        )
    return time
