"""Makes the pictures of the README: a lesson's notebooks, a paper, a report.

Run ``python tests/makers/pictures.py`` from the top of the project, with Chromium and
the extras ``papers`` and ``test``, to write `teacher_notes/pictures` again. The names
and readings in them are invented.
"""

from __future__ import annotations

import io
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pymupdf
from PIL import Image
from playwright.sync_api import sync_playwright

from bouncelab.catalogue import find_range
from bouncelab.publish.desk import lay_out
from bouncelab.publish.lab import start
from bouncelab.readings.checks import check_drops
from bouncelab.readings.files import read_drops
from bouncelab.reports.class_report import write_report
from bouncelab.reports.floor_papers import write_papers

TOP = Path(__file__).parent.parent.parent
sys.path.insert(0, str(TOP / "tests" / "browser"))
from conftest import FLAGS, Notebook, find_browser  # noqa: E402

OUT = TOP / "teacher_notes" / "pictures"
MOST = 150_000  # bytes of a picture
FUTSAL = ("Futsal A", "gym, wood", "200", "60", ("61", "62,5", "24.2 in", "61.5", "60"))
BASKET = ("Basketball 2", "gym, wood", "1.80 m", "8 psi")
REBOUNDS = ("1.04 m", "105", "41.5", "104", "3 ft 5 1/4 in")
RANGE = "futsal-law-2"


def keep(name: str, image: Image.Image) -> None:
    """Write a picture with few colours, small enough to be read anywhere."""
    data = io.BytesIO()
    few = image.convert("RGB").quantize(
        200, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE
    )
    few.save(data, "PNG", optimize=True)
    assert len(data.getvalue()) < MOST, (name, len(data.getvalue()))
    (OUT / name).write_bytes(data.getvalue())
    print(name, image.size, len(data.getvalue()))


@contextmanager
def opened(name: str, folder: Path) -> Iterator[Any]:
    """Open one notebook in a real browser and run it."""
    first, _ = lay_out(folder)
    lab = start(folder, first)
    try:
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=find_browser(), args=FLAGS
            )
            page = browser.new_page(viewport={"width": 1350, "height": 2300})
            page.set_default_timeout(30_000)
            notebook = Notebook(page, lab, name)
            notebook.open()
            notebook.run_all()
            yield notebook
            browser.close()
    finally:
        lab.stop()


def shot(found: Any) -> Image.Image:
    """Take the picture of a part of the page."""
    found.scroll_into_view_if_needed()
    return Image.open(io.BytesIO(found.screenshot(animations="disabled")))


def fill(notebook: Any, row: int, **texts: str) -> None:
    """Type one row of the drop lab's sheet."""
    for heading, text in texts.items():
        notebook.cell(row, heading.replace("_", " ")).fill(text)


def drop_lab(folder: Path) -> None:
    """Show the first notebook with two balls and one slip of the unit."""
    with opened("01_drop_lab.ipynb", folder) as notebook:
        page = notebook.page
        page.get_by_label("Our group's name").fill("Oak (invented)")
        page.get_by_label("Compare with the range").select_option(RANGE)
        drops = [(FUTSAL[:4], each) for each in FUTSAL[4]]
        drops += [(BASKET, each) for each in REBOUNDS]
        for k, ((ball, floor, drop, pressure), rebound) in enumerate(drops, start=1):
            if not notebook.cell(k, "ball").count():
                page.get_by_role("button", name="Add a row").click()
            fill(
                notebook,
                k,
                ball=ball,
                floor=floor,
                drop_height=drop,
                rebound_height=rebound,
                gauge_pressure=pressure,
                temperature="20",
            )
        fill(notebook, 3, note="inch tape")
        notebook.cell(8, "rebound height").click()
        page.get_by_text("If you read inches, write").first.wait_for()
        page.wait_for_timeout(3000)
        keep("drop_lab.png", shot(page.locator(".bl-lab:has(.bl-sheet)").first))


def lesson_scene(folder: Path) -> None:
    """Show a scene of notebook 3: the ball on the floor, slowed down."""
    with opened("03_the_hundredth_of_a_second.ipynb", folder) as notebook:
        stage = notebook.page.locator(".bl-stage").first
        stage.scroll_into_view_if_needed()
        notebook.page.wait_for_timeout(2000)
        keep("lesson_scene.png", shot(stage))


def page_of(path: Path, number: int, dots: int) -> Image.Image:
    """Draw one page of a PDF."""
    with pymupdf.open(path) as document:
        drawn = document[number].get_pixmap(dpi=dots)
        return Image.frombytes("RGB", (drawn.width, drawn.height), drawn.samples)


def beside(images: list[Image.Image]) -> Image.Image:
    """Put pages beside each other, each with a frame."""
    gap = 12
    width = sum(each.width + gap for each in images) + gap
    sheet = Image.new("RGB", (width, images[0].height + 2 * gap), (205, 205, 205))
    at = gap
    for each in images:
        sheet.paste(each, (at, gap))
        at += each.width + gap
    return sheet


def floor_papers(folder: Path) -> None:
    """Show a recording sheet and the strip for the wall."""
    write_papers(folder, [find_range(RANGE)])
    names = (f"recording_sheet_{RANGE}.pdf", f"wall_strip_{RANGE}.pdf")
    keep("floor_papers.png", beside([page_of(folder / n, 0, 62) for n in names]))


def report_page(folder: Path) -> None:
    """Show the first pages of a class's report."""
    drops = check_drops(read_drops(TOP / "data" / "larkfield_class.csv"))
    _, printed = write_report(drops, folder, ranges=[find_range(RANGE)])
    keep("report_page.png", beside([page_of(printed, k, 62) for k in (0, 1)]))


def main() -> None:
    """Write all four."""
    for make in (drop_lab, lesson_scene, floor_papers, report_page):
        with tempfile.TemporaryDirectory() as place:
            make(Path(place))


if __name__ == "__main__":
    main()
