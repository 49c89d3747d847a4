"""What is handed out: a wheel that works alone, and a source that gives the same."""

import json
import os
import re
import subprocess
import sys
import sysconfig
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent.parent
CARRIED = ("data", "notebooks", "teacher_notes")


def build(source, out, *kinds):
    words = [word for kind in kinds for word in ("-t", kind)]
    done = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-d", str(out), *words],
        cwd=source,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return [next(out.glob({"sdist": "*.tar.gz", "wheel": "*.whl"}[k])) for k in kinds]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The source archive and the wheel, both built from the project."""
    return build(TOP, tmp_path_factory.mktemp("dist"), "sdist", "wheel")


@pytest.fixture(scope="module")
def alone(made, tmp_path_factory):
    """A fresh environment with the wheel; what it stands on comes from this one."""
    place = tmp_path_factory.mktemp("school") / "env"
    subprocess.run(
        [sys.executable, "-m", "venv", "--without-pip", str(place)], check=True
    )
    scripts = place / ("Scripts" if os.name == "nt" else "bin")
    python = scripts / Path(sys.executable).name
    pip = [sys.executable, "-m", "pip", "--python", str(python), "install", "-q"]
    subprocess.run([*pip, "--no-deps", "--no-index", str(made[1])], check=True)
    told = [str(python), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"]
    site = Path(subprocess.check_output(told, text=True).strip())
    # An added folder's own .pth files are not read, so the checkout stays unknown.
    here = dict.fromkeys(sysconfig.get_path(k) for k in ("purelib", "platlib"))
    (site / "others.pth").write_text("\n".join(here), encoding="utf-8")
    return scripts


@pytest.fixture(scope="module")
def run(alone, tmp_path_factory):
    """Run a program of that environment, far from the checkout."""
    place = tmp_path_factory.mktemp("elsewhere")
    hidden = ("PYTHONPATH", "VIRTUAL_ENV", "COVERAGE_PROCESS_START")
    env = {k: v for k, v in os.environ.items() if k not in hidden}
    env["PATH"] = str(alone)

    def program(name, *words, status=0):
        done = subprocess.run(
            [str(alone / name), *map(str, words)],
            cwd=place,
            env=env,
            capture_output=True,
            encoding="utf-8",
        )
        assert done.returncode == status, (name, words, done.stdout, done.stderr)
        assert "Traceback" not in done.stderr
        return done.stdout

    program.place = place
    return program


def contents(archive):
    """What an archive holds, by name."""
    with zipfile.ZipFile(archive) as wheel:
        return {name: wheel.read(name) for name in wheel.namelist()}


def carried():
    """The files that people read, beside the library."""
    return {
        path.relative_to(TOP).as_posix(): path.read_bytes()
        for folder in CARRIED
        for path in (TOP / folder).rglob("*.*")
        if path.is_file()
        and not any(part.startswith(".") for part in path.relative_to(TOP).parts)
    }


def test_the_wheel_carries_every_notebook_every_table_and_every_note(made):
    held = contents(made[1])
    wanted = carried()

    assert {f"bouncelab/kit/{name}" for name in wanted} <= set(held)
    assert all(held[f"bouncelab/kit/{name}"] == data for name, data in wanted.items())
    for part in ("notebooks/worksheets", "data/recordings", "teacher_notes/pictures"):
        assert any(name.startswith(f"bouncelab/kit/{part}/") for name in held)
    assert not any(re.search(r"(^|/)(\.|tests/|__pycache__)", name) for name in held)


def test_a_wheel_from_the_source_archive_is_the_same_wheel(made, tmp_path):
    with tarfile.open(made[0]) as archive:
        archive.extractall(tmp_path, filter="data")
    unpacked = next(tmp_path.glob("bouncelab-*"))
    (again,) = build(unpacked, tmp_path / "dist", "wheel")

    assert contents(again) == contents(made[1])
    for name in ("README.md", "DEVELOPERS.md", "LICENSE", "tests/test_house.py"):
        assert (unpacked / name).read_bytes() == (TOP / name).read_bytes()
    assert (unpacked / ".ci" / "run").is_file()


def test_the_wheel_says_what_it_is(made):
    held = contents(made[1])
    told = next(held[name] for name in held if name.endswith("/METADATA")).decode()
    project = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]

    assert f"Version: {project['version']}\n" in told
    assert "License-Expression: BSD-3-Clause\n" in told
    assert "Requires-Python: >=3.11\n" in told
    assert "Description-Content-Type: text/markdown\n" in told
    assert (TOP / "README.md").read_text("utf-8") in told
    assert any(name.endswith("/licenses/LICENSE") for name in held)
    # The newest entry of what changed is the one of this version.
    changed = (TOP / "DEVELOPERS.md").read_text("utf-8").split("## What changed")[1]
    assert re.search(r"^\* ([\d.]+):", changed, re.M)[1] == project["version"]


def test_it_is_the_wheel_s_library_that_runs_and_it_finds_its_own_folders(run):
    code = (
        "import json, bouncelab\n"
        "from bouncelab.places import kit_folder\n"
        f"found = {{n: str(kit_folder(n)) for n in {CARRIED}}}\n"
        "print(json.dumps([bouncelab.__file__, found]))"
    )
    library, found = json.loads(run("python", "-c", code))

    assert not Path(library).is_relative_to(TOP)
    for name in CARRIED:
        assert Path(found[name]) == Path(library).parent / "kit" / name


def test_the_main_job_works_from_the_wheel_alone(run):
    laid = "from pathlib import Path; from bouncelab.publish.desk import lay_out; "
    first = run("python", "-c", f"{laid}print(lay_out(Path('work'))[0])").strip()
    work = run.place / "work"
    assert Path(first).name.startswith("01_")
    laid_out = {p.relative_to(work).as_posix() for p in work.rglob("*.*")}
    # Sources of worksheets hold their answers: they are no part of a student's folder.
    wanted = {n for n in carried() if n.endswith((".ipynb", ".csv", ".wav"))}
    assert {n for n in wanted if "/worksheets/" not in n} <= laid_out

    said = run(
        "bouncelab", "bounce", "work/data/larkfield_class.csv",
        "--range", "futsal-law-2", "--json", status=1,
    )  # fmt: skip
    rows = json.loads(said)["rows"]
    futsal = next(each for each in rows if each["ball"] == "Futsal ball")
    assert futsal["e"] == pytest.approx(0.557, abs=0.001)
    assert "larkfield_class.csv" in run(
        "bouncelab", "check", "work/data/larkfield_class.csv", status=1
    )
    assert "FOLDER" in run("bouncelab", "open", "--help")


def test_papers_notes_and_worksheets_are_made_from_the_wheel_alone(run):
    run("bouncelab", "notes", "--out", "papers")
    run("bouncelab", "papers", "--out", "papers", "--range", "futsal-law-2")
    run(
        "bouncelab", "worksheets", "e_from_heights", "--blank", "2", "--seed", "one",
        "--out", "sheets",
    )  # fmt: skip
    printed = sorted(run.place.glob("papers/*.pdf"))

    assert len(printed) == 7
    assert all(path.read_bytes().startswith(b"%PDF") for path in printed)
    for ending in ("ipynb", "html", "pdf"):
        assert len(list(run.place.glob(f"sheets/**/*.{ending}"))) >= 2, ending


def test_the_doctor_finds_all_that_is_needed_from_the_wheel_alone(run):
    found = json.loads(run("bouncelab", "doctor", "--json"))

    assert all(each["fine"] for each in found if each["needed"])


def test_the_first_notebook_runs_from_the_wheel_alone(run):
    code = (
        "import json, os; from pathlib import Path\n"
        "from bouncelab.publish.desk import lay_out\n"
        "first = lay_out(Path('lesson'))[0].resolve(); os.chdir(first.parent)\n"
        "cells = json.loads(first.read_text('utf-8'))['cells']; names = {}\n"
        "for cell in cells:\n"
        "    if cell['cell_type'] == 'code':\n"
        "        exec(''.join(cell['source']), names)\n"
        "print(type(names['lab']).__name__)\n"
    )

    assert run("python", "-c", code).strip() == "DropLab"
