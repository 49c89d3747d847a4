"""Listening to the bounce, as a student works through it."""

import io
import re

import pytest
import soundfile
from playwright.sync_api import expect

from bouncelab.places import kit_folder
from bouncelab.readings.files import read_drops

NAME = "09_listening_to_the_bounce.ipynb"
DEMOS = kit_folder("data") / "recordings"

pytestmark = pytest.mark.browser
lesson = pytest.mark.parametrize("notebook", [{"name": NAME}], indirect=True)


def lab(notebook):
    return notebook.page.locator(".bl-listening")


def choose(notebook, name):
    lab(notebook).get_by_role("combobox", name="Recording", exact=True).select_option(
        f"invented/{name}.wav"
    )
    expect(lab(notebook).get_by_text("One drop was heard")).to_be_visible()


def time_of(notebook, number):
    name = f"time of impact {number} in seconds"
    return lab(notebook).get_by_role("spinbutton", name=name, exact=True)


def answer(notebook):
    return lab(notebook).get_by_role("region", name="What the times say")


@lesson
def test_impacts_are_mended_by_keys_alone_and_the_answer_follows(notebook, desk):
    page, part = notebook.page, lab(notebook)
    choose(notebook, "futsal_ball")
    expect(answer(notebook)).to_contain_text("e = 0.592")
    picture = part.get_by_role("img", name=re.compile("7 impacts count, at 0.35"))
    expect(picture).to_be_visible()

    part.get_by_role("button", name="Strike out impact 2 at").press("Enter")
    expect(answer(notebook)).to_contain_text("missed")
    page.keyboard.press("Control+z")
    expect(answer(notebook)).to_contain_text("e = 0.592")
    page.keyboard.press("Control+Shift+z")
    expect(answer(notebook)).to_contain_text("missed")
    part.get_by_role("button", name="Undo").press("Enter")

    expect(answer(notebook)).to_contain_text("of 7 impacts")

    box = time_of(notebook, 2)
    heard = box.input_value()
    moved = f"{float(heard) + 0.0019:.4f}"
    assert float(heard) == pytest.approx(1.0710, abs=3e-4)
    box.focus()
    for key in ("ArrowUp", "ArrowUp", "Shift+ArrowDown"):
        box.press(key)
    expect(box).to_have_value(moved)
    expect(box).to_be_focused()
    expect(
        part.get_by_role("img", name=re.compile(f"Closely.*{moved}"))
    ).to_be_visible()
    expect(answer(notebook)).to_contain_text("placed by hand")
    box.fill("l.07")
    box.press("Enter")
    expect(part.get_by_role("alert")).to_contain_text("seconds from the start")
    expect(box).to_have_value(moved)
    page.keyboard.press("Control+z")
    expect(box).to_have_value(heard)

    tape = part.get_by_role("combobox", name="Compare with what the tape said")
    tape.select_option("the class's: Futsal ball, gym, wood, 60.0 kPa, 2.00 m")
    expect(part.get_by_text("✓ They agree")).to_be_visible()
    part.get_by_label("The ball's name in the class").fill("Futsal A")
    part.get_by_label("Drop height by tape").fill("200 cm")
    part.get_by_role("button", name="Send this drop").press("Enter")
    expect(part.get_by_text("marked as timed")).to_be_visible()
    assert notebook.bars() == []

    notebook.restart_and_run_all()

    expect(time_of(notebook, 2)).to_have_value(heard)
    expect(part.get_by_label("The ball's name in the class")).to_have_value("Futsal A")
    expect(part.get_by_text("✓ They agree")).to_be_visible()
    table = read_drops(desk[0] / "notebooks/readings/timed-drops.csv").table
    assert table[["ball", "method"]].values.tolist() == [["Futsal A", "timed"]]


@lesson
def test_a_file_is_loaded_played_and_mended_with_the_pointer(notebook, desk):
    page, part = notebook.page, lab(notebook)
    part.get_by_label("Or load a file").set_input_files(
        {"name": "notes.wav", "mimeType": "audio/wav", "buffer": b"no sound at all"}
    )
    expect(part.get_by_role("alert")).to_contain_text("no known kind of recording")
    # An ending that the kernel has no reader for: the browser decodes what it can.
    packed = io.BytesIO()
    samples, rate = soundfile.read(DEMOS / "bouncy_ball.wav")
    soundfile.write(packed, samples, rate, format="OGG")
    for name, words in (("a.weba", "a.wav, 3.3 s. One drop"), ("b.weba", "no known")):
        data = packed.getvalue() if name == "a.weba" else b"nothing"
        part.get_by_label("Or load a file").set_input_files(
            {"name": name, "mimeType": "audio/webm", "buffer": data}
        )
        expect(part.get_by_text(words)).to_be_visible()
    part.get_by_label("Or load a file").set_input_files(DEMOS / "basketball.wav")
    expect(part.get_by_text("basketball.wav, 4.3 s. One drop")).to_be_visible()
    expect(part.get_by_role("alert")).to_be_hidden()
    assert (desk[0] / "notebooks/readings/recordings/basketball.wav").exists()

    part.get_by_role("button", name="Play this drop").click()
    sound = part.locator("audio")
    expect(sound).to_be_visible()
    page.wait_for_function("document.querySelector('.bl-listening audio').duration > 4")

    wave = part.locator("svg.bl-wave").first
    wave.scroll_into_view_if_needed()
    third = wave.locator(".bl-mark-in .bl-grip").nth(2).bounding_box()
    x, y = third["x"] + third["width"] / 2, third["y"] + 60
    before = float(time_of(notebook, 3).input_value())
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y, steps=3)
    page.mouse.up()
    expect(answer(notebook)).to_contain_text("Impact 3 comes")
    assert 0.05 < float(time_of(notebook, 3).input_value()) - before < 0.3
    part.get_by_role("button", name="Undo").click()
    expect(time_of(notebook, 3)).to_have_value(f"{before:.4f}")
    wave.dblclick(position={"x": 20, "y": 100})
    expect(part.get_by_text("added by you")).to_be_visible()

    with notebook.in_the_dark():
        assert notebook.bars() == []
    page.set_viewport_size({"width": 683, "height": 384})
    page.wait_for_timeout(300)
    assert part.evaluate("e => e.scrollWidth <= e.clientWidth + 1")


FAKE = "--use-fake-device-for-media-stream"
PLAYS = [
    FAKE,
    "--use-fake-ui-for-media-stream",  # says yes
    f"--use-file-for-fake-audio-capture={DEMOS / 'basketball.wav'}%noloop",
]


@pytest.mark.parametrize(
    "with_microphone", [{"name": NAME, "flags": PLAYS}], indirect=True
)
def test_a_bounce_is_recorded_heard_and_kept_only_when_told(with_microphone, desk):
    part = lab(with_microphone)
    expect(part.get_by_text("Nothing is kept unless")).to_be_visible()
    part.get_by_role("button", name="Record with").press("Enter")
    stop = part.get_by_role("button", name="Stop")
    expect(stop).to_be_focused()
    expect(part.get_by_text(re.compile(r"5 s, level"))).to_be_visible(timeout=15_000)
    assert with_microphone.bars() == []
    stop.press("Enter")

    expect(part.get_by_text("One drop was heard")).to_be_visible()
    kind = part.get_by_role("combobox", name="Kind of ball")
    kind.select_option("basketball-7")
    expect(answer(with_microphone)).to_contain_text("as for a basketball")
    said = answer(with_microphone).locator("p").first.inner_text()
    e, half = map(float, re.match(r"e = ([\d.]+) ± ([\d.]+)", said).groups())
    assert abs(e - 0.7916) < 0.01
    assert abs(e - 0.7916) < 2 * half < 0.04
    # A wrong number of samples a second leaves e, but not the height: 180 cm.
    expect(answer(with_microphone)).to_contain_text(re.compile(r"let go at 1[78]\d"))
    kept = desk[0] / "notebooks" / "readings" / "recordings"
    assert not kept.exists()

    part.get_by_role("button", name="Save this recording").press("Enter")

    expect(part.get_by_role("button", name="Save this recording")).to_be_hidden()
    assert [path.suffix for path in kept.iterdir()] == [".wav"]


@pytest.mark.parametrize(
    "with_microphone", [{"name": NAME, "flags": [FAKE]}], indirect=True
)
def test_a_microphone_that_is_refused_or_missing_is_answered(with_microphone):
    page, part = with_microphone.page, lab(with_microphone)
    record = part.get_by_role("button", name="Record with")
    record.click()  # nobody allows it here
    expect(part.get_by_text("✕ The microphone was refused")).to_be_visible()
    expect(record).to_be_enabled()
    for fault, words in (
        ("NotFoundError", "No microphone was found"),
        ("NotReadableError", "another program holds it"),
    ):
        page.evaluate(
            """name => { navigator.mediaDevices.getUserMedia =
                () => Promise.reject(new DOMException("", name)); }""",
            fault,
        )
        record.click()
        expect(part.get_by_text(words)).to_be_visible()
        expect(part.get_by_text("with a phone's own recorder")).to_be_visible()
    page.evaluate("Object.defineProperty(window, 'isSecureContext', {value: false})")
    record.click()
    expect(part.get_by_text("without encryption (http)")).to_be_visible()
    choose(with_microphone, "bouncy_ball")  # everything else goes on
