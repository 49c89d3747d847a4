"""What each lesson imports: in a browser every package has to come over the line."""

import json
import shutil
import subprocess
import sys

import pytest

from bouncelab.places import kit_folder
from bouncelab.publish.packing import LATER
from bouncelab.readings.journal import Journal

# Runs the cells of notebooks one after the other; says what each imported first.
RUN = """
import contextlib, io, json, sys
from IPython.core.interactiveshell import InteractiveShell
names = json.loads(sys.argv[1])
shell, said = InteractiveShell.instance(), []
for name in names:
    for cell in json.load(open(name, encoding="utf-8"))["cells"]:
        if cell["cell_type"] == "code":
            with contextlib.redirect_stdout(io.StringIO()):
                done = shell.run_cell("".join(cell["source"]))
            done.raise_error()
    said.append([each for each in json.loads(sys.argv[2]) if each in sys.modules])
print(json.dumps(said))
"""
LESSONS = [path.name for path in sorted(kit_folder("notebooks").glob("[0-9]*.ipynb"))]
# Derivations need symbols; no other lesson needs more.
HEAVY = {"06": ["sympy"]}


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    place = tmp_path_factory.mktemp("desk")
    for name in ("notebooks", "data"):
        shutil.copytree(kit_folder(name), place / name)
    readings = place / "notebooks" / "readings"
    readings.mkdir()
    journal = Journal(readings / "drop-lab.jsonl")
    typed = {"ball": "red", "drop_height": "2 m", "rebound_height": "1.23 m"}
    for row, rebound in enumerate(("1.23 m", "1.25 m", "1.22 m")):
        for column, text in {**typed, "rebound_height": rebound}.items():
            journal.step({"do": "cell", "row": row, "column": column, "text": text})
    return place / "notebooks"


def imported(desk, names):
    done = subprocess.run(
        [sys.executable, "-c", RUN, json.dumps(names), json.dumps(LATER)],
        cwd=desk,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


def test_most_lessons_import_nothing_that_is_fetched_later(desk):
    light = [name for name in LESSONS if name[:2] not in HEAVY]
    found = imported(desk, light)
    assert dict(zip(light, found, strict=True)) == {name: [] for name in light}
    assert len(light) >= 7


@pytest.mark.parametrize("name", [name for name in LESSONS if name[:2] in HEAVY])
def test_the_others_import_only_what_they_are_known_for(desk, name):
    found = imported(desk, [name])[0]
    assert set(found) <= set(HEAVY[name[:2]])
