import numpy as np
import pytest

from bouncelab.figures.squeeze import squeeze_scene
from bouncelab.figures.squeeze_path import AT_THE_TURN, draw_squeeze, squeeze_path
from bouncelab.physics.gas import squeeze
from bouncelab.units import STANDARD_ATMOSPHERE_PA

WAYS = ("slow", "fast", "wait")
VOLUMES = (40, 75, 100, 150)


def chosen(volume=50, gauge=0, way="slow"):
    return {"volume": volume, "gauge": gauge, "way": way}


def texts(scene, label):
    (found,) = [each.values for each in scene.readings if each.label == label]
    return found


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("gauge", [0, 60])
def test_the_numbers_at_the_turn_are_the_librarys(way, gauge):
    scene = squeeze_scene(chosen(gauge=gauge, way=way))
    air = squeeze(
        absolute_pressure=STANDARD_ATMOSPHERE_PA + 1e3 * gauge,
        volume=40e-6,
        new_volume=20e-6,
        exponent=1 if way == "slow" else 1.4,
    )

    said = texts(scene, "absolute pressure")[AT_THE_TURN]
    assert said == f"{air.absolute_pressure / 1e3:.1f} kPa"
    assert texts(scene, "temperature")[AT_THE_TURN] == f"{air.temperature_c:.0f} °C"
    assert texts(scene, "work done on the air")[AT_THE_TURN] == f"{air.work:+.2f} J"
    assert texts(scene, "volume")[AT_THE_TURN] == "20.0 ml"


def test_half_the_volume_slowly_is_twice_the_absolute_and_not_the_gauge():
    scene = squeeze_scene(chosen(gauge=20))

    absolute = texts(scene, "absolute pressure")
    assert (absolute[0], absolute[AT_THE_TURN]) == ("121.3 kPa", "242.7 kPa")
    gauge = texts(scene, "gauge pressure")
    assert (gauge[0], gauge[AT_THE_TURN]) == ("20.0 kPa", "141.3 kPa")


@pytest.mark.parametrize("volume", VOLUMES)
@pytest.mark.parametrize("way", WAYS)
def test_the_gas_law_holds_at_every_frame(volume, way):
    air = squeeze_path(chosen(volume, 30, way))
    amount = air.pressure * air.volume / (air.temperature + 273.15)

    assert amount == pytest.approx(np.full_like(amount, amount[0]))
    assert len(air.part) == len(air.heat) == len(air.work) == len(amount)


@pytest.mark.parametrize("volume", VOLUMES)
@pytest.mark.parametrize("way", WAYS)
def test_work_is_the_area_and_energy_is_kept(volume, way):
    air = squeeze_path(chosen(volume, 30, way))
    steps = (air.pressure[1:] + air.pressure[:-1]) / 2 * -np.diff(air.volume)
    # The air's own energy follows its temperature: pV/(1.4 - 1), the textbook's.
    own = air.pressure * air.volume / 0.4

    assert air.work[1:] == pytest.approx(np.cumsum(steps), abs=2e-3)
    assert air.work - air.heat == pytest.approx(own - own[0], abs=1e-9)


@pytest.mark.parametrize("volume", VOLUMES)
def test_only_a_wait_costs_work(volume):
    lost = {way: squeeze_path(chosen(volume, way=way)).work[-1] for way in WAYS}

    assert lost["slow"] == pytest.approx(0, abs=1e-12)
    assert lost["fast"] == pytest.approx(0, abs=1e-12)
    assert lost["wait"] == 0 if volume == 100 else lost["wait"] > 0.01


def test_a_hand_at_rest_pushes_with_nothing_at_zero_gauge():
    scene = squeeze_scene(chosen(150))

    assert texts(scene, "push of the hand")[0] == "0 N"
    assert texts(scene, "push of the hand")[AT_THE_TURN].startswith("−")
    assert scene.told.startswith("The air did 1.64 J of work as it grew")
    assert scene.times[1] == "moving out"


def test_the_air_pushes_on_both_ends_even_when_nothing_is_squeezed():
    scene = squeeze_scene(chosen(100))
    arrows = [each for each in scene.shapes if each.fixed.get("class") == "bl-arrow"]
    paths = [each.moving["d"][0] for each in arrows if each.tag == "path"]
    pushes = [each for each in paths if "h" in each]

    assert len(pushes) == 4  # two on the piston, two on the end
    assert len(paths) == 8  # each with its head
    for each in pushes:
        assert abs(float(each.split("h")[1])) > 10


def test_the_drawn_piston_stands_where_the_volume_says():
    scene = squeeze_scene(chosen(40, way="wait"))
    (air,) = [each for each in scene.shapes if each.fixed.get("class") == "bl-air"]
    volume = [float(text.split()[0]) for text in texts(scene, "volume")]

    assert np.array(air.moving["width"]) / 5 == pytest.approx(volume, abs=0.06)


def test_the_plot_shows_the_path_and_says_what_is_lost():
    values = chosen(way="wait")
    air = squeeze_path(values)
    picture = draw_squeeze(values)
    (axes,) = picture.figure.axes
    lines = {line.get_label(): line for line in axes.get_lines()}

    assert lines["in"].get_xdata() * 1e-6 == pytest.approx(
        air.volume[: AT_THE_TURN + 1]
    )
    assert lines["back"].get_ydata() * 1e3 == pytest.approx(air.pressure[AT_THE_TURN:])
    assert f"The paths enclose {air.work[-1]:.2f} J" in picture.words
    assert "nothing is lost" in draw_squeeze(chosen(way="fast")).words
