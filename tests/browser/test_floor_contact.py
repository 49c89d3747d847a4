"""The hundredth of a second, as a student works through it, by keys alone."""

import re

import pytest
from playwright.sync_api import expect

from bouncelab.figures.contact_curves import meet_floor
from bouncelab.figures.floor_contact import floor_contact_scene

pytestmark = [
    pytest.mark.browser,
    pytest.mark.parametrize(
        "notebook", [{"name": "03_the_hundredth_of_a_second.ipynb"}], indirect=True
    ),
]


def numbers(page):
    """All numbers that stand beside the drawing."""
    rows = page.locator(".bl-readings tbody tr")
    return {
        row.locator("th").inner_text(): row.locator("td").inner_text()
        for row in rows.all()
    }


def test_the_page_shows_what_the_library_says(notebook):
    page = notebook.page
    values = {
        "gauge": notebook.slide("gauge pressure", ["ArrowRight"] * 3),
        "height": notebook.slide("drop height", ["Home", "ArrowRight"]),
    }
    assert list(values.values()) == [70, 50]
    for name, label, value in (
        ("ball", "inflated ball", "futsal"),
        ("cover", "its cover", "dull"),
        ("solid", "solid ball beside it", "marble"),
    ):
        page.get_by_role("combobox", name=label).select_option(value)
        values[name] = value
    scene = floor_contact_scene(values)
    expect(page.locator(".bl-told")).to_have_text(scene.told)
    moment = page.get_by_role("slider", name="moment")
    for key, frame in (("Home", 0), ("End", len(scene.times) - 1)):
        moment.press(key)
        shown = {
            each.label: each.values[min(frame, len(each.values) - 1)]
            for each in scene.readings
        }
        assert numbers(page) == shown
    both = meet_floor(values)
    picture = page.get_by_role("img", name=re.compile("Force of the floor against"))
    alt = re.compile(f"up to {both.peak_forces[0]:.0f} N")
    expect(picture).to_have_attribute("alt", alt)


def test_nothing_is_pumped_above_its_mark(notebook):
    notebook.slide("gauge pressure", ["End"])

    expect(notebook.page.locator(".bl-told")).to_contain_text("Stopped at 62.1 kPa")


def test_it_plays_slowly_pauses_and_steps(notebook):
    page = notebook.page
    stage = page.locator(".bl-stage")
    page.get_by_role("slider", name="moment").press("Home")
    page.get_by_label("how fast it plays").select_option("0.2")
    page.get_by_role("button", name="▶ Play").press("Enter")
    expect(stage).not_to_have_attribute("data-frame", "0")
    page.get_by_role("button", name="Pause").press("Enter")
    here = int(stage.get_attribute("data-frame"))
    assert here < 20  # five thousand times slower than real
    page.get_by_role("button", name="one step on").press("Enter")
    expect(stage).to_have_attribute("data-frame", str(here + 5))
    page.get_by_label("how fast it plays").select_option("1")
    page.get_by_role("button", name="▶ Play").press("Enter")
    expect(stage).to_have_attribute("data-frame", "120", timeout=40_000)


def test_a_ball_of_the_class_is_estimated(notebook):
    page = notebook.page
    for label, text in (
        ("which ball", "Basketball 3"),
        ("its gauge pressure", "8 psi"),
        ("rebound height", "1,15 m"),
    ):
        page.get_by_label(label).fill(text)
    page.get_by_role("textbox", name="drop height").fill("180")

    said = page.get_by_text("It touches the floor for about 12 ms")
    expect(said).to_contain_text("basketball, size 7: e = 0.80")


def test_answers_are_found_after_the_kernel_was_restarted(notebook):
    page = notebook.page
    page.get_by_label("For how long does it touch").fill("0,01 s")
    page.get_by_label("a dead ball has no energy").fill("It has, as warmth.")
    expect(page.get_by_text("✓ Kept in readings.")).to_have_count(2)

    notebook.restart_and_run_all()

    expect(page.get_by_label("For how long does it touch")).to_have_value("0,01 s")
    answer = page.get_by_label("a dead ball has no energy")
    expect(answer).to_have_value("It has, as warmth.")
