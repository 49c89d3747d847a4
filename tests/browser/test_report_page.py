"""A class's report in a real Chromium: self-contained, and open to everyone."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe

from bouncelab import check_drops, find_range, read_drops
from bouncelab.places import kit_folder
from bouncelab.readings.drops import read_rows
from bouncelab.reports.class_report import class_paper
from bouncelab.reports.many_classes import write_reports
from bouncelab.typesetting.making import make_html

pytestmark = pytest.mark.browser

NASTY = [
    "<script>fetch('https://example.org')</script>",
    '"><img src=https://example.org/x onerror=alert(1)>',
    "![x](https://example.org/x.png)",
    "[x](javascript:alert(1))",
    "=HYPERLINK(0)",
    "../../../etc/passwd",
    "\u202eevil علي",
    "x" * 400,
]


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    drops = check_drops(read_drops(kit_folder("data") / "larkfield_class.csv"))
    ranges = [find_range("futsal-law-2"), find_range("basketball-fiba-1998")]
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_text(make_html(class_paper(drops, ranges=ranges)), encoding="utf-8")
    return path


@pytest.fixture
def opened(browser):
    """Open a file; give the page, what it asked of the network, and its faults."""
    pages = []

    def open_file(path, width=1366, height=768):
        page = browser.new_page(viewport={"width": width, "height": height})
        pages.append(page)
        asked, faults = [], []
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("dialog", lambda dialog: faults.append(dialog.message))
        page.goto(path.as_uri())
        page.wait_for_load_state("networkidle")
        outside = [url for url in asked[1:] if not url.startswith("data:")]
        return page, outside, faults

    yield open_file
    for page in pages:
        page.close()


def test_a_report_asks_nothing_and_axe_finds_nothing(opened, report):
    page, outside, faults = opened(report)

    assert outside == []
    assert faults == []
    found = Axe().run(page).response["violations"]
    assert [(v["id"], [n["target"] for n in v["nodes"]]) for v in found] == []
    sizes = page.eval_on_selector_all("img", "all => all.map(e => e.naturalWidth)")
    assert len(sizes) >= 5
    assert min(sizes) > 300  # every figure is drawn


@pytest.mark.parametrize("width", [1366, 683, 390])
def test_a_report_fits_the_screen_and_wide_tables_scroll_by_keys(opened, report, width):
    page, _, _ = opened(report, width)

    assert page.evaluate("document.documentElement.scrollWidth") <= width
    for box in page.locator(".scroll").all():
        assert box.get_attribute("tabindex") == "0"


def test_the_contents_lead_to_a_group_by_keys(opened, report):
    page, _, _ = opened(report)
    page.get_by_role("link", name="Maple").focus()
    page.keyboard.press("Enter")

    heading = page.get_by_role("heading", name="For group Maple")
    assert heading.evaluate("e => Math.abs(e.getBoundingClientRect().top) < 60")


def test_names_in_a_table_can_do_nothing(opened, tmp_path):
    headings = ["group", "ball", "floor", "drop (cm)", "rebound (cm)", "note"]
    rows = [
        [name, name, name, "200", f"{57 + k}", name] for name in NASTY for k in range(2)
    ]
    drops = check_drops(read_rows(headings, rows))
    path = tmp_path / "report.html"
    path.write_text(make_html(class_paper(drops, notes=True)), encoding="utf-8")

    page, outside, faults = opened(path)

    assert outside == []
    assert faults == []
    assert page.locator("main script, main iframe, main form").count() == 0
    links = page.eval_on_selector_all("a", "all => all.map(e => e.href)")
    assert all("#" in each and each.startswith("file:") for each in links)
    text = page.locator("main").inner_text()
    assert "<script>fetch('https://example.org')</script>" in re.sub(r"\s+", " ", text)


def test_the_page_of_many_classes_leads_to_each_report(opened, tmp_path):
    folder = tmp_path / "classes"
    folder.mkdir()
    text = "group,ball,drop (cm),rebound (cm)\nOak,A,200,57\nOak,A,200,58\n"
    for name in ("7a", "7b & <c> #1"):
        (folder / f"{name}.csv").write_text(text)
    (folder / "broken.csv").write_text("nothing")
    index, _ = write_reports(folder, tmp_path / "out")

    page, outside, faults = opened(index, 390)

    assert outside == []
    assert faults == []
    assert Axe().run(page).response["violations"] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.get_by_role("row", name="7b & <c> #1").get_by_text("page").click()
    assert page.get_by_role("heading", level=1).inner_text().endswith("7b & <c> #1")
