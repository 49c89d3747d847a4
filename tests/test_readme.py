"""The README keeps its word: pictures, links and commands are there."""

import re
import tomllib
from pathlib import Path

import pytest
from PIL import Image

from bouncelab.cli import main

TOP = Path(__file__).parent.parent
README = (TOP / "README.md").read_text("utf-8")
GUIDES = ("README.md", "DEVELOPERS.md", "data/README.md")
PICTURES = re.findall(r'<img src="([^"]+)"[^>]*?alt="([^"]+)"', README, re.DOTALL)


def test_every_picture_is_small_used_and_told_in_words():
    kept = {path.name for path in (TOP / "teacher_notes" / "pictures").iterdir()}

    assert {Path(path).name for path, _ in PICTURES} == kept
    assert README.count("<img") == len(PICTURES)
    for path, words in PICTURES:
        assert len(words.split()) > 15, path
        assert (TOP / path).stat().st_size < 150_000, path
        with Image.open(TOP / path) as image:
            assert image.format == "PNG"


@pytest.mark.parametrize("name", GUIDES)
def test_links_lead_somewhere(name):
    page = TOP / name
    for target in re.findall(r"\]\((?!https?:)([^)#]+)\)", page.read_text("utf-8")):
        assert (page.parent / target).exists(), target


def test_every_command_is_in_the_readme_and_no_other(capsys):
    with pytest.raises(SystemExit):
        main(["--help"])
    known = set(re.findall(r"^    ([a-z]+)\b", capsys.readouterr().out, re.M))

    assert set(re.findall(r"^\| `bouncelab ([a-z]+)", README, re.M)) == known


def test_every_notebook_has_its_line_in_the_readme():
    named = re.findall(r"^\| (\d) ", README, re.M)
    there = sorted((TOP / "notebooks").glob("0*.ipynb"))

    assert named == [str(int(path.name[:2])) for path in there]


def test_the_readme_cites_this_version():
    project = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]

    assert f"bouncelab (version {project['version']})" in README
