import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.physics.bounces import bounce_train, restitution_by_speed
from bouncelab.physics.restitution import restitution_from_times
from bouncelab.physics.timing import _Law, fit_impact_times

AIR = {"drag_constant": 0.0219, "contact_time": 0.012}  # a basketball


def train(slope=0.05, bounces=8, drop=1.5, **how):
    e = restitution_by_speed(restitution=0.75, slope=slope, speed=4.0)
    return bounce_train(drop_height=drop, restitution=e, bounces=bounces, **how)


@settings(max_examples=40)
@given(
    st.floats(0.5, 3.0),
    st.floats(0.5, 0.9),
    st.floats(-0.08, 0.1),
    st.sampled_from([0.0, 0.0219, 0.1288]),
    st.floats(0, 0.012),
    st.floats(-100, 100),
)
def test_exact_times_give_back_what_made_them(drop, e, b, k, contact, start):
    law = restitution_by_speed(restitution=e, slope=b, speed=4.0)
    made = bounce_train(
        drop_height=drop,
        restitution=law,
        bounces=7,
        drag_constant=k,
        contact_time=contact,
    )
    found = fit_impact_times(
        made.impact_times + start, drag_constant=k, contact_time=contact
    )
    speed = made.impact_speeds[1]

    assert found.restitution == pytest.approx(made.restitutions[1], abs=1e-10)
    assert found.slope == pytest.approx(b * speed / 4.0, abs=1e-10)
    assert found.first_impact == pytest.approx(made.impact_times[0] + start, abs=1e-10)
    assert found.first_interval == pytest.approx(np.diff(made.impact_times)[0])
    assert found.impact_speed == pytest.approx(speed, rel=1e-9)
    assert found.drop_height == pytest.approx(drop, rel=1e-8)


@pytest.mark.parametrize("k", [0.0, 0.0219, 0.1288])
def test_slopes_of_the_law_are_those_of_small_steps(k):
    law = _Law(7, k, 9.6, 0.01)
    at, step = np.array([0.3, 4.0, 0.75, 0.05]), 1e-5
    _, slopes = law.times(at)
    for i, one in enumerate(step * np.eye(4)):
        (above, _), (below, _) = law.times(at + one), law.times(at - one)

        assert slopes[:, i] == pytest.approx((above - below) / (2 * step), abs=1e-8)


@pytest.mark.parametrize(("bounces", "steady"), [(6, False), (9, False), (9, True)])
def test_the_scatter_reaches_the_lowest_possible(bounces, steady):
    """The covariance that is given is the bound of Cramér and Rao for normal errors."""
    u, runs = 1e-4, 1500
    slope = 0.0 if steady else 0.05
    made = train(slope, bounces, **AIR).impact_times
    random = np.random.default_rng(bounces)
    settings = AIR | {"time_uncertainty": u, "steady": steady}
    fits = [
        fit_impact_times(made + random.normal(0, u, bounces), **settings)
        for _ in range(runs)
    ]
    found = [(f.first_impact, f.first_interval, f.restitution, f.slope) for f in fits]
    spread = np.std(found, axis=0)
    exact = fit_impact_times(made, **settings)
    count = 3 if steady else 4
    bound = np.sqrt(np.diag(exact.covariance))

    assert spread[:count] == pytest.approx(bound, rel=0.05)
    assert exact.restitution_u == bound[2]
    assert exact.slope_u == (0 if steady else bound[3])
    assert np.std([f.drop_height for f in fits]) == pytest.approx(
        exact.drop_height_u, rel=0.05
    )


@pytest.mark.parametrize(
    ("bounces", "steady", "noisier"),
    [(8, True, 9.3), (12, True, 17.6), (8, False, 2.4), (12, False, 3.8)],
)
def test_the_ratio_of_the_first_intervals_is_noisier(bounces, steady, noisier):
    made = bounce_train(drop_height=1.5, restitution=0.8, bounces=bounces)
    u = 1e-4
    fit = fit_impact_times(made.impact_times, time_uncertainty=u, steady=steady)
    first = np.diff(made.impact_times)[0]
    ratio_u = u / first * np.sqrt(1 + (1 + 0.8) ** 2 + 0.8**2)

    assert ratio_u / fit.restitution_u == pytest.approx(noisier, rel=0.02)


def test_residuals_tell_the_uncertainty_of_a_time_if_nobody_does():
    made = train(bounces=12).impact_times
    random = np.random.default_rng(11)
    found = [
        fit_impact_times(made + random.normal(0, 2e-4, 12)).time_uncertainty ** 2
        for _ in range(400)
    ]

    assert np.mean(found) == pytest.approx(4e-8, rel=0.05)


def test_one_steady_restitution_for_a_long_train_is_too_high():
    made = train(bounces=10)
    steady = fit_impact_times(made.impact_times, steady=True)

    assert 0.01 < steady.restitution - made.restitutions[1] < 0.03
    assert steady.slope == 0


def test_leaving_out_contact_raises_and_leaving_out_drag_lowers_restitution():
    made = bounce_train(drop_height=1.5, restitution=0.75, bounces=8, **AIR)
    times = made.impact_times

    assert restitution_from_times(times) > restitution_from_times(
        times, contact_time=0.012
    )
    no_drag = fit_impact_times(times, contact_time=0.012)
    assert no_drag.restitution < 0.75 - 0.005


def test_height_is_not_told_where_the_line_does_not_reach():
    flights = [0.6]
    for _ in range(5):
        flights.append(flights[-1] * (0.5 - 0.3 * (flights[-1] / 0.6 - 1)))
    found = fit_impact_times(np.cumsum([0.0, *flights]))

    assert found.slope == pytest.approx(0.3)
    assert np.isnan(found.drop_height)
    assert np.isnan(found.drop_height_u)
    assert found.to_dict()["drop_height_m"] is None


def test_two_balls_at_once_are_no_train():
    one = train(bounces=6).impact_times
    both = np.sort(np.concatenate([one[:4], one[:3] + 0.29]))[:6]

    assert fit_impact_times(one).time_uncertainty < 1e-12
    with pytest.raises(InputError, match="a second ball or a wrong contact time"):
        fit_impact_times(both)


@pytest.mark.parametrize(
    ("times", "settings", "words"),
    [
        ([0, 1, 1.8, 2.4], {}, "read 4 of them, allowed 5 or more"),
        ([0, 1, 1.8], {"steady": True}, "read 3 of them, allowed 4 or more"),
        ([[0, 1], [1, 2]], {}, "of one train"),
        ([0, 1, 1.8, 2.4, 2.3], {}, "flight between two impacts: read -0.1 s"),
        ([0, 1, 2.2, 3.6, 5.2], {}, "Check that no impact was missed"),
        ([0, 1, 1.8, 2.4, 2.8], {"drag_constant": -1}, "drag constant: read -1"),
        ([0, 1, 1.8, 2.4, 2.8], {"time_uncertainty": 0}, "uncertainty of a time"),
        ([0, 1, 1.8, 2.4, 2.8], {"time_uncertainty": [1e-4] * 4}, "4 of them for 5"),
        ([0, 1, 1.8, 2.4, 2.8], {"usual_slope": (0.03, 0.0)}, "of the usual slope"),
        (
            [0, 1],
            {"usual_slope": (0.03, 0.03), "time_uncertainty": 1e-4},
            "2 of them, allowed 3 or more",
        ),
        ([0, 1, 1.8, 2.4, float("nan")], {}, "impact times: read nan s"),
        ([0, 1, 1.8, 2.4, 2.8], {"contact_time": 0.5}, "flight between two impacts"),
    ],
)
def test_times_that_are_no_train_are_refused(times, settings, words):
    with pytest.raises(InputError, match=words):
        fit_impact_times(times, **settings)


def test_a_time_counts_by_its_own_uncertainty():
    made = train().impact_times
    u = np.full(made.size, 1e-4)
    equal = fit_impact_times(made, time_uncertainty=u)
    single = fit_impact_times(made, time_uncertainty=1e-4)

    assert equal.restitution == pytest.approx(single.restitution, abs=1e-12)
    assert equal.covariance == pytest.approx(single.covariance)
    shifted = made.copy()
    shifted[3] += 0.02
    u[3] = 1.0  # it tells nothing
    found = fit_impact_times(shifted, time_uncertainty=u)
    assert found.restitution == pytest.approx(equal.restitution, abs=1e-6)
    assert found.residuals[3] == pytest.approx(0.02, abs=1e-6)
    assert found.restitution_u > equal.restitution_u


def test_what_is_usual_of_the_slope_is_one_value_more():
    # Balls whose slopes scatter as it is said: 95 % of the intervals hold the truth.
    random = np.random.default_rng(8)
    u, inside = 2e-4, []
    for _ in range(300):
        made = train(slope=random.normal(0.03, 0.03), bounces=4)
        found = fit_impact_times(
            made.impact_times + random.normal(0, u, made.impact_times.size),
            time_uncertainty=u,
            usual_slope=(0.03 * made.impact_speeds[1] / 4.0,) * 2,
        )
        away = abs(found.restitution - made.restitutions[1])
        inside.append(away <= 1.96 * found.restitution_u)

    assert 0.91 <= np.mean(inside) <= 0.985


def test_a_long_train_needs_nothing_usual():
    made = train(slope=0.08, bounces=14)
    plain = fit_impact_times(made.impact_times, time_uncertainty=1e-4)
    told = fit_impact_times(
        made.impact_times, time_uncertainty=1e-4, usual_slope=(0.03, 0.03)
    )

    assert told.restitution == pytest.approx(plain.restitution, abs=2e-4)
    assert told.slope == pytest.approx(plain.slope, abs=2e-3)
    assert told.dof == plain.dof + 1
