"""Worksheets made and marked in a notebook, with a preview, by a teacher."""

from __future__ import annotations

import html
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets

from bouncelab.errors import BounceLabError
from bouncelab.places import kit_folder

if TYPE_CHECKING:
    from bouncelab.batches import Done
    from bouncelab.worksheets.roster import Student
    from bouncelab.worksheets.source import Source

__all__ = ["MakeSheets", "MarkSheets"]

_WIDE = ipywidgets.Layout(width="36em", max_width="100%")
_NAMES = {"description_width": "12em"}


class MakeSheets:
    """Choose a worksheet, look at an example, and make a class's sheets.

    Attributes
    ----------
    source : ipywidgets.Dropdown
        One of the kit's worksheets.
    own : ipywidgets.Text
        The file of a notebook of one's own, which then counts.
    students, blank, seed, out : ipywidgets widgets
        The list of names, sheets without names, the words that decide the numbers,
        and the folder to write into.
    forms : ipywidgets.SelectMultiple
        Notebook, page, PDF.
    look, make : ipywidgets.Button
        Show an example, another one at each press; make the sheets.
    bar : ipywidgets.IntProgress
        How far it is.
    said, shown : ipywidgets.HTML
        What came of it, and the example.

    Examples
    --------
    >>> ("A cold ball (from age 14)", "age_14_cold_ball") in MakeSheets().source.options
    True
    """

    def __init__(self) -> None:
        self.source = ipywidgets.Dropdown(
            options=_kit(), description="Worksheet", layout=_WIDE, style=_NAMES
        )
        self.own = _line("Or a file of your own", "", "such as my_sheet.ipynb")
        self._looked = 0
        self.students = _line("List of names", "", "roster.csv, with a column name")
        self.blank = ipywidgets.BoundedIntText(
            max=10_000, description="Sheets without names", layout=_WIDE, style=_NAMES
        )
        self.seed = _line("Secret words", "", "the same words give the same sheets")
        self.out = _line("Folder for the sheets", "sheets", "")
        self.forms = ipywidgets.SelectMultiple(
            options=[("notebook", "ipynb"), ("page", "html"), ("paper (PDF)", "pdf")],
            value=("ipynb", "html", "pdf"),
            rows=3,
            description="Forms",
            layout=_WIDE,
            style=_NAMES,
        )
        self.look = _button("Show an example")
        self.make = _button("Make the sheets")
        self.bar = ipywidgets.IntProgress(description="Made", style=_NAMES)
        self.bar.layout.display = "none"
        self.said, self.shown = ipywidgets.HTML(), ipywidgets.HTML()
        self.look.on_click(lambda _: _told(self.said, self._look))
        self.make.on_click(lambda _: _told(self.said, self._make))
        which = [self.source, self.own]
        asked = [*which, self.students, self.blank, self.seed, self.out]
        buttons = ipywidgets.HBox([self.look, self.make])
        shown = [self.bar, self.said, self.shown]
        self._box = ipywidgets.VBox([*asked, self.forms, buttons, *shown]).add_class(
            "bl-homework"
        )

    def _look(self) -> list[str]:
        from bouncelab.typesetting.making import make_html
        from bouncelab.worksheets.codes import new_code
        from bouncelab.worksheets.key_paper import key_paper
        from bouncelab.worksheets.paper_form import sheet_paper
        from bouncelab.worksheets.running import solve_code

        self.shown.value = ""
        source = self._source()
        code = new_code("an example", "nobody", self._looked, source.ranges)
        self._looked += 1
        variant = solve_code(source, code)
        self.shown.value = _page(
            make_html(sheet_paper(source, variant, "An Example")), "an example sheet"
        ) + _page(make_html(key_paper(source, [(variant, "An Example")])), "its key")
        return [
            f"✓ Example {self._looked} of “{source.title}”, and below it its key. "
            "Press again for other numbers."
        ]

    def _source(self) -> Source:
        from bouncelab.worksheets.source import read_source

        return read_source(self.own.value.strip() or self.source.value)

    def _make(self) -> list[str]:
        from bouncelab.errors import InputError
        from bouncelab.worksheets.making import blank_students, make_sheets
        from bouncelab.worksheets.roster import read_roster

        source = self._source()
        students: list[Student] = []
        told: list[str] = []
        if self.students.value.strip():
            students, told = read_roster(Path(self.students.value.strip()))
        students = students + blank_students(self.blank.value)
        if not students:
            raise InputError(
                what="for whom the sheets are",
                read="neither a list of names nor a number",
                allowed="a file with a column name, or a number of sheets without",
                do="Put the file beside this notebook and type its name.",
            )
        if not self.forms.value:
            raise InputError(
                what="the forms of the sheets",
                read="none chosen",
                allowed="notebook, page, paper, or several of them",
                do="Choose at least one; hold Ctrl for several.",
            )
        self.bar.value, self.bar.max = 0, 1
        self.bar.layout.display = ""
        folder = _folder(self.out.value, "the folder for the sheets")
        made = make_sheets(
            source,
            students,
            folder,
            self.seed.value,
            forms=self.forms.value,
            progress=self._go_on,
        )
        told += made.told
        sheets = "1 sheet" if made.sheets == 1 else f"{made.sheets} sheets"
        return [
            f"✓ {sheets} of “{source.title}” in {folder / 'students'}.",
            f"The key is in {folder / 'teacher'}: keep that folder to yourself.",
            *told,
        ]

    def _go_on(self, _done: Done, count: int, of: int) -> None:
        self.bar.max, self.bar.value = of, count

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self._box._repr_mimebundle_(**kwargs)


class MarkSheets:
    """Mark what came back, and show the class's summary.

    Attributes
    ----------
    folder, key, answers, out : ipywidgets.Text
        Filled notebooks, the key, a table of answers from paper, and where the
        marks go.
    mark : ipywidgets.Button
        Mark them.
    said, shown : ipywidgets.HTML
        What came of it, and the summary.

    Examples
    --------
    >>> MarkSheets().out.value
    'marks.csv'
    """

    def __init__(self) -> None:
        self.folder = _line("Filled notebooks", "sheets/students", "a folder")
        self.answers = _line("Answers from paper", "", "answers.csv, or leave it empty")
        self.key = _line("Key", "sheets/teacher/key.csv", "")
        self.out = _line("Table for the marks", "marks.csv", "")
        self.mark = _button("Mark them")
        self.said, self.shown = ipywidgets.HTML(), ipywidgets.HTML()
        self.mark.on_click(lambda _: _told(self.said, self._mark))
        asked = [self.folder, self.answers, self.key, self.out]
        self._box = ipywidgets.VBox(
            [*asked, self.mark, self.said, self.shown]
        ).add_class("bl-homework")

    def _mark(self) -> list[str]:
        from bouncelab.typesetting.making import make_html
        from bouncelab.worksheets.class_marks import mark_files
        from bouncelab.worksheets.feedback import summary_paper, write_marks

        self.shown.value = ""
        folder, answers = self.folder.value.strip(), self.answers.value.strip()
        marks, title = mark_files(
            Path(self.key.value.strip()),
            Path(folder) if folder else None,
            Path(answers) if answers else None,
        )
        out = _folder(self.out.value, "the table for the marks")
        made = write_marks(marks, out, title)
        page = make_html(summary_paper(marks, title))
        self.shown.value = _page(page, "the class's summary")
        sheets = "1 sheet" if len(marks.sheets) == 1 else f"{len(marks.sheets)} sheets"
        count = sum(each.needs_eye for one in marks.sheets for each in one.answers)
        lines = [f"✓ {sheets} marked; the marks are in {out}."]
        if not marks.sheets:
            lines = ["✕ No filled sheet of this key was found: look at the folder."]
        else:
            lines.append(f"Feedback for each student is in {made[1].parent}.")
        if count:
            answers_open = "1 answer waits" if count == 1 else f"{count} answers wait"
            lines.append(f"{answers_open} for your eye.")
        if not marks.carried:
            lines.append(
                "The source.ipynb beside the key is missing or was changed: "
                "carried-forward marks are not given."
            )
        if marks.missing:
            lines.append(f"Nothing came of: {', '.join(marks.missing)}.")
        return lines + marks.problems

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self._box._repr_mimebundle_(**kwargs)


def _line(name: str, value: str, hint: str) -> ipywidgets.Text:
    return ipywidgets.Text(
        value, description=name, placeholder=hint, layout=_WIDE, style=_NAMES
    )


def _button(name: str) -> ipywidgets.Button:
    return ipywidgets.Button(
        description=name, layout=ipywidgets.Layout(width="max-content")
    )


def _folder(text: str, what: str) -> Path:
    from bouncelab.errors import InputError

    if not text.strip():
        raise InputError(
            what=what,
            read="nothing",
            allowed="a name",
            do="Type one; it is made if it is not there.",
        )
    return Path(text.strip())


def _kit() -> list[tuple[str, str]]:
    """Give the kit's worksheets by their titles, youngest students first."""
    from bouncelab.worksheets.source import read_source

    folder = kit_folder("notebooks") / "worksheets"
    names = sorted(path.stem for path in folder.glob("age_*.ipynb"))
    return [
        (f"{read_source(name).title} (from age {name.split('_')[1]})", name)
        for name in names
    ]


def _told(said: ipywidgets.HTML, work: Callable[[], list[str]]) -> None:
    """Do something, and say in words what came of it, also if it could not be done."""
    said.value = "<p role='status'>Working …</p>"
    lines = ["✕ This could not be done. Look at what is typed, then press again."]
    try:
        lines = work()
    except BounceLabError as error:
        lines = [f"✕ {error}"]
    finally:  # also after what nobody foresaw, which goes on to Jupyter's log
        paragraphs = "<br>".join(html.escape(each) for each in lines)
        said.value = f"<p role='status' style='overflow-wrap:anywhere'>{paragraphs}</p>"


def _page(text: str, name: str) -> str:
    """Show a whole page inside a notebook; nothing of it can run."""
    return (
        f'<iframe sandbox title="{html.escape(name)}" srcdoc="{html.escape(text)}" '
        'style="width:100%;height:32em;border:1px solid;background:#fff"></iframe>'
    )
