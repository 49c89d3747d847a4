import pytest

from bouncelab import bounciness, check_drops, find_range, read_drops
from bouncelab.analysis.pressure import tune_pressure
from bouncelab.figures.pressure_curve import draw_pressure_curve, pump_scene
from bouncelab.physics.ball_air import air_in_ball, ball_volume
from bouncelab.physics.pump import pump_up
from bouncelab.places import kit_folder


@pytest.fixture(scope="module")
def tuned():
    found = bounciness(
        check_drops(read_drops(kit_folder("data") / "larkfield_class.csv"))
    )
    return {
        ball: tune_pressure(found, ball=ball, range=find_range(range))
        for ball, range in (
            ("Futsal ball", "futsal-law-2"),
            ("Football size 5", "football-fifa-quality"),
            ("Tennis ball", "tennis-itf"),
        )
    }


def test_means_curve_band_and_target_are_drawn(tuned):
    picture = draw_pressure_curve(tuned["Futsal ball"])
    (axes,) = picture.figure.axes
    texts = [text.get_text() for text in axes.get_legend().get_texts()]

    assert set(texts) == {
        "mean of the drops",
        "range allowed",
        "curve e² = a − b/(p + c)",
        "second opinion",
        "middle of the range",
    }
    assert "0.250 at 30.0 kPa" in picture.words
    assert "19 times out of 20" in picture.words


@pytest.mark.parametrize("ball", ["Football size 5", "Tennis ball"])
def test_what_cannot_be_told_is_drawn_as_far_as_it_goes(tuned, ball):
    picture = draw_pressure_curve(tuned[ball])

    assert tuned[ball].advice in picture.words
    assert "<svg" in picture.svg()


def test_strokes_and_grams_are_the_librarys(tuned):
    tuning = tuned["Futsal ball"]
    scene = pump_scene(tuning, now=20e3, stroke=0.2e-3, maximum=90e3)
    volume = ball_volume(diameter=tuning.levels.diameter)
    job = pump_up(
        gauge_pressure=20e3,
        target_gauge_pressure=tuning.best,
        maximum_gauge_pressure=90e3,
        ball_volume=volume,
        pump_volume=0.2e-3,
    )
    grams = 1e3 * (
        air_in_ball(gauge_pressure=tuning.best, volume=volume)
        - air_in_ball(gauge_pressure=20e3, volume=volume)
    )

    assert f"Add {grams:.2f} g of air: about {job.strokes:.0f} strokes" in scene.told


@pytest.mark.parametrize(
    ("now", "words"),
    [
        (60e3, "Let out"),
        (43.1e3, "It is there, as far as a gauge can tell."),
        (95e3, "Stop: this is above the marked maximum of 90.0 kPa."),
    ],
)
def test_the_advice_follows_the_gauge(tuned, now, words):
    scene = pump_scene(tuned["Futsal ball"], now=now, stroke=0.2e-3, maximum=90e3)

    assert words in scene.told


def test_a_wanted_pressure_above_the_mark_is_never_advised(tuned):
    scene = pump_scene(tuned["Football size 5"], now=60e3, stroke=2e-4, maximum=110e3)

    assert "at least 4 are needed" in scene.told


@pytest.mark.parametrize("now", [10e3, 22e3, 30e3, 36e3, 50e3, 65e3])
def test_the_mark_of_the_pressure_crosses_no_word_beside_the_bar(tuned, now):
    scene = pump_scene(tuned["Futsal ball"], now=now, stroke=2e-4, maximum=90e3)
    beside = next(each for each in scene.shapes if each.text == "stays in range")
    mark = next(each for each in scene.shapes if each.text == "now")
    start = beside.fixed["x"] - (70 if beside.fixed["text-anchor"] == "end" else 0)

    assert not start < mark.fixed["x"] < start + 70
    *_, wanted = scene.readings
    assert "43 kPa" in str(wanted)
