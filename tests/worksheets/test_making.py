"""A class's sheets: whole, different, resumed after a stop."""

import json

import pytest
from distributed import Client, LocalCluster

from bouncelab.cli import main
from bouncelab.commands import homework
from bouncelab.errors import InputError, NotebookError
from bouncelab.worksheets import making
from bouncelab.worksheets.keys import read_key
from bouncelab.worksheets.making import blank_students, make_sheets
from bouncelab.worksheets.roster import Student
from bouncelab.worksheets.source import parse_source
from worksheets.example import ANSWERS, CODE, GIVENS, MARKDOWN, source_bytes

SOURCE = parse_source("example.ipynb", source_bytes())
CLASS = [Student(name, name.casefold()) for name in ("Ann", "Bob", "Cy")]


def files(folder):
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def few(count):
    """Give a source with few different sheets."""
    givens = (
        "from bouncelab.worksheets.sheet import whole\n"
        f"g = sheet.draw(n=whole(1, {count}))\nsheet.answer('e', g.n)"
    )
    text = "# Few\n\n{{n}}\n\n{{answer e}}"
    return parse_source(
        "few.ipynb", source_bytes(("markdown", text), ("code", CODE), ("code", givens))
    )


def test_every_student_gets_three_files_and_the_teacher_the_key(tmp_path):
    made = make_sheets(SOURCE, CLASS, tmp_path, "autumn")
    key = read_key(tmp_path / "teacher" / "key.csv")

    assert made.sheets == 3
    assert made.told == ()
    stems = {each.file for each in key}
    assert {each for each in files(tmp_path) if each.startswith("students")} == {
        f"students/{stem}.{form}" for stem in stems for form in ("ipynb", "html", "pdf")
    }
    assert [each.student for each in key[::6]] == ["Ann", "Bob", "Cy"]
    assert (tmp_path / "teacher" / "source.ipynb").read_bytes() == SOURCE.data
    assert len({json.dumps(each.givens) for each in key}) == 3


def test_the_same_seed_gives_the_same_bytes_and_another_seed_others(tmp_path):
    for name, seed in (("a", "autumn"), ("b", "autumn"), ("c", "winter")):
        make_sheets(SOURCE, CLASS, tmp_path / name, seed, forms=["ipynb", "pdf"])
    first, second, other = (files(tmp_path / name) for name in "abc")

    assert first == second
    assert not set(first) & {each for each in other if "students" in each}


def test_a_new_student_changes_no_one_elses_sheet(tmp_path):
    make_sheets(SOURCE, CLASS, tmp_path / "a", "autumn", forms=["ipynb"])
    more = [Student("Di", "di"), *reversed(CLASS)]
    make_sheets(SOURCE, more, tmp_path / "b", "autumn", forms=["ipynb"])
    old, new = (files(tmp_path / each / "students") for each in "ab")

    assert old.items() < new.items()


def test_no_two_students_share_givens_while_there_are_enough(tmp_path):
    made = make_sheets(few(12), blank_students(12), tmp_path, "x", forms=["ipynb"])
    key = read_key(tmp_path / "teacher" / "key.csv")

    assert made.told == ()
    assert sorted(each.givens["n"] for each in key) == list(range(1, 13))


def test_too_few_different_sheets_are_said(tmp_path):
    made = make_sheets(few(3), blank_students(5), tmp_path, "x", forms=["ipynb"])
    (told,) = made.told

    assert made.sheets == 5
    assert "only 3 different sheets for 5 students" in told
    assert len({each.code for each in read_key(tmp_path / "teacher/key.csv")}) == 5


def test_one_sheet_that_fails_is_told_and_all_others_are_made(tmp_path):
    fails = (
        "g2 = sheet.draw(k=reading(1, 3, step=1))\nsheet.answer('x', 1 / (g2.k - 2))"
    )
    cells = (("code", CODE), ("code", GIVENS), ("code", ANSWERS), ("code", fails))
    text = ("markdown", MARKDOWN + "\n\n{{answer x}}")
    source = parse_source("fails.ipynb", source_bytes(text, *cells))
    made = make_sheets(source, blank_students(12), tmp_path, "x", forms=["ipynb"])

    assert 0 < made.sheets < 12
    assert made.sheets + len(made.told) == 12
    assert all("fails.ipynb, cell c4, line 2" in each for each in made.told)
    assert len(list((tmp_path / "students").iterdir())) == made.sheets


def test_a_figure_that_fails_spoils_no_other_sheet(tmp_path):
    text = "# Few\n\n{{n}}\n\n{{answer e}}\n\n{{picture p}}"
    givens = (
        "from bouncelab.figures.graph_paper import Axis, draw_graph\n"
        "from bouncelab.worksheets.sheet import whole\n"
        "g = sheet.draw(n=whole(1, 5))\nsheet.answer('e', g.n)\n"
        "end = 1 / abs(g.n - 3) if g.n != 3 else None\n"
        "sheet.picture('p', lambda: draw_graph(Axis('', 0, end), Axis('', 0, 1)))"
    )
    cells = (("markdown", text), ("code", CODE), ("code", givens))
    source = parse_source("figure.ipynb", source_bytes(*cells))
    made = make_sheets(source, blank_students(5), tmp_path, "x")

    assert made.sheets == 4
    (told,) = made.told
    assert "a figure of the source" in told
    assert len(list((tmp_path / "students").iterdir())) == 12
    assert (tmp_path / "teacher" / "key.pdf").is_file()


def test_a_source_that_cannot_be_filled_makes_nothing(tmp_path):
    text = ("markdown", MARKDOWN + "\n\n{{nothing}}")
    cells = (("code", CODE), ("code", GIVENS), ("code", ANSWERS))
    source = parse_source("bad.ipynb", source_bytes(text, *cells))

    with pytest.raises(NotebookError, match="nothing"):
        make_sheets(source, CLASS, tmp_path, "x")
    assert files(tmp_path) == {}


def test_a_run_that_was_stopped_goes_on_where_it_was(tmp_path, monkeypatch):
    monkeypatch.setattr(making, "_TOGETHER", 1)
    steps = []

    def stop(done, count, of):
        if count == 2:
            raise KeyboardInterrupt

    def note(done, count, of):
        steps.append(of)

    with pytest.raises(KeyboardInterrupt):
        make_sheets(SOURCE, CLASS, tmp_path / "a", "x", forms=["ipynb"], progress=stop)
    assert not list((tmp_path / "a").rglob("*.part"))
    kept = {path: path.stat().st_mtime_ns for path in (tmp_path / "a").rglob("*.ipynb")}
    make_sheets(SOURCE, CLASS, tmp_path / "a", "x", forms=["ipynb"], progress=note)
    make_sheets(SOURCE, CLASS, tmp_path / "b", "x", forms=["ipynb"], progress=note)

    assert steps == [2, 2, 4, 4, 4, 4]  # the key and one sheet were there before
    sheets = [each for each in kept if each.parent.name == "students"]
    assert len(sheets) == 1
    assert all(each.stat().st_mtime_ns == kept[each] for each in sheets)
    assert files(tmp_path / "a") == files(tmp_path / "b")


def test_a_file_that_was_deleted_is_made_again_and_no_other(tmp_path):
    make_sheets(SOURCE, CLASS, tmp_path, "x", forms=["ipynb", "html"])
    before = files(tmp_path)
    (gone, *stay) = sorted((tmp_path / "students").glob("*.html"))
    gone.unlink()
    kept = [each.stat().st_mtime_ns for each in stay]
    make_sheets(SOURCE, CLASS, tmp_path, "x", forms=["ipynb", "html"])

    assert [each.stat().st_mtime_ns for each in stay] == kept
    assert files(tmp_path) == before


def test_sheets_of_another_run_are_told(tmp_path):
    make_sheets(SOURCE, CLASS, tmp_path, "x", forms=["ipynb"])
    made = make_sheets(SOURCE, CLASS, tmp_path, "y", forms=["ipynb"])

    assert "3 files of another run" in made.told[0]


def test_a_cluster_makes_the_same_sheets(tmp_path):
    make_sheets(SOURCE, CLASS, tmp_path / "here", "x")
    with (
        LocalCluster(
            n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None
        ) as cluster,
        Client(cluster) as client,
    ):
        make_sheets(
            SOURCE, CLASS, tmp_path / "there", "x", executor=client.get_executor()
        )

    assert files(tmp_path / "here") == files(tmp_path / "there")


@pytest.mark.parametrize("count", [-1, 200_000])
def test_a_number_of_blank_sheets_must_make_sense(count):
    with pytest.raises(InputError):
        blank_students(count)


@pytest.mark.parametrize("seed", ["", "  "])
def test_a_seed_of_nothing_is_refused(tmp_path, seed):
    with pytest.raises(InputError, match="seed"):
        make_sheets(SOURCE, CLASS, tmp_path, seed)


@pytest.fixture
def classroom(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.ipynb").write_bytes(source_bytes())
    (tmp_path / "roster.csv").write_text("name\nAnn\n../Bob\n", "utf-8")
    return tmp_path


def test_the_command_makes_sheets_and_looks_up_a_key(classroom, capsys):
    words = "worksheets mine.ipynb --students roster.csv --blank 1 --out o --seed s"
    assert main([*words.split(), "--forms", "ipynb"]) == 0
    names = sorted(each.name for each in (classroom / "o" / "students").iterdir())
    assert [each.split("_")[0] for each in names] == ["Ann", "Bob", "sheet"]
    assert "3 sheets" in capsys.readouterr().out

    row = read_key(classroom / "o" / "teacher" / "key.csv")[0]
    assert main(["key", row.code.lower(), "mine.ipynb"]) == 0
    out = capsys.readouterr().out
    assert f"1  {row.shown}" in out
    assert main(["key", row.code, "mine.ipynb", "--json", "--out", "k.pdf"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["answers"][0]["answer"] == row.answer
    assert (classroom / "k.pdf").read_bytes().startswith(b"%PDF")


def test_processes_make_the_same_sheets(classroom, monkeypatch):
    words = "worksheets mine.ipynb --students roster.csv --seed s --out"
    assert main([*words.split(), "here"]) == 0
    monkeypatch.setattr(homework, "_FEW", 1)
    assert main([*words.split(), "there"]) == 0

    assert files(classroom / "here") == files(classroom / "there")


@pytest.mark.parametrize(
    "words",
    [
        "worksheets nothing.ipynb --blank 1 --out o --seed s",
        "worksheets mine.ipynb --out o --seed s",
        "worksheets mine.ipynb --students nobody.csv --out o --seed s",
        "worksheets mine.ipynb --blank 1 --out mine.ipynb --seed s",
        "key 222222-22 mine.ipynb",
        "key K7QM3X-RD roster.csv",
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(classroom, capsys, words):
    assert main(words.split()) == 2
    out, err = capsys.readouterr()

    assert out == ""
    assert len(err.strip().splitlines()) == 1


def test_a_roster_with_a_doubtful_row_is_done_with_a_word_about_it(classroom, capsys):
    (classroom / "roster.csv").write_text("name\nAnn\nAnn\n", "utf-8")
    words = "worksheets mine.ipynb --students roster.csv --out o --seed s --forms ipynb"

    assert main(words.split()) == 1
    assert "line 3" in capsys.readouterr().err
