"""The site, served by a plain web server, in a browser that reaches nothing else."""

import functools
import http.server
import json
import os
import threading
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from bouncelab.cli import main
from bouncelab.places import kit_folder
from bouncelab.publish.site import build_site
from bouncelab.readings.files import read_drops

pytestmark = pytest.mark.browser


MOST_BYTES = 50e6  # of a first visit, from a server that presses nothing together
LESSONS = [path.name for path in sorted(kit_folder("notebooks").glob("[0-9]*.ipynb"))]


class Counting(http.server.SimpleHTTPRequestHandler):
    """Serves as a plain web server does, and counts what goes out."""

    def log_message(self, *words):
        pass

    def copyfile(self, source, outputfile):
        data = source.read()
        self.server.sent[self.path] = self.server.sent.get(self.path, 0) + len(data)
        outputfile.write(data)


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    named = os.environ.get("BOUNCELAB_RUNTIME")
    if not named:
        pytest.skip(
            "the site needs Pyodide's runtime: unpack its release 0.27.7, and name the "
            "folder in BOUNCELAB_RUNTIME"
        )
    return build_site(tmp_path_factory.mktemp("site") / "out", Path(named))


def serve(folder):
    handler = functools.partial(Counting, directory=str(folder))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    server.sent = {}
    threading.Thread(target=server.serve_forever, daemon=True).start()
    return server, f"http://127.0.0.1:{server.server_address[1]}"


def open_lab(context, base, name="01_drop_lab.ipynb"):
    page = context.new_page()
    page.set_default_timeout(180_000)
    page.goto(base + "/index.html")
    page.locator(f"a[href$='{name}']").click()
    page.get_by_text("| Idle").first.wait_for()
    bar = page.locator("#jp-MainMenu")
    bar.get_by_role("menuitem", name="Run", exact=True).click()
    page.locator(".lm-Menu").get_by_text("Run All Cells", exact=True).last.click()
    page.locator(".bl-lab").first.wait_for()
    return page


def outside(asked, base):
    return [each for each in asked if not each.startswith((base, "data:", "blob:"))]


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
    assert sum(server.sent.values()) < MOST_BYTES
    assert not [each for each in server.sent if "scipy" in each or "sympy" in each]
    context.close()
    assert outside(asked, base) == []

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
    out = tmp_path / "report"
    assert main(["report", str(tmp_path / "drop-lab.csv"), "--out", str(out)]) in (0, 1)
    assert "red" in next(out.rglob("*.html")).read_text("utf-8")


@pytest.fixture(scope="module")
def visited(site, browser):
    """One browser that goes from lesson to lesson, and all that it asked for."""
    server, base = serve(site.folder)
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    asked = []
    context.on("request", lambda request: asked.append(request.url))
    yield context, base, asked
    context.close()
    server.shutdown()
    server.server_close()


@pytest.mark.parametrize("name", LESSONS)
def test_each_lesson_runs_to_its_end_and_shows_its_panels(visited, name):
    context, base, asked = visited
    page = open_lab(context, base, name)
    faults = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    cells = json.loads((kit_folder("notebooks") / name).read_text("utf-8"))["cells"]
    code = sum(each["cell_type"] == "code" for each in cells)
    # The last cell has its number, so each before it ran; one that fails stops them.
    last = page.locator(".jp-CodeCell .jp-InputPrompt", has_text=f"[{code}]:")
    last.last.wait_for(state="attached")
    page.get_by_text("| Idle").first.wait_for()
    errors = page.locator(
        "[data-mime-type='application/vnd.jupyter.error'],"
        "[data-mime-type='application/vnd.jupyter.stderr']"
    )
    assert errors.all_inner_texts() == []
    assert page.locator(".bl-lab").count() >= 2
    found = Axe().run(page, context=".bl-lab").response["violations"]
    assert [(each["id"], [n["target"] for n in each["nodes"]]) for each in found] == []
    for file in sorted(path.stem for path in kit_folder("notebooks").glob("[0-9]*")):
        assert page.locator(".jp-DirListing-item", has_text=file).count() == 1
    page.close()
    assert faults == []
    assert outside(asked, base) == []


def test_an_invented_recording_is_heard(visited):
    context, base, _ = visited
    page = open_lab(context, base, "09_listening_to_the_bounce.ipynb")
    lab = page.locator(".bl-listening")
    recordings = lab.get_by_role("combobox", name="Recording", exact=True)
    recordings.select_option("invented/futsal_ball.wav")
    told = lab.get_by_role("region", name="What the times say")
    told.get_by_text("e = 0.59").first.wait_for()
    page.close()


def test_the_schools_data_stand_in_the_list_of_files(visited):
    context, base, _ = visited
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(base + "/lab/index.html?reset")
    for folder, file in (("data", "larkfield_class.csv"), ("recordings", ".wav")):
        page.locator(".jp-DirListing-item", has_text=folder).first.dblclick()
        page.locator(".jp-DirListing-item", has_text=file).first.wait_for()
    page.close()


def test_a_bounce_is_loaded_and_recorded_where_nothing_is_installed(
    site, another_browser
):
    server, base = serve(site.folder)
    demos = kit_folder("data") / "recordings"
    plays = f"--use-file-for-fake-audio-capture={demos / 'basketball.wav'}%noloop"
    says_yes = "--use-fake-ui-for-media-stream"
    own = another_browser("--use-fake-device-for-media-stream", says_yes, plays)
    page = open_lab(own, base, "09_listening_to_the_bounce.ipynb")
    part = page.locator(".bl-listening")
    part.get_by_label("Or load a file").set_input_files(demos / "bouncy_ball.wav")
    part.get_by_text("bouncy_ball.wav, 3.3 s. One drop was heard").wait_for()
    part.get_by_role("button", name="Strike out impact 8").click()
    part.get_by_text("at the second of 7 impacts").wait_for()

    part.get_by_role("button", name="Record with").click()
    part.get_by_text("5 s, level").wait_for()
    part.get_by_role("button", name="Stop").click()
    part.get_by_role("combobox", name="Kind of ball").select_option("basketball-7")
    part.get_by_text("as for a basketball").wait_for()

    said = part.get_by_text("at the second of").inner_text()
    assert abs(float(said.split()[2]) - 0.7916) < 0.01
    server.shutdown()
    server.server_close()
