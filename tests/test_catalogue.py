import json
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.catalogue import (
    balls,
    find_range,
    load_ranges,
    ranges,
)
from bouncelab.errors import FileError, InputError, TableError
from bouncelab.places import kit_folder
from bouncelab.tables import MOST_BYTES, read_table

# The published ranges


def test_there_are_more_than_ten_ranges_for_many_balls():
    assert len(ranges()) > 20
    assert len({each.ball for each in ranges()}) >= 10
    assert {each.ball for each in ranges()} <= {ball.id for ball in balls()}


@pytest.mark.parametrize("each", ranges(), ids=lambda each: each.id)
def test_a_range_is_whole(each):
    assert find_range(each.id) is each
    assert find_range(f" {each.id.upper()} ") is each
    limits = [m for m in (each.rebound_min_m, each.rebound_max_m) if m is not None]
    assert limits == sorted(limits)
    assert all(0 < limit < each.drop_height_m for limit in limits)
    for text in (each.body, each.edition, each.as_printed, each.source, each.confirmed):
        assert text
    assert each.id in str(each)
    assert each.limits in str(each)


def test_json_has_the_promised_keys():
    for each in ranges():
        plain = json.loads(json.dumps(each.to_dict(), allow_nan=False))
        assert list(plain) == [
            "id",
            "ball",
            "body",
            "edition",
            "drop_height_m",
            "drop_point",
            "rebound_min_m",
            "rebound_max_m",
            "rebound_point",
            "floor",
            "source",
            "confirmed",
        ]


def test_a_range_shows_itself_as_a_table_that_says_what_is_taken():
    shown = find_range("football-fifa-quality")._repr_html_()

    assert "<caption>football-fifa-quality</caption>" in shown
    assert "the source names no point" in shown
    assert "18.0 °C to 22.0 °C" in shown
    assert "115 to 165 cm" in shown
    assert "names no point" not in find_range("basketball-fiba-1998")._repr_html_()


@pytest.mark.parametrize(
    ("typed", "near"),
    [
        ("futsal-law-9", "futsal-law-2"),
        ("basketball", "basketball-fiba-1998"),
        ("padle-fip", "padel-fip"),
        ("FIBA", "basketball-fiba-1998"),
    ],
)
def test_an_unknown_range_names_those_that_are_near(typed, near):
    with pytest.raises(InputError, match=near) as caught:
        find_range(typed)

    assert caught.value.read == f"“{typed}”"
    assert "tennis-itf-red" not in caught.value.allowed


def test_a_range_like_no_other_is_answered_with_all_ids():
    with pytest.raises(InputError) as caught:
        find_range("zzzz")

    assert all(each.id in caught.value.allowed for each in ranges())


# A person's own ranges


def own(tmp_path, text, name="ours.csv"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def test_own_ranges_need_four_columns_and_take_the_bottom(tmp_path):
    path = own(
        tmp_path,
        "# our cupboard\n\nid,ball,drop height (cm),rebound at least (cm)\n"
        "Ours,Soccer ball,200,115\n",
    )
    (found,) = load_ranges(path)

    assert (found.id, found.ball) == ("ours", "football-5")
    assert found.drop_height_m == pytest.approx(2.0)
    assert (found.rebound_min_m, found.rebound_max_m) == (pytest.approx(1.15), None)
    assert (found.drop_point, found.rebound_point) == ("bottom", "bottom")
    assert not found.points_named
    assert found.limits == "at least 115.0 cm"


@pytest.mark.parametrize(
    "text",
    [
        "id;ball;drop;rebound from;rebound to;drop point;rebound point\n"
        "a;futsal;2,00 m;50 cm;0,65 m;bottom;Bottom\n",
        "RANGE\tBall\tDropped from (mm)\tMinimum rebound [mm]\tRebound max [mm]\t"
        "drop point\trebound point\na\tfutsal\t2000\t500\t650\tbottom\tbottom\n",
        "\ufeffball,rebound_to (m),rebound_from (m),drop,id,drop point,"
        "rebound point\r\n"
        'futsal,"0,65",0.5,2 m,a,bottom,bottom\r\n,,,,,,\r\n',
    ],
)
def test_own_ranges_are_read_in_any_wording_order_and_unit(tmp_path, text):
    (found,) = load_ranges(own(tmp_path, text))

    assert (found.id, found.ball) == ("a", "futsal")
    assert (found.drop_height_m, found.rebound_min_m, found.rebound_max_m) == (
        pytest.approx((2.0, 0.5, 0.65))
    )
    assert found.points_named


def test_a_ball_that_the_catalogue_does_not_know_keeps_its_name(tmp_path):
    text = "id,ball,drop (cm),rebound max (cm)\nk,Korfball,180,130\n"
    (found,) = load_ranges(own(tmp_path, text))

    assert (found.ball, found.limits) == ("korfball", "at most 130.0 cm")


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ("68", "", "at least 20.0 °C"),
        ("", "20 °C", "at most 20.0 °C"),
        ("68", "77", "20.0 °C to 25.0 °C"),
        ("68", "20 °C", "about 20.0 °C"),
        ("", "", ""),
    ],
)
def test_temperatures_are_said_in_words(tmp_path, low, high, words):
    text = (
        "id,ball,drop (cm),rebound max (cm),temperature min (°F),temperature max (F)\n"
        f"a,futsal,200,65,{low},{high}\n"
    )
    assert load_ranges(own(tmp_path, text))[0].temperatures == words


HEAD = "id,ball,drop (cm),rebound from (cm),rebound to (cm),drop point"


@pytest.mark.parametrize(
    ("row", "what", "words"),
    [
        (",futsal,200,50,65,", "row 2, id", "read nothing"),
        ("a,,200,50,65,", "row 2, ball", "read nothing"),
        ("a,futsal,,50,65,", r"row 2, drop \(cm\)", "read nothing"),
        ("a,futsal,200,,,", r"row 2, rebound from \(cm\)", "lower limit"),
        ("a,futsal,2OO,50,65,", r"row 2, drop \(cm\)", "“2OO”"),
        ("a,futsal,0,50,65,", r"row 2, drop \(cm\)", "above 0"),
        ("a,futsal,-200,50,65,", r"row 2, drop \(cm\)", "above 0"),
        ("a,futsal,nan,50,65,", r"row 2, drop \(cm\)", "“nan”"),
        ("a,futsal,200,-5,65,", r"row 2, rebound from \(cm\)", "0 or more"),
        ("a,futsal,200,65,50,", r"row 2, rebound to \(cm\)", "above the lower"),
        ("a,futsal,200,50,65 kg,", r"row 2, rebound to \(cm\)", "“65 kg”"),
        ("a,futsal,200,50,65,middle", "row 2, drop point", "“middle”"),
        ("a,futsal,200,50,65,,spare", "row 2", "7 cells"),
        ("a,futsal,200,50,65,\nA,futsal,200,50,65,", "row 3, id", "“A”"),
    ],
)
def test_a_bad_cell_is_named_with_its_row_and_column(tmp_path, row, what, words):
    with pytest.raises(TableError, match=what) as caught:
        load_ranges(own(tmp_path, f"{HEAD}\n{row}\n"))

    assert words in str(caught.value)
    assert caught.value.what.startswith("ours.csv")


@pytest.mark.parametrize("strange", ["rebound mx (cm)", "min (cm)", "mass (g)"])
def test_a_limit_under_a_mistyped_heading_is_not_lost(tmp_path, strange):
    text = f"id,ball,drop (cm),rebound from (cm),{strange}\na,futsal,200,50,65\n"
    with pytest.raises(TableError, match=r"ours\.csv, headings") as caught:
        load_ranges(own(tmp_path, text))

    assert caught.value.read == f"“{strange}”"
    assert "rebound at most" in caught.value.allowed


def test_temperatures_the_wrong_way_round_are_refused(tmp_path):
    text = (
        "id,ball,drop (cm),rebound max (cm),temperature min (°C),temperature max (°C)\n"
        "a,futsal,200,65,25,20\n"
    )
    with pytest.raises(TableError, match="not below the lowest"):
        load_ranges(own(tmp_path, text))


def test_a_number_without_a_unit_anywhere_is_refused(tmp_path):
    text = "id,ball,drop,rebound to\na,futsal,200,65\n"
    with pytest.raises(TableError, match="without a unit"):
        load_ranges(own(tmp_path, text))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "headings"),
        ("\n# nothing\n", "headings"),
        (f"{HEAD}\n", "no range"),
        ("id,range,ball\n", "Rename or remove"),
        ("id,ball\na,\x00\n", "no text"),
    ],
)
def test_a_file_without_ranges_is_one_clear_line(tmp_path, text, words):
    with pytest.raises(FileError, match=words) as caught:
        load_ranges(own(tmp_path, text))

    assert "\n" not in str(caught.value)


def test_a_missing_file_a_folder_and_a_huge_file_are_named(tmp_path):
    with pytest.raises(FileError, match=r"none\.csv: read no such file"):
        load_ranges(tmp_path / "none.csv")
    with pytest.raises(FileError, match="a folder"):
        load_ranges(tmp_path)
    with pytest.raises(FileError, match="allowed up to"):
        load_ranges(own(tmp_path, "x" * (MOST_BYTES + 1)))


def test_a_line_that_never_ends_its_quotes_is_refused(tmp_path):
    text = f'{HEAD}\na,"futsal,200' + ",50" * 50_000 + "\n"
    with pytest.raises(TableError, match="row 2"):
        load_ranges(own(tmp_path, text))


def test_an_old_spreadsheets_letters_are_read(tmp_path):
    path = tmp_path / "old.csv"
    path.write_bytes(f"{HEAD},body\na,futsal,200,50,65,,Fédération\n".encode("cp1252"))

    assert load_ranges(path)[0].body == "Fédération"


@given(
    st.integers(2, 9000),
    st.integers(1, 999),
    st.integers(1, 999),
    st.sampled_from(["mm", "cm", "in"]),
)
@settings(max_examples=40)
def test_a_written_range_comes_back(tmp_path_factory, drop, low, more, unit):
    text = f"id,ball,drop ({unit}),rebound from ({unit}),rebound to ({unit})\n"
    path = tmp_path_factory.getbasetemp() / "written.csv"
    path.write_text(f"{text}a,futsal,{drop},{low},{low + more}\n", encoding="utf-8")
    (found,) = load_ranges(path)

    assert found.rebound_min_m / found.drop_height_m == pytest.approx(low / drop)
    assert found.rebound_max_m / found.drop_height_m == pytest.approx(
        (low + more) / drop
    )


def test_rows_are_numbered_as_a_person_sees_them(tmp_path):
    path = own(tmp_path, '# one\n\nid,note\na,"two\nlines"\n\n# six\nb,\n')

    assert [(row.text("id"), row.line) for row in read_table(path, {})] == [
        ("a", 4),
        ("b", 8),
    ]


# Weight


def test_the_catalogue_needs_no_heavy_library():
    code = (
        "import sys, bouncelab.catalogue as c; c.find_ball('x'); c.ranges();"
        "print(sorted({'numpy', 'pandas', 'scipy', 'pint'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[]"


def test_the_kits_tables_stand_where_it_looks_for_them():
    for name in ("balls.csv", "bounce_ranges.csv", "README.md"):
        assert (kit_folder("data") / name).is_file()
