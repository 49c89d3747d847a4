"""What the cells of a source talk to: it draws givens and takes answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextvars import ContextVar
from types import SimpleNamespace
from typing import Any

from bouncelab.errors import InputError, NotebookError
from bouncelab.figures.picture import Picture
from bouncelab.measures import from_si, quantity_of, to_si
from bouncelab.worksheets.answers import Answer, choice_asked, number_asked
from bouncelab.worksheets.givens import (
    Choice,
    Given,
    Reading,
    draw,
    one_of,
    reading,
    whole,
)
from bouncelab.worksheets.insets import Drawing, Table
from bouncelab.worksheets.shown import Shown, decimals_shown, significant

__all__ = ["Sheet", "current_sheet", "one_of", "reading", "start_sheet", "whole"]

current_sheet: ContextVar[Sheet | None] = ContextVar("sheet", default=None)


class Sheet:
    """One sheet while its source runs.

    Parameters
    ----------
    code : str, optional
        Draws the givens.
    givens : mapping of str to object, optional
        Givens of an earlier run, in place of drawing.
    earlier : mapping of str to object, optional
        A student's own answers, with which later cells shall go on.
    """

    def __init__(
        self,
        code: str = "example",
        givens: Mapping[str, Any] | None = None,
        earlier: Mapping[str, Any] | None = None,
    ) -> None:
        self.code = code
        self._fixed = givens
        self._earlier = earlier or {}
        self.givens: dict[str, Given] = {}
        self.drawn: dict[str, Given] = {}
        self.steps: dict[str, Given] = {}
        self.answers: dict[str, Answer] = {}
        self.drawings: dict[str, Drawing] = {}
        self.tables: dict[str, Table] = {}

    def draw(
        self,
        *,
        such_that: Mapping[str, Callable[[Any], bool]] | None = None,
        **scales: Reading | Choice,
    ) -> SimpleNamespace:
        """Draw the givens.

        Parameters
        ----------
        such_that : mapping of str to callable, optional
            What must hold, in words, and as a function of the givens.
        **scales : Reading or Choice
            A scale for each given.

        Returns
        -------
        SimpleNamespace
            The givens by their names, in SI, just as the sheet shows them.

        Raises
        ------
        NotebookError
            If what must hold cannot be met.
        """
        if self._fixed is None:
            found = draw(scales, self.code, such_that or {})
        else:
            found = {
                name: Given(name, value, scales[name].show(value))
                for name, value in self._fixed.items()
                if name in scales
            }
            if len(found) < len(scales):
                raise NotebookError(
                    what="the givens of a sheet",
                    read=", ".join(self._fixed) or "none",
                    allowed=", ".join(scales),
                    do="Use the source from which the sheet was made.",
                )
        self.drawn |= found
        self.givens |= found
        return SimpleNamespace(**{name: each.value for name, each in found.items()})

    def given(
        self,
        name: str,
        value: float,
        *,
        unit: str = "",
        quantity: str = "",
        figures: int = 3,
        step: float | None = None,
    ) -> float:
        """Put a number that was worked out on the sheet, rounded.

        Parameters
        ----------
        name : str
            For its place in the text.
        value : float
            In SI.
        unit, quantity : str, optional
            As people see it.
        figures : int, optional
            Significant figures.
        step : float, optional
            In place of figures: with the decimals of this step of a scale.

        Returns
        -------
        float
            In SI, as the sheet shows it, to go on with.
        """
        measured = quantity or quantity_of(unit)
        number = from_si(float(value), unit, measured)
        if step is None:
            text = significant(number, figures)
        else:
            text = decimals_shown(number, step)
        self.givens[name] = Given(name, value, Shown(text, unit))
        return to_si(float(text.replace("−", "-")), unit, measured)

    def say(self, name: str, text: str) -> None:
        """Put words on the sheet that differ from sheet to sheet.

        Parameters
        ----------
        name : str
            For their place in the text.
        text : str
            Markdown.
        """
        self.givens[name] = Given(name, text, Shown(text))

    def step(
        self,
        name: str,
        value: float,
        *,
        unit: str = "",
        quantity: str = "",
        figures: int = 3,
    ) -> float:
        """Keep a number for the worked steps; it never stands on a sheet.

        Parameters
        ----------
        name : str
            For its place in the text.
        value : float
            In SI.
        unit, quantity : str, optional
            As people see it.
        figures : int, optional
            Significant figures shown.

        Returns
        -------
        float
            The value, not rounded.
        """
        text = significant(from_si(float(value), unit, quantity), figures)
        self.steps[name] = Given(name, value, Shown(text, unit))
        return value

    def answer(self, question: str, value: float, **asked: Any) -> Any:
        """Ask for a number.

        Parameters
        ----------
        question : str
            A name for its place in the text.
        value : float
            The answer, in SI.
        **asked : object
            ``unit``, ``tolerance``, ``figures``, ``step``, ``marks``, ``wrong``,
            ``symbol``, ``space``, ``quantity``, ``unit_matters``: see
            `bouncelab.worksheets.answers`.

        Returns
        -------
        float
            The value, to go on with. When a sheet is marked, a student's own.

        Raises
        ------
        InputError
            If something cannot be used.
        """
        asked.setdefault("space", "2.2cm")
        return self._take(number_asked(question, value, **asked))

    def choice(
        self,
        question: str,
        right: str,
        *,
        among: Sequence[str],
        wrong: Mapping[str, str] | None = None,
        marks: int = 1,
        symbol: str = "",
    ) -> Any:
        """Ask which of some words is right.

        Parameters
        ----------
        question : str
            A name for its place in the text.
        right : str
            The right words.
        among : sequence of str
            What there is to choose from.
        wrong : mapping of str to str, optional
            Wrong ideas with the words they lead to.
        marks : int, optional
            Marks.
        symbol : str, optional
            Markdown before the place of the answer.

        Returns
        -------
        str
            The words, to go on with. When a sheet is marked, a student's own.

        Raises
        ------
        InputError
            If the right words are not among those to choose from.
        """
        asked = choice_asked(
            question, right, among, wrong or {}, marks=marks, symbol=symbol
        )
        return self._take(asked)

    def words(
        self,
        question: str,
        expected: Sequence[str],
        *,
        lines: int = 4,
        marks: int = 2,
    ) -> None:
        """Ask for an answer in words, which the teacher reads.

        Parameters
        ----------
        question : str
            A name for its place.
        expected : sequence of str
            Points to look for.
        lines : int, optional
            Lines to write on.
        marks : int, optional
            Marks.
        """
        self._take(
            Answer(
                question,
                "words",
                marks=marks,
                expected=tuple(expected),
                space=str(int(lines)),
            )
        )

    def drawing(
        self,
        question: str,
        expected: Sequence[str],
        *,
        space: str = "",
        marks: int = 2,
    ) -> None:
        """Ask for a drawing, which the teacher looks at.

        Parameters
        ----------
        question : str
            A name for its place in the text.
        expected : sequence of str
            Points to look for.
        space : str, optional
            Height of an empty box to draw in, such as ``"6cm"``; none if the text
            has a figure to draw into.
        marks : int, optional
            Marks.
        """
        self._take(
            Answer(
                question, "drawing", marks=marks, expected=tuple(expected), space=space
            )
        )

    def _take(self, asked: Answer) -> Any:
        again = asked.question in self.answers or asked.question in self.givens
        if again and current_sheet.get() is self:  # a notebook may run a cell again
            raise InputError(
                what="the name of a question",
                read=f"“{asked.question}”, which is taken",
                allowed="a name that no given and no other question has",
                do="Choose another one, and change its place in the text.",
            )
        self.answers[asked.question] = asked
        return self._earlier.get(asked.question, asked.value)

    def picture(
        self,
        name: str,
        make: Callable[[], Picture],
        *,
        caption: str = "",
        width: str = "100%",
    ) -> None:
        """Put a figure on the sheet.

        Parameters
        ----------
        name : str
            For its place in the text.
        make : callable
            Draws it; called when a form needs it.
        caption : str, optional
            A line below it, Markdown.
        width : str, optional
            Such as ``"10cm"``.
        """
        self.drawings[name] = Drawing(make, caption, width)

    def table(
        self,
        name: str,
        headings: Sequence[str],
        rows: Sequence[Sequence[object]],
        *,
        caption: str = "",
    ) -> None:
        """Put a table on the sheet.

        Parameters
        ----------
        name : str
            For its place in the text.
        headings : sequence of str
            Markdown, one for each column.
        rows : sequence of sequence
            Cells; what is no text is written as text.
        caption : str, optional
            What the table shows.
        """
        cells = tuple(tuple(str(each) for each in row) for row in rows)
        self.tables[name] = Table(tuple(headings), cells, caption)

    def _repr_markdown_(self) -> str:
        from bouncelab.worksheets.preview import example

        return example(self)


def start_sheet() -> Sheet:
    """Begin a worksheet: the first thing that a source does.

    Returns
    -------
    Sheet
        In a notebook that is open, an example; while sheets are made, one of them.

    Examples
    --------
    >>> sheet = start_sheet()
    >>> sheet.answer("e", 0.8, figures=2)
    0.8
    """
    running = current_sheet.get()
    return Sheet() if running is None else running
