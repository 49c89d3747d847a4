"""What can be told about the site without the browser's runtime."""

import hashlib
import io
import json
import os
import subprocess
import sys
import zipfile

import pytest

from bouncelab.cli import main
from bouncelab.errors import FileError
from bouncelab.publish import runtime, site, wheels
from bouncelab.readings.files import read_drops
from bouncelab.readings.journal import Journal
from bouncelab.widgets import hand_in


def test_without_a_runtime_the_command_says_where_the_release_is(
    tmp_path, monkeypatch, capsys
):
    monkeypatch.delenv("BOUNCELAB_RUNTIME", raising=False)
    assert main(["site", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert "pyodide-0.27.7.tar.bz2" in said
    assert "BOUNCELAB_RUNTIME" in said


def test_a_runtime_of_another_version_is_refused(tmp_path):
    lock = {"info": {"version": "0.28.0"}, "packages": {}}
    (tmp_path / "pyodide-lock.json").write_text(json.dumps(lock))
    with pytest.raises(FileError, match=r"version 0\.28\.0"):
        runtime.read_lock(tmp_path)


def test_a_folder_without_a_list_of_packages_is_refused(tmp_path):
    with pytest.raises(FileError, match="no list of packages"):
        runtime.read_lock(tmp_path)


def test_every_file_that_is_missing_or_changed_is_named(tmp_path):
    right = hashlib.sha256(b"right").hexdigest()
    (tmp_path / "good").write_bytes(b"right")
    (tmp_path / "changed").write_bytes(b"wrong")
    runtime.verify(tmp_path, {"good": right})
    with pytest.raises(FileError) as caught:
        runtime.verify(tmp_path, {"good": right, "changed": right, "gone": right})
    assert "no gone" in caught.value.read
    assert "published in changed" in caught.value.read
    assert "good" not in caught.value.read


def test_a_wheel_with_other_bytes_is_refused(tmp_path):
    (tmp_path / wheels.PURE["pint"].file).write_bytes(b"something else")
    with pytest.raises(FileError, match="other bytes"):
        wheels.find_wheel("pint", [tmp_path], tmp_path)


def test_a_folder_with_something_else_in_it_stays_as_it_is(tmp_path, monkeypatch):
    monkeypatch.setattr(site, "_check_builders", lambda: None)
    monkeypatch.setattr(site, "read_lock", lambda folder: {})
    (tmp_path / "letter.txt").write_text("mine")
    with pytest.raises(FileError, match="something else in it"):
        site.build_site(tmp_path, tmp_path)
    assert (tmp_path / "letter.txt").read_text() == "mine"


def test_the_own_wheel_is_whole_and_the_same_each_time(tmp_path):
    entry, wheel = wheels.own_wheel()
    assert wheel == wheels.own_wheel()[1]
    assert hashlib.sha256(wheel).hexdigest() == entry["sha256"]
    with zipfile.ZipFile(io.BytesIO(wheel)) as archive:
        names = set(archive.namelist())
    assert "bouncelab/kit/data/balls.csv" in names
    assert not [name for name in names if name.endswith(".ipynb")]  # the site has them
    assert "bouncelab/widgets/drop_lab.js" in names
    assert not [name for name in names if "__pycache__" in name]


def test_the_own_wheel_runs_when_it_is_alone(tmp_path):
    _, wheel = wheels.own_wheel()
    zipfile.ZipFile(io.BytesIO(wheel)).extractall(tmp_path)
    code = (
        "import bouncelab; print(bouncelab.__file__);"
        "print(bouncelab.find_range('futsal-law-2').id)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    place, found = done.stdout.splitlines()
    assert place.startswith(str(tmp_path)), done.stderr
    assert found == "futsal-law-2"


def test_what_the_browser_saves_is_a_class_file(tmp_path, monkeypatch):
    journal = Journal(tmp_path / "drop-lab.jsonl")
    typed = {"ball": "red", "drop_height": "2 m", "rebound_height": "1.23 m"}
    for column, text in typed.items():
        journal.step({"do": "cell", "row": 0, "column": column, "text": text})
    monkeypatch.setattr(hand_in, "_IN_BROWSER", True)
    panel = hand_in.HandIn(tmp_path)
    panel.button.click()
    assert "download='hand-in.csv'" in panel.said.value
    assert "download='drop-lab.csv'" in panel.said.value
    drops = read_drops(tmp_path / "drop-lab.csv")
    assert drops.table["rebound_height_m"].tolist() == [1.23]


def test_doctor_says_what_is_there_and_what_to_do(capsys):
    status = main(["doctor", "--json"])
    signs = json.loads(capsys.readouterr().out)
    lacking = [each for each in signs if not each["fine"]]
    assert status == int(any(each["needed"] for each in lacking))
    assert all(each["do"] for each in lacking)
    assert {"Python", "JupyterLab", "memory"} <= {each["name"] for each in signs}


def test_doctor_looks_up_when_a_needed_part_is_gone(monkeypatch, capsys):
    monkeypatch.setitem(sys.modules, "jupyterlab", None)
    assert main(["doctor"]) == 1
    assert "LOOK  JupyterLab: not installed" in capsys.readouterr().out
