"""Two things collide, as a student works through it, by keys alone."""

import re

import pytest
from playwright.sync_api import expect

from bouncelab.figures.scene import signed
from bouncelab.physics.collisions import collide

pytestmark = [
    pytest.mark.browser,
    pytest.mark.parametrize(
        "notebook", [{"name": "04_two_things_collide.ipynb"}], indirect=True
    ),
]


def test_the_page_shows_what_the_library_says(notebook):
    page = notebook.page
    masses = (
        notebook.slide("mass of the left body", ["ArrowRight"] * 5),
        notebook.slide("mass of the right body", ["End", "ArrowLeft"]),
    )
    speeds = (
        notebook.slide("velocity of the left one", ["ArrowLeft"] * 3),
        notebook.slide("velocity of the right one", ["ArrowLeft"] * 4),
    )
    e = notebook.slide("e: 0 sticks", ["ArrowRight"] * 4)
    energy = notebook.slide("energy that a spring", ["ArrowRight"])
    assert (masses, speeds, e, energy) == ((1.5, 7.9), (1.7, -0.4), 0.7, 0.5)
    met = collide(
        masses=masses, velocities=speeds, restitution=e, energy_released=energy
    )

    page.get_by_role("slider", name="moment").focus()
    page.keyboard.press("End")

    for side, name in enumerate(("left", "right")):
        shown = f"{signed(met.velocities_after[side], 2)} m/s"
        expect(notebook.reading(f"velocity, {name}")).to_have_text(shown)
    told = f"energy of motion {met.ledger.total_kinetic_before:.2f}"
    expect(page.locator(".bl-told")).to_contain_text(told)


def test_it_plays_pauses_and_steps(notebook):
    page = notebook.page
    stage = page.locator(".bl-stage")
    page.get_by_role("button", name="▶ Play").press("Enter")
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    expect(stage).not_to_have_attribute("data-frame", "0")
    page.get_by_role("button", name="Pause").press("Enter")
    here = int(stage.get_attribute("data-frame"))
    page.get_by_role("button", name="one step on").press("Enter")
    expect(stage).to_have_attribute("data-frame", re.compile(str(here + 5)))
    page.get_by_label("how fast it plays").select_option("0.2")
    page.get_by_role("button", name="▶ Play").press("Enter")
    expect(stage).to_have_attribute("data-frame", "120", timeout=25_000)


def test_answers_are_found_after_the_kernel_was_restarted(notebook):
    page = notebook.page
    page.get_by_label("How fast do they move on?").fill("0,5 m/s")
    page.get_by_label("What about the energy").fill("Warm clay.")
    expect(page.get_by_text("✓ Kept in readings.")).to_have_count(2)

    notebook.restart_and_run_all()

    expect(page.get_by_label("How fast do they move on?")).to_have_value("0,5 m/s")
    expect(page.get_by_label("What about the energy")).to_have_value("Warm clay.")
