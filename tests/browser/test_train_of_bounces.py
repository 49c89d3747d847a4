"""Where the energy went, as a student works through it, by keys alone."""

import re

import pytest
from playwright.sync_api import expect

from bouncelab.figures.hammer import hammer_scene
from bouncelab.figures.many_bounces import many_bounces_scene
from bouncelab.physics.bounces import bounce_train
from pages import expected, read, slide, stage

pytestmark = [
    pytest.mark.browser,
    pytest.mark.parametrize(
        "notebook", [{"name": "05_where_did_the_energy_go.ipynb"}], indirect=True
    ),
]


def test_the_ball_shows_what_the_library_says(notebook):
    part = stage(notebook, "drop height")
    part.get_by_role("combobox", name="ball", exact=True).select_option("table-tennis")
    height = slide(part, "drop height", ["ArrowLeft"] * 3)
    e = slide(part, "e: share of speed kept", ["ArrowRight"] * 5)
    assert (height, e) == (177, 0.85)
    values = {"ball": "table-tennis", "height": height, "restitution": e}
    for air in ("air", "none"):
        part.get_by_role("combobox", name="air", exact=True).select_option(air)
        scene = many_bounces_scene({**values, "air": air})
        expect(part.locator(".bl-told")).to_have_text(scene.told)
        part.get_by_role("slider", name="moment").press("End")
        assert read(part) == expected(scene, 180)
    free = bounce_train(drop_height=1.77, restitution=0.85, bounces=1)
    picture = part.get_by_role("img", name=re.compile("Height after each bounce"))
    shown = f"without air: {100 * free.heights[0]:.1f} cm"
    expect(picture).to_have_attribute("alt", re.compile(shown))


def test_it_plays_pauses_and_steps(notebook):
    part = stage(notebook, "drop height")
    part.get_by_role("button", name="▶ Play").press("Enter")
    expect(part).not_to_have_attribute("data-frame", "0")
    part.get_by_role("button", name="Pause").press("Enter")
    here = int(part.get_attribute("data-frame"))
    part.get_by_role("button", name="one step on").press("Enter")
    expect(part).to_have_attribute("data-frame", str(here + 8))
    part.get_by_role("button", name="▶ Play").press("Enter")
    expect(part).to_have_attribute("data-frame", "180", timeout=15_000)


def test_heights_of_the_students_own_are_laid_over_and_found_again(notebook):
    page, part = notebook.page, stage(notebook, "drop height")
    box = page.get_by_label("Your rebound heights")
    squares = part.locator(".bl-two")
    box.fill("110, 68, 4Z cm")
    expect(page.get_by_text("letter in place of a digit")).to_be_visible()
    expect(squares).to_have_count(0)

    box.fill("110, 68, 42 cm")

    expect(squares).to_have_count(3)
    expect(part.get_by_text("Squares, yours: 110.0 cm")).to_be_visible()
    for name, place in (("drop height", "180"), ("e: share of speed kept", "0.8")):
        expect(part.get_by_role("slider", name=name, exact=True)).to_have_value(place)

    page.get_by_label("Your drop height").fill("2 m")

    for name, place in (("drop height", "200"), ("e: share of speed kept", "0.74")):
        expect(part.get_by_role("slider", name=name, exact=True)).to_have_value(place)
    expect(part.locator("label", has_text="drop height")).to_contain_text("200 cm")
    expect(part.locator("figcaption").first).to_contain_text("dropped from 200.0 cm")
    question = page.get_by_label("How high does it come after the second")
    question.fill("41 cm")
    expect(page.get_by_text("✓ Kept in readings.")).to_have_count(1)

    notebook.restart_and_run_all()

    expect(box).to_have_value("110, 68, 42 cm")
    expect(squares).to_have_count(3)
    expect(question).to_have_value("41 cm")


def test_the_hammer_warms_what_the_library_says(notebook):
    part = stage(notebook, "mass of the hammer")
    part.get_by_label("metal").select_option("lead")
    values = {
        "metal": "lead",
        "hammer": slide(part, "mass of the hammer", ["ArrowRight"] * 2),
        "speed": slide(part, "speed of a blow", ["End"]),
        "blows": slide(part, "blows", ["ArrowRight"] * 5),
        "restitution": slide(part, "e of a blow", ["Home"]),
        "piece": slide(part, "mass of the piece", ["ArrowLeft"]),
        "share": slide(part, "share that stays in the piece", ["ArrowLeft"] * 10),
    }
    assert list(values.values()) == ["lead", 1.2, 6, 15, 0, 90, 50]
    scene = hammer_scene(values)
    expect(part.locator(".bl-told")).to_have_text(scene.told)
    part.get_by_role("slider", name="moment").press("End")
    assert read(part) == expected(scene, 15 * 8)


def test_who_asked_for_less_motion_sees_a_row_of_stills(notebook):
    page = notebook.page
    page.emulate_media(reduced_motion="reduce")
    try:
        notebook.restart_and_run_all()
        part = stage(notebook, "drop height")
        part.get_by_role("slider", name="moment").press("Home")
        part.get_by_role("button", name="▶ Play").press("Enter")
        seen = set()
        for _ in range(40):
            seen.add(int(part.get_attribute("data-frame")))
            page.wait_for_timeout(50)
        part.get_by_role("button", name="Pause").press("Enter")

        assert len(seen) >= 3
        assert {frame % 15 for frame in seen} == {0}  # 181 frames as 12 stills
    finally:
        page.emulate_media(reduced_motion="no-preference")
