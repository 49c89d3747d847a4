"""The doctor: plain lines, with what to do, on a machine where things are missing."""

import shutil
import sys

import pytest

from bouncelab.cli import main
from bouncelab.publish import doctor
from bouncelab.publish.doctor import examine
from bouncelab.typesetting import making


@pytest.fixture
def bare(monkeypatch):
    """A machine with Python and JupyterLab, and no more."""
    for name in ("typst", "soundfile", "av", "jupyterlite_core", "jupyterhub"):
        monkeypatch.setitem(sys.modules, name, None)
    monkeypatch.setitem(sys.modules, "pypandoc", None)
    monkeypatch.setenv("PATH", "")
    monkeypatch.delenv("BOUNCELAB_CHROMIUM", raising=False)
    making.pandoc_path.cache_clear()
    yield
    making.pandoc_path.cache_clear()


def named(signs, word):
    return next(each for each in signs if each.name.startswith(word))


def test_what_only_some_need_is_told_without_an_alarm(bare, capsys):
    assert main(["doctor"]) == 0
    said = capsys.readouterr().out

    assert "LOOK" not in said
    for word in ("pandoc", "typst", "WAV", "M4A", "site", "server", "Chromium"):
        assert any(x.startswith("no  ") and word in x for x in said.splitlines()), word
    for extra in ("papers", "phone", "site", "hub"):
        assert f'-m pip install "bouncelab[{extra}]"' in said
    assert said.splitlines()[-1].startswith("Notebooks work here.")


def test_every_line_of_what_does_not_work_has_a_cure(bare, tmp_path):
    signs = examine(tmp_path)
    lacking = [each for each in signs if not each.fine]

    assert len(lacking) == 7
    assert all(each.do.endswith((".", '"')) for each in lacking)
    assert all(each.do == "" for each in signs if each.fine)


def test_a_library_that_is_there_but_does_not_start_is_told_apart(monkeypatch):
    def broken(name):
        raise OSError("libsndfile.so.1 is not there")

    monkeypatch.setattr(doctor.importlib, "import_module", broken)
    sign = doctor._package("recordings", "soundfile", "soundfile")

    assert sign.found == "does not start: libsndfile.so.1 is not there"
    assert sign.do


def test_a_pandoc_of_the_machine_counts_as_papers_use_it(bare, tmp_path, monkeypatch):
    assert not named(examine(tmp_path), "papers (pandoc)").fine
    making.pandoc_path.cache_clear()
    told = "import sys; print('pandoc 3.1')"
    program = tmp_path / "pandoc"
    program.write_text(f"#!{sys.executable}\n{told}\n")
    program.chmod(0o755)
    monkeypatch.setattr(making.shutil, "which", lambda name: str(program))

    assert named(examine(tmp_path), "papers (pandoc)").found == "3.1"
    program.write_text("#!/nowhere\n")
    assert named(examine(tmp_path), "papers (pandoc)").found == "not found"


def test_no_room_on_the_disk_and_no_memory_need_a_look(monkeypatch, tmp_path, capsys):
    full = shutil.disk_usage(tmp_path)._replace(free=10_000_000)
    monkeypatch.setattr(doctor.shutil, "disk_usage", lambda folder: full)
    monkeypatch.setattr(doctor.os, "sysconf", lambda name: 20_000, raising=False)
    monkeypatch.chdir(tmp_path)

    assert main(["doctor"]) == 1
    said = capsys.readouterr().out
    assert f"LOOK  disk at {tmp_path}: 0.0 GB free" in said
    assert "LOOK  memory: 0.4 GB" in said
    assert said.splitlines()[-1].startswith("Notebooks need these first: disk at")


def test_without_matplotlib_the_other_lines_are_still_told(monkeypatch, tmp_path):
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    signs = examine(tmp_path)

    assert not named(signs, "font").fine
    assert named(signs, "font").needed
    assert named(signs, "JupyterLab").fine
