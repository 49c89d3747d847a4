"""A ball brought to the mark, by keys alone."""

import pytest
from playwright.sync_api import expect

pytestmark = [
    pytest.mark.browser,
    pytest.mark.parametrize(
        "notebook", [{"name": "08_a_ball_brought_to_the_mark.ipynb"}], indirect=True
    ),
]


def test_the_gauge_is_moved_to_the_mark_and_past_the_maximum(notebook):
    page = notebook.page
    told = page.locator(".bl-told")
    expect(told).to_contain_text("Add 0.65 g of air")

    assert notebook.slide("pressure in the ball now", ["ArrowRight"] * 13) == 43
    expect(told).to_contain_text("It is there, as far as a gauge can tell.")
    expect(notebook.reading("pressure now")).to_have_text("43.0 kPa")
    assert notebook.slide("pressure in the ball now", ["End"]) == 110
    expect(told).to_contain_text("Stop: this is above the marked maximum")

    page.get_by_label("ball and range").select_option(index=2)
    expect(page.get_by_role("img", name="Basketball size 7, share")).to_be_visible()
    page.get_by_label("Why does more air").fill("The wall does less of the work.")
    expect(page.get_by_text("✓ Kept in readings.")).to_be_visible()
    notebook.restart_and_run_all()
    kept = page.get_by_label("Why does more air")
    expect(kept).to_have_value("The wall does less of the work.")
