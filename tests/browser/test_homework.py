"""A teacher makes and marks a class's sheets in JupyterLab, without any code."""

import json
import shutil

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


@pytest.fixture
def roster(desk):
    """A list of names beside the notebook; what was made is taken away again."""
    folder = desk[0] / "notebooks"
    (folder / "roster.csv").write_text("name\nAnn Example\nBo Test\nCy Sample\n")
    yield folder
    for name in ("sheets", "marks_feedback"):
        shutil.rmtree(folder / name, ignore_errors=True)
    for name in ("roster.csv", "marks.csv"):
        (folder / name).unlink(missing_ok=True)


@pytest.mark.parametrize(
    "notebook", [{"name": "homework_for_teachers.ipynb"}], indirect=True
)
def test_sheets_are_looked_at_made_filled_and_marked(roster, notebook):
    page = notebook.page
    page.get_by_role("button", name="Show an example").click()
    frames = page.locator("iframe[sandbox]")
    expect(frames).to_have_count(2, timeout=30_000)
    sheet = page.frame_locator("iframe[title='an example sheet']")
    expect(sheet.locator("h1")).to_be_visible()
    key = page.frame_locator("iframe[title='its key']")
    assert key.locator("math").first.bounding_box()["width"] > 5

    page.get_by_label("List of names").fill("roster.csv")
    page.get_by_label("Secret words").fill("any words")
    page.get_by_role("button", name="Make the sheets").click()
    expect(page.get_by_role("status").first).to_contain_text("3 sheets", timeout=60_000)
    first = sorted((roster / "sheets" / "students").glob("Ann*.ipynb"))[0]
    book = json.loads(first.read_text("utf-8"))
    for cell in book["cells"]:
        if cell["id"].startswith("answer-"):
            cell["source"] = "7 cm"
    first.write_text(json.dumps(book), "utf-8")

    page.get_by_role("button", name="Mark them").click()
    expect(page.get_by_role("status").last).to_contain_text("3 sheets marked")
    told = page.frame_locator('iframe[title="the class\'s summary"]')
    expect(told.get_by_text("Questions most missed")).to_be_visible()


@pytest.mark.parametrize(
    "notebook", [{"name": "homework_for_teachers.ipynb"}], indirect=True
)
def test_keys_alone_do_it_and_nothing_bars_whoever_cannot_see(roster, notebook):
    page = notebook.page
    page.get_by_label("Worksheet", exact=True).focus()
    page.keyboard.press("End")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.get_by_label("List of names")).to_be_focused()
    page.keyboard.type("roster.csv")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.get_by_label("Secret words")).to_be_focused()
    page.keyboard.type("any words")
    for _ in range(3):
        page.keyboard.press("Tab")
    look = page.get_by_role("button", name="Show an example")
    expect(look).to_be_focused()
    said = page.get_by_role("status").first
    for count in (1, 2):
        page.keyboard.press("Enter")
        expect(said).to_contain_text(f"Example {count} of", timeout=30_000)
    expect(look).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(said).to_contain_text("3 sheets", timeout=60_000)
    assert len(list((roster / "sheets" / "students").glob("*.pdf"))) == 3
    page.get_by_role("button", name="Mark them").press("Enter")
    expect(page.get_by_role("status").last).to_contain_text("3 sheets marked")

    assert notebook.bars(".bl-homework") == []
    with notebook.in_the_dark():
        assert notebook.bars(".bl-homework") == []
