"""What every lesson has: a stage to play with, and questions kept at every key."""

from __future__ import annotations

import os
from typing import Any

from bouncelab.widgets.questions import Answers, Told

__all__ = ["Lesson"]

_WHY = "Why do you think so?"


class Lesson:
    """One notebook's parts, with the student's answers kept on disk.

    Parameters
    ----------
    name : str
        Names the file of answers.
    folder : path-like
        Where it is kept, from the notebook's own folder on.

    Attributes
    ----------
    answers : Answers
        What the student wrote.
    """

    def __init__(self, name: str, folder: str | os.PathLike[str]) -> None:
        self.answers = Answers(name, folder=folder)

    def ask(
        self, name: str, question: str, example: str = "", told: Told | None = None
    ) -> Any:
        """Give a panel that asks for a guess with a reason, or for some sentences.

        Parameters
        ----------
        name : str
            The answer's name, unique in the lesson.
        question : str
            What to ask.
        example : str, optional
            Of a short answer; it is then asked why, too.
        told : callable, optional
            Takes all answers by name and gives a sentence to show beneath.

        Returns
        -------
        Question
            To show in a notebook.
        """
        if example:
            asked = ((name, question, example), (f"{name}-why", _WHY))
            return self.answers.ask(*asked, told=told)
        return self.answers.ask((name, question), told=told)
