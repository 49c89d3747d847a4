"""The kit's worksheets give textbooks' printed answers for the textbooks' givens.

OpenStax, *College Physics 2e* (2022) is CP, *University Physics* 1 and 2 (2016) are
UP1 and UP2, *Physics* (high school, 2020) is HS. Books take g = 9.80 m/s² and round.
"""

import pytest

from bouncelab.measures import to_si
from bouncelab.worksheets.running import solve
from bouncelab.worksheets.source import read_source

# Where a book's answer is 0 an input is off by a hair: a share of 0 is no tolerance.
HAIR = 1e-9

# Givens that a check does not ask about; any values of the ranges.
REST = {
    "age_14_collisions_on_a_line": dict(
        light=0.2, heavy=0.8, fast=1.0, catcher=0.5, thrown=0.2, speed=2.0
    )
    | dict(meeting=1.0, kept=0.5),
    "age_14_where_the_energy_goes": dict(kept=0.5, limit=15),
    "age_14_e_from_heights": dict(
        drop=1.8, rebound=1.0, drop_two=1.8, top=1.2, around=0.75, steepness=0.5
    ),
    "age_14_cold_ball": dict(low=80, rise=0.4, asked=5),
    "age_16_squeezed_air": dict(ratio=2.0, steep="curve A"),
    "age_14_train_of_bounces": dict(start=0.1, flight=1.0, hidden=0.5, kept=0.7),
}


def answers(name, **givens):
    solved = solve(read_source(name), REST[name] | givens)
    return {question: each.value for question, each in solved.answers.items()}


def printed(value):
    """Give a printed number with half of its last place, and g = 9.81 for 9.80."""
    digits = value.replace("e", ".e").split("e")[0].strip("-").replace(".", "")
    figures = len(digits.lstrip("0"))
    number = float(value)
    return pytest.approx(number, rel=0.0011 + 0.5 * 10 ** (1 - figures))


def test_elastic_collision_on_a_cart_at_rest():
    # CP Example 8.4: 0.500 kg at 4.00 m/s on 3.50 kg.
    found = answers("age_14_collisions_on_a_line", light=0.5, heavy=3.5, fast=4.0)

    assert found["striker"] == printed("-3.00")
    assert found["target"] == printed("1.00")


def test_equal_pucks_exchange_their_velocities():
    # UP1 Example 9.8: 15 g pucks, 2.5 m/s on to one at rest.
    found = answers(
        "age_14_collisions_on_a_line", light=0.015, heavy=0.015 + HAIR, fast=2.5
    )

    assert found["striker"] == pytest.approx(0, abs=1e-6)
    assert found["target"] == printed("2.5")


def test_little_energy_goes_to_a_heavy_nucleus():
    # UP1 9.4 problem 49: mass 4 head-on, elastically, on mass 235: 6.6 %.
    found = answers("age_14_collisions_on_a_line", light=4.0, heavy=235.0, fast=1.0)

    assert 235 * found["target"] ** 2 / 4 == printed("0.066")


def test_a_caught_puck():
    # CP Example 8.5: 0.150 kg at 35.0 m/s caught by 70.0 kg; 91.9 J become 0.196 J.
    found = answers(
        "age_14_collisions_on_a_line", thrown=0.150, catcher=70.0, speed=35.0
    )

    assert found["together"] == printed("0.0748")
    assert 91.9 * (1 - found["share_lost"]) == printed("0.196")


def test_energy_of_a_fall_of_ten_kilograms():
    # HS 9.2 worked example: 10 kg from 20 m; at 10 m 980 J of each.
    found = answers("age_14_where_the_energy_goes", mass=10.0, drop=20.0, rebound=10.0)

    assert found["start"] / 2 == printed("980")
    assert found["lost"] == printed("980")
    assert found["left"] == pytest.approx(0.5)


def test_a_phone_that_does_not_bounce():
    # UP1 Example 9.4: dropped 1.5 m, arrives with 5.4 m/s.
    found = answers("age_14_where_the_energy_goes", mass=0.172, drop=1.5, rebound=HAIR)

    assert found["arrives"] == printed("5.4")
    assert found["leaves"] == pytest.approx(0, abs=1e-3)


def test_a_ball_that_returns_to_its_drop_height():
    # UP1 Example 9.7: 0.25 kg from 1.50 m and back; 5.4 m/s, change 2.8 kg m/s.
    found = answers(
        "age_14_where_the_energy_goes", mass=0.25, drop=1.5, rebound=1.5 - HAIR
    )

    assert found["arrives"] == printed("5.4")
    assert 0.25 * (found["arrives"] + found["leaves"]) == pytest.approx(2.8, abs=0.1)
    assert found["left"] == pytest.approx(1)


def test_a_ball_that_keeps_two_thirds_of_its_energy():
    # CP 8.5 problem 31: 0.240 kg, 3.00 m/s, 2.40 m/s back; 0.389 J lost, 64.0 % left.
    down, up = 3.00**2 / (2 * 9.81), 2.40**2 / (2 * 9.81)
    found = answers("age_14_where_the_energy_goes", mass=0.240, drop=down, rebound=up)
    e = answers("age_14_e_from_heights", drop=down, rebound=up)["e"]

    assert found["lost"] == printed("0.389")
    assert found["left"] == printed("0.640")
    assert (found["arrives"], found["leaves"]) == (printed("3.00"), printed("2.40"))
    assert e == pytest.approx(0.80)


def test_the_limits_of_a_tennis_ball():
    # ITF, Rules of Tennis, appendix I: 100 in, 53 to 58 in; e from 0.728 to 0.762.
    inches = {
        name: to_si(n, "in") for name, n in (("drop", 100), ("53", 53), ("58", 58))
    }
    low, high = (
        answers("age_14_e_from_heights", drop=inches["drop"], rebound=inches[n])["e"]
        for n in ("53", "58")
    )

    assert (low, high) == (printed("0.728"), printed("0.762"))


def test_a_tyre_that_gets_warm():
    # CP Example 13.6: 7.00e5 Pa absolute from 18.0 to 35.0 °C: 7.41e5 Pa.
    gauge = 7.00e5 - 101e3
    found = answers("age_14_cold_ball", gauge=gauge, warm=18.0, cold=35.0)

    assert found["inside"] == pytest.approx(7.00e5)
    assert found["inside_cold"] == printed("741000")


def test_a_sealed_bulb_that_gets_warm():
    # CP 13.3 problem 24: 1 atm, 20.0 to 60.0 °C: gauge 0.136 atm.
    found = answers("age_14_cold_ball", gauge=0.0, warm=20.0, cold=60.0)

    assert found["gauge_cold"] / 101e3 == printed("0.136")


def test_air_squeezed_to_half_at_80_kelvins():
    # UP2 3.6 problem 71: diatomic gas at 80 K, adiabatic, half the volume: 106 K.
    warm = to_si(80.0, "K")
    found = answers(
        "age_16_squeezed_air", gauge=0.0, volume=2.0, smaller=1.0, warm=warm
    )

    assert found["warmer"] + 273.15 == printed("106")


def test_all_bounces_of_a_ball_take_a_time_that_ends():
    # J. B. Tatum, Classical Mechanics, 5.2: 1.36 s; h = 1 m and e = 0.5 from memory.
    found = answers("age_14_train_of_bounces", drop=1.0)

    assert found["e"] == pytest.approx(0.5)
    assert found["rest"] == printed("1.36")
