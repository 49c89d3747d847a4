"""Published bounces, as recordings that have them: what is heard is what was printed.

Nobody's recording was to be had. Times of impacts are worked out from the printed
figures; thuds are laid at these times, with a little noise.
"""

import numpy as np
import pytest

from bouncelab.kinds import find_ball
from bouncelab.physics.bounces import bounce_train, restitution_by_speed
from bouncelab.physics.fall import drag_constant, impact_speed
from bouncelab.physics.restitution import restitution_with_drag
from bouncelab.physics.surroundings import air_density
from bouncelab.readings.sound import hear
from makers.noises import lay
from makers.recordings import a_voice, thud

RATE = 44_100


def recorded(times, speeds, rate=RATE, seed=1):
    """Thuds as loud as impacts are fast, on noise 40 dB below the first."""
    rng = np.random.default_rng(seed)
    times = np.asarray(times) - times[0] + 0.7
    sound = np.zeros(int((times[-1] + 0.8) * rate))
    voice = a_voice(rng)
    for when, speed in zip(times, speeds, strict=True):
        lay(sound, int(np.ceil(when * rate)), thud(rng, rate, voice), speed / speeds[0])
    return sound + 0.004 * rng.normal(size=sound.size)


def the_drop(times, speeds, rate=RATE, ball=None):
    (drop,) = hear([recorded(times, speeds, rate)], rate, ball=ball).drops
    return drop


def audible(train, least=0.07):
    """Impacts up to the first flight that is too short to be heard as one."""
    flights = np.diff(train.impact_times)
    count = 1 + int(np.argmax(flights < least)) if (flights < least).any() else None
    return train.impact_times[:count], train.impact_speeds[:count]


def a_steady_train(drop_height, e, gravity, most=40):
    return audible(
        bounce_train(
            drop_height=drop_height, restitution=e, bounces=most, gravity=gravity
        )
    )


@pytest.mark.parametrize("rate", [4410, RATE])
def test_a_book_s_drop_from_575_mm_gives_its_e_and_g(rate):
    # C. Hill, Learning Scientific Programming with Python, problem of chapter 6,
    # read on the book's page: sound sampled at 4410 Hz, h0 = 57.5 cm, e = 0.86 and
    # g = 9.7 m/s² from the times between impacts.
    drop = the_drop(*a_steady_train(0.575, 0.86, 9.7), rate)
    g, u = drop.gravity(0.575, 0.001)

    assert drop.restitution == pytest.approx(0.86, abs=0.005)
    assert np.diff(drop.impacts)[:2] == pytest.approx([0.592, 0.509], abs=1e-3)
    assert g == pytest.approx(9.7, abs=0.15)
    assert abs(g - 9.7) < 3 * u


@pytest.mark.parametrize("e", [0.6, 0.75, 0.9])
def test_flights_shrink_as_powers_of_e_and_give_e_and_g(e):
    # C. E. Aguiar and F. Laudares, Am. J. Phys. 71 (2003) 499, abstract read: flight
    # times T_n = T_0 eⁿ give both e and g. Its table of times was not seen.
    flights = 2 * np.sqrt(2 * 1.2 / 9.81) * e ** np.arange(1, 40)
    flights = flights[flights > 0.07]
    times = np.concatenate([[0.0], np.cumsum(flights)])
    drop = the_drop(times, e ** np.arange(times.size))
    g, u = drop.gravity(1.2, 0.002)

    assert drop.restitution == pytest.approx(e, abs=0.003)
    assert g == pytest.approx(9.81, abs=max(3 * u, 0.02))


def test_a_ball_that_loses_the_same_share_each_time_gives_g():
    # O. Schwarz, P. Vogt and J. Kuhn, Phys. Teach. 51 (2013) 312, first page read: the
    # sound of a bouncing ball gives g if each bounce loses the same fraction of energy.
    # The fraction: about 40 %, D. Gugan, Am. J. Phys. 68 (2000) 920, abstract read.
    drop = the_drop(*a_steady_train(1.5, np.sqrt(0.6), 9.81))
    g, u = drop.gravity(1.5, 0.003)

    assert drop.restitution**2 == pytest.approx(0.6, abs=0.006)
    assert g == pytest.approx(9.81, abs=max(3 * u, 0.02))


def test_a_leather_ball_gets_livelier_as_it_slows():
    # University of Texas at Arlington, Physics (2006), read on the study's page: from
    # 51.7 in, e = 0.81 for conditioned leather, rising steadily to 0.85 on later
    # bounces, down to about a third of the drop.
    high = 1.313
    fast, slow = impact_speed(drop_height=np.array([high, high / 3]))
    slope = (0.85 - 0.81) / (1 - slow / fast)
    law = restitution_by_speed(restitution=0.81, slope=slope, speed=fast)
    train = bounce_train(drop_height=high, restitution=law, bounces=25)
    drop = the_drop(*audible(train))

    assert drop.restitution == pytest.approx(train.restitutions[1], abs=0.004)
    assert 0.81 < drop.restitution < 0.85
    assert drop.slope == pytest.approx(slope * train.impact_speeds[1] / fast, abs=0.01)
    assert drop.drop_height == pytest.approx(high, abs=3 * drop.drop_height_u)


def test_a_table_tennis_ball_is_heard_through_the_air_that_slows_it():
    # A school essay, read: 100, 80, 60, 20 cm back to 63.7, 51, 42, 15.3 cm.
    ball = find_ball("table tennis ball")
    k = drag_constant(
        mass=ball.mass_kg,
        diameter=ball.diameter_m,
        drag_coefficient=ball.drag_coefficient,
        air_density=air_density(),
    )
    drops = np.array([1.00, 0.80, 0.60, 0.20])
    e = restitution_with_drag(
        drop_height=drops,
        rebound_height=np.array([0.637, 0.51, 0.42, 0.153]),
        drag_constant=k,
    )
    speeds = impact_speed(drop_height=drops, drag_constant=k)
    steep, level = np.polyfit(speeds, e, 1)
    train = bounce_train(
        drop_height=1.0,
        restitution=lambda v: np.clip(level + steep * np.asarray(v), 0, 0.97),
        bounces=30,
        drag_constant=k,
    )
    drop = the_drop(*audible(train), ball=ball)

    assert train.heights[0] == pytest.approx(0.637, abs=0.02)
    assert drop.restitution == pytest.approx(train.restitutions[1], abs=0.006)
    assert drop.drop_height == pytest.approx(1.0, abs=0.03)
