"""The site, served by a plain web server, in a browser that reaches nothing else."""

import functools
import http.server
import os
import threading
from pathlib import Path

import pytest

from bouncelab.publish.site import build_site
from bouncelab.readings.files import read_drops

pytestmark = pytest.mark.browser


class Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *words):
        pass


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    named = os.environ.get("BOUNCELAB_RUNTIME")
    if not named:
        pytest.skip("BOUNCELAB_RUNTIME names no unpacked Pyodide release")
    return build_site(tmp_path_factory.mktemp("site") / "out", Path(named))


def serve(folder):
    handler = functools.partial(Quiet, directory=str(folder))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    return server, f"http://127.0.0.1:{server.server_address[1]}"


def open_lab(context, base):
    page = context.new_page()
    page.set_default_timeout(90_000)
    page.goto(base + "/index.html")
    page.get_by_role("link", name="How much of the fall comes back?").click()
    page.get_by_text("| Idle").first.wait_for()
    bar = page.locator("#jp-MainMenu")
    bar.get_by_role("menuitem", name="Run", exact=True).click()
    page.locator(".lm-Menu").get_by_text("Run All Cells", exact=True).last.click()
    page.locator(".bl-sheet").first.wait_for()
    return page


def cell(page, heading):
    return page.get_by_role("textbox", name=f"row 1, {heading}", exact=True)


def test_readings_outlive_the_browser_and_the_server_and_are_exported(
    site, lasting, tmp_path
):
    assert site.size < 100e6
    server, base = serve(site.folder)
    context = lasting()
    asked = []
    context.on("request", lambda request: asked.append(request.url))
    page = open_lab(context, base)
    cell(page, "ball").fill("red")
    cell(page, "drop height").fill("2 m")
    cell(page, "rebound height").fill("1.23 m")
    page.get_by_text("red: e 0.784").wait_for()
    page.locator(".bl-saved", has_text="Saved in").wait_for()
    context.close()
    inside = (base, "data:", "blob:")
    assert [each for each in asked if not each.startswith(inside)] == []

    server.shutdown()
    server.server_close()  # from here on there is no network at all
    context = lasting()
    page = open_lab(context, base)
    assert cell(page, "rebound height").input_value() == "1.23 m"
    page.get_by_role("button", name="Make one file to hand in").click()
    with page.expect_download() as got:
        page.get_by_role("link", name="Save drop-lab.csv").click()
    got.value.save_as(tmp_path / "drop-lab.csv")
    context.close()
    table = read_drops(tmp_path / "drop-lab.csv").table
    assert table["ball"].tolist() == ["red"]
