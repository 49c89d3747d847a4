import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from bouncelab.errors import BounceLabError, FileError, InputError
from bouncelab.publish import desk, lab
from bouncelab.publish.desk import lay_out

NOTEBOOK = {
    "cells": [],
    "metadata": {
        "kernelspec": {"display_name": "P", "language": "python", "name": "python3"}
    },
    "nbformat": 4,
    "nbformat_minor": 5,
}


@pytest.fixture
def kit(tmp_path, monkeypatch):
    """A small kit of its own, so that these tests do not wait for the real one."""
    top = tmp_path / "kit"
    (top / "notebooks").mkdir(parents=True)
    (top / "data" / "recordings").mkdir(parents=True)
    (top / "data" / "recordings" / "ball.wav").write_bytes(b"RIFF")
    (top / "notebooks" / "1-drop.ipynb").write_text(json.dumps(NOTEBOOK))
    (top / "notebooks" / "2-next.ipynb").write_text(json.dumps(NOTEBOOK))
    (top / "data" / "class.csv").write_text("ball\nred\n")
    (top / "data" / ".gitkeep").write_text("")
    monkeypatch.setattr(desk, "kit_folder", lambda name: top / name)
    return top


def test_notebooks_and_data_are_laid_out_and_the_first_is_named(kit, tmp_path):
    first, said = lay_out(tmp_path / "a" / "work")

    assert first == tmp_path / "a" / "work" / "notebooks" / "1-drop.ipynb"
    assert (tmp_path / "a" / "work" / "data" / "class.csv").read_text() == "ball\nred\n"
    ball = tmp_path / "a" / "work" / "data" / "recordings" / "ball.wav"
    assert ball.read_bytes() == b"RIFF"
    assert not (tmp_path / "a" / "work" / "data" / ".gitkeep").exists()
    assert said == []


def test_laying_out_again_changes_nothing(kit, tmp_path):
    lay_out(tmp_path / "work")
    before = {p: p.stat().st_mtime_ns for p in tmp_path.rglob("work/*/*.*")}
    _, said = lay_out(tmp_path / "work")

    assert said == []
    assert {p: p.stat().st_mtime_ns for p in before} == before


def test_an_untouched_file_is_brought_up_to_date(kit, tmp_path):
    lay_out(tmp_path / "work")
    (kit / "data" / "class.csv").write_text("ball\nblue\n")
    _, said = lay_out(tmp_path / "work")

    assert (tmp_path / "work" / "data" / "class.csv").read_text() == "ball\nblue\n"
    assert said == []


def test_a_persons_work_stays_and_the_new_form_is_put_beside_it_once(kit, tmp_path):
    work = tmp_path / "work"
    lay_out(work)
    (work / "data" / "class.csv").write_text("mine")
    assert lay_out(work)[1] == []  # the kit has nothing newer
    (kit / "data" / "class.csv").write_text("ball\nblue\n")

    _, said = lay_out(work)
    assert said == [
        "data/class.csv has your changes and stays as it is; "
        "the kit's new form is in class-new.csv."
    ]
    assert (work / "data" / "class.csv").read_text() == "mine"
    assert (work / "data" / "class-new.csv").read_text() == "ball\nblue\n"
    assert lay_out(work)[1] == []

    (kit / "data" / "class.csv").write_text("ball\ngreen\n")
    lay_out(work)
    assert (work / "data" / "class.csv").read_text() == "mine"
    assert (work / "data" / "class-new.csv").read_text() == "ball\nblue\n"
    assert (work / "data" / "class-new-2.csv").read_text() == "ball\ngreen\n"


def test_a_file_of_unknown_origin_is_a_persons_work(kit, tmp_path):
    work = tmp_path / "work"
    (work / "data").mkdir(parents=True)
    (work / "data" / "class.csv").write_text("here before")
    lay_out(work)

    assert (work / "data" / "class.csv").read_text() == "here before"


@pytest.mark.parametrize("damage", ["", "[1]", '{"data/class.csv": 1}', "\x00"])
def test_a_damaged_memory_loses_no_work(kit, tmp_path, damage):
    work = tmp_path / "work"
    lay_out(work)
    (work / "data" / "class.csv").write_text("mine")
    (work / ".bouncelab" / "files.json").write_text(damage)
    (kit / "data" / "class.csv").write_text("ball\nblue\n")
    lay_out(work)

    assert (work / "data" / "class.csv").read_text() == "mine"


def test_a_file_in_place_of_the_folder_is_refused_in_one_line(kit, tmp_path):
    (tmp_path / "work").write_text("not a folder")

    with pytest.raises(FileError, match="read a file, allowed a folder") as slip:
        lay_out(tmp_path / "work")
    assert "\n" not in str(slip.value)


def test_a_kit_without_notebooks_says_so(kit, tmp_path):
    for each in (kit / "notebooks").iterdir():
        each.unlink()

    with pytest.raises(FileError, match="read no notebook"):
        lay_out(tmp_path / "work")


def test_a_taken_port_is_refused_before_anything_starts(kit, tmp_path):
    first, _ = lay_out(tmp_path / "work")
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(InputError, match=f"port: read {port}, which is taken"):
            lab.start(tmp_path / "work", first, port=port)


def test_a_port_taken_at_the_last_moment_costs_another_try(tmp_path, monkeypatch):
    folder = tmp_path / "work"
    first, _ = lay_out(folder)
    choose, asked = lab._free_port, []
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()

        def unlucky(port):
            asked.append(port)
            return other.getsockname()[1] if len(asked) == 1 else choose(port)

        monkeypatch.setattr(lab, "_free_port", unlucky)
        running = lab.start(folder, first)
        running.stop()

    assert len(asked) >= 2  # others on this machine may be as quick


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_a_number_that_is_no_port_is_refused(kit, tmp_path, port):
    first, _ = lay_out(tmp_path / "work")

    with pytest.raises(InputError, match="allowed 1 to 65535"):
        lab.start(tmp_path / "work", first, port=port)


def test_a_missing_jupyterlab_is_named_with_its_cure(kit, tmp_path, monkeypatch):
    first, _ = lay_out(tmp_path / "work")
    monkeypatch.setattr(lab.importlib.util, "find_spec", lambda name: None)

    with pytest.raises(BounceLabError, match="-m pip install jupyterlab"):
        lab.start(tmp_path / "work", first)


def test_a_server_that_does_not_start_gives_its_last_words(kit, tmp_path, monkeypatch):
    first, _ = lay_out(tmp_path / "work")
    words = "print('no room'); raise SystemExit(3)"
    monkeypatch.setattr(lab, "_command", lambda *_: [sys.executable, "-c", words])

    with pytest.raises(BounceLabError, match="JupyterLab: read no room, allowed"):
        lab.start(tmp_path / "work", first)


def test_a_browser_is_opened_only_where_there_is_a_screen(monkeypatch):
    opened = []
    monkeypatch.setattr(lab.webbrowser, "open", opened.append)
    monkeypatch.setattr(lab.sys, "platform", "linux")
    monkeypatch.setattr(lab.os, "name", "posix")
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    lab.open_browser("http://127.0.0.1:1/")
    monkeypatch.setenv("DISPLAY", ":0")
    lab.open_browser("http://127.0.0.1:2/")

    assert opened == ["http://127.0.0.1:2/"]


def get(address, token=None):
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    request = urllib.request.Request(address)
    if token:
        request.add_header("Authorization", f"token {token}")
    return opener.open(request, timeout=10)


def test_jupyterlab_opens_the_first_notebook_and_stops_in_order(kit, tmp_path):
    work = tmp_path / "our lesson"
    first, _ = lay_out(work)
    running = lab.start(work, first)
    try:
        base = f"http://127.0.0.1:{running.port}"
        assert running.address.startswith(f"{base}/lab/tree/notebooks/1-drop.ipynb?")
        with pytest.raises(urllib.error.HTTPError, match="40"):
            get(f"{base}/api/contents")
        names = json.load(get(f"{base}/api/contents", running.token))["content"]
        assert {each["name"] for each in names} == {"data", "notebooks"}
        with get(running.address) as page:
            assert page.status == 200
        kept = json.load(
            get(
                f"{base}/lab/api/settings/@jupyterlab/apputils-extension:notification",
                running.token,
            )
        )
        defaults = kept["schema"]["properties"]
        assert defaults["fetchNews"]["default"] == "false"
        assert defaults["checkForUpdates"]["default"] is False
    finally:
        running.stop()

    assert running.process.poll() is not None
    with pytest.raises(OSError, match=r"."):
        get(base)


@pytest.mark.skipif(os.name != "posix", reason="signals of a Unix terminal")
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM"])
def test_the_command_prints_the_address_and_a_signal_ends_it_all(tmp_path, name):
    work = tmp_path / "work"
    code = (  # a job in a shell's background would ignore the first of them
        "import signal, sys; signal.signal(signal.SIGINT, signal.default_int_handler); "
        "from bouncelab.cli import main; sys.exit(main())"
    )
    command = [sys.executable, "-c", code, "open", str(work), "--no-browser"]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        address = process.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:")
        assert "token=" in address
        process.send_signal(getattr(signal, name))
        rest, said = process.communicate(timeout=60)
    finally:
        process.kill()
        process.wait()

    assert process.returncode == 0
    assert rest == ""
    assert "Traceback" not in said
    deadline = time.monotonic() + 10
    while time.monotonic() < deadline and _answers(address):
        time.sleep(0.2)
    assert not _answers(address)
    assert list(Path(work, "notebooks").glob("*.ipynb"))


def _answers(address):
    try:
        get(address).close()
    except OSError:
        return False
    return True
