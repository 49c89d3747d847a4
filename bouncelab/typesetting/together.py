"""Many papers at once: one run of pandoc for all their pages, one for all prints."""

from __future__ import annotations

import re
import tempfile
from base64 import b64encode
from collections.abc import Sequence
from functools import cache
from pathlib import Path

from bouncelab.errors import BounceLabError
from bouncelab.typesetting.making import (
    PaperSize,
    compile_typst,
    html_words,
    make_html,
    make_pdf,
    quoted,
    run_pandoc,
    typst_source,
    typst_words,
)
from bouncelab.typesetting.paper import Paper

__all__ = ["make_htmls", "make_pdfs"]

# Words that nobody writes: where the next paper begins, and what is put in later.
_NEXT, _TITLE, _TEXT, _FOOT = (
    f"bouncelab{each}staysnowhere" for each in ("next", "title", "text", "foot")
)
_PARTED = re.compile(rf"\s*(?:<p>)?{_NEXT}(?:</p>)?\s*")
_NOTES = re.compile(r"\[\^|\^\[|^\[[^\]]+\]:", re.MULTILINE)  # these reach further
_OPENS = re.compile(r"^ *:{3,} *[^\s:]", re.MULTILINE)
_CLOSES = re.compile(r"^ *:{3,} *$", re.MULTILINE)
_CODE = re.compile(r"^ *(?:```|~~~)", re.MULTILINE)
_TYPES = {".svg": "svg+xml", ".png": "png"}


def make_htmls(papers: Sequence[Paper]) -> list[str]:
    """Typeset papers as pages; as `make_html`, several times as fast.

    Parameters
    ----------
    papers : sequence of Paper
        Alike in kind.

    Returns
    -------
    list of str
        A page for each.

    Raises
    ------
    BounceLabError
        If pandoc is missing or a text cannot be used.
    """
    with tempfile.TemporaryDirectory() as place:
        bodies = _bodies(papers, Path(place), html_words())
    if bodies is None:
        return [make_html(each) for each in papers]
    return [
        _empty_page()
        .replace(f"<p>{_TEXT}</p>", _with_figures(body, k, each))
        .replace(_TITLE, _escaped(each.title))
        .replace(_FOOT, _escaped(each.footer))
        for k, (each, body) in enumerate(zip(papers, bodies, strict=True))
    ]


def make_pdfs(
    papers: Sequence[Paper], *, size: PaperSize = "a4", large: bool = False
) -> list[bytes]:
    """Typeset papers for print; as `make_pdf`, several times as fast.

    Parameters
    ----------
    papers : sequence of Paper
        Alike in kind.
    size : {"a4", "us-letter"}, optional
        The sheet.
    large : bool, optional
        Large print.

    Returns
    -------
    list of bytes
        A tagged PDF for each.

    Raises
    ------
    BounceLabError
        If pandoc or typst is missing or a text cannot be used.
    """
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        bodies = _bodies(papers, folder, typst_words())
        if bodies is None:
            return [make_pdf(each, size=size, large=large) for each in papers]
        for k, each in enumerate(papers):
            for name, data in each.figures.items():
                (folder / f"{k}-{name}").write_bytes(data)
        return [
            compile_typst(
                _empty_print(size, large)
                .replace(_TEXT, body)
                .replace(_TITLE, quoted(each.title)[1:-1])
                .replace(_FOOT, quoted(each.footer)[1:-1]),
                folder,
                title=each.title,
            )
            for each, body in zip(papers, bodies, strict=True)
        ]


def _bodies(
    papers: Sequence[Paper], folder: Path, words: Sequence[str]
) -> list[str] | None:
    """Give what pandoc makes of each text, or None if they must go one by one."""
    texts = [_renamed(each, k) for k, each in enumerate(papers)]
    if len(papers) < 2 or not all(map(_ends_in_itself, texts)):
        return None
    joined = Paper(papers[0].title, f"\n\n{_NEXT}\n\n".join(texts))
    try:
        bodies = _PARTED.split(run_pandoc(joined, folder, *words).rstrip())
    except BounceLabError:
        return None  # one of them is to blame, and is named when they go one by one
    return bodies if len(bodies) == len(papers) else None


def _ends_in_itself(text: str) -> bool:
    """Say whether nothing in a text can reach into the next one."""
    blocks = len(_OPENS.findall(text)) == len(_CLOSES.findall(text))
    ours = any(word in text for word in (_NEXT, _TITLE, _TEXT, _FOOT))
    return blocks and not (ours or _CODE.search(text) or _NOTES.search(text))


def _renamed(paper: Paper, place: int) -> str:
    """Give a text whose figures have names of their own among all papers."""
    text = paper.text
    for name in paper.figures:
        text = text.replace(f"]({name})", f"]({place}-{name})")
    return text


def _with_figures(body: str, place: int, paper: Paper) -> str:
    for name, data in paper.figures.items():
        kind = _TYPES[Path(name).suffix]
        packed = f"data:image/{kind};base64,{b64encode(data).decode()}"
        body = body.replace(f'src="{place}-{name}"', f'src="{packed}"')
    return body


@cache
def _empty_page() -> str:
    return make_html(Paper(_TITLE, _TEXT, {}, _FOOT))


@cache
def _empty_print(size: PaperSize, large: bool) -> str:
    paper = Paper(_TITLE, _TEXT, {}, _FOOT)
    return typst_source(paper, Path.cwd(), size=size, large=large)


def _escaped(text: str) -> str:
    from html import escape

    return escape(text, quote=True)
