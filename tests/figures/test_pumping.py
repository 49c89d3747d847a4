import pytest

from bouncelab.figures.pumping import inflated_balls, pumping_scene
from bouncelab.figures.store_and_hall import store_and_hall_scene
from bouncelab.kinds import balls
from bouncelab.physics.ball_air import air_in_ball, ball_volume, sealed_pressure
from bouncelab.physics.pump import pump_up

BALLS = {ball.id: ball for ball in balls()}


def pump(left="basketball-7", right="handball-3", gauge=50, stroke=100, temperature=20):
    return pumping_scene(
        {
            "left": left,
            "right": right,
            "gauge": gauge,
            "stroke": stroke,
            "temperature": temperature,
        }
    )


def carry(ball="futsal", gauge=60, store=5, hall=22):
    return store_and_hall_scene(
        {"ball": ball, "gauge": gauge, "store": store, "hall": hall}
    )


def last(scene, label):
    (found,) = [each.values for each in scene.readings if each.label == label]
    return found[-1]


def dots(scene, frame):
    found = [each for each in scene.shapes if each.fixed.get("class") == "bl-one"]
    return sum(
        (each.fixed["r"] if "r" in each.fixed else each.moving["r"][frame]) > 0
        for each in found
    )


@pytest.mark.parametrize("ball", [ball.id for ball in inflated_balls()])
def test_strokes_and_air_are_the_librarys_for_every_ball(ball):
    kind = BALLS[ball]
    scene = pump(left=ball, right="football-5", gauge=20, temperature=8)
    volume = ball_volume(diameter=kind.diameter_m)
    job = pump_up(
        gauge_pressure=0,
        target_gauge_pressure=20e3,
        maximum_gauge_pressure=kind.max_gauge_pressure_pa,
        ball_volume=volume,
        pump_volume=100e-6,
        temperature_c=8,
    )
    air = air_in_ball(gauge_pressure=20e3, volume=volume, temperature_c=8)

    assert last(scene, "strokes, left") == f"{job.strokes:.1f}"
    assert last(scene, "pumped in, left") == f"{1e3 * job.air_added:.1f} g"
    assert last(scene, "air in it, left") == f"{1e3 * air:.1f} g"


def test_a_flat_ball_holds_air_and_equal_gauges_hide_unequal_air():
    scene = pump()
    (left,) = [
        each.values for each in scene.readings if each.label == "air in it, left"
    ]

    assert left[0] == "9.1 g"
    assert scene.told == "Both show 50.0 kPa. Air in them: 13.6 g and 6.2 g."
    colder = pump(temperature=0)
    assert last(colder, "gauge pressure, both") == "50.0 kPa"
    assert float(last(colder, "air in it, left").split()[0]) > 13.6


def test_one_dot_is_half_a_gram():
    scene = pump()

    assert dots(scene, 0) == 19 + 9  # 9.1 g and 4.2 g
    assert dots(scene, -1) == 28 + 13  # 13.6 g and 6.2 g


def test_nobody_pumps_above_the_marked_maximum():
    scene = pump(right="beach-volleyball", gauge=110)

    most = BALLS["beach-volleyball"].max_gauge_pressure_pa
    assert last(scene, "gauge pressure, both") == f"{most / 1e3:.1f} kPa"
    assert scene.told.startswith("Stopped at 22.1 kPa, the marked maximum")


def test_no_pressure_at_all_is_a_flat_ball_and_no_stroke():
    scene = pump(gauge=0)

    assert last(scene, "strokes, left") == "0.0"
    assert last(scene, "pumped in, right") == "0.0 g"


@pytest.mark.parametrize(("store", "hall"), [(5, 22), (30, -5), (20, 20)])
def test_a_carried_ball_shows_what_the_law_says(store, hall):
    scene = carry(store=store, hall=hall)
    law = sealed_pressure(
        gauge_pressure=60e3, temperature_c=store, new_temperature_c=hall
    )

    assert last(scene, "gauge pressure") == f"{law / 1e3:.1f} kPa"
    assert last(scene, "temperature of the air inside") == f"{hall:.1f} °C"


def test_the_air_in_a_carried_ball_stays_the_same():
    (air,) = [e.values for e in carry().readings if e.label == "air in the ball"]

    assert len(set(air)) == 1


def test_too_much_pressure_in_the_hall_is_said():
    assert "above the 91.2 kPa marked" in carry(gauge=85).told
    assert "above" not in carry(gauge=60).told
