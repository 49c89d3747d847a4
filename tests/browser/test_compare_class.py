"""Same pressure, other bounce, by keys alone."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from bouncelab import bounciness, check_drops, read_drops
from bouncelab.analysis.comparison import compare
from bouncelab.places import kit_folder

pytestmark = [
    pytest.mark.browser,
    pytest.mark.parametrize(
        "notebook", [{"name": "07_same_pressure_other_bounce.ipynb"}], indirect=True
    ),
]


def test_a_class_is_compared_and_the_answer_kept(notebook):
    page = notebook.page
    whole, floors = (page.locator(".bl-stage").nth(k) for k in (0, 1))
    whole.get_by_label("compare by").select_option("pressure")
    pair = notebook.reading("30.0 kPa → 60.0 kPa")
    expect(pair).to_contain_text("✓ told apart")
    expect(whole.get_by_role("img", name="30.0 kPa: e 0.")).to_be_visible()
    whole.get_by_label("compare by").select_option("floor")
    expect(whole.locator(".bl-told")).to_contain_text("there is ")
    expect(whole.get_by_role("table")).to_be_hidden()
    expect(whole.get_by_role("img")).to_have_count(0)

    expect(notebook.reading("gym, wood → hall, concrete")).to_be_visible()
    floors.get_by_label("compare by").select_option("temperature")
    expect(notebook.reading("6.0 °C → 27.0 °C")).to_contain_text("✓ told apart")
    found = compare(
        bounciness(
            check_drops(read_drops(kit_folder("data") / "larkfield_floors.csv"))
        ),
        by="temperature",
    )
    expect(floors).to_contain_text(found.warmth.words[1])
    page.get_by_label("Name two reasons").fill("The wall, and the floor.")
    expect(page.get_by_text("✓ Kept in readings.")).to_be_visible()

    notebook.restart_and_run_all()

    kept = page.get_by_label("Name two reasons")
    expect(kept).to_have_value("The wall, and the floor.")
    found = Axe().run(page, context=".bl-lab").response["violations"]
    assert [(v["id"], [n["target"] for n in v["nodes"]]) for v in found] == []
