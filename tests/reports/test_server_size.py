"""How many students a machine holds: arithmetic on what was measured."""

import pytest

from bouncelab.errors import InputError
from bouncelab.reports.server_size import seconds_to_start, students_held


def test_more_memory_holds_more_students_and_more_notebooks_fewer():
    for notebooks in (1, 2, 4):
        held = [students_held(size * 1e9, notebooks=notebooks) for size in (8, 16, 32)]
        assert held == sorted(held)
        assert held[2] > 4 * held[0]  # the hub itself is there only once
    assert students_held(8e9, notebooks=1) > students_held(8e9, notebooks=2)


def test_what_they_take_fits_and_one_more_would_not():
    from bouncelab.reports import server_size as size

    for memory in (4e9, 8e9, 16e9, 32e9):
        held = students_held(memory, notebooks=2)
        each = size.SEAT + size.NOTEBOOK
        assert size.HUB + held * each <= size.SHARE * memory
        assert size.HUB + (held + 1) * each > size.SHARE * memory


def test_a_machine_too_small_for_the_hub_holds_nobody():
    assert students_held(1e8) == 0


@pytest.mark.parametrize(("memory", "notebooks"), [(8e9, 0), (0, 1), (-1, 1)])
def test_what_is_no_machine_is_refused(memory, notebooks):
    with pytest.raises(InputError, match="a notebook at least"):
        students_held(memory, notebooks=notebooks)


def test_a_class_waits_in_proportion_to_its_size():
    assert seconds_to_start(30, 4) == pytest.approx(3 * seconds_to_start(10, 4))
    assert seconds_to_start(30, 8) == pytest.approx(seconds_to_start(30, 4) / 2)
