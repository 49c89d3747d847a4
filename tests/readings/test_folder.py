"""A folder of groups' files: merged, looked at again, and never stopped by one."""

import os
import shutil

import numpy as np
import pandas as pd
import pytest

from bouncelab import bounciness, check_drops, read_drops
from bouncelab.cli import main
from bouncelab.errors import FileError
from bouncelab.places import kit_folder
from bouncelab.readings.drops import read_rows
from bouncelab.readings.folder import ClassFolder, read_folder
from bouncelab.readings.merge import merge_drops, traced

OAK = "ball,drop height (cm),rebound height (cm)\n" + "Futsal ball,200,57\n" * 3
ELM = "Group,Ball,drop (in),rebound (in)\n" + 'Elm,Futsal ball,78 1/2,"22,5"\n' * 3


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "oak.csv").write_text(OAK)
    (tmp_path / "elm.csv").write_text(ELM)
    return tmp_path


def test_units_of_each_file_are_its_own_and_a_missing_group_is_the_file_s_name(folder):
    table = read_folder(folder).drops.table

    assert table["group"].tolist() == ["Elm"] * 3 + ["oak"] * 3
    assert table["drop_height_m"].tolist() == pytest.approx([1.9939] * 3 + [2.0] * 3)
    assert table["rebound_height_m"].tolist() == pytest.approx(
        [0.5715] * 3 + [0.57] * 3
    )
    assert table.index.tolist() == [1, 2, 3, 4, 5, 6]


def test_merged_files_give_what_one_file_gives(tmp_path):
    path = kit_folder("data") / "larkfield_class.csv"
    lines = [x for x in path.read_text("utf-8").splitlines() if not x.startswith("#")]
    headings, rows = lines[0], lines[1:]
    names = list(dict.fromkeys(row.partition(",")[0] for row in rows))
    for k, name in enumerate(names):
        mine = [row for row in rows if row.startswith(f"{name},")]
        (tmp_path / f"{k} {name}.csv").write_text("\n".join([headings, *mine, ""]))

    merged = bounciness(read_folder(tmp_path).drops)
    whole = bounciness(check_drops(read_drops(path)))

    assert [row.e for row in merged.rows] == pytest.approx([r.e for r in whole.rows])
    assert [f.check for f in merged.findings] == [f.check for f in whole.findings]
    assert [f.read for f in merged.findings] == [f.read for f in whole.findings]


def test_a_finding_says_its_file_and_line(folder):
    (folder / "oak.csv").write_text(OAK + "Futsal ball,200,9S\n")
    drops = read_folder(folder).drops
    (finding,) = drops.findings

    assert finding.why.startswith("oak, row 5: ")
    assert drops.table.loc[finding.row, "flag"] == "left_out"
    assert drops.typed.loc[finding.row, "line in its file"] == "5"


def test_only_what_changed_is_read_and_only_then_is_it_news(folder, monkeypatch):
    watched = ClassFolder(folder)
    read = []
    monkeypatch.setattr(
        "bouncelab.readings.folder.read_drops",
        lambda path: read.append(path.name) or read_drops(path),
    )
    assert watched.look()
    assert not watched.look()
    (folder / "elm.csv").write_text(ELM.replace("22,5", "23,0"))
    assert watched.look()

    assert read == ["elm.csv", "oak.csv", "elm.csv"]
    assert watched.drops.table["rebound_height_m"].iloc[0] == pytest.approx(0.5842)


def test_a_half_written_file_keeps_its_last_good_rows_and_comes_back(folder):
    watched = ClassFolder(folder)
    watched.look()
    (folder / "elm.csv").write_bytes(ELM.encode()[:20])
    assert watched.look()
    assert len(watched.drops.table) == 6
    assert any("elm.csv cannot be read now" in note for note in watched.notes)
    assert any("last good rows are kept" in note for note in watched.notes)

    (folder / "elm.csv").write_text(ELM + 'Elm,Futsal ball,78,"22,5"\n')
    assert watched.look()
    assert len(watched.drops.table) == 7
    assert len(watched.notes) == 1


@pytest.mark.parametrize(
    "content", [b"", b"\x00\xff\x00", b"a,b\n1,2\n", b"PK\x03\x04"]
)
@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_a_broken_file_stops_no_other(folder, content, ending):
    (folder / f"broken.{ending}").write_bytes(content)
    watched = ClassFolder(folder)

    assert watched.look()
    assert len(watched.drops.table) == 6
    assert any(f"broken.{ending} cannot be read" in note for note in watched.notes)
    assert not watched.look()  # no news about it


def test_a_file_saved_twice_counts_once_and_a_removed_one_goes(folder):
    watched = ClassFolder(folder)
    shutil.copy(folder / "oak.csv", folder / "oak (1).csv")
    watched.look()
    assert len(watched.drops.table) == 6
    assert any("counted only once" in note for note in watched.notes)

    (folder / "oak.csv").unlink()
    (folder / "oak (1).csv").unlink()
    assert watched.look()
    assert watched.drops.table["group"].tolist() == ["Elm"] * 3


def test_a_table_saved_as_csv_and_as_spreadsheet_counts_once(folder):
    pd.read_csv(folder / "oak.csv").to_excel(folder / "oak.xlsx", index=False)
    watched = read_folder(folder)

    assert len(watched.drops.table) == 6
    assert any("counted only once" in note for note in watched.notes)


def test_of_an_older_state_beside_a_newer_only_the_newer_counts(folder):
    (folder / "oak (1).csv").write_text(OAK + "Futsal ball,200,56\n")
    watched = read_folder(folder)

    assert len(watched.drops.table) == 7
    assert any("oak.csv is an older state of oak (1).csv" in n for n in watched.notes)
    (folder / "oak.csv").unlink()
    assert watched.look()
    assert watched.notes == ["2 files, 7 rows.", "oak.csv is gone."]


def test_two_groups_that_read_the_same_both_count_and_are_pointed_out(folder):
    (folder / "ash.csv").write_bytes(OAK.replace("\n", "\r\n").encode())
    watched = read_folder(folder)

    assert len(watched.drops.table) == 9
    assert any("hold the same readings, and both count" in n for n in watched.notes)


def test_a_group_that_splits_its_work_keeps_all_of_it(folder):
    row = 'Elm,Futsal ball,78 1/2,"22,5"\n'
    (folder / "elm later.csv").write_text(ELM.splitlines()[0] + "\n" + row)

    assert len(read_folder(folder).drops.table) == 7


def test_a_removed_file_goes_with_a_word(folder):
    watched = ClassFolder(folder)
    (folder / "broken.csv").write_text("x")
    watched.look()
    (folder / "broken.csv").unlink()
    (folder / "oak.csv").unlink()

    assert watched.look()
    assert watched.notes[1:] == ["oak.csv is gone: its rows no longer count."]


def test_a_change_within_one_step_of_the_disk_s_clock_is_seen(folder):
    watched = ClassFolder(folder)
    watched.look()
    path = folder / "oak.csv"
    before = path.stat()
    path.write_text(OAK.replace("57", "59"))
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))

    assert watched.look()
    assert watched.drops.table["rebound_height_m"].max() == pytest.approx(0.59)


def test_what_is_no_file_is_named_without_its_place_on_the_disk(folder):
    (folder / "inner.csv").mkdir()
    (folder / "nowhere.csv").symlink_to(folder / "missing")
    os.mkfifo(folder / "pipe.csv")
    watched = ClassFolder(folder)

    assert watched.look()
    assert len(watched.drops.table) == 6
    said = " ".join(watched.notes)
    assert all(name in said for name in ("inner.csv", "nowhere.csv", "pipe.csv"))
    assert str(folder) not in said
    assert "Errno" not in said


def test_a_folder_that_is_away_for_a_while_loses_no_row(folder):
    watched = ClassFolder(folder)
    watched.look()
    folder.rename(folder.with_name("away"))
    with pytest.raises(FileError, match="last good rows are kept"):
        watched.look()
    assert len(watched.drops.table) == 6

    folder.with_name("away").rename(folder)
    assert not watched.look()
    assert len(watched.drops.table) == 6


def test_spreadsheets_stand_beside_csv_and_other_files_are_passed_over(folder):
    table = pd.DataFrame(
        {"group": ["Ash"] * 2, "drop height (cm)": [200] * 2, "rebound (cm)": [56, 57]}
    )
    table.to_excel(folder / "ash.xlsx", index=False)
    (folder / "~$ash.xlsx").write_bytes(b"lock")
    (folder / ".hidden.csv").write_text(OAK)
    (folder / "notes.txt").write_text("not a class")

    assert len(read_folder(folder).drops.table) == 8


def test_a_folder_that_is_not_there_yet_is_waited_for(tmp_path):
    watched = ClassFolder(tmp_path / "later")
    assert watched.look()
    assert len(watched.drops.table) == 0
    (tmp_path / "later").mkdir()
    (tmp_path / "later" / "oak.csv").write_text(OAK)
    assert watched.look()
    assert len(watched.drops.table) == 3


def test_an_empty_folder_says_what_to_put_there(tmp_path):
    with pytest.raises(FileError, match="Put each group's file there"):
        read_folder(tmp_path)


def test_a_ball_named_in_three_ways_is_pointed_out_and_not_merged(tmp_path):
    for k, name in enumerate(("Basketball 1", "Basket-ball 1", "Basketbal 1")):
        text = OAK.replace("Futsal ball", name)
        (tmp_path / f"group {k}.csv").write_text(text)
    found = bounciness(read_folder(tmp_path).drops)

    assert len({row.ball for row in found.rows}) == 3
    said = " ".join(found.remarks)
    assert "“Basketball 1”" in said
    assert "Is it one?" in said


def test_what_all_files_take_for_granted_is_said_once():
    one = read_rows(["drop (cm)", "rebound (cm)"], [["180", "110"]])
    merged = merge_drops([("oak", one), ("elm", one)])

    assert len(merged.remarks) == 1
    assert not merged.remarks[0].startswith("oak")
    assert traced(one) is one


def test_nothing_merged_is_an_empty_class():
    found = bounciness(merge_drops([]))

    assert found.rows == ()
    assert np.isfinite(len(found.findings))


def test_commands_take_a_folder_as_one_class(folder, capsys):
    assert main(["bounce", str(folder)]) in (0, 1)
    assert "Futsal ball" in capsys.readouterr().out
    (folder / "bad.csv").write_text("x")
    assert main(["check", str(folder)]) in (0, 1)
    said = capsys.readouterr()
    assert "6 used" in said.out
    assert "bad.csv cannot be read" in said.err


def test_class_files_in_students_boxes_count_and_what_lies_beside_them_does_not(folder):
    for name, text in {
        "ada/ada-drop-lab.csv": OAK,
        "ada/ada-hand-in.csv": "notebook,what,typed\ndrop-lab,prediction,90 cm\n",
        "ada/notes.csv": "anything\n",
        "old/ada-drop-lab.csv": ELM,
    }.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text.replace("57", "58"))

    read = read_folder(folder)

    assert read.drops.table["group"].tolist().count("ada-drop-lab") == 3
    assert read.notes == ["3 files, 9 rows."]


def test_a_link_in_a_students_box_does_not_bring_anothers_file(folder):
    before = read_folder(folder).notes
    for box in ("ada", "ben"):
        (folder / box).mkdir()
    (folder / "ben" / "ben-drop-lab.csv").write_text(OAK.replace("57", "58"))
    own = read_folder(folder).notes
    (folder / "ada" / "ada-drop-lab.csv").symlink_to(folder / "ben/ben-drop-lab.csv")

    assert read_folder(folder).notes == own != before
