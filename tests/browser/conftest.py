"""A real JupyterLab, started as `bouncelab open` starts it, and a real Chromium."""

import os
import shutil
from contextlib import contextmanager
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from bouncelab.publish.desk import lay_out
from bouncelab.publish.lab import start

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    "--disable-dev-shm-usage",
    # Nothing but this computer can be reached: a request to elsewhere fails.
    "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1 , EXCLUDE localhost",
]
PANELS = ".bl-sheet, .bl-stage, .bl-homework, .bl-listening"
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")


def find_browser():
    named = os.environ.get("BOUNCELAB_CHROMIUM")
    found = [named] if named else [shutil.which(name) for name in NAMES]
    return next((each for each in found if each and Path(each).exists()), None)


@pytest.fixture(scope="session")
def browser():
    path = find_browser()
    if path is None:
        why = (
            "no Chromium or Chrome found; install one, or name it in BOUNCELAB_CHROMIUM"
        )
        assert not os.environ.get("CI"), why
        pytest.skip(why)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def lasting(browser, tmp_path):
    """Start a browser that remembers, as a person's own does; call it to restart."""

    def start():
        return browser.browser_type.launch_persistent_context(
            tmp_path / "profile",
            executable_path=find_browser(),
            args=FLAGS,
            viewport={"width": 1366, "height": 768},
        )

    return start


@pytest.fixture(scope="session")
def desk(tmp_path_factory):
    """A folder with the kit in it, and JupyterLab running on it."""
    folder = tmp_path_factory.mktemp("desk")
    first, _ = lay_out(folder)
    with pytest.MonkeyPatch.context() as patch:
        # A theme that a test chooses must not be the tester's own from then on.
        settings = tmp_path_factory.mktemp("settings")
        patch.setenv("JUPYTERLAB_SETTINGS_DIR", str(settings))
        lab = start(folder, first)
    yield folder, lab
    lab.stop()


class Notebook:
    """One notebook in one page; what a student can do with it."""

    def __init__(self, page, lab, name):
        self.page = page
        self.lab = lab
        self.name = name
        self.faults = []
        page.on("pageerror", lambda error: self.faults.append(str(error)))

    def open(self):
        base = f"http://127.0.0.1:{self.lab.port}/lab/tree/notebooks/{self.name}"
        self.page.goto(f"{base}?token={self.lab.token}&reset")
        self.wait_idle()

    def wait_idle(self):
        # The bar at the bottom speaks of the kernel itself; the notebook's own
        # mark is "idle" before a kernel is there.
        self.page.get_by_text("Python 3 (ipykernel) | Idle").wait_for(timeout=60_000)

    def run_all(self):
        self.menu("Run", "Run All Cells")
        self.page.locator(PANELS).first.wait_for(timeout=60_000)
        self.wait_idle()

    def restart_and_run_all(self):
        self.menu("Kernel", "Restart Kernel and Run All Cells…")
        # The page's old panels go first; only then may the new ones be awaited.
        old = self.page.locator(".bl-lab").first.element_handle()
        self.page.locator(".jp-Dialog .jp-mod-accept").click()
        old.wait_for_element_state("hidden")
        self.page.locator(PANELS).first.wait_for(timeout=60_000)
        self.wait_idle()

    def menu(self, *path):
        bar = self.page.locator("#jp-MainMenu")
        bar.get_by_role("menuitem", name=path[0], exact=True).click()
        for name in path[1:]:
            self.page.locator(".lm-Menu").get_by_text(name, exact=True).last.click()

    def bars(self, panel=".bl-lab"):
        """What bars a person who cannot see or point, as axe finds it, and where."""
        found = Axe().run(self.page, context=panel).response["violations"]
        return [(each["id"], [n["target"] for n in each["nodes"]]) for each in found]

    @contextmanager
    def in_the_dark(self):
        """JupyterLab's dark theme, for a while."""
        self.menu("Settings", "Theme", "JupyterLab Dark")
        try:
            self.page.locator("[data-jp-theme-light=false]").first.wait_for(
                state="attached"
            )
            self.page.wait_for_timeout(600)  # the colours fade over
            yield
        finally:
            self.menu("Settings", "Theme", "JupyterLab Light")

    def cell(self, row, heading):
        """An input of the sheet, by what a screen reader calls it."""
        return self.page.get_by_role(
            "textbox", name=f"row {row}, {heading}", exact=True
        )

    def slide(self, label, keys):
        """Move a slider by keys alone; give what it then reads."""
        slider = self.page.get_by_role("slider", name=label)
        slider.focus()
        for key in keys:
            self.page.keyboard.press(key)
        return float(slider.input_value())

    def reading(self, name):
        """A number that stands beside the drawing."""
        row = self.page.locator(".bl-readings tr", has=self.page.get_by_text(name))
        return row.first.locator("td")


@pytest.fixture
def notebook(browser, desk, request):
    """A notebook, freshly run, with no readings kept: the drop lab if none is named.

    A test names another one, or another size of window, by parametrizing it
    indirectly with ``{"name": …, "width": …, "height": …}``.
    """
    folder, lab = desk
    asked = {"name": "01_drop_lab.ipynb", "width": 1366, "height": 768}
    asked |= getattr(request, "param", {})
    shutil.rmtree(folder / "notebooks" / "readings", ignore_errors=True)
    page = browser.new_page(
        viewport={"width": asked["width"], "height": asked["height"]}
    )
    page.set_default_timeout(20_000)
    notebook = Notebook(page, lab, asked["name"])
    notebook.open()
    notebook.run_all()
    yield notebook
    page.close()
    assert notebook.faults == []


@pytest.fixture
def another_browser(browser):
    """Start a browser with more flags, such as a microphone that plays a file."""
    started = []

    def start(*flags):
        started.append(
            browser.browser_type.launch(
                executable_path=find_browser(), args=[*FLAGS, *flags]
            )
        )
        return started[-1]

    yield start
    for each in started:
        each.close()


@pytest.fixture
def with_microphone(another_browser, desk, request):
    """A notebook in a browser of its own, with flags that say what its microphone does.

    A test names both by parametrizing it indirectly with ``{"name": …, "flags": […]}``.
    """
    folder, lab = desk
    shutil.rmtree(folder / "notebooks" / "readings", ignore_errors=True)
    own = another_browser(*request.param["flags"])
    page = own.new_page(viewport={"width": 1366, "height": 768})
    page.set_default_timeout(20_000)
    notebook = Notebook(page, lab, request.param["name"])
    notebook.open()
    notebook.run_all()
    yield notebook
    page.close()
    assert notebook.faults == []
