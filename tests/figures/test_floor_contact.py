import numpy as np
import pytest

from bouncelab.figures.contact_curves import (
    COVERS,
    HEIGHTS,
    SOLIDS,
    draw_contact,
    meet_floor,
)
from bouncelab.figures.floor_contact import floor_contact_scene
from bouncelab.kinds import balls
from bouncelab.physics.fall import impact_speed
from bouncelab.physics.hertz import effective_modulus, hertz_impact
from bouncelab.physics.impact_shell import shell_impact

BALLS = {ball.id: ball for ball in balls()}


def chosen(**values):
    usual = {"ball": "basketball-7", "gauge": 55, "height": 175}
    return usual | {"cover": "lively", "solid": "rubber"} | values


def texts(scene, label):
    (found,) = [each.values for each in scene.readings if each.label == label]
    return found


def alone(values):
    """The same impact from the library, by itself."""
    ball = BALLS[values["ball"]]
    return shell_impact(
        mass=ball.mass_kg,
        diameter=ball.diameter_m,
        gauge_pressure=min(1e3 * values["gauge"], ball.max_gauge_pressure_pa),
        impact_speed=impact_speed(drop_height=values["height"] / 100),
        loss_constant=COVERS[values["cover"]],
        flattening=values["cover"] != "none",
        curves=False,
    )


@pytest.mark.parametrize(
    "values",
    [
        chosen(),
        chosen(gauge=5, height=200, cover="dull"),
        chosen(ball="football-5", gauge=110, height=25),
        chosen(ball="beach-volleyball", gauge=110, cover="none"),
    ],
)
def test_what_is_shown_is_the_librarys_impact(values):
    bounce = alone(values)
    scene = floor_contact_scene(values)
    ended = next(
        place
        for place, text in enumerate(scene.times)
        if float(text.split()[0]) >= 1e3 * bounce.contact_time - 0.006
    )

    assert f"Contact {1e3 * bounce.contact_time:.1f} ms" in scene.told
    assert f"Restitution {bounce.restitution:.2f}" in scene.told
    peak = max(float(text.split()[0]) for text in texts(scene, "force of the floor"))
    assert peak == pytest.approx(bounce.peak_force, rel=2e-3, abs=0.6)
    dent = max(float(text.split()[0]) for text in texts(scene, "pressed in"))
    assert dent == pytest.approx(1e3 * bounce.compression, rel=2e-3, abs=0.06)
    wide = max(
        float(text.split()[0]) for text in texts(scene, "width of the flat part")
    )
    assert wide == pytest.approx(2e3 * bounce.contact_radius, rel=2e-3, abs=0.6)
    high = max(float(text.split()[0]) for text in texts(scene, "gauge pressure"))
    assert high == pytest.approx(bounce.peak_gauge_pressure / 1e3, abs=0.06)
    assert texts(scene, "energy of motion")[-1] == f"{bounce.rebound_energy:.2f} J"
    assert texts(scene, "force of the floor")[ended + 1] == "0 N"


@pytest.mark.parametrize("cover", COVERS)
@pytest.mark.parametrize("gauge", [5, 30, 60])
def test_the_energies_are_kept_but_for_the_work_of_weight(cover, gauge):
    both = meet_floor(chosen(cover=cover, gauge=gauge))
    total = both.motion + both.in_air + both.lost
    weight = both.ball.mass_kg * 9.80665 * both.dent

    during = (both.time >= 0) & (both.time <= both.contact_times[0])
    assert total[during] - weight[during] == pytest.approx(total[0], rel=1e-4)
    assert total[-1] == pytest.approx(total[0], rel=0.02)


def test_the_impulse_under_the_force_turns_the_ball_round():
    both = meet_floor(chosen())
    mass, e = both.ball.mass_kg, both.restitutions[0]
    impulse = np.trapezoid(both.force, both.time)

    turned = mass * both.speed * (1 + e) + mass * 9.80665 * both.contact_times[0]
    assert impulse == pytest.approx(turned, rel=5e-3)


def test_a_higher_pressure_shortens_the_contact_and_a_higher_drop_hardly():
    def time(**values):
        return meet_floor(chosen(**values)).contact_times[0]

    assert time(gauge=20) > 1.3 * time(gauge=55)
    assert time(height=25) == pytest.approx(time(height=200), rel=0.05)


def test_equal_gauge_is_not_equal_bounce():
    one = meet_floor(chosen(gauge=50, ball="basketball-7"))
    two = meet_floor(chosen(gauge=50, ball="handball-3"))

    assert one.gauge_pressure == two.gauge_pressure
    assert abs(one.restitutions[0] - two.restitutions[0]) > 0.005
    assert meet_floor(chosen(cover="dull")).restitutions[0] < 0.6


def test_a_solid_ball_without_its_loss_would_be_hertzs():
    solid = SOLIDS["marble"]
    hertz = hertz_impact(
        mass=solid.mass,
        radius=solid.diameter / 2,
        effective_modulus=effective_modulus(
            youngs_moduli=solid.moduli, poisson_ratios=solid.ratios
        ),
        impact_speed=impact_speed(drop_height=HEIGHTS[6]),
    )
    both = meet_floor(chosen(solid="marble"))

    assert both.contact_times[1] == pytest.approx(hertz.contact_time, rel=0.03)
    assert both.contact_times[1] < both.contact_times[0] / 100


def test_a_ball_is_round_in_the_air_and_flat_on_the_floor():
    both = meet_floor(chosen())
    scene = floor_contact_scene(chosen())
    (ball,) = [
        s for s in scene.shapes if s.tag == "path" and s.fixed["class"] == "bl-air"
    ]
    widths = []
    for outline in ball.moving["d"]:
        left, right = outline.removeprefix("M").split("A")
        widths.append(float(right.split()[-2]) - float(left.split()[0]))

    radius = both.ball.diameter_m / 2
    flat = 2 * np.sqrt(2 * radius * both.dent - both.dent**2) * 600
    assert widths == pytest.approx(np.maximum(flat, 0.1), abs=0.03)
    assert both.height[0] > 0
    assert both.height[-1] > 0
    assert max(both.height[(both.time >= 0) & (both.time < 0.01)]) == 0


def test_a_pressure_above_the_mark_is_not_worked_out():
    scene = floor_contact_scene(chosen(gauge=110))

    assert scene.told.startswith("Stopped at 62.1 kPa, the marked maximum")
    assert texts(scene, "gauge pressure")[0] == "62.1 kPa"


def test_the_plot_has_both_balls_and_their_numbers():
    picture = draw_contact(chosen())
    both = meet_floor(chosen())
    (axes,) = picture.figure.axes
    lines = {line.get_label(): line for line in axes.get_lines()}

    assert lines[both.ball.name].get_ydata() == pytest.approx(both.force)
    assert max(lines["rubber ball"].get_ydata()) == pytest.approx(
        both.peak_forces[1], rel=1e-3
    )
    assert f"{both.peak_forces[0]:.0f} N within 12.0 ms" in picture.words


def test_a_second_of_the_player_is_a_millisecond():
    both = meet_floor(chosen())

    span = both.time[-1] - both.time[0]
    assert floor_contact_scene(chosen()).seconds == pytest.approx(1e3 * span)
