"""Marking: right, following from an earlier slip, which slip, and what is open."""

import csv
import io
import json
import os
from dataclasses import replace

import pytest

from bouncelab.cli import main
from bouncelab.typesetting.making import make_html
from bouncelab.worksheets.class_marks import mark_class, read_folder
from bouncelab.worksheets.feedback import feedback_paper, marks_csv, summary_paper
from bouncelab.worksheets.filled import read_filled, read_table
from bouncelab.worksheets.keys import key_bytes, parse_key, read_key
from bouncelab.worksheets.marking import mark_sheet
from bouncelab.worksheets.source import read_source
from worksheets.example import source_bytes

NAMES = ["Ann Example", "Bo Test", "Cy Sample", "=cmd|'x'!A1", "Dé Ünal"]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A class's sheets of the small source, as the command makes them."""
    folder = tmp_path_factory.mktemp("homework")
    (folder / "source.ipynb").write_bytes(source_bytes())
    (folder / "roster.csv").write_text("name\n" + "\n".join(NAMES) + "\n")
    asked = ["worksheets", str(folder / "source.ipynb"), "--seed", "s"]
    asked += ["--students", str(folder / "roster.csv"), "--out", str(folder / "out")]
    assert main([*asked, "--forms", "ipynb"]) == 0
    return folder / "out"


@pytest.fixture
def sheets(made, tmp_path):
    """A copy of the class's folder to fill in."""
    import shutil

    shutil.copytree(made, tmp_path / "out")
    return tmp_path / "out"


@pytest.fixture(scope="module")
def key(made):
    return read_key(made / "teacher" / "key.csv")


@pytest.fixture(scope="module")
def source(made):
    return read_source(made / "teacher" / "source.ipynb")


@pytest.fixture
def rows(key):
    return [row for row in key if row.student == "Ann Example"]


def asked(rows, question):
    return next(row for row in rows if row.question == question)


def marked(rows, source, **answers):
    return {m.row.question: m for m in mark_sheet(rows, answers, source)}


def write(sheets, key, student, answers, change=None):
    """Fill in a student's notebook."""
    stem = next(row.file for row in key if row.student == student)
    path = sheets / "students" / f"{stem}.ipynb"
    book = json.loads(path.read_text("utf-8"))
    for cell in book["cells"]:
        question = cell["metadata"].get("bouncelab", {}).get("question")
        if question:
            cell["source"] = answers.get(question, "")
    if change:
        change(book)
    path.write_text(json.dumps(book), "utf-8")
    return path


def test_right_answers_earn_their_marks(rows, source):
    answers = {r.question: r.shown for r in rows if r.kind in ("number", "choice")}
    found = marked(rows, source, **answers)

    for question in answers:
        assert found[question].result == "right"
        assert found[question].marks == asked(rows, question).marks
    assert found["why"].result == "empty"


def test_a_later_answer_that_follows_from_an_earlier_slip_earns_its_marks(rows, source):
    e, speed = asked(rows, "e"), asked(rows, "after")
    own = e.answer + 0.1
    follows = own * e.givens["v"]
    found = marked(rows, source, e=f"{own:.3f}", after=f"{follows:.3f} m/s")

    assert found["e"].result == "wrong"
    assert found["after"].result == "follows"
    assert found["after"].marks == speed.marks - 1  # four figures are too many
    assert "by your own earlier answer" in found["after"].said[0]
    assert speed.shown in found["after"].said[0]
    alone = marked(rows, source, after=f"{follows:.3g} m/s")
    assert alone["after"].result == "wrong"  # it follows from nothing
    without = marked(rows, None, e=f"{own:.3f}", after=f"{follows:.3g} m/s")
    assert without["after"].result == "wrong"  # no source, no way to follow it


def test_a_slip_on_top_of_an_earlier_slip_is_recognised(rows, source):
    e = asked(rows, "e")
    own = e.answer - 0.1
    slip = e.givens["v"] / own
    found = marked(rows, source, e=f"{own:.3f}", after=f"{slip:.3g} m/s")

    assert found["after"].idea == "speeds divided"


def test_a_wrong_idea_is_named_by_working_it_out(rows, source):
    e = asked(rows, "e")
    found = marked(rows, source, e=f"{e.givens['h2'] / e.givens['h1']:.3f}")

    assert found["e"].idea == "square root forgotten"
    assert "square root forgotten" in found["e"].said[0]
    assert found["e"].marks == 0


def test_other_units_are_converted_and_a_missing_one_costs_one_mark(rows, source):
    speed = asked(rows, "after")
    found = marked(rows, source, after=f"{speed.answer * 3.6:.3g} km/h")
    assert (found["after"].result, found["after"].marks) == ("right", speed.marks)
    found = marked(rows, source, after=f"{speed.answer:.2g}")
    assert (found["after"].result, found["after"].marks) == ("right", speed.marks - 1)
    assert "Write the unit, too: m/s." in found["after"].said
    found = marked(rows, source, after=f"{speed.answer:.2g} cm/s")
    assert found["after"].idea == "wrong unit"
    found = marked(rows, source, after=f"{speed.answer:.2g} kg")
    assert found["after"].result == "unread"
    assert found["after"].needs_eye


def test_thousands_and_shares_are_read_as_they_are_meant(rows, source):
    from dataclasses import replace

    speed = asked(rows, "after")
    far = replace(speed, answer=1200.0, tolerance=24.0, unit="m/s", figures=(2, 4))
    for text, result in (("1,200 m/s", "right"), ("1,300 m/s", "wrong")):
        assert marked([far], None, after=text)["after"].result == result
    share = replace(
        asked(rows, "e"), answer=40.0, unit="%", tolerance=1.0, figures=(2, 3)
    )
    for text, result in (("0.40", "right"), ("40 %", "right"), ("0.35", "wrong")):
        found = marked([share], None, e=text)["e"]
        assert found.result == result
    assert marked([share], None, e="0.40")["e"].marks == share.marks


def test_too_many_and_too_few_figures_cost_one_mark(rows, source):
    e = asked(rows, "e")
    for text in (f"{e.answer:.6f}", f"{e.answer:.1f}"):
        found = marked(rows, source, e=text)["e"]
        if found.result == "right":
            assert found.marks == e.marks - 1
            assert "figures" in found.said[1]


@pytest.mark.parametrize(
    "text",
    ["partly inelastic", " Partly-Inelastic. ", "I think it is partly inelastic"],
)
def test_a_choice_is_read_as_it_is_meant(rows, source, text):
    assert marked(rows, source, elastic=text)["elastic"].result == "right"


def test_a_choice_that_cannot_be_told_is_for_the_teacher(rows, source):
    found = marked(rows, source, elastic="elastic or perfectly inelastic")

    assert found["elastic"].result == "unread"


def test_cells_may_be_moved_renamed_duplicated_and_of_any_kind(sheets, key, source):
    right = {r.question: r.shown for r in key if r.student == "Bo Test"}

    def change(book):
        cells = book["cells"]
        cells.reverse()
        for cell in cells:
            if cell["id"] == "answer-e":
                cell["cell_type"] = "code"
                cell["outputs"] = [{"output_type": "stream", "text": "0.1"}]
                again = json.loads(json.dumps(cell)) | {"id": "copy"}
        cells.insert(0, {**again, "source": ""})
        del book["metadata"]["bouncelab"]

    path = write(sheets, key, "Bo Test", right, change)
    path.rename(path.with_name("my homework final (2).ipynb"))
    found = read_filled(path.with_name("my homework final (2).ipynb"))

    assert found.code == next(r.code for r in key if r.student == "Bo Test")
    assert found.answers["e"] == right["e"]
    marks = mark_class(key, [found], source)
    assert marks.sheets[0].student == "Bo Test"
    assert marks.sheets[0].answers[0].result == "right"


def test_two_wrong_ideas_that_lead_to_one_number_are_both_named(rows, source):
    e = asked(rows, "e")
    found = e.answer**2
    both = {"root forgotten": found, "e² for e": found * 1.002, "far": found / 2}
    one = [replace(e, wrong=both)]
    told = mark_sheet(one, {"e": f"{found:.2f}"}, None)[0]

    assert sorted(told.idea.split(", or ")) == ["e² for e", "root forgotten"]
    assert "e² for e" in told.said[0]


def test_who_handed_in_nothing_has_a_row_in_the_table_of_marks(sheets, key):
    write(sheets, key, "Ann Example", {"after": "3 m/s"})
    (
        sheets
        / "students"
        / f"{next(r.file for r in key if r.student == 'Bo Test')}.ipynb"
    ).unlink()
    filled, _ = read_folder(sheets / "students")
    table = marks_csv(mark_class(key, filled, None)).decode("utf-8-sig")
    read = list(csv.DictReader(io.StringIO(table)))

    assert len(read) == len(NAMES)
    assert read[-1]["student"] == "Bo Test"
    assert read[-1]["marks"] == ""
    assert read[-1]["notes"] == "nothing came back"


def test_where_converting_is_the_question_another_unit_is_not_right(rows):
    speed = asked(rows, "after")
    written = f"{3.6 * speed.answer:.2g} km/h"
    strict = [replace(speed, unit_matters=True)]
    told = mark_sheet(strict, {"after": written}, None)[0]

    assert mark_sheet([speed], {"after": written}, None)[0].result == "right"
    assert (told.result, told.marks) == ("wrong", 0)
    assert told.idea == "left in another unit"
    assert "asked for in m/s" in told.said[0]
    assert mark_sheet(strict, {"after": speed.shown}, None)[0].result == "right"


def test_a_key_keeps_whether_the_unit_matters_and_an_older_one_says_no(rows):
    strict = [replace(rows[0], unit_matters=True), rows[1]]
    text = key_bytes(strict).decode("utf-8-sig")
    older = text.replace(",unit_matters", "").replace(",True", "").replace(",False", "")

    assert [r.unit_matters for r in parse_key("key.csv", text)] == [True, False]
    assert [r.unit_matters for r in parse_key("key.csv", older)] == [False, False]


def test_deleted_cells_and_a_cut_off_file_are_said_and_stop_no_other(sheets, key):
    def change(book):
        book["cells"] = [c for c in book["cells"] if c["id"] != "answer-e"]

    write(sheets, key, "Ann Example", {"after": "3 m/s"}, change)
    cut = write(sheets, key, "Bo Test", {"e": "0.7"})
    cut.write_bytes(cut.read_bytes()[:400])
    filled, problems = read_folder(sheets / "students")
    marks = mark_class(key, filled, None)

    assert len(problems) == 1
    assert "cut off" in problems[0]
    ann = next(s for s in marks.sheets if s.student == "Ann Example")
    assert "The boxes of 1 are gone." in ann.notes
    assert marks.missing == ["Bo Test"]
    assert len(marks.sheets) == len(NAMES) - 1


def test_huge_outputs_and_code_that_would_delete_files_do_nothing(
    sheets, key, tmp_path
):
    victim = tmp_path / "victim.txt"
    victim.write_text("here")

    def change(book):
        evil = f"import os; os.remove({str(victim)!r})"
        output = {"output_type": "stream", "name": "stdout", "text": "x" * 5_000_000}
        book["cells"].insert(
            0,
            {
                "cell_type": "code",
                "id": "evil",
                "metadata": {},
                "source": evil,
                "outputs": [output] * 4,
                "execution_count": 1,
            },
        )

    path = write(sheets, key, "Ann Example", {"e": "__import__('os')"}, change)
    assert path.stat().st_size > 20_000_000
    marks = mark_class(key, [read_filled(path)], None)

    assert victim.exists()
    assert marks.sheets[0].answers[0].result == "unread"


def test_the_newest_file_of_a_sheet_counts(sheets, key):
    path = write(sheets, key, "Ann Example", {"e": "0.1"})
    later = path.with_name("copy.ipynb")
    later.write_text(path.read_text("utf-8").replace('"0.1"', '"0.2"'))
    os.utime(path, (1, 1))
    filled, _ = read_folder(sheets / "students")
    (ann,) = [s for s in mark_class(key, filled, None).sheets if "Ann" in s.student]

    assert ann.answers[0].written == "0.2"
    assert any("of the same sheet" in note for note in ann.notes)


def test_answers_typed_from_paper_are_read_by_number_or_name(tmp_path, key, source):
    code = next(r.code for r in key if r.student == "Cy Sample")
    e = next(r for r in key if r.student == "Cy Sample" and r.question == "e")
    path = tmp_path / "answers.csv"
    for typed, first in ((code.lower(), "Question 1"), (code.replace("-", " "), "q1")):
        text = f"Timestamp;Your code;{first};2a;elastic\nx;{typed};{e.shown};9;\n\n"
        path.write_text(text.replace(".", ","))
        (found,) = read_table(path)
        marks = mark_class(key, [found], source)

        assert marks.sheets[0].student == "Cy Sample"
        assert marks.sheets[0].answers[0].result == "right"
    (tmp_path / "none.csv").write_text("a,b\n1,2\n")
    with pytest.raises(ValueError, match="column named code"):
        read_table(tmp_path / "none.csv")


def test_a_code_of_another_key_is_a_line_for_itself(sheets, key):
    path = write(sheets, key, "Ann Example", {"e": "0.7"})
    text = path.read_text("utf-8")
    code = next(r.code for r in key if r.student == "Ann Example")
    path.write_text(text.replace(code, "ZZZZZZ-ZZ"), "utf-8")
    path.rename(path.with_name("stray.ipynb"))
    filled, _ = read_folder(sheets / "students")
    marks = mark_class(key, filled, None)

    assert any("ZZZZZZ-ZZ is not in this key" in each for each in marks.problems)
    assert "Ann Example" in marks.missing


def test_the_table_of_marks_adds_up_and_holds_no_formula(sheets, key, source):
    right = {r.question: r.shown for r in key if r.student == NAMES[3]}
    write(sheets, key, NAMES[3], right)
    filled, _ = read_folder(sheets / "students")
    marks = mark_class(key, filled, source)
    rows = list(csv.DictReader(io.StringIO(marks_csv(marks).decode("utf-8-sig"))))

    assert len(rows) == len(NAMES)
    for row, sheet in zip(rows, marks.sheets, strict=True):
        given = sum(int(row[m.row.number] or 0) for m in sheet.answers)
        assert given == int(row["marks"]) == sheet.total
        assert not any(cell.startswith(("=", "+", "@")) for cell in row.values())
    assert next(s for s in marks.sheets if s.student == NAMES[3]).total >= 5


def test_the_class_s_summary_names_the_question_and_the_idea(sheets, key, source):
    for name in NAMES[:3]:
        e = next(r for r in key if r.student == name and r.question == "e")
        slip = f"{e.givens['h2'] / e.givens['h1']:.3f}"
        write(sheets, key, name, {"e": slip, "why": "because <b>so</b>"})
    filled, _ = read_folder(sheets / "students")
    marks = mark_class(key, filled, source)
    page = make_html(summary_paper(marks, "Title"))

    name, wrong, count, ideas = next(m for m in marks.missed if m[0] == "1 (e)")
    assert (wrong, count) == (5, 5)
    assert ideas == [("square root forgotten", 3)]
    assert "square root forgotten (3)" in page
    assert "energy goes with the square" in page  # what the teacher looks for
    assert "<b>so" not in page
    own = make_html(feedback_paper(marks.sheets[0], "Title"))
    assert "Not yet." in own
    assert "Bo Test" not in own


def test_the_command_marks_a_class_and_says_what_to_look_at(sheets, key, capsys):
    right = {r.question: r.shown for r in key if r.student == "Ann Example"}
    write(sheets, key, "Ann Example", {**right, "why": "speeds"})
    (sheets / "students" / "broken.ipynb").write_bytes(b"{")
    out = sheets / "marks.csv"
    asked = ["mark", str(sheets / "students"), "--key"]
    asked += [str(sheets / "teacher" / "key.csv"), "--out", str(out)]

    assert main(asked) == 1
    said = capsys.readouterr()
    assert "Ann Example: 6 of" in said.out
    assert "broken.ipynb" in said.err
    folder = sheets / "marks_feedback"
    assert (folder / "all_students.pdf").read_bytes().startswith(b"%PDF")
    assert len(list(folder.glob("*.html"))) == len(NAMES) + 1
    assert main([*asked, "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["sheets"][0]["answers"][0]["result"] == "right"
    assert main(["mark", str(sheets / "none"), *asked[2:]]) == 2
    assert main(["mark", *asked[2:]]) == 2
    assert "a table of answers" in capsys.readouterr().err
    (sheets / "teacher" / "source.ipynb").write_bytes(source_bytes() + b"\n")
    assert main(asked) == 1
    assert "was changed" in capsys.readouterr().err
    assert "not followed" in (folder / "summary.html").read_text("utf-8")


def test_hostile_answers_and_odd_files_stop_nothing(sheets, key, capsys):
    odd = ["\ud800 5", "\x00\x07 3", "<script>alert(1)</script>", "#pagebreak() $x$"]
    odd += ["`|` # head", "\u202eevil", "9" * 5000, "1e308 km/h"]
    names = [row.question for row in key if row.student == "Ann Example"]
    for student, answers in (("Ann Example", odd), ("Bo Test", odd[4:])):
        write(sheets, key, student, dict(zip(names, answers, strict=False)))
    folder = sheets / "students"
    (folder / "gone.ipynb").symlink_to(folder / "nowhere.ipynb")
    (folder / "deep.ipynb").write_text("[" * 200_000)
    asked = ["mark", str(folder), "--key", str(sheets / "teacher" / "key.csv")]
    written = next(one for one in read_folder(folder)[0] if "Ann" in one.file).answers
    assert (written[names[0]], written[names[1]]) == ("5", "3")

    assert main([*asked, "--out", str(sheets / "marks.csv")]) == 1
    said = capsys.readouterr().err
    assert "gone.ipynb: this is no file" in said
    assert "deep.ipynb" in said
    pages = list((sheets / "marks_feedback").glob("*.html"))
    assert len(pages) == len(NAMES) + 1
    assert not any("<script>alert" in page.read_text("utf-8") for page in pages)


def test_a_source_that_was_changed_since_is_not_run_for_marks(sheets, key, source):
    path = sheets / "teacher" / "source.ipynb"
    path.write_bytes(path.read_bytes().replace(b"g.h2 / g.h1", b"g.h1 / g.h2"))
    other = read_source(path)
    e = next(r for r in key if r.student == "Ann Example" and r.question == "e")
    own = e.answer + 0.1
    answers = {"e": f"{own:.3f}", "after": f"{own * e.givens['v']:.3g} m/s"}
    write(sheets, key, "Ann Example", answers)
    filled, _ = read_folder(sheets / "students")

    def result(with_source):
        sheets_marked = mark_class(key, filled, with_source).sheets
        ann = next(s for s in sheets_marked if s.student == "Ann Example")
        return ann.answers[1].result

    assert result(source) == "follows"
    assert result(other) == "wrong"
