"""A worksheet's page without a network, and its notebooks in JupyterLab."""

import json
import shutil

import pytest

from bouncelab.places import kit_folder
from bouncelab.typesetting.making import make_html
from bouncelab.worksheets.codes import new_code
from bouncelab.worksheets.notebook_form import notebook_bytes
from bouncelab.worksheets.paper_form import sheet_paper
from bouncelab.worksheets.running import solve_code
from bouncelab.worksheets.source import read_source

pytestmark = pytest.mark.browser


def made(name):
    source = read_source(name)
    return source, solve_code(source, new_code("browser", "ann", 0, source.ranges))


def test_a_page_needs_no_network_and_shows_its_formulas(browser, tmp_path):
    page_file = tmp_path / "sheet.html"
    source, variant = made("age_14_train_of_bounces")
    page_file.write_text(make_html(sheet_paper(source, variant, "Ann")), "utf-8")
    with browser.new_context(offline=True) as context:
        page, asked, faults = context.new_page(), [], []
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: faults.append(message.text))
        page.goto(page_file.as_uri())
        sizes = page.evaluate(
            "[...document.querySelectorAll('math')].map(m => ["
            "m.querySelectorAll('msqrt, mi').length, m.getBoundingClientRect().width])"
        )
        root = page.locator("msqrt").bounding_box()
        letters = page.locator("body").inner_text()
        page.set_viewport_size({"width": 360, "height": 640})
        wide = page.evaluate("document.documentElement.scrollWidth")

    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert faults == []
    assert len(sizes) >= 3
    assert all(parts > 0 and width > 5 for parts, width in sizes)
    assert root["width"] > 20
    assert "$" not in letters
    assert "\\sqrt" not in letters
    assert wide <= 360


@pytest.fixture
def opened(browser, desk):
    """Open a notebook in JupyterLab by its name."""
    folder, lab = desk
    context = browser.new_context(viewport={"width": 1100, "height": 1400})
    page = context.new_page()

    def go(name, data):
        (folder / "notebooks" / name).write_bytes(data)
        base = f"http://127.0.0.1:{lab.port}/lab/tree/notebooks/{name}"
        page.goto(f"{base}?token={lab.token}&reset")
        page.get_by_text("Python 3 (ipykernel) | Idle").wait_for(timeout=60_000)
        return page, folder / "notebooks" / name

    yield go
    context.close()


def test_a_student_types_an_answer_and_saves_it(opened):
    source, variant = made("age_11_reading_a_tape")
    page, path = opened("sheet_of_ann.ipynb", notebook_bytes(source, variant, "Ann"))
    picture = page.locator(".jp-RenderedMarkdown img").first
    picture.wait_for()
    assert picture.evaluate("image => image.naturalWidth") > 200

    page.locator(".jp-RawCell .cm-content").first.click()
    page.keyboard.type("1,08 m")
    page.keyboard.press("Control+s")
    for _ in range(100):  # until it is on the disk
        if "1,08 m" in path.read_text("utf-8"):
            break
        page.wait_for_timeout(100)
    cells = json.loads(path.read_text("utf-8"))["cells"]
    (typed,) = [each for each in cells if each.get("id") == "answer-bottom-read"]

    assert "".join(typed["source"]) == "1,08 m"
    assert typed["metadata"]["bouncelab"] == {"question": "bottom_read"}


def test_a_teacher_who_runs_a_source_sees_a_sheet_with_its_key(opened):
    path = kit_folder("notebooks") / "worksheets" / "age_16_squeezed_air.ipynb"
    page, mine = opened("my_sheet.ipynb", path.read_bytes())
    page.locator("#jp-MainMenu").get_by_role("menuitem", name="Run", exact=True).click()
    page.locator(".lm-Menu").get_by_text("Run All Cells", exact=True).last.click()
    shown = page.locator(".jp-OutputArea-output.jp-RenderedMarkdown")
    shown.get_by_text("Its key").wait_for(timeout=60_000)

    text = shown.inner_text()
    assert "Squeezed air" in text
    assert "gauge for absolute" in text
    assert shown.locator("img").count() == 1
    assert shown.locator("mjx-container").count() > 0
    assert mine.is_file()
    shutil.rmtree(mine.parent / ".ipynb_checkpoints", ignore_errors=True)
