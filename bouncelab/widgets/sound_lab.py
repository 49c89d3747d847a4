"""The sound lab: listen to a recording, mend its impacts, and get e without a tape."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import Any

import traitlets

from bouncelab.errors import BounceLabError
from bouncelab.readings.sound import Heard, listen
from bouncelab.readings.stretch import Stretch, read_stretch
from bouncelab.widgets.front import Panel, script, style
from bouncelab.widgets.lessons.lesson import Lesson
from bouncelab.widgets.sound_bench import Bench
from bouncelab.widgets.sound_files import (
    Recordings,
    known_endings,
    readable_endings,
)
from bouncelab.widgets.sound_words import heard_words

__all__ = ["Listening", "SoundLab"]

_COLUMNS = 500  # of a waveform
_CLOSE = 0.012  # s, seen before and after a chosen impact
_MOST_AT_ONCE = 60.0  # s; of a longer recording one drop at a time is played
_FILES = "sound_lab.js", "microphone.js"


class Listening(Panel):
    """A recording with its impacts, and what they say."""

    _esm = script(*_FILES)
    _css = style("sound_lab.css")
    state = traitlets.Dict({}).tag(sync=True)
    view = traitlets.Dict({}).tag(sync=True)
    busy = traitlets.Unicode("").tag(sync=True)
    endings = traitlets.Unicode(",".join(known_endings())).tag(sync=True)
    reads = traitlets.List(list(readable_endings())).tag(sync=True)


class SoundLab(Lesson):
    """Recordings of bouncing balls: loaded, recorded, looked at, mended, sent on.

    Parameters
    ----------
    class_file : path-like, optional
        A class's table, whose tape results can be compared with; the kit's recordings
        are looked for beside it first.
    folder : path-like, optional
        Where answers, edits and recordings are kept, from the notebook's own folder
        on.

    Attributes
    ----------
    prediction, explanation : Question
        Before and after.
    desk : Listening
        The recording and its impacts; showing the lab shows it.
    bench : Bench
        What a person did to the impacts, and what comes of it.
    heard : Heard or None
        The recording that is open.

    Raises
    ------
    FileError
        If the class's table, or a file of answers, is there and cannot be read.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> lab = SoundLab(folder=folder.name)
    >>> lab.take({"do": "choose", "name": "invented/basketball.wav"})
    >>> len(lab.heard.drops), abs(lab.bench.drop.restitution - 0.79) < 0.02
    (1, True)
    >>> folder.cleanup()
    """

    def __init__(
        self,
        class_file: str | os.PathLike[str] | None = None,
        folder: str | os.PathLike[str] = "readings",
    ) -> None:
        super().__init__("listening", folder)
        data = None if class_file is None else Path(class_file).parent
        self.recordings = Recordings(Path(folder) / "recordings", data)
        self.bench = Bench(Path(folder), class_file)
        self.heard: Heard | None = None
        self._part: Stretch | None = None
        self._bad = ""
        self.prediction = self.ask(
            "how",
            "A phone lies on the floor and records a ball that bounces beside it. "
            "Nobody measures a height. Can the recording tell how bouncy the ball is?",
            "yes or no",
        )
        self.explanation = self.ask(
            "why",
            "Someone says: the loudness of each bounce says how bouncy the ball is. "
            "What do you answer, and why are times better than heights read by eye?",
        )
        key = str(self.bench.journal.path.absolute())
        self.desk = Listening(part="listening", key=key)
        self.desk.on_msg(self._told)
        name = self.bench.setting("recording")
        if name:
            self._open(name)
        self._show()

    def take(self, step: dict[str, Any]) -> None:
        """Take one step of a person's work, keep it, and answer it.

        Parameters
        ----------
        step : dict
            ``do`` is ``choose`` (name), ``save``, or a step of `Bench`.
        """
        self._bad = ""
        try:
            if step.get("do") == "choose":
                if step.get("name"):
                    self._choose(str(step["name"]))
            elif step.get("do") == "save":
                name = self.recordings.save()
                self.bench.rename(name)
            else:
                self.bench.take(step)
        except BounceLabError as error:
            self._bad = str(error)
        self._show()

    def load(self, name: str, data: bytes, *, keep: bool = True) -> None:
        """Take in a recording from the page, all at once.

        Parameters
        ----------
        name : str
            What the file is called.
        data : bytes
            All of it.
        keep : bool, optional
            Write it into the folder of recordings.
        """
        self._take_piece(
            {"name": name, "first": True, "last": True, "keep": keep}, data
        )

    def _told(self, panel: Panel, content: dict[str, Any], buffers: Any) -> None:
        asked = content.get("ask")
        if isinstance(content.get("step"), dict):
            self.take(content["step"])
            panel.send({"number": content.get("number")})
        elif asked == "piece":
            # What went wrong stands in the state; the page only stops sending.
            self._take_piece(content, b"".join(bytes(each) for each in buffers or ()))
            panel.send({"piece": "bad" if self._bad else "ok"})
        elif asked == "play":
            self._play(content.get("part") == "whole")

    def _take_piece(self, content: dict[str, Any], piece: bytes) -> None:
        self._bad = ""
        try:
            path = self.recordings.take_piece(
                str(content.get("name", "")), piece, first=bool(content.get("first"))
            )
            if not content.get("last"):
                return
            heard = self._listened(path)
            name = self.recordings.accept(path, keep=bool(content.get("keep")))
            self._suggest(name)
            self._opened(name, heard)
        except BounceLabError as error:
            self.recordings.refuse()
            still = f" Below is still {self.bench.name}." if self.bench.name else ""
            self._bad = f"{error}{still}"
        self._show()

    def _choose(self, name: str) -> None:
        heard = self._listened(self.recordings.path(name))
        self._suggest(name)
        self._opened(name, heard)

    def _suggest(self, name: str) -> None:
        """Know the ball of an invented recording, and forget it after that one."""
        ball = self.recordings.ball(name)
        if ball or self.recordings.ball(self.bench.name):
            self.bench.suggest(ball)

    def _opened(self, name: str, heard: Heard) -> None:
        """Go over to a recording that could be read."""
        self.heard = heard
        self.bench.open(name, heard)

    def _open(self, name: str) -> None:
        """Take up a recording again that a step in the journal names."""
        self.heard = None
        self.bench.close()
        if name:
            try:
                self._opened(name, self._listened(self.recordings.path(name)))
            except BounceLabError as error:
                self._bad = str(error)

    def _listened(self, path: Path) -> Heard:
        said = 0

        def progress(seconds: float) -> None:
            nonlocal said
            if seconds - said >= 60:
                said = int(seconds)
                self.desk.busy = f"Listening: {said // 60} min so far …"

        if hasattr(self, "desk"):
            self.desk.busy = "Listening …"
        try:
            return listen(path, progress=progress)
        finally:
            if hasattr(self, "desk"):
                self.desk.busy = ""

    def _play(self, whole: bool) -> None:
        """Hand a part of the recording to the page, as WAV."""
        start, end = self.bench.window
        if whole and self.heard is not None:
            start, end = 0.0, min(self.heard.seconds, _MOST_AT_ONCE)
        try:
            path = self.recordings.path(self.bench.name)
            part = read_stretch(path, start, min(end, start + _MOST_AT_ONCE))
        except BounceLabError as error:
            self._bad = str(error)
            self._show()
            return
        self.desk.send({"sound": part.start}, buffers=[part.wav()])

    def _show(self) -> None:
        said = heard_words(self.heard, self.bench.name) if self.heard else []
        seconds = self.heard.seconds if self.heard else 0.0
        with self.desk.hold_sync():
            self.desk.state = {
                "recordings": [("", "choose one"), *self.recordings.choices()],
                "said": said,
                "bad": self._bad,
                "unsaved": bool(self.recordings.unsaved)
                and self.bench.name == self.recordings.unsaved,
                "whole": 0 < seconds <= _MOST_AT_ONCE,
                **self.bench.state(),
            }
            self.desk.view = self._view()

    def _view(self) -> dict[str, Any]:
        """Give the waveform of the drop, and of the chosen impact closely."""
        if self.heard is None:
            return {}
        start, end = self.bench.window
        part = self._stretch(start, end)
        if part is None:
            return {}
        low, high = part.outline(start, end, _COLUMNS)
        near = self.bench.chosen
        close: dict[str, Any] = {}
        if near is not None:
            a, b = near.time - _CLOSE, near.time + _CLOSE
            bottom, top = part.outline(a, b, _COLUMNS)
            close = {"start": a, "end": b, "at": near.time, **_drawn(bottom, top)}
        return {"start": start, "end": end, **_drawn(low, high), "close": close}

    def _stretch(self, start: float, end: float) -> Stretch | None:
        """Read the samples of the drop, unless they are at hand."""
        held = self._part
        key = (self.bench.name, start, end)
        if held is None or self._part_of != key:
            held = None
            with suppress(BounceLabError):
                held = read_stretch(self.recordings.path(self.bench.name), start, end)
            self._part, self._part_of = held, key
        return held

    _part_of: tuple[str, float, float] = ("", 0.0, 0.0)

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self.desk._repr_mimebundle_(**kwargs)


def _drawn(low: Any, high: Any) -> dict[str, Any]:
    """Give an outline as shares of its largest value, short to send."""
    top = max(float(abs(low).max()), float(abs(high).max()), 1e-6)
    return {
        "low": [round(float(each), 3) for each in low / top],
        "high": [round(float(each), 3) for each in high / top],
    }
