"""Why a ball bounces at all, as a student works through it, by keys alone."""

import re

import pytest
from playwright.sync_api import expect

from bouncelab.figures.pumping import pumping_scene
from bouncelab.figures.squeeze import squeeze_scene
from bouncelab.figures.store_and_hall import store_and_hall_scene
from bouncelab.physics.ball_air import sealed_pressure
from pages import expected, read, slide, stage

pytestmark = [
    pytest.mark.browser,
    pytest.mark.parametrize(
        "notebook", [{"name": "02_why_does_a_ball_bounce.ipynb"}], indirect=True
    ),
]


def at_the_end(part):
    part.get_by_role("slider", name="moment").press("End")


def test_the_syringe_shows_what_the_library_says(notebook):
    part = stage(notebook, "gauge pressure at the start")
    volume = slide(part, "volume where it turns (start: 100 %)", ["End", "ArrowLeft"])
    gauge = slide(part, "gauge pressure at the start", ["ArrowRight"] * 4)
    assert (volume, gauge) == (145, 20)
    for way in ("fast", "wait"):
        part.get_by_role("combobox", name="how", exact=True).select_option(way)
        scene = squeeze_scene({"volume": volume, "gauge": gauge, "way": way})
        expect(part.locator(".bl-told")).to_have_text(scene.told)
        at_the_end(part)
        assert read(part) == expected(scene, len(scene.times) - 1)
    picture = part.get_by_role("img", name=re.compile("Absolute pressure against"))
    expect(picture).to_have_attribute("alt", re.compile("The paths enclose"))


def test_it_plays_pauses_and_steps(notebook):
    part = stage(notebook, "gauge pressure at the start")
    part.get_by_role("slider", name="moment").press("Home")
    part.get_by_role("button", name="▶ Play").press("Enter")
    expect(part).not_to_have_attribute("data-frame", "0")
    part.get_by_role("button", name="Pause").press("Enter")
    here = int(part.get_attribute("data-frame"))
    part.get_by_role("button", name="one step on").press("Enter")
    expect(part).to_have_attribute("data-frame", str(min(here + 3, 72)))
    part.get_by_role("button", name="▶ Play").press("Enter")
    expect(part).to_have_attribute("data-frame", "72", timeout=15_000)


def test_two_balls_are_pumped_up_and_stop_at_the_mark(notebook):
    part = stage(notebook, "outside air in one stroke")
    part.get_by_label("right ball").select_option("volleyball")
    values = {
        "left": "basketball-7",
        "right": "volleyball",
        "gauge": slide(part, "gauge pressure to reach", ["End"]),
        "stroke": slide(part, "outside air in one stroke", ["ArrowRight"] * 3),
        "temperature": slide(part, "temperature", ["Home"]),
    }
    scene = pumping_scene(values)
    expect(part.locator(".bl-told")).to_have_text(scene.told)
    expect(part.locator(".bl-told")).to_contain_text("Stopped at 31.9 kPa")
    at_the_end(part)
    assert read(part) == expected(scene, 60)


def test_a_ball_is_carried_and_laid_beside_the_class(notebook):
    page = notebook.page
    part = stage(notebook, "temperature of the store")
    part.get_by_role("combobox", name="ball", exact=True).select_option("football-5")
    values = {
        "ball": "football-5",
        "gauge": slide(part, "gauge pressure in the store", ["ArrowRight"]),
        "store": slide(part, "temperature of the store", ["Home"]),
        "hall": slide(part, "temperature of the hall", ["ArrowRight"]),
    }
    assert list(values.values()) == ["football-5", 65, -5, 23]
    scene = store_and_hall_scene(values)
    expect(part.locator(".bl-told")).to_have_text(scene.told)
    at_the_end(part)
    assert read(part) == expected(scene, 60)

    page.get_by_label("temperature in the cold place").fill("-5")
    page.get_by_label("gauge pressure there", exact=True).fill("65 kPa")
    page.get_by_label("temperature in the warm place").fill("23")
    law = sealed_pressure(gauge_pressure=65e3, temperature_c=-5, new_temperature_c=23)
    expect(page.get_by_text(f"the gauge shows {law / 1e3:.1f} kPa")).to_be_visible()


def test_answers_are_found_after_the_kernel_was_restarted(notebook):
    page = notebook.page
    given = {
        "What does the gauge show then?": "101 kPa",
        "Does one hold more air?": "twice as much",
        "what does pumping change?": "A stiffer spring of air.",
    }
    for question, text in given.items():
        page.get_by_label(question).fill(text)
    expect(page.get_by_text("✓ Kept in readings.")).to_have_count(3)

    notebook.restart_and_run_all()

    for question, text in given.items():
        expect(page.get_by_label(question)).to_have_value(text)
