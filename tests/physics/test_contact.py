import numpy as np
import pytest

from bouncelab.errors import InputError
from bouncelab.physics.contact import Law, follow, in_blocks, trace


def oscillator(**more):
    """Half a period is 1: from x = 0 it turns at 0.5 and is back at 1."""
    return Law(
        rates=lambda y, c: np.array([y[1], -(np.pi**2) * y[0]]),
        left=lambda y, c: y[1],
        **more,
    )


START = np.array([[0.0], [1.0]])
NONE = np.zeros((0, 1))


def test_half_as_long_steps_are_sixty_four_times_as_good():
    errors = [
        abs(follow(oscillator(), START, NONE, np.array([pace])).duration[0] - 0.5)
        for pace in (4.0, 2.0)
    ]

    assert errors[0] / errors[1] == pytest.approx(64, rel=0.15)


def test_the_peak_is_found_between_the_steps():
    law = oscillator(force=lambda y, c: y[0] + 0.3 * y[1])
    part = follow(law, START, NONE, np.ones(1))

    assert part.peak[0] == pytest.approx(np.hypot(1 / np.pi, 0.3), rel=1e-7)


def test_what_never_ends_is_given_up_and_said_so():
    law = Law(rates=lambda y, c: np.zeros_like(y), left=lambda y, c: y[1])
    part = follow(law, START, NONE, np.full(1, 10.0))

    assert part.ended.tolist() == [False]
    assert part.duration[0] > 200


def test_contacts_of_different_length_end_each_in_its_own_time():
    stiff = np.array([[1.0, 4.0, 25.0]])
    law = Law(
        rates=lambda y, c: np.array([y[1], -(np.pi**2) * c[0] * y[0]]),
        left=lambda y, c: y[1],
    )
    part = follow(law, np.repeat(START, 3, axis=1), stiff, np.ones(3))
    path = trace(law, np.repeat(START, 3, axis=1), stiff, part.duration, np.ones(3))

    assert part.duration == pytest.approx([0.5, 0.25, 0.1], abs=1e-5)
    assert path[-1] == pytest.approx(part.state, abs=1e-4)


def test_an_empty_batch_gives_empty_answers():
    fields, curves = in_blocks(
        {"speed": np.zeros(0)}, lambda rows: ({"twice": 2 * rows[0]}, {}), curves=False
    )

    assert fields["twice"].shape == (0,)
    assert curves is None


def test_curves_of_a_million_are_refused():
    with pytest.raises(InputError, match="read 1000000, allowed up to 20000"):
        in_blocks({"speed": np.zeros(1_000_000)}, lambda rows: ({}, {}), curves=True)
