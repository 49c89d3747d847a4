"""How long from a slider to the new drawing and the new plot, in a real Chromium?

For the first slider of each lesson notebook. The peer, in the same page and
kernel, is the plainest way to do it: an `ipywidgets` slider whose handler draws
with matplotlib into an `Output`.
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

MOVES = 24
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
# Moves something and waits until what is shown has changed; -1 if it never does.
TIMED = """async ([stage, what, move]) => {
    const root = document.querySelectorAll('.bl-stage')[stage];
    const place = what === 'peer'
        ? document.querySelector('.jp-OutputArea .widget-output')
        : root.querySelector(what);
    let changed = false;
    const watch = new MutationObserver(() => { changed = true; });
    watch.observe(place, {subtree: true, childList: true, attributes: true});
    const begun = performance.now();
    if (what === 'peer') {
        document.querySelector('.noUi-handle').dispatchEvent(
            new KeyboardEvent('keydown', {key: move, bubbles: true}));
    } else {
        const input = root.querySelector('.bl-controls input[type=range]');
        const span = input.max - input.min;
        input.value = Number(input.min) + span * move;
        input.dispatchEvent(new Event('input', {bubbles: true}));
    }
    while (!changed && performance.now() - begun < 3000) {
        await new Promise(requestAnimationFrame);
    }
    watch.disconnect();
    return changed ? performance.now() - begun : -1;
}"""


def timed(page, stage, what, moves):
    took = []
    for move in moves:
        took.append(page.evaluate(TIMED, [stage, what, move]))
        page.wait_for_timeout(250)
    took = [each for each in took if each > 0]
    return statistics.median(took) if len(took) > MOVES // 2 else None


def shown(median):
    return "–" if median is None else f"{median:.0f} ms"


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
            moves = [0.2 + 0.05 * (n * 7 % 13) for n in range(MOVES)]
            for path in sorted((folder / "notebooks").glob("0[2-8]*.ipynb")):
                notebook = Notebook(page, lab, path.name)
                notebook.open()
                notebook.run_all()
                if not page.locator(".bl-controls input[type=range]").count():
                    continue
                drawing = timed(page, 0, ".bl-show", moves)
                has_plot = page.locator(".bl-plot").first.locator("img").is_visible()
                plot = timed(page, 0, ".bl-plot img", moves) if has_plot else None
                print(
                    f"{path.stem}: drawing {shown(drawing)}, plot {shown(plot)}",
                    flush=True,
                )
            page.locator(".jp-Cell").last.click()
            page.keyboard.press("Escape")
            page.keyboard.press("b")
            page.keyboard.press("Enter")
            page.keyboard.insert_text(PEER)
            page.keyboard.press("Shift+Enter")
            page.locator(".widget-slider .noUi-handle").wait_for()
            page.wait_for_timeout(1500)
            keys = ["ArrowRight"] * MOVES
            print(f"peer (Output): {shown(timed(page, 0, 'peer', keys))}")
            browser.close()
        finally:
            lab.stop()
    print("(asked for: drawings under 35 ms, plots under 70 ms)")


if __name__ == "__main__":
    main()
