import io
import json
import os
import subprocess
import sys

import pytest

from bouncelab.analysis.quality import ReadingQuality
from bouncelab.catalogue import ranges
from bouncelab.cli import main
from bouncelab.commands.class_file import QUALITY
from bouncelab.places import kit_folder
from bouncelab.publish.console import bounce_lines, columns, finding_lines, visible
from bouncelab.units import read_length

CLASS = kit_folder("data") / "larkfield_class.csv"
CLEAN = """ball,drop height (cm),rebound height (cm)
Futsal ball,200,60
Futsal ball,200,61
Futsal ball,200,62
Futsal ball,200,61
Futsal ball,200,60
"""


@pytest.fixture
def clean(tmp_path):
    path = tmp_path / "clean.csv"
    path.write_text(CLEAN, encoding="utf-8")
    return str(path)


def run(capsys, *words):
    status = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return status, out, err


# check


def test_check_gives_json_alone_on_standard_output(capsys):
    status, out, err = run(capsys, "check", CLASS, "--json")
    found = json.loads(out)

    assert status == 1
    assert err == ""
    assert set(found) == {"rows_read", "rows_used", "flags"}
    assert found["rows_read"] > found["rows_used"] > 200
    assert all(set(f) == {"row", "column", "read", "why"} for f in found["flags"])


def test_row_is_the_line_a_person_sees_in_the_file(capsys):
    _, out, _ = run(capsys, "check", CLASS, "--json")
    lines = CLASS.read_text(encoding="utf-8").splitlines()

    flags = [f for f in json.loads(out)["flags"] if f["read"]]
    assert flags
    assert all(flag["read"] in lines[flag["row"] - 1] for flag in flags)


def test_a_clean_file_is_done_and_says_so(capsys, clean):
    status, out, err = run(capsys, "check", clean)

    assert (status, err) == (0, "")
    assert "5 rows read, 5 used, 0 left out, 0 set aside; 0 to look at." in out


def test_people_see_the_files_own_heading_and_a_cure(capsys, tmp_path):
    path = tmp_path / "slip.csv"
    path.write_text(CLEAN + "Futsal ball,200,6l\n", encoding="utf-8")
    status, out, _ = run(capsys, "check", path)

    assert status == 1
    assert "rebound height (cm)" in out
    assert "6l" in out


# bounce


def test_a_reason_that_holds_for_many_rows_is_told_once(capsys):
    _, out, _ = run(capsys, "check", CLASS)

    assert out.count("Without the air outside") == 1
    assert out.count("As in row 200.") == 4


def test_a_file_without_a_drop_to_use_says_so(capsys, tmp_path):
    path = tmp_path / "no_unit.csv"
    path.write_text("ball,drop height,rebound height\nTennis,254,140\n")
    checked = run(capsys, "check", path)
    status, out, _ = run(capsys, "bounce", path)

    assert checked[1].startswith("no_unit.csv: 1 row read, 0 used, 1 left out")
    assert all(len(line) <= 100 for line in checked[1].splitlines())
    assert status == 1
    assert out.startswith("No drop in this file can be used.")


def test_a_height_read_at_the_top_is_told_as_that(capsys):
    _, out, _ = run(capsys, "bounce", CLASS, "--range", "basketball-fiba-1998")

    assert "It bounced 128.4 cm (top of the ball)" in out


def test_help_tells_the_values_that_are_taken_if_none_is_given():
    said = [read_length(text.rpartition(" ")[2]) for _, text in QUALITY.values()]

    assert dict(zip(QUALITY, said, strict=True)) == {
        field: getattr(ReadingQuality(), field) for field in QUALITY
    }


def test_bounce_gives_the_promised_json(capsys, clean):
    status, out, err = run(capsys, "bounce", clean, "--range", "futsal-law-2", "--json")
    found = json.loads(out)

    assert (status, err) == (0, "")
    (row,) = found["rows"]
    assert row["n"] == 5
    assert row["e"] == pytest.approx((0.608 / 2) ** 0.5, rel=1e-4)
    assert 0 < row["u_e"] < row["U_e"] < 0.02
    assert row["energy_lost"] == pytest.approx(1 - row["e"] ** 2)
    assert row["gauge_pressure_pa"] is None
    assert (row["range"], row["verdict"]) == ("futsal-law-2", "meets")
    assert found["flags"] == []


def test_outside_the_range_needs_a_persons_eye(capsys, tmp_path):
    path = tmp_path / "lively.csv"
    path.write_text(CLEAN.replace(",6", ",8"), encoding="utf-8")
    status, out, _ = run(capsys, "bounce", path, "--range", "futsal-law-2", "--json")

    assert status == 1
    assert json.loads(out)["rows"][0]["verdict"] == "does not meet"


def test_left_out_drops_are_told_with_the_result(capsys, tmp_path):
    path = tmp_path / "left.csv"
    path.write_text(CLEAN + "Futsal ball,200,230\n", encoding="utf-8")
    status, out, _ = run(capsys, "bounce", path)

    assert status == 1
    assert "Row 7 is left out" in out
    assert "1 drop was left out and none set aside." in out


def test_a_tape_that_is_worse_makes_the_result_less_sure(capsys, clean):
    def wide(*words):
        return json.loads(run(capsys, "bounce", clean, "--json", *words)[1])["rows"][0]

    assert wide("--tape", "5cm")["U_e"] > 2 * wide("--tape", "3 mm")["U_e"]
    assert wide("--drop-reading", "1 in")["U_e"] > wide()["U_e"]


def test_a_range_of_ones_own_is_used(capsys, clean, tmp_path):
    own = tmp_path / "own.csv"
    own.write_text(
        "id,ball,drop_height (cm),rebound_min (cm),rebound_max (cm)\n"
        "ours,futsal,200,70,90\n",
        encoding="utf-8",
    )
    status, out, _ = run(capsys, "bounce", clean, "--ranges", own, "--json")
    assert json.loads(out)["rows"][0]["range"] == "ours"
    assert status == 1
    _, out, _ = run(
        capsys,
        *("bounce", clean, "--ranges", own, "--json"),
        *("--range", "futsal-law-2", "--range", "ours"),
    )
    assert [r["range"] for r in json.loads(out)["rows"]] == ["futsal-law-2", "ours"]


def test_lines_for_people_fit_100_columns(capsys):
    for words in (
        ("bounce", CLASS, "--range", "basketball-fiba-1998"),
        ("check", CLASS),
        ("ranges",),
    ):
        _, out, _ = run(capsys, *words)
        assert max(map(len, out.splitlines())) <= 100


# ranges


def test_ranges_are_listed_with_the_promised_keys(capsys):
    status, out, err = run(capsys, "ranges", "--json")
    found = json.loads(out)

    assert (status, err) == (0, "")
    assert len(found) == len(ranges()) >= 10
    assert all(
        list(each)
        == [
            *("id", "ball", "body", "edition", "drop_height_m", "drop_point"),
            *("rebound_min_m", "rebound_max_m", "rebound_point", "floor"),
            *("source", "confirmed"),
        ]
        for each in found
    )


def test_every_range_is_listed_for_people_with_an_id_to_copy(capsys):
    _, out, _ = run(capsys, "ranges")

    starts = {line.split()[0] for line in out.splitlines() if line.strip()}
    assert {each.id for each in ranges()} <= starts


# What cannot be done


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "a command is missing"),
        (("bounce",), "required: FILE"),
        (("leap", "x"), "invalid choice: 'leap'"),
        (("check", "no-such-file.csv"), "no-such-file.csv"),
        (("bounce", str(CLASS), "--range", "futsal-law-9"), "futsal-law-2"),
        (("bounce", str(CLASS), "--tape", "5"), "--tape: read “5”, allowed a length"),
        (("bounce", str(CLASS), "--tape=-1cm"), "--tape: read “-1cm”, allowed a len"),
        (("bounce", str(CLASS), "--ranges", "none.csv"), "none.csv"),
        (("open", "x", "--port", "many"), "invalid int value"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_status_2(capsys, words, said):
    try:
        status = main(list(words))
    except SystemExit as end:
        status = end.code
    out, err = capsys.readouterr()

    assert status == 2
    assert out == ""
    assert said in err
    assert err.count("\n") == 1


def test_a_folder_in_place_of_a_file_is_one_line_and_status_2(capsys, tmp_path):
    status, out, err = run(capsys, "check", tmp_path)

    assert (status, out, err.count("\n")) == (2, "", 1)


def test_an_error_cannot_steer_the_console_either(capsys, clean):
    status, _, err = run(capsys, "bounce", clean, "--range", "x\x1b[2J\u202e")

    assert status == 2
    assert "\x1b" not in err
    assert "\u202e" not in err


def test_a_folder_that_cannot_be_written_is_one_line_and_status_2(capsys, tmp_path):
    (tmp_path / "taken").write_text("a file")
    status, out, err = run(capsys, "open", tmp_path / "taken", "--no-browser")

    assert (status, out, err.count("\n")) == (2, "", 1)


@pytest.mark.parametrize("command", ["open", "check", "bounce", "ranges"])
def test_help_shows_an_example_of_the_command(capsys, command):
    with pytest.raises(SystemExit) as end:
        main([command, "--help"])
    out = capsys.readouterr().out

    assert end.value.code == 0
    assert f"Example:\n  bouncelab {command}" in out
    assert "Exit status: 0 done" in out


def test_version_is_told(capsys):
    status, out, _ = run(capsys, "--version")

    assert status == 0
    assert out.startswith("bouncelab 0.")


# Consoles


def shell(*words, encoding="utf-8", **more):
    code = "import sys; from bouncelab.cli import main; sys.exit(main())"
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, words)],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        check=False,
        **more,
    )


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "cp437"])
def test_an_old_console_gets_every_line_in_its_own_letters(tmp_path, encoding):
    path = tmp_path / "names.csv"
    path.write_text(CLEAN.replace("Futsal", "футзал ⚽ Futsal"), encoding="utf-8")
    done = shell("bounce", path, encoding=encoding)

    assert done.returncode == 0
    assert b"Traceback" not in done.stderr
    assert "Futsal" in done.stdout.decode(encoding)


def test_a_reader_that_leaves_early_is_no_crash():
    code = "import sys; from bouncelab.cli import main; sys.exit(main())"
    process = subprocess.Popen(
        [sys.executable, "-c", code, "ranges"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    process.stdout.close()
    said = process.stderr.read()
    process.stderr.close()

    assert process.wait(timeout=60) == 2
    assert b"Traceback" not in said
    assert b"Exception" not in said


def test_stopping_by_hand_is_one_line(capsys, monkeypatch):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("bouncelab.commands.findings.read_class", stop)
    status, out, err = run(capsys, "check", CLASS)

    assert (status, out, err) == (2, "", "bouncelab: stopped.\n")


def test_nothing_in_a_file_can_steer_the_console():
    assert visible("a\x1b[2J\nb\u202ec") == "a?[2J?bc"


def test_wide_letters_keep_the_columns_straight():
    blocks = columns(("name", "n"), [["足球", "1"], ["ball", "2"]])

    assert blocks[1:] == [["足球  1"], ["ball  2"]]


def test_long_cells_go_on_in_the_next_line():
    blocks = columns(("what", "why"), [["abc def", "word " * 30]], most={0: 4})

    assert blocks[1][0].startswith("abc   word")
    assert blocks[1][1].startswith("def   word")
    assert all(len(line) <= 100 for block in blocks for line in block)


def test_console_lines_need_no_console():
    from bouncelab.analysis.bounciness import bounciness
    from bouncelab.readings.files import read_drops

    drops = read_drops(CLASS)
    assert bounce_lines(bounciness(drops))
    assert finding_lines([], {}) == []


def test_a_stream_that_cannot_be_set_up_is_used_as_it_is(monkeypatch, clean):
    stream = io.StringIO()
    monkeypatch.setattr(sys, "stdout", stream)

    assert main(["check", clean]) == 0
    assert "5 rows read" in stream.getvalue()


def test_compare_tells_pairs_in_words_and_as_json(capsys):
    assert (
        main(["compare", str(CLASS), "--by", "pressure", "--ball", "futsal ball"]) == 1
    )
    said = capsys.readouterr().out
    assert "60.0 kPa is livelier than 30.0 kPa: e differs by" in flat(said)
    assert all(len(line) <= 100 for line in said.splitlines())

    assert main(["compare", str(CLASS), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["by"] == "ball"
    assert {"a", "b", "p_holm", "drops_needed"} <= set(told["pairs"][0])


def test_pressure_tells_what_to_set_with_the_caution(capsys):
    asked = ["pressure", str(CLASS), "--ball", "Futsal ball", "--range", "futsal-law-2"]
    assert main(asked) == 1  # the class holds doubtful readings of other balls
    said = flat(capsys.readouterr().out)
    assert "Set 43 kPa (6.2 psi)" in said
    assert "Never pump a ball above the pressure printed on it" in said

    assert main([*asked, "--json", "--maximum", "40 kPa"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["best_pa"] is None
    assert "more than the marked maximum of 40.0 kPa" in told["advice"]
    assert told["safe_high_pa"] <= 40_000


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (["compare", str(CLASS), "--by", "colour"], "invalid choice"),
        (["compare", str(CLASS), "--by", "floor"], "two at least"),
        (
            ["pressure", str(CLASS), "--ball", "Tennis", "--range", "tennis-itf"],
            "as in the",
        ),
        (["pressure", str(CLASS), "--ball", "Futsal ball", "--range", "nope"], "range"),
        (["pressure", str(CLASS), "--ball", "Futsal ball"], "--range"),
    ],
)
def test_what_cannot_be_compared_or_tuned_is_one_line(asked, words, capsys):
    try:
        status = main(asked)
    except SystemExit as stopped:
        status = stopped.code
    told = capsys.readouterr()

    assert status == 2
    assert words in told.err
    assert len(told.err.strip().splitlines()) == 1
    assert told.out == ""


def flat(text):
    return " ".join(text.split())
