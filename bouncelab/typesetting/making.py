"""Papers made: through pandoc to HTML, and through typst to PDF."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from datetime import datetime, timezone
from functools import cache
from html import escape
from pathlib import Path
from typing import Any, Literal

from bouncelab.errors import BounceLabError, InputError
from bouncelab.typesetting.paper import Paper

__all__ = [
    "PaperError",
    "PaperSize",
    "compile_typst",
    "draw_png",
    "make_html",
    "make_pdf",
    "pandoc_path",
    "typst_source",
]

PaperSize = Literal["a4", "us-letter"]

_HERE = Path(__file__).resolve().parent
# Raw HTML or TeX in a text would reach the page unlooked at: it stays text.
_FROM = (
    "markdown-raw_html-raw_tex-raw_attribute-native_divs-native_spans"
    "-smart-citations-yaml_metadata_block-example_lists-auto_identifiers"
)
_CAUTION = "Take care."
# A PDF carries this time, so that the same paper gives the same bytes.
_TIME = datetime(2000, 1, 1, tzinfo=timezone.utc)  # noqa: UP017


class PaperError(BounceLabError):
    """A paper cannot be typeset."""


def _missing(name: str) -> BounceLabError:
    return PaperError(
        what=f"the typesetting program {name}",
        read="nothing",
        allowed="the one that comes with the kit's papers",
        do='Install it with: python -m pip install "bouncelab[papers]".',
    )


@cache
def pandoc_path() -> str:
    """Find pandoc: the one installed with the kit's papers, else this machine's.

    Returns
    -------
    str
        The program.

    Raises
    ------
    PaperError
        If there is none.
    """
    try:
        import pypandoc

        return str(pypandoc.get_pandoc_path())
    except (ImportError, OSError):
        found = shutil.which("pandoc")
        if found is None:
            raise _missing("pandoc") from None
        return found


def html_words() -> tuple[str, ...]:
    """Give what pandoc is told for a page, without its frame."""
    filters = (f"--lua-filter={_HERE / name}" for name in ("tables.lua", "screen.lua"))
    return ("--to=html5", "--mathml", *filters, "--wrap=none")


def typst_words() -> tuple[str, ...]:
    """Give what pandoc is told for a print, without its frame."""
    filters = (f"--lua-filter={_HERE / name}" for name in ("tables.lua", "blocks.lua"))
    return ("--to=typst", *filters, "--wrap=none")


def run_pandoc(paper: Paper, folder: Path, *words: str) -> str:
    """Turn the text of a paper into another language.

    Parameters
    ----------
    paper : Paper
        The paper.
    folder : pathlib.Path
        Where its figures stand.
    *words : str
        What pandoc is told.

    Returns
    -------
    str
        What it made.

    Raises
    ------
    BounceLabError
        If pandoc is missing or the text cannot be used.
    """
    done = subprocess.run(
        [pandoc_path(), f"--from={_FROM}", *words],
        input=paper.text,
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    if done.returncode:
        raise PaperError(
            what=f"the paper “{paper.title}”",
            read=done.stderr.strip().splitlines()[-1] if done.stderr else "no reason",
            allowed="Markdown with mathematics between $ signs",
            do="Mend that place in its text.",
        )
    return done.stdout


def _lay_figures(paper: Paper, folder: Path) -> None:
    for name, data in paper.figures.items():
        if Path(name).name != name:
            raise InputError(
                what="the name of a figure",
                read=f"“{name}”",
                allowed="a plain file name such as strips.svg",
                do="Leave out folders.",
            )
        (folder / name).write_bytes(data)


def make_html(paper: Paper) -> str:
    """Typeset a paper as one page that asks nothing of the network.

    Parameters
    ----------
    paper : Paper
        The paper.

    Returns
    -------
    str
        HTML with figures and style within it, formulas as MathML.

    Raises
    ------
    BounceLabError
        If pandoc is missing or the text cannot be used.
    """
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        _lay_figures(paper, folder)
        return run_pandoc(
            paper,
            folder,
            *html_words(),
            "--standalone",
            "--embed-resources",
            f"--template={_HERE / 'page.html'}",
            "--variable",
            f"title={_html(paper.title)}",
            "--variable",
            f"pagetitle={_html(paper.title)}",
            "--variable",
            f"footer={_html(paper.footer)}",
            "--variable",
            f"sign-caution={_CAUTION}",
        )


def make_pdf(paper: Paper, *, size: PaperSize = "a4", large: bool = False) -> bytes:
    """Typeset a paper for print.

    Parameters
    ----------
    paper : Paper
        The paper.
    size : {"a4", "us-letter"}, optional
        The sheet.
    large : bool, optional
        Large print, 16 points in place of 10.5.

    Returns
    -------
    bytes
        A tagged PDF; the same paper gives the same bytes.

    Raises
    ------
    BounceLabError
        If pandoc or typst is missing or the text cannot be used.
    """
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        _lay_figures(paper, folder)
        source = typst_source(paper, folder, size=size, large=large)
        return compile_typst(source, folder, title=paper.title)


def typst_source(paper: Paper, folder: Path, *, size: PaperSize, large: bool) -> str:
    """Give a paper in typst's own language.

    Parameters
    ----------
    paper : Paper
        The paper.
    folder : pathlib.Path
        Where its figures stand.
    size : {"a4", "us-letter"}
        The sheet.
    large : bool
        Large print.

    Returns
    -------
    str
        For `compile_typst`.

    Raises
    ------
    BounceLabError
        If pandoc is missing or the text cannot be used.
    """
    return run_pandoc(
        paper,
        folder,
        *typst_words(),
        "--standalone",
        f"--template={_HERE / 'page.typ'}",
        "--variable",
        f"title={_typst(paper.title)}",
        "--variable",
        f"title-quoted={quoted(paper.title)}",
        "--variable",
        f"footer={_typst(paper.footer)}",
        "--variable",
        f"paper={size}",
        "--variable",
        f"size={'16pt' if large else '10.5pt'}",
        "--variable",
        f"sign-caution={_CAUTION}",
    )


@cache
def _fonts() -> Any:
    """Find the fonts of this machine once."""
    import typst

    return typst.Fonts()


def _html(text: str) -> str:
    return escape(text, quote=True)


def quoted(text: str) -> str:
    """Give a text as a string of typst's language, between its marks."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _typst(text: str) -> str:
    """Give a text as typst that shows just this text: as a string, not markup."""
    return f"#{quoted(text)}"


def compile_typst(
    source: str, folder: Path, *, title: str, dots: float | None = None
) -> bytes:
    """Turn typst's own language into a PDF, or into PNG.

    Parameters
    ----------
    source : str
        The text; nothing in it may come from people unescaped.
    folder : Path
        Where its figures stand; nothing outside can be read.
    title : str
        What an error calls it.
    dots : float, optional
        An inch, for PNG.

    Returns
    -------
    bytes
        A tagged PDF without a time of making; PNG of its only page with `dots`.

    Raises
    ------
    BounceLabError
        If typst is missing or the source cannot be used.
    """
    try:
        import typst
    except ImportError:
        raise _missing("typst") from None
    path = folder / "paper.typ"
    path.write_text(source, encoding="utf-8")
    try:
        made = typst.compile(
            str(path),
            root=str(folder),
            font_paths=_fonts(),
            timestamp=_TIME,
            format="png" if dots else "pdf",
            ppi=dots,
        )
    except RuntimeError as error:
        raise PaperError(
            what=f"the paper “{title}”",
            read=str(error).strip().splitlines()[0],
            allowed="a text that can be typeset",
            do="Mend that place in its text.",
        ) from error
    return bytes(made)


def draw_png(svg: str, *, width: float, height: float, dots: float = 110.0) -> bytes:
    """Turn a drawing into an image of dots, for where no SVG can be shown.

    Parameters
    ----------
    svg : str
        With its letters as shapes.
    width, height : float
        In inches.
    dots : float, optional
        An inch.

    Returns
    -------
    bytes
        PNG.

    Raises
    ------
    BounceLabError
        If typst is missing or the drawing cannot be used.
    """
    page = f"width: {width:.3f}in, height: {height:.3f}in, margin: 0pt"
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "drawing.svg").write_text(svg, encoding="utf-8")
        source = f'#set page({page})\n#image("drawing.svg", width: 100%)'
        return compile_typst(source, folder, title="a drawing", dots=dots)
