"""What must hold on the page of every lesson, however it is looked at."""

import pytest
from playwright.sync_api import expect

from bouncelab.places import kit_folder

LESSONS = sorted(path.name for path in kit_folder("notebooks").glob("0[2-9]*.ipynb"))

pytestmark = [
    pytest.mark.browser,
    pytest.mark.parametrize(
        "notebook", [{"name": name} for name in LESSONS], ids=LESSONS, indirect=True
    ),
]


def test_nothing_bars_a_student_who_cannot_see_or_point(notebook):
    page = notebook.page
    assert notebook.bars() == []

    with notebook.in_the_dark():
        assert notebook.bars() == []

    # As a window of 1366 × 768 is at twice the size.
    page.set_viewport_size({"width": 683, "height": 384})
    page.wait_for_timeout(600)
    for panel in page.locator(".bl-lab").all():
        assert panel.evaluate("e => e.scrollWidth <= e.clientWidth + 1")


def test_keys_reach_every_control_and_the_focus_is_seen(notebook):
    page = notebook.page
    for panel in page.locator(".bl-stage, .bl-question, .bl-listening").all():
        controls = panel.locator(":is(input, select, textarea, button):visible")
        count = controls.count()
        controls.first.focus()
        for place in range(count):
            if place:
                page.keyboard.press("Tab")
            control = controls.nth(place)
            expect(control).to_be_focused()
            expect(control).to_have_css("outline-style", "solid")
            expect(control).to_have_css("outline-width", "3px")
            assert control.evaluate("e => e.matches(':focus-visible')")
            expect(control).not_to_have_accessible_name("")
