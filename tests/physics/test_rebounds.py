import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.physics.rebounds import drop_height, rebound_height, rebound_speed
from bouncelab.physics.restitution import restitution_with_drag
from strategies import drag_constants, drop_heights, restitutions


@given(drop_heights, restitutions, drag_constants)
def test_correcting_a_rebound_gives_the_restitution_put_in(drop, e, k):
    rebound = rebound_height(drop_height=drop, restitution=e, drag_constant=k)

    found = restitution_with_drag(
        drop_height=drop, rebound_height=rebound, drag_constant=k
    )
    assert found == pytest.approx(e, rel=1e-12)


@given(drop_heights, restitutions, st.floats(0, 0.1))
def test_the_drop_for_a_rebound_is_the_one_it_came_from(drop, e, k):
    rebound = rebound_height(drop_height=drop, restitution=e, drag_constant=k)

    found = drop_height(rebound_height=rebound, restitution=e, drag_constant=k)
    assert found == pytest.approx(drop, rel=1e-11)


@given(drop_heights, restitutions, drag_constants)
def test_a_rebound_is_never_higher_than_without_air(drop, e, k):
    rebound = rebound_height(drop_height=drop, restitution=e, drag_constant=k)

    assert 0 <= rebound <= e**2 * drop * (1 + 1e-14)


def test_a_rebound_that_no_fall_reaches_is_refused():
    with pytest.raises(InputError, match="rebound height: read 5 m, allowed a height"):
        drop_height(rebound_height=5.0, restitution=0.5, drag_constant=0.5)


def test_a_restitution_above_one_is_refused():
    with pytest.raises(InputError, match=r"read 1\.1, allowed from 0 up to 1"):
        rebound_speed(impact_speed=2.0, restitution=1.1)
    with pytest.raises(InputError, match=r"read 1\.1, allowed from 0 up to 1"):
        rebound_height(drop_height=2.0, restitution=1.1)
