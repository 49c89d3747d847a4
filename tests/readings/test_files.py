import datetime
import os
import stat
import subprocess
import sys
import time
import zipfile

import openpyxl
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import BounceLabError, FileError, TableError
from bouncelab.readings.drops import read_rows
from bouncelab.readings.files import read_drops, write_drops

HEADINGS = ["group", "ball", "drop height (cm)", "rebound height (cm)", "note"]
GOOD = "group,ball,drop height (cm),rebound height (cm)\nOak,A,180,110\nElm,A,180,112\n"


def saved(folder, text, name="class.csv", encoding="utf-8"):
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
    return path


@pytest.mark.parametrize(
    "text",
    [
        GOOD,
        GOOD.replace(",", ";").replace("180", "180,0"),
        GOOD.replace(",", "\t"),
        GOOD.replace("\n", "\r\n"),
        GOOD.replace("\n", "\r"),
        "\ufeff" + GOOD,
        "# typed on the floor, with a tape\n\n" + GOOD,
        'Larkfield School,,,\n"Friday, gym",,,\n' + GOOD,
        "Rebound [in],Drop Ht (m),TEAM,Ball type\n43.307,1.8,Oak,A\n44.094,1.8,Elm,A\n",
        "group,ball,drop height,bounce height\n"
        "Oak,A,180 cm,1.10 m\nElm,A,1800mm,112cm\n",
        'group,ball,drop (cm),rebound (cm)\nOak,A,"180,0","110,0"\nElm,A,180,112\n',
        "group,ball,drop_height_m,rebound_height_m,,\nOak,A,1.8,1.1,,\nElm,A,1.8,1.12\n",
    ],
)
def test_common_ways_of_writing_give_one_table(tmp_path, text):
    drops = read_drops(saved(tmp_path, text))

    assert drops.table["group"].tolist() == ["Oak", "Elm"]
    assert drops.table["drop_height_m"].tolist() == pytest.approx([1.8, 1.8], abs=1e-5)
    assert drops.table["rebound_height_m"].tolist() == pytest.approx(
        [1.1, 1.12], abs=1e-4
    )
    assert drops.findings == ()


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_usual_encodings_are_read(tmp_path, encoding):
    text = "group,ball,drop height (cm),rebound height (cm)\nChêne,Ä,180,110\n"

    drops = read_drops(saved(tmp_path, text, encoding=encoding))

    assert drops.table["group"].tolist() == ["Chêne"]


def test_row_is_the_line_that_a_person_sees(tmp_path):
    text = "# why\n\ngroup,note,drop (cm),rebound (cm)\n"
    text += 'Oak,"two\nlines",180,1l0\n\nElm,,180,x\n'

    drops = read_drops(saved(tmp_path, text))

    assert drops.table.index.tolist() == [4, 7]
    assert [f.row for f in drops.findings] == [4, 7]
    assert drops.findings[0].read == "1l0"
    assert drops.table["flag"].tolist() == ["left_out", "left_out"]


def test_a_quote_that_is_never_closed_costs_no_row(tmp_path):
    text = 'group,ball,drop (cm),rebound (cm)\n"Oak,A,180,110\nElm,A,180,112\n'

    drops = read_drops(saved(tmp_path, text))

    assert len(drops.table) == 2


def test_a_number_without_any_unit_says_how_to_write_it(tmp_path):
    drops = read_drops(saved(tmp_path, "drop height,rebound height\n180,110 cm\n"))

    (finding,) = drops.findings
    assert "has no unit" in finding.why
    assert "heading in brackets" in finding.cure
    assert drops.table["drop_height_m"].isna().all()


cells = st.one_of(
    st.sampled_from(
        ["180", "110,5", "=1+1", "@x", "-5 cm", "+5", "'=a", "#1", "½", ""]
    ),
    st.text(st.characters(blacklist_categories=["Cs", "Cc"]), max_size=8),
    st.sampled_from(["a\nb", 'he said "72"', "שלום", "🏀", "\tx", "'#'", " "]),
)


@settings(max_examples=120, deadline=None)
@given(st.lists(st.lists(cells, min_size=5, max_size=5), min_size=1, max_size=8))
@pytest.mark.parametrize("suffix", [".csv", ".xlsx"])
def test_a_table_comes_back_as_it_was_written(tmp_path_factory, suffix, rows):
    path = tmp_path_factory.mktemp("files") / f"class{suffix}"
    rows = [["Oak", *row[1:]] for row in rows]
    drops = read_rows(HEADINGS, rows)

    write_drops(drops, path)
    back = read_drops(path)

    assert len(back.table) == len(rows)
    assert back.typed.iloc[:, :5].to_numpy().tolist() == [list(row) for row in rows]
    for column in ("drop_height_m", "rebound_height_m", "flag", "why", "group"):
        pd.testing.assert_series_equal(
            back.table[column].reset_index(drop=True),
            drops.table[column].reset_index(drop=True),
        )
    again = path.with_name(f"again{suffix}")
    write_drops(back, again)
    assert read_drops(again).typed.equals(back.typed)


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.binary(max_size=300), st.text(max_size=200).map(str.encode)))
def test_any_file_is_read_or_refused_in_words(tmp_path_factory, data):
    path = tmp_path_factory.mktemp("any") / "class.csv"
    path.write_bytes(data)

    with pytest.raises(BounceLabError, match="allowed"):
        read_drops(path)
    path.write_bytes(GOOD.encode() + data)
    try:
        drops = read_drops(path)
    except BounceLabError:
        return
    assert len(drops.table) >= 2 or b"\xff" in data or b'"' in data or b"\n" in data


def test_what_a_spreadsheet_would_run_is_written_as_text(tmp_path):
    evil = '=HYPERLINK("http://x","y")'
    drops = read_rows(HEADINGS, [[evil, "@sum", "180", "-5 cm", "+5"]])

    write_drops(drops, tmp_path / "class.csv")
    write_drops(drops, tmp_path / "class.xlsx")

    line = (tmp_path / "class.csv").read_text("utf-8-sig").splitlines()[1]
    assert line.startswith("\"'=HYPERLINK")
    assert ",'@sum,180,-5 cm,+5," in line
    book = openpyxl.load_workbook(tmp_path / "class.xlsx")
    assert [c.data_type for c in book.active[2]][:2] == ["s", "s"]


def test_titles_and_remarks_stay_where_they_were(tmp_path):
    text = "Larkfield, gym\n# a remark\n" + GOOD + "\n# the end\n"
    path = saved(tmp_path, text)

    write_drops(read_drops(path), path)

    lines = path.read_text("utf-8-sig").splitlines()
    assert lines[:2] == ["Larkfield, gym", "# a remark"]
    assert lines[-2:] == ["", "# the end"]
    assert read_drops(path).table.index.tolist() == [4, 5]


def test_a_decision_to_set_aside_comes_back(tmp_path):
    headings = [*HEADINGS, "set aside"]
    drops = read_rows(headings, [["Oak", "A", "180", "110", "", "yes"]])
    assert drops.table["flag"].tolist() == ["set_aside"]

    write_drops(drops, tmp_path / "a.csv")

    assert read_drops(tmp_path / "a.csv").table["flag"].tolist() == ["set_aside"]


def test_a_workbook_with_titles_empty_columns_and_two_sheets_is_read(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(["Notes", "on", "drop", "and rebound"])
    sheet = book.create_sheet("Friday")
    sheet["B2"] = "Larkfield School"
    for column, heading in zip("BDEG", HEADINGS[:4], strict=True):
        sheet[f"{column}4"] = heading
    for row, rebound in ((5, 110), (7, 112.5)):
        for column, value in zip("BDEG", ["Oak", "A", 180, rebound], strict=True):
            sheet[f"{column}{row}"] = value
    book.save(tmp_path / "class.xlsx")

    drops = read_drops(tmp_path / "class.xlsx")

    assert drops.table.index.tolist() == [5, 7]
    assert drops.table["rebound_height_m"].tolist() == [1.1, 1.125]
    assert drops.findings == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "the file is empty"),
        ("\n \n", "the file is empty"),
        (b"\x7fELF\x00\x01\x02", "bytes that are no text"),
        (b"PK\x03\x04 not really", "damaged workbook"),
        ("drop height (cm),back up again\n180,1\n", "a heading “rebound height”"),
        ("a,b\n1,2\n", "Put a heading with its unit"),
        ("drop (cm),drop (m),rebound (cm)\n1,2,3\n", "one heading for each thing"),
        ("drop (cm),rebound (cm)\n", "headings and no drop"),
        ("drop (cm),rebound (cm)\n" + "1" * 200_000 + ",2\n", "a line of 200002"),
    ],
)
def test_a_file_without_a_table_is_refused_in_words(tmp_path, text, words):
    if text == "drop height (cm),back up again\n180,1\n":
        text = text.replace("back up again", "it came up")
    with pytest.raises(TableError, match=words) as caught:
        read_drops(saved(tmp_path, text))

    assert "class.csv" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_file_that_cannot_be_opened_is_said(tmp_path):
    saved(tmp_path, GOOD)
    with pytest.raises(FileError, match="a folder"):
        read_drops(tmp_path)
    with pytest.raises(FileError, match=r"Did you mean class\.csv"):
        read_drops(tmp_path / "clas.csv")
    with pytest.raises(FileError, match="save it as XLSX or CSV"):
        read_drops(saved(tmp_path, GOOD, "class.ods"))


def test_a_file_without_permission_is_said(tmp_path, monkeypatch):
    path = saved(tmp_path, GOOD)
    path.chmod(0)
    if os.access(path, os.R_OK):  # root may read everything; then act as refused

        def refuse(_self, _mode):
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(type(path), "open", refuse)

    with pytest.raises(FileError, match="permission denied"):
        read_drops(path)
    path.chmod(stat.S_IRUSR | stat.S_IWUSR)


def test_a_full_disk_leaves_the_old_file_as_it_was(tmp_path, monkeypatch):
    path = saved(tmp_path, GOOD)
    drops = read_drops(path)

    def refuse(_number):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", refuse)
    with pytest.raises(FileError, match="no space left on device"):
        write_drops(drops, path)

    assert path.read_bytes() == GOOD.encode()
    assert [p.name for p in tmp_path.iterdir()] == ["class.csv"]


@pytest.mark.parametrize("suffix", [".csv", ".xlsx"])
def test_a_row_cut_by_a_decimal_comma_is_left_out_each_time(tmp_path, suffix):
    path = saved(tmp_path, GOOD + "Ash,A,180,0,110,5\nFir,A,180,110,he slipped\n")
    again = tmp_path / f"again{suffix}"

    write_drops(read_drops(path), path)
    drops = read_drops(path)
    write_drops(drops, again)

    assert drops.table["flag"].tolist() == ["", "", "left_out", ""]
    assert "decimal comma" in drops.table["why"].iloc[2]
    assert drops.findings[0].read.startswith("Ash,A,180,0,")
    assert read_drops(again).table["rebound_height_m"].iloc[0] == 1.1


def test_units_in_a_line_below_the_headings_are_read_and_stay(tmp_path):
    text = "ball,drop height,rebound height,pressure\n,(cm),in,psi\nA,180,43 1/2,8\n"
    path = saved(tmp_path, text)

    write_drops(read_drops(path), path)
    drops = read_drops(path)

    assert drops.table.index.tolist() == [3]
    assert drops.table["rebound_height_m"].tolist() == [1.1049]
    assert drops.findings == ()
    assert path.read_text("utf-8-sig").splitlines()[:2][1] == ",(cm),in,psi"


def test_a_drop_behind_a_hash_is_passed_over_and_said(tmp_path):
    drops = read_drops(saved(tmp_path, GOOD + "#Ash,A,180,110\n# ball 2 was flat\n"))

    assert len(drops.table) == 2
    (said,) = [r for r in drops.remarks if "#" in r]
    assert said.endswith("looks like a drop: row 4.")


@pytest.mark.parametrize("quote", ['"Oak, x",A,', 'Oak,"A, b",', '"Oak", "A",'])
def test_quotes_that_hold_are_kept_apart_from_those_that_do_not(tmp_path, quote):
    text = GOOD.replace("Oak,A,", quote)
    assert len(read_drops(saved(tmp_path, text)).table) == 2
    assert read_drops(saved(tmp_path, text)).findings == ()

    stray = GOOD + '"Ash,A,180,110\n"Fir,A,180,111\nYew,A,180,72"\n'
    assert len(read_drops(saved(tmp_path, stray)).table) == 5


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be", "latin-1"])
def test_a_file_without_a_mark_is_read_too(tmp_path, encoding):
    drops = read_drops(saved(tmp_path, GOOD.replace("Oak", "Aß"), encoding=encoding))

    assert drops.table["group"].tolist() == ["Aß", "Elm"]


def test_bytes_that_mean_nothing_are_not_lost(tmp_path):
    path = saved(tmp_path, GOOD.encode().replace(b"Oak", b"Ch\x90ne"))

    write_drops(read_drops(path), path)

    assert read_drops(path).table["group"].iloc[0] == "Ch\x90ne"


def test_misspelt_headings_are_answered_with_the_nearest(tmp_path):
    text = GOOD.replace("drop height", "drp hieght").replace("rebound", "rebond")

    with pytest.raises(TableError, match="Did you mean “drop height” by “drp hieght"):
        read_drops(saved(tmp_path, text))


def test_a_device_is_not_read(tmp_path):
    with pytest.raises(FileError, match="a device"):
        read_drops("/dev/zero")
    with pytest.raises(FileError, match="no such file"):
        read_drops(f"{tmp_path}/a\x00b.csv")


def workbook(folder, rows, name="class.xlsx", **sheets):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    for title, others in sheets.items():
        sheet = book.create_sheet(title)
        for row in others:
            sheet.append(row)
    book.save(folder / name)
    return folder / name


def test_cells_of_a_workbook_are_read_as_a_person_sees_them(tmp_path):
    path = workbook(
        tmp_path,
        [["ball", "when", "drop height", "rebound height"], ["A", None, 180, "#N/A"]],
    )
    book = openpyxl.load_workbook(path)
    book.active["A2"] = "#REF!"  # an error is no remark: the row stays
    book.active["B2"] = datetime.date(2026, 3, 2)
    book.active["C2"].number_format = '0.0" cm"'
    book.save(path)

    drops = read_drops(path)

    assert drops.table["drop_height_m"].tolist() == [1.8]
    assert drops.table["when"].tolist() == ["2026-03-02"]
    assert [f.read for f in drops.findings] == ["#N/A"]


def test_other_sheets_with_drops_are_said_and_not_overwritten(tmp_path):
    rows = [["drop (cm)", "rebound (cm)"], [180, 110]]
    path = workbook(tmp_path, rows, Elm=rows, Shoes=[["size"], [38]])
    drops = read_drops(path)
    before = path.read_bytes()

    assert [r for r in drops.remarks if "sheet" in r] == [
        "Only the sheet “Sheet” was read; drops stand in “Elm” too."
    ]
    with pytest.raises(FileError, match="workbook with 3 sheets"):
        write_drops(drops, path)
    assert path.read_bytes() == before


def test_titles_of_a_workbook_keep_their_cells(tmp_path):
    rows = [["Larkfield", None, "gym"], ["drop (cm)", "rebound (cm)"], [180, 110]]
    path = workbook(tmp_path, rows)

    write_drops(read_drops(path), path)

    sheet = openpyxl.load_workbook(path).active
    assert [cell.value for cell in sheet[1]][::2] == ["Larkfield", "gym"]
    assert sheet["A3"].value == 180
    assert read_drops(path).table.index.tolist() == [3]


@pytest.mark.parametrize("place", ["XFD3", "A1048576"])
def test_a_sheet_that_only_claims_to_be_huge_costs_little(tmp_path, place):
    path = workbook(tmp_path, [["drop (cm)", "rebound (cm)"], [180, 110]])
    book = openpyxl.load_workbook(path)
    book.active[place].number_format = "0.0"
    book.save(path)
    assert len(read_drops(path).table) == 1

    book.active["XFD3"] = 1
    book.save(path)
    with pytest.raises(TableError, match="row 3: read 16384 cells, allowed up to 256"):
        read_drops(path)


def test_a_row_number_past_the_end_of_any_sheet_is_refused(tmp_path):
    path = workbook(tmp_path, [["drop (cm)", "rebound (cm)"], [180, 110]])
    parts = {}
    with zipfile.ZipFile(path) as packed:
        for name in packed.namelist():
            parts[name] = packed.read(name)
    sheet = "xl/worksheets/sheet1.xml"
    parts[sheet] = parts[sheet].replace(b'r="2"', b'r="999999999"')
    with zipfile.ZipFile(path, "w") as packed:
        for name, content in parts.items():
            packed.writestr(name, content)

    with pytest.raises(TableError, match="in 1048576 rows"):
        read_drops(path)


def test_what_does_not_fit_into_a_cell_is_not_cut(tmp_path):
    drops = read_rows(HEADINGS, [["Oak", "A", "180", "110", "x" * 40_000]])

    with pytest.raises(FileError, match="a cell of more than 32767 letters"):
        write_drops(drops, tmp_path / "class.xlsx")


def test_a_disk_that_is_really_full_leaves_the_old_file(tmp_path):
    path = saved(tmp_path, GOOD)
    code = (
        "import resource, sys\n"
        "from bouncelab.errors import FileError\n"
        "from bouncelab.readings.files import read_drops, write_drops\n"
        "drops = read_drops(sys.argv[1])\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (20, 20))\n"
        "try:\n    write_drops(drops, sys.argv[1])\n"
        "except FileError as error:\n    print(error)\n"
    )

    done = subprocess.run(
        [sys.executable, "-c", code, path], capture_output=True, text=True, check=True
    )

    assert "file too large" in done.stdout
    assert path.read_bytes() == GOOD.encode()
    assert [p.name for p in tmp_path.iterdir()] == ["class.csv"]


def test_a_row_of_many_cells_is_refused_before_it_fills_the_memory(tmp_path):
    text = GOOD * 200 + "Oak," + "7," * 40_000 + "\n"
    with pytest.raises(TableError, match=r"class\.csv, row 601: read 40001 cells"):
        read_drops(saved(tmp_path, text))

    blanks = read_drops(saved(tmp_path, GOOD.replace("112", "112" + "," * 40_000)))
    assert blanks.typed.shape == (2, 4)


def test_a_big_file_is_read_fast(tmp_path):
    line = "Oak,A,180,{:.1f}\n"
    text = GOOD + "".join(line.format(90 + n % 300 / 10) for n in range(100_000))

    before = time.process_time()
    drops = read_drops(saved(tmp_path, text))

    assert len(drops.table) == 100_002
    assert time.process_time() - before < 5  # about 0.3 s on a laptop


def test_an_unknown_ending_is_refused_on_writing(tmp_path):
    with pytest.raises(FileError, match=r"\.csv or \.xlsx"):
        write_drops(read_rows(HEADINGS, [["a"] * 5]), tmp_path / "class.doc")
