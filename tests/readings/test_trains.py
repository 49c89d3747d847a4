"""Which sudden sounds are a drop: trains among noise, and noise that is none."""

import numpy as np
import pytest

from bouncelab.physics.bounces import bounce_train
from bouncelab.readings import trains
from bouncelab.readings.impacts import Impact
from bouncelab.readings.trains import find_trains

COLOURS = ((0.6, 0.3, 0.1), (0.1, 0.2, 0.7))


def drop(start=1.0, e=0.75, bounces=8, colour=0, loud=0.5):
    made = bounce_train(drop_height=1.0, restitution=e, bounces=bounces)
    times = made.impact_times - made.impact_times[0] + start
    louds = loud * (made.impact_speeds / made.impact_speeds[0]) ** 1.2
    return [
        Impact(float(t), 1e-4, 60.0 * a, float(a), 0.002, COLOURS[colour])
        for t, a in zip(times, louds, strict=True)
    ]


def noise(random, seconds, often=10.0):
    times = np.sort(random.uniform(0, seconds, random.poisson(often * seconds)))
    return [
        Impact(
            float(t),
            1e-3,
            3.0 + float(random.exponential(2.0)),
            0.003 * float(random.lognormal(0, 0.3)),
            0.002,
            tuple(random.dirichlet(np.ones(3))),
        )
        for t in times
    ]


def times_of(found):
    return [each.time for each in found.impacts]


@pytest.mark.parametrize("e", [0.6, 0.75, 0.9])
def test_a_drop_is_found_among_noise(e):
    random = np.random.default_rng(4)
    true = [each.time for each in drop(e=e)]
    (found,) = find_trains([*drop(e=e), *noise(random, 8.0)], 8.0)

    assert found.chance < 4e-4
    assert times_of(found)[:5] == true[:5]


def test_noise_makes_trains_no_oftener_than_it_is_said():
    # A drop is told where luck makes such a train in 4 of 10 000 recordings.
    random = np.random.default_rng(5)
    told = [bool(find_trains(noise(random, 5.0), 5.0)) for _ in range(120)]

    assert sum(told) <= 1


def test_the_chance_that_is_told_is_no_smaller_than_it_is(monkeypatch):
    # Of noise, at most one recording in ten holds a train of a chance of a tenth.
    monkeypatch.setattr(trains, "_CHANCE", 1.0)
    random = np.random.default_rng(9)
    least = []
    for _ in range(60):
        found = find_trains(noise(random, 5.0, often=18.0), 5.0)
        least.append(min((each.chance for each in found), default=1.0))

    assert np.mean(np.array(least) < 0.1) <= 0.15
    assert min(least) < 0.5


def test_the_first_drop_does_not_hide_the_second():
    both = [*drop(1.0), *drop(6.0, e=0.6, colour=1)]
    found = find_trains(both, 10.0)

    assert [times_of(each)[0] for each in found] == [1.0, 6.0]


def test_a_drop_is_as_likely_in_an_hour_as_in_its_minute():
    random = np.random.default_rng(4)
    rest = [
        Impact(e.time + 15.0, e.u, e.strength, e.loudness, e.quiet, e.colour)
        for e in noise(random, 20.0)
    ]
    sounds = [*drop(20.0), *rest]
    minute, hour = find_trains(sounds, 60.0), find_trains(sounds, 3600.0)

    assert [times_of(each) for each in minute] == [times_of(each) for each in hour]
    assert minute[0].chance == hour[0].chance


def test_sounds_that_are_alike_and_grow_faint_find_a_short_drop():
    # The same times and strengths, once of one ball, once of sounds of any kind.
    alike = unlike = 0
    for seed in range(20):
        random = np.random.default_rng(seed)
        ball, rest = drop(e=0.6, bounces=4), noise(random, 5.0, often=6.0)
        colours = random.dirichlet(np.ones(3), len(ball))
        mixed = [
            Impact(e.time, e.u, e.strength, 0.3, 0.002, tuple(colour))
            for e, colour in zip(ball, colours, strict=True)
        ]
        alike += bool(find_trains([*ball, *rest], 5.0))
        unlike += bool(find_trains([*mixed, *rest], 5.0))

    assert alike >= 18
    assert unlike < alike / 2


def test_a_short_train_among_sounds_of_its_own_tone_is_not_told():
    # As of a whistle: many sounds as strong and of one pitch, some at a train's times.
    random = np.random.default_rng(3)
    train = drop(e=0.7, bounces=4)
    others = [
        Impact(float(t), 1e-4, 60.0, 0.5, 0.002, COLOURS[0])
        for t in np.sort(random.uniform(3.5, 9.0, 6))
    ]
    of_other_tone = [
        Impact(e.time, e.u, e.strength, e.loudness, e.quiet, COLOURS[1]) for e in others
    ]

    assert len(find_trains([*train, *of_other_tone], 10.0)) == 1
    assert find_trains([*train, *others], 10.0) == []


def test_every_second_bounce_is_not_taken_for_a_slower_ball():
    # With e = 0.9 every second impact keeps the law of e = 0.81.
    random = np.random.default_rng(6)
    (found,) = find_trains([*drop(e=0.9, bounces=14), *noise(random, 10.0)], 10.0)
    first, second, third = times_of(found)[:3]

    assert (third - second) / (second - first) == pytest.approx(0.9, abs=0.01)


def test_every_second_bounce_is_not_told_where_the_others_are_weak_and_badly_timed():
    random = np.random.default_rng(8)
    heard = []
    for k, each in enumerate(drop(e=0.9, bounces=14)):
        weak, shift = (0.5, random.uniform(0.006, 0.009)) if k % 2 else (1.0, 0.0)
        heard.append(
            Impact(
                each.time + shift,
                each.u,
                weak * each.strength,
                weak * each.loudness,
                each.quiet,
                each.colour,
            )
        )
    for found in find_trains(heard, 10.0):
        gaps = np.diff(times_of(found))
        assert np.median(gaps[1:] / gaps[:-1]) > 0.85


def test_a_train_that_grows_louder_is_no_ball():
    backwards = drop()
    louds = [each.loudness for each in backwards][::-1]
    louder = [
        Impact(each.time, each.u, each.strength, loud, 0.002, each.colour)
        for each, loud in zip(backwards, louds, strict=True)
    ]

    assert find_trains(drop(), 5.0)
    assert find_trains(louder, 5.0) == []


def test_a_train_that_hardly_stands_out_is_not_told():
    faint = [
        Impact(e.time, e.u, e.strength, e.loudness, 0.6 * e.loudness, e.colour)
        for e in drop()
    ]

    assert find_trains(faint, 5.0) == []


def test_a_sound_between_that_does_not_fit_is_named():
    true = drop()
    stray = Impact(true[1].time + 0.2, 1e-4, 25.0, 0.2, 0.002, COLOURS[1])
    (found,) = find_trains([*true, stray], 6.0)

    assert stray not in found.impacts
    assert found.between == [stray]


def test_the_order_of_the_sounds_does_not_matter():
    random = np.random.default_rng(7)
    sounds = [*drop(), *noise(random, 6.0)]
    mixed = [sounds[k] for k in random.permutation(len(sounds))]

    assert [times_of(each) for each in find_trains(sounds, 6.0)] == [
        times_of(each) for each in find_trains(mixed, 6.0)
    ]


def test_without_sounds_there_is_no_train():
    assert find_trains([], 3.0) == []
    assert find_trains(drop()[:2], 3.0) == []
