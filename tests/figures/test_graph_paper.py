import re

import pytest

from bouncelab.errors import InputError
from bouncelab.figures.graph_paper import Axis, draw_graph
from bouncelab.figures.tape import draw_tape

ACROSS, UP = Axis("drop height (cm)", 0, 250), Axis("rebound height (cm)", 0, 180)


def test_squares_have_numbers_inside_the_axes():
    (axes,) = draw_graph(ACROSS, UP).figure.axes

    assert list(axes.get_xticks()) == [0, 50, 100, 150, 200, 250]
    assert max(axes.get_yticks()) <= 180
    assert axes.get_xlim() == (0, 250)
    assert axes.get_xlabel() == "drop height (cm)"


def test_points_lines_and_band_stand_where_they_were_asked_for():
    points = [(40, 24), (80, 48)]
    (axes,) = draw_graph(
        ACROSS, UP, points=points, lines=[("A", [(0, 0), (250, 150)])], band=(50, 65)
    ).figure.axes
    drawn = [list(zip(*line.get_data(), strict=True)) for line in axes.lines]

    assert points in drawn
    assert [(0, 0), (250, 150)] in drawn
    assert axes.get_legend().get_texts()[0].get_text() == "A"


def test_bars_reach_as_far_as_said():
    (axes,) = draw_graph(ACROSS, UP, points=[(40, 24)], bars=3).figure.axes
    segments = [
        path.vertices[:, 1].tolist()
        for each in axes.collections
        for path in each.get_paths()
        if len(path.vertices) == 2 and path.vertices[0][0] == path.vertices[1][0] == 40
    ]

    assert [21, 27] in segments


def test_the_words_tell_what_is_drawn_and_nothing_worked_out():
    words = draw_graph(
        ACROSS,
        UP,
        points=[(40, 24)],
        lines=[("B", [(0, 0), (250, 150)])],
        band=(50, 65),
    ).words

    for text in ("drop height (cm) from 0 to 250", "40 and 24", "“B”", "from 50 to 65"):
        assert text in words
    assert "0.6" not in words


def test_an_axis_without_numbers_has_none():
    picture = draw_graph(Axis("the ball", 0, 2, marked=False), UP)

    assert list(picture.figure.axes[0].get_xticks()) == []
    assert "from 0 to 2" not in picture.words


@pytest.mark.parametrize("bottom", [0.03, 0.81, 1.2, 1.39])
def test_a_tape_shows_both_edges_of_the_ball(bottom):
    picture = draw_tape(bottom=bottom, diameter=0.24)
    (axes,) = picture.figure.axes
    (ball,) = axes.patches[-1:]
    low, high = axes.get_ylim()
    told = [
        int(n) + float(k)
        for k, n in re.findall(r"([\d.]+) small marks above (\d+)", picture.words)
    ]

    assert ball.center[1] - ball.radius == pytest.approx(100 * bottom)
    assert low < 100 * bottom < 100 * bottom + 24 < high
    assert told == pytest.approx([100 * bottom, 100 * bottom + 24])


@pytest.mark.parametrize("wrong", [{"bottom": -0.1}, {"diameter": 0}, {"diameter": 2}])
def test_a_ball_that_cannot_be_is_refused(wrong):
    with pytest.raises(InputError, match="beside a tape"):
        draw_tape(**({"bottom": 1.0, "diameter": 0.2} | wrong))
