"""Questions with boxes for an answer in words, kept at every key."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import traitlets

from bouncelab.errors import BounceLabError
from bouncelab.readings.journal import Journal
from bouncelab.widgets.front import Panel

__all__ = ["Answers", "Question"]

Told = Callable[[dict[str, str]], str]


class Question(Panel):
    """One or more questions; what is typed is a setting of a journal's sheet."""

    questions = traitlets.List([]).tag(sync=True)
    state = traitlets.Dict({}).tag(sync=True)


class Answers:
    """A student's answers in one notebook, kept on disk at every key.

    Parameters
    ----------
    name : str
        Names the notebook's file of answers.
    folder : path-like, optional
        Where it is kept, from the notebook's own folder on.

    Raises
    ------
    FileError
        If a file of answers is there and cannot be read.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as place:
    ...     answers = Answers("doctest", folder=place)
    ...     box = answers.ask(("guess", "How high?", "such as 90 cm"))
    ...     answers.take({"do": "setup", "field": "answer-guess", "text": "80 cm"})
    ...     Answers("doctest", folder=place).given("guess")
    '80 cm'
    """

    def __init__(
        self, name: str, *, folder: str | os.PathLike[str] = "readings"
    ) -> None:
        self.journal = Journal(Path(folder) / f"{name}.jsonl")
        self._panels: list[tuple[Question, Told | None]] = []

    def given(self, name: str) -> str:
        """Give the answer to a question, or an empty text."""
        return str(self.journal.sheet.setup.get(f"answer-{name}", ""))

    def ask(self, *questions: Sequence[str], told: Told | None = None) -> Question:
        """Give a panel that asks.

        Parameters
        ----------
        *questions : (str, str) or (str, str, str)
            Name, the question, and for a short answer an example of it; without
            an example the box has room for some sentences.
        told : callable, optional
            Takes all answers by name and gives a sentence to show beneath.

        Returns
        -------
        Question
            To show in a notebook.
        """
        asked = [
            {
                "field": f"answer-{name}",
                "text": text,
                "example": more[0] if more else "",
                "long": not more,
            }
            for name, text, *more in questions
        ]
        place = f"{self.journal.path.absolute()} {asked[0]['field']}"
        panel = Question(part="question", key=place, questions=asked)
        panel.on_msg(self._heard)
        self._panels.append((panel, told))
        self._show("")
        return panel

    def take(self, step: dict[str, Any]) -> None:
        """Take one step of a person's work and keep it."""
        problem = ""
        try:
            self.journal.step(step)
        except BounceLabError as error:
            problem = str(error)
        self._show(problem)

    def refresh(self) -> None:
        """Show what stands beneath the answers anew."""
        self._show("")

    def _heard(self, panel: Question, content: dict[str, Any], _buffers: Any) -> None:
        if isinstance(content.get("step"), dict):
            self.take(content["step"])
        panel.send({"number": content.get("number")})

    def _show(self, problem: str) -> None:
        setup = dict(self.journal.sheet.setup)
        answers = {
            name.removeprefix("answer-"): text
            for name, text in setup.items()
            if name.startswith("answer-")
        }
        for panel, told in self._panels:
            filled = any(setup.get(q["field"], "").strip() for q in panel.questions)
            said = told(answers) if told and filled else ""
            if filled and not said:
                said = f"✓ Kept in {self.journal.path.parent.name}."
            panel.state = {
                "setup": setup,
                "answer": f"✕ {problem}" if problem else said,
                "bad": bool(problem),
            }
