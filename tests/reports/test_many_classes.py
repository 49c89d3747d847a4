"""Many classes: a report each, failures named, finished work not repeated."""

import json
import shutil
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import unquote

import pytest

from bouncelab.cli import main
from bouncelab.errors import FileError
from bouncelab.places import kit_folder
from bouncelab.reports.many_classes import write_reports

SMALL = "group,ball,drop height (cm),rebound height (cm)\n" + "".join(
    f"Oak,Futsal ball,200,{rebound}\n" for rebound in (56, 57, 58, 57)
)


@pytest.fixture
def classes(tmp_path):
    folder = tmp_path / "classes"
    folder.mkdir()
    for name in ("7a", "7b", "c & <d> #1"):
        (folder / f"{name}.csv").write_text(SMALL)
    (folder / "broken.csv").write_text("nothing")
    (folder / "~lock.csv").write_text("not a class")
    (folder / "readme.txt").write_text("not a class")
    return folder


def test_a_broken_class_stops_no_other_and_the_page_leads_to_each(classes, tmp_path):
    out = tmp_path / "out"
    index, done = write_reports(classes, out)

    assert [bool(each.error) for each in done] == [False, False, True, False]
    page = index.read_text("utf-8")
    assert "4 class files: 3 with a report, 0 of these with readings" in page
    assert "No report of 1 file" in page
    assert "broken.csv" in page
    links = [part.split('"')[0] for part in page.split('href="')[1:]]
    assert len(links) == 6
    for link in links:
        assert (out / unquote(link.replace("&amp;", "&"))).is_file()
    assert "<d>" not in page


def test_finished_work_is_not_repeated_and_changed_work_is(classes, tmp_path):
    out = tmp_path / "out"
    write_reports(classes, out)
    pages = {path: path.stat().st_mtime_ns for path in out.glob("7*.html")}
    (classes / "7b.csv").write_text(SMALL + "Oak,Futsal ball,200,55\n")

    _, done = write_reports(classes, out)

    before = {each.name: each.before for each in done}
    assert before["7a_report"]
    assert not before["7b_report"]
    assert (out / "7a_report.html").stat().st_mtime_ns == pages[out / "7a_report.html"]
    assert (out / "7b_report.html").stat().st_mtime_ns > pages[out / "7b_report.html"]
    (out / "7a_report.pdf").unlink()  # a page that is gone is made again
    _, done = write_reports(classes, out)
    assert not {each.name: each.before for each in done}["7a_report"]


def test_what_was_told_before_is_told_again(classes, tmp_path):
    out = tmp_path / "out"
    index, first = write_reports(classes, out)
    page = index.read_bytes()
    (out / "7b_report.json").write_text("{")  # a stop, or somebody's hand
    _, again = write_reports(classes, out)

    assert [each.result for each in again] == [each.result for each in first]
    assert index.read_bytes() == page
    assert [each.name for each in again if not each.before and not each.error] == [
        "7b_report"
    ]


def test_the_exit_status_tells_all_some_and_none(tmp_path, capsys):
    for name, files, status in (
        ("good", {"7a": SMALL}, 0),
        ("doubtful", {"7a": SMALL + "Oak,Futsal ball,200,9S\n"}, 1),
        ("none", {"7a": "nothing"}, 2),
    ):
        folder = tmp_path / name
        folder.mkdir()
        for stem, text in files.items():
            (folder / f"{stem}.csv").write_text(text)
        asked = ["report", str(folder), "--out", str(tmp_path / f"{name} out")]
        assert main([*asked, "--workers", "1"]) == status
    assert (tmp_path / "none out" / "index.html").is_file()
    capsys.readouterr()


def test_names_and_notes_stay_out_of_many_reports_too(tmp_path):
    folder = tmp_path / "classes"
    folder.mkdir()
    text = SMALL.replace("group,", "students,").replace("Oak,", "Kim and Lee,")
    (folder / "7a.csv").write_text(text)
    out = tmp_path / "out"

    write_reports(folder, out)
    assert "Kim" not in (out / "7a_report.html").read_text("utf-8")
    write_reports(folder, out, names=True)
    assert "Kim" in (out / "7a_report.html").read_text("utf-8")


def test_other_options_are_other_work(classes, tmp_path):
    out = tmp_path / "out"
    write_reports(classes, out)
    _, done = write_reports(classes, out, notes=True)

    assert not any(each.before for each in done)


def test_a_run_that_is_stopped_goes_on_where_it_was(classes, tmp_path):
    out, seen = tmp_path / "out", []

    def stop(done, count, total):
        seen.append(done.name)
        if count == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_reports(classes, out, progress=stop)
    _, done = write_reports(classes, out)

    assert [each.before for each in done if not each.error] == [True, True, False]


def test_any_executor_will_do(classes, tmp_path):
    write_reports(classes, tmp_path / "here")
    with ThreadPoolExecutor(3) as executor:
        _, done = write_reports(classes, tmp_path / "out", executor=executor)

    assert sum(not each.error for each in done) == 3
    for path in (tmp_path / "here").glob("*_report.*"):
        assert path.read_bytes() == (tmp_path / "out" / path.name).read_bytes()


def test_a_cluster_gives_the_same_pages(classes, tmp_path):
    from distributed import Client

    write_reports(classes, tmp_path / "here")
    with (
        Client(
            n_workers=2,
            threads_per_worker=1,
            dashboard_address=None,
            host="127.0.0.1",
        ) as client,
        client.get_executor() as executor,
    ):
        write_reports(classes, tmp_path / "there", executor=executor)

    for path in (tmp_path / "here").glob("*.html"):
        assert path.read_bytes() == (tmp_path / "there" / path.name).read_bytes()


def test_two_files_of_one_name_keep_their_endings(classes, tmp_path):
    import pandas as pd

    pd.read_csv(classes / "7a.csv").to_excel(classes / "7a.xlsx", index=False)
    _, done = write_reports(classes, tmp_path / "out")

    assert {"7a_csv_report", "7a_xlsx_report"} <= {each.name for each in done}


def test_a_folder_without_classes_says_what_to_put_there(tmp_path):
    with pytest.raises(FileError, match=r"\.csv or \.xlsx"):
        write_reports(tmp_path, tmp_path / "out")


def test_the_command_reports_a_folder_on_processes(classes, tmp_path, capsys):
    shutil.copy(kit_folder("data") / "larkfield_floors.csv", classes)
    out = tmp_path / "out"

    assert main(["report", str(classes), "--out", str(out), "--workers", "2"]) == 1
    said = capsys.readouterr()
    assert said.out.strip().endswith("index.html")
    assert "5 of 5" in said.err
    assert "broken_report: broken.csv" in said.err
    told = json.loads((out / "larkfield_floors_report.json").read_text())
    assert told == {"rows": 120, "groups": 4, "balls": 1, "doubtful": 0}


def test_a_folder_of_groups_files_is_one_class_if_it_is_asked_for(tmp_path, capsys):
    folder = tmp_path / "handed in"
    folder.mkdir()
    heading = "group,ball,drop height (cm),rebound height (cm)"
    for name, rebounds in (("oak", (113, 115, 114)), ("elm", (116, 115, 113))):
        rows = "\n".join(f"{name},basketball,180,{each}" for each in rebounds)
        (folder / f"{name}.csv").write_text(f"{heading}\n{rows}\n")
    out = tmp_path / "out"

    assert main(["report", str(folder), "--one-class", "--out", str(out)]) == 0
    assert sorted(each.name for each in out.iterdir()) == [
        "handed in_report.html",
        "handed in_report.pdf",
    ]
    page = (out / "handed in_report.html").read_text("utf-8")
    assert "oak" in page
    assert "elm" in page
    capsys.readouterr()
