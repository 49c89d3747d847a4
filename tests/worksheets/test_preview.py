"""A source that is open in a notebook shows one example sheet with its key."""

import pytest

from bouncelab.worksheets.preview import preview
from bouncelab.worksheets.running import solve_code
from bouncelab.worksheets.sheet import Sheet, current_sheet, start_sheet
from bouncelab.worksheets.source import parse_source, read_source
from worksheets.example import source_bytes


def run(source):
    """Run a source as a notebook does: cell after cell, in one namespace."""
    names = {}
    for _, code in source.compiled:
        exec(code, names)
    return names["sheet"]


@pytest.fixture
def opened(tmp_path, monkeypatch):
    path = tmp_path / "mine.ipynb"
    path.write_bytes(source_bytes())
    monkeypatch.setenv("JPY_SESSION_NAME", str(path))
    return path


def test_the_example_is_the_saved_sheet_and_its_key(opened):
    shown = run(read_source(opened))._repr_markdown_()

    assert shown.startswith("# How much speed comes back?")
    assert "# Its key" in shown
    assert "square root forgotten" in shown
    assert shown.index("A ball falls") < shown.index("# Its key")


def test_a_text_that_cannot_be_filled_is_told_beside_the_numbers(opened):
    text = opened.read_text("utf-8").replace("{{h1}}", "{{h9}}", 1)
    opened.write_text(text, "utf-8")
    shown = run(read_source(opened))._repr_markdown_()

    assert "h9" in shown
    assert "| given | on this example |" in shown


def test_without_its_file_an_example_shows_its_numbers(monkeypatch):
    monkeypatch.setenv("JPY_SESSION_NAME", "/nowhere/mine.ipynb")
    shown = run(parse_source("example.ipynb", source_bytes()))._repr_markdown_()

    assert "its numbers" in shown
    assert "| e |" in shown


def test_an_example_of_the_kit_shows_its_figure():
    source = read_source("age_14_e_from_heights")
    shown = preview(source, solve_code(source, "example"))

    assert shown.count("](data:image/png;base64,") == 1


def test_a_sheet_in_a_notebook_is_its_own():
    assert isinstance(start_sheet(), Sheet)
    assert start_sheet() is not start_sheet()
    assert current_sheet.get() is None
