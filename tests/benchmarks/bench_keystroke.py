"""How long from a key to the new verdict on the screen, in a real Chromium?

The peer, in the same page and kernel, is the plainest way to build such a page:
an `ipywidgets.Text` whose handler prints the answer into an `Output`.
"""

import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "browser"))

from conftest import FLAGS, Notebook, find_browser
from playwright.sync_api import sync_playwright

from bouncelab.publish.desk import lay_out
from bouncelab.publish.lab import start

KEYS = 60
PEER = """import ipywidgets
box, out = ipywidgets.Text(description='peer'), ipywidgets.Output()
def answer(change):
    out.clear_output(wait=True)
    with out:
        print(lab.table.state['results']['spoken'], change['new'])
box.observe(answer, 'value')
display(box, out)"""
# Types one character and waits until the page shows another text.
TIMED = """async ([field, shown, key]) => {
    const input = document.querySelector(field);
    const prototype = HTMLInputElement.prototype;
    const setter = Object.getOwnPropertyDescriptor(prototype, 'value').set;
    const before = document.querySelector(shown)?.innerText;
    const begun = performance.now();
    setter.call(input, key);
    input.dispatchEvent(new Event('input', {bubbles: true}));
    while (document.querySelector(shown)?.innerText === before) {
        if (performance.now() - begun > 5000) return -1;
        await new Promise(requestAnimationFrame);
    }
    return performance.now() - begun;
}"""


def timed(page, field, shown):
    took = []
    for number in range(KEYS):
        key = f"{65 if number % 2 else 58}.{number % 10}"  # each moves the mean
        took.append(page.evaluate(TIMED, [field, shown, key]))
        page.wait_for_timeout(400)  # the picture is drawn when typing pauses
    assert min(took) > 0, "a key was not answered"
    return took


def main():
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        folder = Path(place)
        first, _ = lay_out(folder)
        lab = start(folder, first)
        try:
            browser = playwright.chromium.launch(
                executable_path=find_browser(), args=FLAGS
            )
            page = browser.new_page(viewport={"width": 1366, "height": 768})
            notebook = Notebook(page, lab, first.name)
            notebook.open()
            notebook.run_all()
            for heading, text in (("ball", "Futsal A"), ("drop height", "200")):
                notebook.cell(1, heading).fill(text)
            notebook.cell(1, "rebound height").click()
            for number in range(20):
                page.keyboard.type(str(60 + number % 5))
                page.keyboard.press("Enter")
            page.get_by_label("Compare with the range").select_option("futsal-law-2")
            page.wait_for_timeout(1000)
            page.evaluate(
                "document.querySelectorAll('.bl-sheet [data-column=rebound_height]')"
                "[10].id = 'timed'"
            )
            mine = timed(page, "#timed", ".bl-answers")
            page.locator(".jp-Cell").last.click()
            page.keyboard.press("Escape")
            page.keyboard.press("b")
            page.keyboard.press("Enter")
            page.keyboard.insert_text(PEER)
            page.keyboard.press("Shift+Enter")
            page.locator(".widget-text input").first.wait_for()
            peer = timed(page, ".widget-text input", ".jp-OutputArea .widget-output")
            browser.close()
        finally:
            lab.stop()
    own, other = statistics.median(mine), statistics.median(peer)
    worst = sorted(mine)[int(0.95 * len(mine))]
    print(f"key to verdict, 20 drops: median {own:.0f} ms, 95 % within {worst:.0f} ms")
    print(f"peer (Text and Output):   median {other:.0f} ms")
    print(f"ratio {own / other:.2f}  (asked for: median under 60 ms)")


if __name__ == "__main__":
    main()
