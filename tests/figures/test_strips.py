import matplotlib
import numpy as np
import pytest

from bouncelab.analysis.bounciness import bounciness
from bouncelab.catalogue import find_range
from bouncelab.errors import InputError
from bouncelab.figures.picture import COLOURS, SHAPES
from bouncelab.figures.strips import draw_strips
from bouncelab.readings.checks import check_drops
from bouncelab.readings.drops import read_rows
from bouncelab.units import in_unit

FUTSAL = [find_range("futsal-law-2")]


def found(*rows, ranges=()):
    table = [[ball, "200", str(h)] for ball, h in rows]
    drops = check_drops(read_rows(["ball", "drop (cm)", "rebound (cm)"], table))
    return bounciness(drops, ranges=ranges).rows


def marks(picture, label):
    """Points drawn under a label, as x values."""
    (axes,) = picture.figure.axes
    lines = [line for line in axes.get_lines() if line.get_label() == label]
    return np.concatenate([line.get_xdata() for line in lines])


def test_each_drop_is_drawn_in_the_unit_on_the_axis():
    rows = found(("Futsal 1", 60), ("Futsal 1", 62), ("Futsal 2", 55))

    for unit in ("cm", "m", "in"):
        picture = draw_strips(rows, unit=unit)
        (axes,) = picture.figure.axes
        expected = in_unit(np.array([0.60, 0.62, 0.55]), "length", unit)
        assert marks(picture, "drop") == pytest.approx(expected)
        assert axes.get_xlabel().endswith(f"({unit})")
        assert [each.get_text() for each in axes.get_yticklabels()] == [
            "Futsal 1",
            "Futsal 2",
        ]


def test_the_band_is_the_rule_and_the_words_say_the_verdict():
    picture = draw_strips(
        found(*[("Futsal 1", h) for h in (60, 61, 62)], ranges=FUTSAL)
    )

    (bar,) = picture.figure.axes[0].patches
    assert (bar.get_x(), bar.get_width()) == (pytest.approx(50), pytest.approx(15))
    assert picture.words == (
        "Futsal 1: 3 drops, rebounds from 60.0 cm to 62.0 cm, mean 61.0 cm; "
        "the range allows 50.0 cm to 65.0 cm: meets."
    )


def test_a_band_for_the_top_is_moved_down_to_the_lowest_point():
    headings = ["ball", "drop (cm)", "rebound (cm)", "diameter (cm)", "rebound point"]
    table = [["Basketball 7", "180", h, "24", "top"] for h in ("129", "130", "131")]
    rule = [find_range("basketball-fiba-1998")]
    picture = draw_strips(bounciness(read_rows(headings, table), ranges=rule).rows)

    (bar,) = picture.figure.axes[0].patches
    assert bar.get_x() == pytest.approx(120 - 24)
    assert bar.get_width() == pytest.approx(20)
    assert marks(picture, "drop") == pytest.approx([105, 106, 107])


def test_doubtful_drops_are_hollow_and_named():
    picture = draw_strips(found(*[("F 1", h) for h in (60, 61, 62, 60, 44)]))

    assert marks(picture, "doubtful drop") == pytest.approx([44])
    (legend,) = picture.figure.legends
    assert "doubtful drop" in [text.get_text() for text in legend.get_texts()]
    assert "1 doubtful" in picture.words


def test_equal_readings_do_not_hide_each_other():
    picture = draw_strips(found(*[("F 1", 60)] * 4))

    lines = picture.figure.axes[0].get_lines()
    (drops,) = [line for line in lines if line.get_label() == "drop"]
    assert len(set(drops.get_ydata())) == 4


def test_colour_is_never_the_only_sign():
    assert len(COLOURS) == len(SHAPES) == len(set(COLOURS)) == len(set(SHAPES))
    picture = draw_strips(found(("A 1", 60), ("B 1", 61)))
    shapes = [
        line.get_marker()
        for line in picture.figure.axes[0].get_lines()
        if line.get_label() == "drop"
    ]
    assert len(set(shapes)) == 2


def test_the_picture_carries_its_words_for_a_screen_reader():
    page = draw_strips(found(("<i>red</i>", 60)))._repr_html_()

    assert 'role="img"' in page
    assert "&lt;i&gt;red" in page
    assert "<i>red" not in page


def test_the_same_rows_give_the_same_bytes():
    rows = found(("A 1", 60))

    assert draw_strips(rows).svg() == draw_strips(rows).svg()


def test_drawing_leaves_no_figure_behind_and_sets_no_backend():
    backend = matplotlib.rcParams["backend"]
    draw_strips(found(("A 1", 60)))
    from matplotlib import pyplot

    assert pyplot.get_fignums() == []
    assert matplotlib.rcParams["backend"] == backend


def test_nothing_to_draw_and_unknown_units_are_refused():
    with pytest.raises(InputError, match="strips to draw: read 0, allowed 1 to 40"):
        draw_strips([])
    with pytest.raises(InputError, match="unit of length: read furlong"):
        draw_strips(found(("A 1", 60)), unit="furlong")
