"""How long from a slider to the new drawing, in a real Chromium?

The peer, in the same page and kernel, is the plainest way to do it: an
`ipywidgets` slider whose handler draws the same scene with matplotlib into an
`Output`.
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

MOVES = 40
PEER = """import ipywidgets, matplotlib.pyplot as plt
slide, out = ipywidgets.FloatSlider(description='peer', max=9), ipywidgets.Output()
def draw(change):
    with out:
        out.clear_output(wait=True)
        figure, axes = plt.subplots()
        axes.bar(['before', 'after'], [2.0, change['new']])
        plt.show()
slide.observe(draw, 'value')
draw({'new': 1.0})
display(slide, out)"""
# Moves a slider and waits until what is shown has changed.
TIMED = """async ([field, shown, value]) => {
    const input = document.querySelector(field);
    const place = document.querySelector(shown);
    let changed = false;
    const watch = new MutationObserver(() => { changed = true; });
    watch.observe(place, {subtree: true, childList: true, attributes: true});
    const begun = performance.now();
    input.value = value;
    input.dispatchEvent(new Event('input', {bubbles: true}));
    while (!changed && performance.now() - begun < 5000) {
        await new Promise(requestAnimationFrame);
    }
    watch.disconnect();
    return changed ? performance.now() - begun : -1;
}"""
PEER_TIMED = """async ([shown, steps]) => {
    const handle = document.querySelector('.widget-slider [role=slider], .noUi-handle');
    const place = document.querySelector(shown);
    let changed = false;
    const watch = new MutationObserver(() => { changed = true; });
    watch.observe(place, {subtree: true, childList: true, attributes: true});
    const begun = performance.now();
    handle.dispatchEvent(new KeyboardEvent('keydown', {key: steps, bubbles: true}));
    while (!changed && performance.now() - begun < 5000) {
        await new Promise(requestAnimationFrame);
    }
    watch.disconnect();
    return changed ? performance.now() - begun : -1;
}"""


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
            notebook = Notebook(page, lab, "04_two_things_collide.ipynb")
            notebook.open()
            notebook.run_all()
            mine = []
            for number in range(MOVES):
                value = str(2 + number % 6)
                args = [".bl-controls input", ".bl-scene", value]
                mine.append(page.evaluate(TIMED, args))
                page.wait_for_timeout(150)
            page.locator(".jp-Cell").last.click()
            page.keyboard.press("Escape")
            page.keyboard.press("b")
            page.keyboard.press("Enter")
            page.keyboard.insert_text(PEER)
            page.keyboard.press("Shift+Enter")
            page.locator(".widget-slider .noUi-handle").wait_for()
            page.wait_for_timeout(1500)
            peer = []
            for number in range(MOVES):
                key = "ArrowLeft" if number % 8 == 7 else "ArrowRight"
                args = [".jp-OutputArea .widget-output", key]
                peer.append(page.evaluate(PEER_TIMED, args))
                page.wait_for_timeout(250)
            browser.close()
        finally:
            lab.stop()
    assert min(mine) > 0, "a move was not answered"
    peer = [each for each in peer if each > 0]
    own, other = statistics.median(mine), statistics.median(peer)
    print(f"slider to drawing: median {own:.0f} ms, worst {max(mine):.0f} ms")
    print(f"peer (Output):     median {other:.0f} ms in {len(peer)} moves")
    print(f"ratio {own / other:.2f}  (asked for: median under 35 ms)")


if __name__ == "__main__":
    main()
