"""Bounciness gets a number, as a student works through it, by keys alone."""

import re

import pytest
from playwright.sync_api import expect

from bouncelab.figures.three_ways import three_ways_scene
from bouncelab.figures.wiggle import wiggle_scene
from bouncelab.physics.restitution import restitution_from_times
from pages import expected, read, slide, stage

pytestmark = [
    pytest.mark.browser,
    pytest.mark.parametrize(
        "notebook", [{"name": "06_bounciness_gets_a_number.ipynb"}], indirect=True
    ),
]


def test_three_ways_show_what_the_library_says(notebook):
    part = stage(notebook, "e of the ball")
    part.get_by_role("combobox", name="ball", exact=True).select_option("tennis")
    values = {
        "ball": "tennis",
        "height": slide(part, "drop height", ["ArrowRight"] * 4),
        "restitution": slide(part, "e of the ball", ["ArrowLeft"] * 5),
    }
    assert list(values.values()) == ["tennis", 104, 0.75]
    for place in ("moon", "air", "none"):
        part.get_by_role("combobox", name="where").select_option(place)
        scene = three_ways_scene({**values, "air": place})
        expect(part.locator(".bl-told")).to_have_text(scene.told)
        expect(part.locator("figcaption").first).to_have_text(scene.words)
        assert read(part) == expected(scene, 0)
    picture = part.get_by_role("img", name=re.compile("Rebound height against"))
    share = f"That is {0.75**2:.3f} of the drop height"
    expect(picture).to_have_attribute("alt", re.compile(share))


def test_it_plays_pauses_and_steps(notebook):
    part = stage(notebook, "e of the ball")
    part.get_by_role("button", name="▶ Play").press("Enter")
    expect(part).not_to_have_attribute("data-frame", "0")
    expect(part).to_have_attribute("data-frame", "180", timeout=15_000)
    part.get_by_role("button", name="one step back").press("Enter")
    expect(part).to_have_attribute("data-frame", "172")


def test_readings_wiggle_as_the_library_says(notebook):
    part = stage(notebook, "true rebound height")
    values = {
        "drop": slide(part, "true drop height", ["ArrowRight"] * 10),
        "rebound": slide(part, "true rebound height", ["ArrowLeft"] * 4),
        "drop_doubt": slide(part, "drop read to ±", ["ArrowRight"]),
        "rebound_doubt": slide(part, "rebound read to ±", ["ArrowLeft"]),
        "tape": slide(part, "the tape reads too high by", ["ArrowRight"] * 2),
    }
    assert list(values.values()) == [110, 60, 1, 1.5, 1]
    scene = wiggle_scene(values)
    expect(part.locator(".bl-told")).to_have_text(scene.told)
    assert read(part) == expected(scene, 119)
    part.get_by_role("slider", name="moment").press("Home")
    assert read(part) == expected(scene, 0)
    slide(part, "true rebound height", ["End"])
    expect(part.locator(".bl-told")).to_contain_text("make the errors smaller")


def test_the_students_own_numbers_are_worked_out_and_found_again(notebook):
    page = notebook.page
    boxes = {
        "drop height, in cm if you write no unit": "180",
        "rebound height": "110 cm",
        "how far a height may be off": "1 cm",
        "times of impacts": "0.61, 1.59, 2.37 s",
    }
    derivation = page.locator(".jupyter-widgets.bl-lab", has_text="Mass and gravity")
    expect(derivation).not_to_contain_text("With drop height")
    for name, text in boxes.items():
        page.get_by_role("textbox", name=name).fill(text)

    e = restitution_from_times([0.61, 1.59, 2.37])
    expect(page.get_by_text("the heights say e = 0.782, with")).to_be_visible()
    expect(page.get_by_text(f"The times say e = {e:.3f}.")).to_be_visible()
    expect(derivation).to_contain_text("With drop height 1.8 m and rebound height 1.1")
    expect(derivation.locator("mjx-container").last).to_be_visible()
    plot = stage(notebook, "e of the ball").locator(".bl-plot")
    expect(plot).to_contain_text("Square, yours: from 180.0 cm back to 110.0 cm.")

    page.get_by_label("What share of its speed").fill("80 %")
    page.get_by_label("What is missing").fill("From what height?")
    expect(page.get_by_text("✓ Kept in readings.")).to_have_count(2)
    notebook.restart_and_run_all()

    for name, text in boxes.items():
        expect(page.get_by_role("textbox", name=name)).to_have_value(text)
    expect(page.get_by_label("What share of its speed")).to_have_value("80 %")
    expect(page.get_by_label("What is missing")).to_have_value("From what height?")
    expect(derivation).to_contain_text("With drop height 1.8 m")
