"""The first notebook, used as a class uses it."""

import re
import signal
from contextlib import nullcontext

import psutil
import pytest
from playwright.sync_api import expect

from bouncelab.readings.files import read_drops

pytestmark = pytest.mark.browser


def fill_first_row(notebook, drop="200"):
    for heading, text in (
        ("ball", "Futsal A"),
        ("floor", "gym"),
        ("drop height", drop),
        ("gauge pressure", "60"),
    ):
        notebook.cell(1, heading).fill(text)


def type_rebounds(notebook, rebounds):
    notebook.cell(1, "rebound height").click()
    for rebound in rebounds:
        notebook.page.keyboard.type(rebound, delay=5)
        notebook.page.keyboard.press("Enter")


def paste(notebook, row, heading, text):
    notebook.cell(row, heading).click()
    notebook.page.evaluate(
        """text => {
            const data = new DataTransfer();
            data.setData("text/plain", text);
            document.activeElement.dispatchEvent(
                new ClipboardEvent("paste", {
                    clipboardData: data, bubbles: true, cancelable: true,
                }));
        }""",
        text,
    )


def message(notebook, row):
    """What stands below a row of the sheet."""
    return notebook.page.locator(".bl-message").nth(row - 1)


def kernel_processes():
    return [
        child
        for child in psutil.Process().children(recursive=True)
        if "ipykernel_launcher" in " ".join(child.cmdline())
    ]


def test_a_group_types_corrects_and_reads_its_verdict(notebook):
    page = notebook.page
    fill_first_row(notebook)
    page.get_by_label("Compare with the range").select_option("futsal-law-2")
    type_rebounds(notebook, ["61", "62,5", "24.2", "61 1/2", "60"])

    doubtful = notebook.cell(3, "rebound height")
    expect(doubtful).to_have_attribute("aria-invalid", "true")
    expect(message(notebook, 3)).to_contain_text("? Look again")
    expect(message(notebook, 3)).to_contain_text("If you read inches, write 24.2 in.")

    doubtful.fill("24.2 in")

    expect(doubtful).not_to_have_attribute("aria-invalid", "true")
    results = page.get_by_role("region", name="What our drops say")
    expect(results).to_contain_text("✓ meets (probability over 99 %)")
    expect(results).to_contain_text(re.compile(r"0\.55\d+ ± 0\.0\d+"))
    expect(results).to_contain_text("No drop was left out or set aside.")
    picture = page.get_by_role("img", name=re.compile("Futsal A.*5 drops"))
    expect(picture).to_be_visible()


def test_a_reading_that_cannot_be_true_is_left_out_and_counted(notebook):
    fill_first_row(notebook)
    type_rebounds(notebook, ["61", "62", "60", "210", "6O"])

    expect(message(notebook, 4)).to_contain_text("✕ Left out")
    expect(message(notebook, 5)).to_contain_text("a letter in place of a digit")
    results = notebook.page.get_by_role("region", name="What our drops say")
    expect(results).to_contain_text("2 drops were left out and none set aside.")
    expect(results.get_by_role("row", name=re.compile("Futsal A"))).to_contain_text("3")


def test_a_killed_kernel_loses_nothing(notebook):
    page = notebook.page
    fill_first_row(notebook)
    type_rebounds(notebook, ["61", "62", "60"])
    page.keyboard.type("59")
    expect(page.get_by_text("✓ Saved in")).to_be_visible()
    expect(page.get_by_role("region", name="What our drops say")).to_contain_text("4")
    # The last key was answered, so it is on the disk; now pull the plug.
    for process in kernel_processes():
        process.send_signal(signal.SIGKILL)

    notebook.cell(2, "rebound height").fill("62.5")
    expect(
        page.get_by_text("the kernel behind this page does not answer")
    ).to_be_visible(timeout=10_000)
    notebook.open()
    notebook.run_all()

    for row, rebound in enumerate(["61", "62.5", "60", "59"], start=1):
        expect(notebook.cell(row, "rebound height")).to_have_value(rebound)
    expect(notebook.cell(1, "ball")).to_have_value("Futsal A")
    expect(page.get_by_role("region", name="What our drops say")).to_contain_text("0.5")


def test_a_block_pasted_from_a_spreadsheet_can_be_undone_by_keys(notebook):
    page = notebook.page
    fill_first_row(notebook)
    block = "200\t61\n200\t62,5\n200\t9S\n"
    paste(notebook, 1, "drop height", block)
    expect(notebook.cell(2, "rebound height")).to_have_value("62,5")
    expect(notebook.cell(3, "rebound height")).to_have_attribute("aria-invalid", "true")

    page.keyboard.press("Control+z")

    expect(notebook.cell(1, "rebound height")).to_have_value("")
    expect(notebook.cell(2, "rebound height")).to_have_count(0)
    page.keyboard.press("Control+Shift+z")
    expect(notebook.cell(3, "rebound height")).to_have_value("9S")


def test_the_sheet_is_reached_by_keys_alone(notebook):
    page = notebook.page
    here = page.locator(".jp-Cell.jp-mod-selected:has(.bl-sheet)")
    for _ in range(14):  # from the last part of the page upwards
        if here.count():
            break
        page.keyboard.press("k")
        page.wait_for_timeout(50)
    expect(page.locator(".jp-Cell:has(.bl-sheet):focus")).to_have_count(1)
    group = page.get_by_label("Our group's name")
    for _ in range(2):  # the notebook's own button may come first
        page.keyboard.press("Tab")
        if group.evaluate("e => e === document.activeElement"):
            break

    expect(group).to_be_focused()


def test_the_sheet_is_worked_by_keys_alone(notebook):
    page = notebook.page
    notebook.cell(1, "ball").focus()
    keys = page.keyboard
    for text in ("Futsal A", "gym", "200", "61"):
        keys.type(text)
        keys.press("Tab")
    keys.press("Shift+Tab")
    keys.press("Enter")
    expect(notebook.cell(2, "rebound height")).to_be_focused()
    keys.type("40")
    keys.press("ArrowUp")
    expect(notebook.cell(1, "rebound height")).to_be_focused()
    keys.press("ArrowDown")
    for _ in range(5):
        keys.press("Tab")
    expect(page.get_by_role("button", name="Set aside row 2")).to_be_focused()
    keys.press("Space")

    expect(page.get_by_text("– Set aside by you")).to_be_visible()
    results = page.get_by_role("region", name="What our drops say")
    expect(results).to_contain_text("No drops were left out and 1 set aside.")


def test_escape_leaves_a_long_table_by_one_key(notebook):
    notebook.cell(1, "rebound height").focus()

    notebook.page.keyboard.press("Escape")

    expect(notebook.page.get_by_role("button", name="+ Add a row")).to_be_focused()


def test_what_is_refused_is_told_at_the_row_where_a_person_is(notebook):
    fill_first_row(notebook)
    type_rebounds(notebook, ["61", "62"])
    notice = notebook.page.locator("tr.bl-notice")
    expect(notice).to_have_count(0)

    paste(notebook, 2, "note", "a\tb\tc")

    expect(notice).to_contain_text("Not done, nothing was changed: what was pasted")
    above = notebook.cell(2, "note").bounding_box()
    assert 0 < notice.bounding_box()["y"] - above["y"] < 60
    notebook.cell(2, "note").fill("a")
    expect(notice).to_have_count(0)


def test_the_chosen_range_is_explained_below_its_name(notebook):
    chosen = notebook.page.get_by_label("Compare with the range")
    chosen.select_option("basketball-fiba-1998")

    expect(chosen).to_have_accessible_description(
        re.compile(r"Dropped from 180\.0 cm \(bottom of the ball\).*Source: FIBA")
    )


def test_a_changed_unit_leaves_what_was_typed_as_it_was_meant(notebook):
    fill_first_row(notebook)
    type_rebounds(notebook, ["61"])
    notebook.page.get_by_label("unit of a bare number under drop height").select_option(
        "in"
    )

    expect(notebook.cell(1, "drop height")).to_have_value("200 cm")
    notebook.page.get_by_label("Show lengths in").select_option("ft in")
    results = notebook.page.get_by_role("region", name="What our drops say")
    expect(results).to_contain_text("6 ft 6.7 in")


def test_a_prediction_is_kept_and_compared(notebook):
    page = notebook.page
    predicted = page.get_by_label("How high will the bottom of the ball come back?")
    predicted.fill("90")
    expect(page.get_by_text("without a unit")).to_be_visible()
    predicted.fill("90 cm")
    expect(
        page.get_by_text("Your prediction, 90.0 cm, is kept. Now drop!")
    ).to_be_visible()

    fill_first_row(notebook)
    type_rebounds(notebook, ["61", "62"])

    expect(page.get_by_text("came back to 61.5 cm")).to_be_visible()
    expect(page.get_by_text("28.5 cm less")).to_be_visible()


def test_a_class_file_is_saved_that_the_commands_read(notebook, desk):
    folder, _ = desk
    notebook.page.get_by_label("Our group's name").fill("=Oak <b>")
    fill_first_row(notebook)
    type_rebounds(notebook, ["61", "62"])

    notebook.page.get_by_role("button", name="Save a class file").click()

    expect(notebook.page.get_by_text("readings/drop-lab.csv")).to_be_visible()
    drops = read_drops(folder / "notebooks" / "readings" / "drop-lab.csv")
    assert drops.table["group"].tolist() == ["=Oak <b>"] * 2
    assert drops.table["rebound_height_m"].tolist() == [0.61, 0.62]


def test_what_is_typed_is_never_run_as_a_page(notebook):
    fill_first_row(notebook)
    notebook.cell(1, "ball").fill('<img src=x onerror="document.title=1">')
    type_rebounds(notebook, ["61", "<b>62</b>"])

    expect(message(notebook, 2)).to_contain_text("<b>62</b>")
    assert notebook.page.locator(".bl-lab img[src=x], .bl-lab td b b").count() == 0
    assert notebook.page.locator(".jp-OutputArea img[src=x]").count() == 0


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nothing_bars_a_student_who_cannot_see_or_point(notebook, theme):
    fill_first_row(notebook)
    type_rebounds(notebook, ["61", "24.2", "210", "62", "60"])
    expect(message(notebook, 3)).to_contain_text("Left out")
    with notebook.in_the_dark() if theme == "dark" else nullcontext():
        assert notebook.bars() == []


@pytest.mark.parametrize("notebook", [{"width": 683, "height": 384}], indirect=True)
def test_at_twice_the_size_the_sheet_scrolls_inside_itself(notebook):
    fill_first_row(notebook)
    type_rebounds(notebook, ["61", "24.2", "62", "60", "61"])
    expect(message(notebook, 2)).to_contain_text("Look again")

    page = notebook.page
    page.get_by_label("Compare with the range").select_option("futsal-law-2")
    verdict = page.locator(".bl-verdict span")
    expect(verdict).to_contain_text("Look first at what is marked")
    lab = page.locator(".bl-lab:has(.bl-sheet)")
    room = lab.bounding_box()
    box = verdict.bounding_box()
    assert box["x"] + box["width"] <= room["x"] + room["width"]
    assert lab.evaluate("e => e.scrollWidth <= e.clientWidth + 1")
    for name in ("Our group's name", "Compare with the range"):
        box = page.get_by_label(name).bounding_box()
        assert box["x"] + box["width"] <= 683
