"""Floor papers: readings that agree with the ranges, and strips of their true size."""

import numpy as np
import pymupdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.catalogue import find_range, ranges
from bouncelab.kinds import balls
from bouncelab.physics.ball_air import ball_volume
from bouncelab.physics.pump import pump_up
from bouncelab.readings.drops import read_rows
from bouncelab.reports.floor_papers import (
    COLUMNS,
    door_sign,
    pump_table,
    recording_sheet,
    role_cards,
    write_papers,
)
from bouncelab.reports.notes import note_paper
from bouncelab.reports.tape_readings import show_inches, tape_readings
from bouncelab.reports.wall_strip import strip_sheets, wall_strip
from bouncelab.typesetting.making import make_pdf
from bouncelab.units import read_length

MM = 72 / 25.4  # PDF points


@pytest.mark.parametrize("asked", ranges(), ids=lambda each: each.id)
def test_a_ball_on_the_limit_reads_as_the_sheet_says_at_either_point(asked):
    size = next(each for each in balls() if each.id == asked.ball).diameter_m
    bottom, top = tape_readings(asked)

    assert top.drop - bottom.drop == pytest.approx(size)
    for low, high in ((bottom.low, top.low), (bottom.high, top.high)):
        assert (low is None) == (high is None)
        if low is not None:
            assert high - low == pytest.approx(size)
    same = bottom if asked.drop_point == "bottom" else top
    assert same.drop == pytest.approx(asked.drop_height_m)
    same = bottom if asked.rebound_point == "bottom" else top
    assert same.low == asked.rebound_min_m


@given(st.floats(0.0, 5.0))
def test_inches_shown_are_within_a_sixteenth(metres):
    back = read_length(show_inches(metres))

    assert abs(back - metres) <= read_length("1/16 in") * 1.0001


def test_a_basketball_s_sheet_has_the_readings_of_its_rule_in_both_units():
    # 72 in at the bottom; 48 in and 55 in at the top: the rule of about 1937.
    text = recording_sheet(find_range("basketball-us-canada-1937")).text
    top = next(line for line in text.splitlines() if "top of the ball |" in line)

    assert "121.9 cm (48 in)" in top
    assert "139.7 cm (55 in)" in top
    assert "182.9 cm (72 in)" in text


def test_a_range_without_an_upper_limit_says_so():
    assert "no limit" in recording_sheet(find_range("croquet-ca-championship")).text


def test_what_is_written_on_the_sheet_can_be_typed_in_the_same_columns():
    headings = [each + " (cm)" if each.endswith("height") else each for each in COLUMNS]
    row = ["Oak", "Futsal ball", "gym", "1", "200", "bottom", "57", "bottom"]
    drops = read_rows(headings, [[*row, "60 kPa", "18", "caught late"]])
    first = drops.table.iloc[0]

    assert not drops.findings
    assert (first["drop_height_m"], first["rebound_height_m"]) == (2.0, 0.57)
    assert first["gauge_pressure_pa"] == pytest.approx(60e3)
    assert (first["temperature_c"], first["note"]) == (18, "caught late")
    for each in COLUMNS[3:]:
        assert each in recording_sheet().text


def test_the_pump_table_s_strokes_are_the_library_s():
    ball = next(each for each in balls() if each.id == "volleyball")
    strokes = pump_up(
        gauge_pressure=10e3,
        target_gauge_pressure=20e3,
        maximum_gauge_pressure=30e3,
        ball_volume=ball_volume(diameter=ball.diameter_m),
        pump_volume=100e-6,
    ).strokes
    line = next(x for x in pump_table().text.splitlines() if x.startswith("| volleyb"))

    assert line.split("|")[5].strip() == f"{strokes:.1f}"


def test_every_paper_warns_of_what_can_hurt():
    for paper in (recording_sheet(), pump_table()):
        assert "::: caution" in paper.text
        assert "school's rules" in paper.text
    assert "Keeps it safe" in role_cards().text
    assert "Knock and wait" in door_sign().text


def lines_of(page):
    """All straight lines of a page, in mm: x0, y0, x1, y1, width in points."""
    for drawing in page.get_drawings():
        for item in drawing["items"]:
            if item[0] == "l":
                a, b = item[1], item[2]
                yield a.x / MM, a.y / MM, b.x / MM, b.y / MM, drawing["width"]


def crossed(page):
    """Words that lie on one another, or across an upright line."""
    words = [word[:5] for word in page.get_text("words") if word[4].isascii()]
    upright = [
        (MM * a, MM * min(b, d), MM * max(b, d))
        for a, b, c, d, _ in lines_of(page)
        if abs(a - c) < 0.1
    ]
    for k, (x0, y0, x1, y1, word) in enumerate(words):
        for left, top, right, bottom, other in words[k + 1 :]:
            across = min(x1, right) - max(x0, left)
            if across > 0.5 and min(y1, bottom) - max(y0, top) > 3:
                yield word, other
        middle = (y0 + y1) / 2
        if any(x0 + 1 < x < x1 - 1 and a < middle < b for x, a, b in upright):
            yield word, "line"


@pytest.mark.parametrize(("size", "large"), [("a4", False), ("us-letter", True)])
@pytest.mark.parametrize("asked", ranges(), ids=lambda each: each.id)
def test_a_printed_strip_has_its_true_size_to_a_fifth_of_a_millimetre(
    asked, size, large
):
    sheets = strip_sheets(asked, large=large)
    with pymupdf.open(stream=wall_strip(asked, size=size, large=large)) as document:
        assert len(document) == len(sheets)
        for page, sheet in zip(document, sheets, strict=True):
            lines = list(lines_of(page))
            lengths = [max(abs(c - a), abs(d - b)) for a, b, c, d, _ in lines]
            assert sum(abs(each - 100) < 0.2 for each in lengths) >= 2
            assert list(crossed(page)) == []
            words = {w[4]: w for w in page.get_text("words")}
            assert {"measure", "Measure"} & set(words)
            # The lower end is where the words say; each limit stands that much higher.
            bottom = max(b for a, b, c, d, w in lines if abs(b - d) < 0.01 and a < 18)
            for limit in (asked.rebound_min_m, asked.rebound_max_m):
                if limit is None or not sheet.start <= 100 * limit <= sheet.stop:
                    continue
                heavy = [b for _, b, _, _, w in lines if w > 2]
                wanted = bottom - (1000 * limit - 10 * sheet.start)
                assert min(abs(each - wanted) for each in heavy) < 0.2
            for x0, y0, x1, y1, _ in lines:
                width, height = page.rect.width / MM, page.rect.height / MM
                assert min(x0, x1) > 5
                assert max(x0, x1) < width - 5
                assert min(y0, y1) > 5
                assert max(y0, y1) < height - 8


def test_a_strip_says_where_its_lower_line_stands_and_what_is_read():
    with pymupdf.open(stream=wall_strip(find_range("futsal-law-2"))) as document:
        first = " ".join(document[0].get_text().split())
        second = " ".join(document[1].get_text().split())

    assert "This line stands 45 cm above the floor" in first
    assert "at least 50.0 cm (19 5/8 in)" in first
    assert "read the bottom of the ball" in first
    assert "The source names no point" in first
    assert "Lay this line on the upper end of sheet 1" in second
    assert "at most 65.0 cm (25 5/8 in)" in second
    assert "Nobody climbs" in first


def test_papers_are_black_on_white_and_each_fits_its_page(tmp_path):
    made = write_papers(tmp_path, [find_range("futsal-law-2")], size="us-letter")

    assert len(made) == 6
    for path in made:
        with pymupdf.open(path) as document:
            assert len(document) == (2 if "strip" in path.name else 1)
            for page in document:
                picture = page.get_pixmap(dpi=40)
                samples = np.frombuffer(picture.samples, np.uint8).reshape(-1, 3)
                assert np.ptp(samples.astype(int), axis=1).max() <= 2  # all grey


def letters_of(document):
    """The commonest size of letters on a document's first page, in points."""
    blocks = document[0].get_text("dict")["blocks"]
    spans = [s for b in blocks for row in b.get("lines", ()) for s in row["spans"]]
    sizes = sorted(span["size"] for span in spans for _ in span["text"])
    return sizes[len(sizes) // 2]


@pytest.mark.parametrize("name", ["recording_sheet", "pump_table", "wall_strip"])
def test_large_print_is_larger(tmp_path, name):
    for large in (False, True):
        write_papers(
            tmp_path / str(large), [find_range("basketball-fiba-1998")], large=large
        )
    sizes = []
    for large in (False, True):
        path = next((tmp_path / str(large)).glob(f"{name}*.pdf"))
        with pymupdf.open(path) as document:
            sizes.append(letters_of(document))

    assert sizes[1] > 1.3 * sizes[0]


@pytest.mark.parametrize(
    ("size", "large"), [("a4", False), ("a4", True), ("us-letter", True)]
)
def test_no_word_lies_on_another_or_on_a_line_of_its_table(tmp_path, size, large):
    asked = [find_range("basketball-fiba-1998"), find_range("futsal-law-2")]
    for path in write_papers(tmp_path, asked, size=size, large=large):
        with pymupdf.open(path) as document:
            for page in document:
                assert list(crossed(page)) == [], path.name


def test_no_word_of_the_notes_lies_on_a_line_of_its_table():
    with pymupdf.open(stream=make_pdf(note_paper(), large=True)) as document:
        assert [each for page in document for each in crossed(page)] == []
