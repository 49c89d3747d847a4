"""The house stays in order: style, types, one-way imports, notebooks, units."""

import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

pytestmark = pytest.mark.house

TOP = Path(__file__).parent.parent
ALLOWED = {
    *("README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", ".gitignore", ".ci"),
    *("notebooks", "bouncelab", "tests", "teacher_notes", "data"),
}
NOTEBOOKS = [  # a contributor's .ipynb_checkpoints are nobody's concern
    path
    for path in sorted((TOP / "notebooks").rglob("[!.]*.ipynb"))
    if not path.parent.name.startswith(".")
]
MODULES = sorted((TOP / "bouncelab").rglob("*.py"))


def run(*command):
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=TOP, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_style_is_kept():
    run("ruff", "check", ".")
    run("ruff", "format", "--check", ".")


def test_types_fit():
    run("mypy")


def test_rooms_import_one_way():
    from importlinter.cli import lint_imports

    assert lint_imports(config_filename=str(TOP / "pyproject.toml")) == 0


def test_public_docstrings_are_whole():
    done = subprocess.run(
        [sys.executable, "-m", "numpydoc", "lint", *map(str, MODULES)],
        cwd=TOP,
        capture_output=True,
        text=True,
    )
    told = re.findall(r"^(.+?):(\d+): (.+)$", done.stdout, re.M)
    lines = {path: Path(path).read_text("utf-8").splitlines() for path, *_ in told}
    # A helper inside a function is nobody's to call; ruff asks it of methods.
    wrong = [
        f"{path}:{line}: {fault}"
        for path, line, fault in told
        if not (
            fault.startswith("GL08") and lines[path][int(line) - 1].startswith("    ")
        )
    ]
    assert wrong == []


def test_files_hold_one_idea_each():
    long = {
        path.name: count
        for path in MODULES
        if (count := len(path.read_text("utf-8").splitlines())) > 400
    }
    assert long == {}


def tracked(*patterns):
    done = subprocess.run(
        ["git", "ls-files", *patterns], cwd=TOP, capture_output=True, text=True
    )
    return done.stdout.split()


def test_the_top_level_is_as_drawn():
    names = {name.split("/")[0] for name in tracked()}
    assert names <= ALLOWED


def test_units_are_converted_in_one_place():
    factor = re.compile(
        r"\b(0\.0254|2\.54|25\.4|0\.3048|30\.48|6894\.\d+|273\.15|0\.4535\d*"
        r"|98066\.5|101325|9\.80665)\b|\b1\.8 ?\*|[*/] ?1\.8\b|[*/] ?1000\b"
        r"|\b100(\.0)? ?\* ?\w*(height|length|diameter|metres)"
        r"|(height|length|diameter|metres) ?\* ?100\b"
    )
    found = [
        f"{path.relative_to(TOP)}:{number}: {line.strip()}"
        for path in MODULES
        if path.name != "units.py"
        for number, line in enumerate(path.read_text("utf-8").splitlines(), start=1)
        if factor.search(line.split("#")[0]) and ">>>" not in line
    ]
    assert found == []


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_stripped_and_its_cells_are_short(path):
    cells = json.loads(path.read_text("utf-8"))["cells"]
    ids = [cell["id"] for cell in cells]

    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", each) for each in ids)
    assert cells[0]["cell_type"] == "markdown"
    for cell in cells:
        if cell["cell_type"] == "code":
            assert cell["outputs"] == []
            assert cell["execution_count"] is None
            source = "".join(cell["source"])
            # A worksheet's source declares answers, in long lists but in no loops.
            most, start = (
                (32, "^") if path.parent.name == "worksheets" else (5, r"^\s*")
            )
            assert len(source.splitlines()) <= most, cell["id"]
            assert not re.search(rf"{start}(def|for|if|while|class) ", source, re.M)


def test_the_readme_gives_two_commands_that_ci_runs():
    readme = (TOP / "README.md").read_text("utf-8")

    assert readme.count("python3 -m venv .venv ") == 1
    assert readme.count("python3 -m venv .venv-test ") == 1
    assert "bouncelab open" in readme


def test_lower_bounds_are_those_that_ci_installs():
    asked = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]
    bounds = dict(
        re.match(r"([\w-]+)>=([\d.]+)", each).groups()
        for each in asked["dependencies"]
        if "sys_platform" not in each
    )
    installed = dict(
        re.findall(r"([\w-]+)==([\d.]+)", (TOP / ".ci" / "run").read_text("utf-8"))
    )

    for name, bound in bounds.items():
        assert installed[name] in (bound, bound + ".0")
