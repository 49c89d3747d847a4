import json

import pytest
from hypothesis import given
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.energy import (
    bounce_energy,
    height_energy,
    impact_warming,
    motion_energy,
    warming,
)
from bouncelab.physics.fall import impact_speed
from bouncelab.physics.flight import rise_height
from strategies import drag_constants, drop_heights, masses, restitutions


@given(masses, drop_heights, restitutions, drag_constants)
def test_every_joule_of_a_bounce_is_accounted_for(mass, height, e, k):
    arriving = impact_speed(drop_height=height, drag_constant=k)
    energy = bounce_energy(
        mass=mass,
        drop_height=height,
        rebound_height=rise_height(launch_speed=e * arriving, drag_constant=k),
        impact_speed=arriving,
        rebound_speed=e * arriving,
    )
    lost = energy.lost_falling + energy.lost_in_impact + energy.lost_rising

    assert energy.end + lost == pytest.approx(energy.start, rel=1e-12)
    assert energy.lost_in_impact == pytest.approx((1 - e**2) * energy.at_impact)
    if k > 1e-4:
        assert energy.lost_falling > 0
        assert energy.lost_rising > 0


def test_energy_of_height_becomes_energy_of_motion():
    speed = impact_speed(drop_height=1.8)

    assert motion_energy(mass=0.6, speed=speed) == pytest.approx(
        height_energy(mass=0.6, height=1.8)
    )


def test_a_ledger_becomes_json():
    energy = bounce_energy(mass=0.6, drop_height=1.0, rebound_height=0.5)

    assert json.loads(json.dumps(energy.to_dict()))["lost_falling_j"] == 0.0


def test_warmth_is_in_proportion_to_its_share_and_to_the_impacts():
    state = {
        "mass": 1.0,
        "impact_speed": 5.0,
        "restitution": 0.6,
        "warmed_mass": 0.1,
        "specific_heat": 400.0,
    }

    one = impact_warming(**state, share=1.0)
    assert impact_warming(**state, share=0.25, impacts=8) == pytest.approx(2 * one)
    assert one == pytest.approx(0.5 * 25 * 0.64 / 40)


def test_uncertain_heat_passes_through():
    rise = warming(energy=ufloat(100.0, 5.0), mass=0.1, specific_heat=500.0, share=1.0)

    assert rise.std_dev == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"rebound_height": 1.2},
            "energy lost in the impact: read -1.1768 J, allowed from 0 J",
        ),
        ({"impact_speed": 9.0}, "energy lost to the air falling"),
        ({"rebound_speed": 1.0}, "energy lost to the air rising"),
        ({"mass": 0.0}, "mass: read 0 kg"),
        ({"drop_height": 0.0}, "drop height: read 0 m"),
        ({"rebound_height": -0.1}, "rebound height: read -0.1 m"),
        ({"gravity": [9.8, 9.8], "mass": [1, 1, 1]}, "shapes"),
    ],
)
def test_a_bounce_that_makes_energy_is_refused(change, words):
    good = {"mass": 0.6, "drop_height": 1.0, "rebound_height": 0.5}

    with pytest.raises(InputError, match=words):
        bounce_energy(**{**good, **change})


@pytest.mark.parametrize("share", [-0.1, 1.1, 50, float("nan"), None])
def test_the_share_has_to_be_stated_as_a_fraction(share):
    with pytest.raises(InputError, match=r"share of the energy.*Divide a percentage"):
        warming(energy=1.0, mass=1.0, specific_heat=1.0, share=share)


def test_blows_on_lead_and_a_basketballs_wall():
    """20 blows of 1 kg at 5 m/s warm 100 g of lead by at most 19 K; a wall by 4 mK."""
    lead = impact_warming(
        mass=1.0, impact_speed=5.0, restitution=0.0, warmed_mass=0.1,
        specific_heat=129.0, share=1.0, impacts=20,
    )  # fmt: skip
    wall = impact_warming(
        mass=0.62, impact_speed=5.8, restitution=0.76, warmed_mass=0.62,
        specific_heat=1700.0, share=1.0,
    )  # fmt: skip

    assert lead == pytest.approx(19, abs=0.5)
    assert wall == pytest.approx(4e-3, abs=0.5e-3)
