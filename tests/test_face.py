import subprocess
import sys

import pytest

import bouncelab

HEAVY = "sympy scipy pandas matplotlib ipywidgets anywidget pint uncertainties numpy"


def run(code):
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()


def test_importing_the_kit_imports_nothing_heavy():
    code = (
        "import sys, bouncelab\n"
        f"print(*[name for name in {HEAVY.split()!r} if name in sys.modules])"
    )

    assert run(code) == []


def test_the_way_of_bounce_file_imports_only_what_it_needs():
    code = (
        "import sys, bouncelab.analysis.bounciness, bouncelab.readings.files\n"
        "import bouncelab.readings.checks, bouncelab.publish.console\n"
        f"print(*[name for name in {HEAVY.split()!r} if name in sys.modules])"
    )

    assert set(run(code)) <= {"numpy", "pandas"}


@pytest.mark.parametrize("name", bouncelab.__all__)
def test_every_name_of_the_face_is_there(name):
    assert getattr(bouncelab, name) is not None
    assert name in dir(bouncelab)


def test_an_unknown_name_is_an_ordinary_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'bouncyness'"):
        bouncelab.bouncyness  # noqa: B018


def test_the_face_stays_small():
    assert bouncelab.__all__ == sorted(bouncelab.__all__)
    assert len(bouncelab.__all__) <= 21  # what a teacher types, and one name a lesson
