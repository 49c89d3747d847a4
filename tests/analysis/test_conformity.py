"""A verdict on a range is right, and says why."""

import json
from dataclasses import replace
from math import inf, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.analysis.conformity import SIGNS, circumstances, judge
from bouncelab.catalogue import find_range
from bouncelab.errors import InputError

FUTSAL = find_range("futsal-law-2")  # 50 to 65 cm from 2 m, bottom and bottom
TOP = find_range("basketball-fiba-1998")  # 1.2 to 1.4 m (top) from 1.8 m (bottom)
LEAST = find_range("croquet-ca-championship")  # at least 94 cm, no upper limit
MOST = replace(FUTSAL, id="at-most", rebound_min_m=None)

means = st.floats(0.3, 1.0)
uncertainties = st.floats(1e-4, 0.2)
freedoms = st.one_of(st.floats(1, 200), st.just(inf))


@pytest.mark.parametrize(
    ("bad", "read"),
    [
        ((nan, 0.01, 4), "nan"),
        ((inf, 0.01, 4), "inf"),
        ((0.6, -0.01, 4), "-0.01"),
        ((0.6, nan, 4), "nan"),
        ((0.6, 0.01, 0), "0"),
        ((0.6, 0.01, nan), "nan"),
    ],
)
def test_what_cannot_be_a_measurement_is_refused(bad, read):
    with pytest.raises(InputError) as caught:
        judge(*bad, FUTSAL)

    assert caught.value.read == read


# The three verdicts


@pytest.mark.parametrize(
    ("mean", "word"),
    [
        (0.57, "meets"),
        (0.50 + 0.0165, "meets"),
        (0.50 + 0.0164, "cannot be told"),
        (0.50, "cannot be told"),
        (0.50 - 0.0164, "cannot be told"),
        (0.50 - 0.0165, "does not meet"),
        (0.65 - 0.0165, "meets"),
        (0.65 + 0.0165, "does not meet"),
    ],
)
def test_the_word_turns_at_1_645_standard_uncertainties(mean, word):
    # JCGM 106:2012, 8.3: guard band for a risk of 5 %, u = 1 cm.
    assert judge(mean, 0.01, inf, FUTSAL).word == word


@settings(max_examples=80)
@given(mean=means, u=uncertainties, nu=freedoms)
def test_the_word_follows_from_the_probability(mean, u, nu):
    found = judge(mean, u, nu, FUTSAL)

    if found.probability >= 0.95:
        assert found.word == "meets"
    elif found.probability > 0.05:
        assert found.word == "cannot be told"
    else:
        assert found.word in ("does not meet", "cannot be told")
        assert not (found.word == "does not meet" and 0.5 <= mean <= 0.65)


def test_a_hopeless_measurement_condemns_no_ball():
    # With u = 2 m the chance of any 15 cm is under 5 %, whatever the ball is.
    for mean in (0.4, 0.57, 0.7):
        found = judge(mean, 2.0, inf, FUTSAL)
        assert found.probability < 0.05
        assert found.word == "cannot be told"
        assert "too large for a range" in found.reason
    assert judge(4.0, 2.0, inf, FUTSAL).word == "does not meet"


@pytest.mark.parametrize(
    ("rule", "mean", "word"),
    [
        (LEAST, 1.5, "meets"),
        (LEAST, 0.90, "does not meet"),
        (MOST, 0.1, "meets"),
        (MOST, 0.70, "does not meet"),
    ],
)
def test_a_range_may_have_one_limit(rule, mean, word):
    found = judge(mean, 0.01, 9.0, rule)

    assert found.word == word
    assert "least" in found.reason or "most" in found.reason


def test_few_drops_make_a_verdict_harder():
    chances = [judge(0.52, 0.01, nu, FUTSAL).probability for nu in (1, 2, 4, 20, inf)]

    assert chances == sorted(chances)
    assert judge(0.52, 0.01, 2, FUTSAL).word == "cannot be told"
    assert judge(0.52, 0.01, inf, FUTSAL).word == "meets"


def test_many_means_are_judged_in_one_call():
    means = np.array([0.40, 0.50, 0.57])
    found = judge(means, 0.01, 9.0, FUTSAL)

    assert found == tuple(judge(each, 0.01, 9.0, FUTSAL) for each in means)
    assert [each.word for each in found] == [
        "does not meet",
        "cannot be told",
        "meets",
    ]


# Where and how the ball was dropped


def test_another_drop_height_cannot_be_told_and_has_no_probability():
    found = judge(0.28, 0.01, 9.0, FUTSAL, drop_height=1.0)

    assert (found.word, found.probability) == ("cannot be told", None)
    assert "200.0 cm" in found.reason
    assert "100.0 cm" in found.reason


@pytest.mark.parametrize(("drop", "told"), [(1.961, True), (1.959, False)])
@pytest.mark.parametrize("turned", [False, True])
def test_two_per_cent_of_the_drop_height_still_fit(drop, told, turned):
    height = 4.0 - drop if turned else drop
    found = judge(0.57, 0.01, 9.0, FUTSAL, drop_height=height)

    assert (found.probability is not None) == told


def test_a_fitting_height_is_made_good_in_proportion_and_that_is_said():
    found = judge(0.66, 0.01, 9.0, FUTSAL, drop_height=2.03)
    wanted = judge(0.66 * 2 / 2.03, 0.01 * 2 / 2.03, 9.0, FUTSAL)

    assert found.probability == pytest.approx(wanted.probability, rel=1e-12)
    assert any("3.00 cm higher" in each for each in found.remarks)
    exact = judge(0.66, 0.01, 9.0, FUTSAL, drop_height=2.0)
    assert not any("proportion" in each for each in exact.remarks)


def test_proportion_holds_for_the_lowest_point_of_the_ball():
    # 1.29 m to the top of a 24 cm ball is 1.05 m to its lowest point.
    found = judge(1.29, 0.01, 9.0, TOP, drop_height=1.82, diameter=0.24)

    assert "127.8 cm" in found.reason  # 1.05 m × 1.80/1.82, and 24 cm again


@pytest.mark.parametrize(
    ("points", "mean"),
    [(("bottom", "bottom"), 1.06), (("bottom", "centre"), 1.18), ((None, None), 1.30)],
)
def test_other_points_are_turned_into_the_rules_own(points, mean):
    drop_point, rebound_point = points
    found = judge(
        mean,
        0.01,
        9.0,
        TOP,
        drop_point=drop_point,
        rebound_point=rebound_point,
        diameter=0.24,
    )

    assert found.probability == pytest.approx(
        judge(1.30, 0.01, 9.0, TOP).probability, rel=1e-9
    )
    assert any("turned into" in each for each in found.remarks) == bool(drop_point)


def test_a_drop_from_the_top_of_the_ball_is_one_diameter_lower():
    found = judge(
        1.30,
        0.01,
        9.0,
        TOP,
        drop_height=2.04,
        drop_point="top",
        rebound_point="top",
        diameter=0.24,
    )

    assert found.word == "meets"
    assert not any("proportion" in each for each in found.remarks)


@pytest.mark.parametrize("known", [{"rebound_point": "bottom"}, {"drop_height": 1.8}])
def test_without_the_diameter_points_cannot_be_turned(known):
    found = judge(1.06, 0.01, 9.0, TOP, **known)

    assert (found.word, found.probability) == ("cannot be told", None)
    assert "diameter is not known" in found.reason


def test_a_range_says_nothing_of_another_ball():
    found = judge(0.57, 0.01, 9.0, FUTSAL, ball="tennis")

    assert (found.word, found.probability) == ("cannot be told", None)
    assert "futsal ball" in found.reason
    assert judge(0.57, 0.01, 9.0, FUTSAL, ball="futsal").word == "meets"


@pytest.mark.parametrize(
    ("range_id", "floor", "said"),
    [
        ("basketball-nfhs-ncaa-men", "gym, wood", ""),
        ("basketball-nfhs-ncaa-men", "Wooden floor", ""),
        ("basketball-nfhs-ncaa-men", "hall, concrete", "fell on: hall, concrete"),
        ("basketball-nfhs-ncaa-men", "", "no floor is written down"),
        ("basketball-fiba-1998", "hall, concrete", ""),  # names no material
        ("croquet-ca-championship", "concrete", "fell on: concrete"),
    ],
)
def test_another_floor_is_a_remark(range_id, floor, said):
    found = " ".join(circumstances(find_range(range_id), floor=floor))

    assert said in found
    assert bool(found) == bool(said)


@pytest.mark.parametrize(
    ("range_id", "temperature", "said"),
    [
        ("football-fifa-quality", 18.0, False),
        ("football-fifa-quality", 17.9, True),
        ("football-fifa-quality", 22.1, True),
        ("football-fifa-quality", nan, True),
        ("tennis-itf", 21.5, False),  # the rule says about 20 °C
        ("tennis-itf", 23.0, True),
        ("futsal-law-2", 5.0, False),  # the rule names no temperature
    ],
)
def test_another_temperature_is_a_remark(range_id, temperature, said):
    found = circumstances(find_range(range_id), temperature=temperature)

    assert any("asks for" in each for each in found) == said


def test_points_that_the_source_does_not_name_are_a_remark():
    assert any("does not name the point" in each for each in circumstances(FUTSAL))
    assert circumstances(TOP) == ()


def test_a_remark_changes_no_verdict():
    plain = judge(1.30, 0.01, 9.0, TOP)
    cold = judge(1.30, 0.01, 9.0, TOP, floor="sand", temperature=-5.0)

    assert (plain.word, plain.probability) == (cold.word, cold.probability)


# How it is shown


def test_a_verdict_that_cannot_be_told_says_what_may_help():
    def reason(mean, **known):
        return judge(mean, 0.008, 4.0, FUTSAL, **known).reason

    assert reason(0.512).endswith("reaches over it.")
    assert reason(0.512, n=1).endswith("drop the ball several times.")
    assert reason(0.512, n=5).endswith("more drops may settle it.")
    assert reason(0.5, n=5).endswith("more drops alone will hardly settle it.")


def test_a_verdict_shows_its_sign_word_probability_and_reason():
    found = judge(0.47, 0.008, 12.0, FUTSAL, floor="<b>wood</b>")

    assert found.sign == SIGNS["does not meet"]
    assert len({*SIGNS.values()}) == 3
    assert str(found).startswith("does not meet (probability under 1 %). It bounced")
    shown = judge(0.5, 0.1, 4.0, replace(LEAST, floor="steel <i>"), floor="<b>")
    assert "<b>" not in shown._repr_html_()
    assert "&lt;b&gt;" in shown._repr_html_()
    assert SIGNS[shown.word] in shown._repr_html_()


def test_json_has_plain_values():
    told = judge(0.57, 0.01, inf, FUTSAL).to_dict()
    untold = judge(0.57, 0.01, inf, FUTSAL, drop_height=1.0).to_dict()

    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert told["range"] == "futsal-law-2"
    assert untold["probability"] is None


def test_a_height_is_told_with_its_point_unless_that_is_the_bottom():
    top = judge(1.284, 0.01, 20.0, find_range("basketball-fiba-1998"))
    bottom = judge(0.61, 0.004, 20.0, find_range("futsal-law-2"))

    assert top.reason.startswith("It bounced 128.4 cm (top of the ball); the range")
    assert bottom.reason.startswith("It bounced 61.0 cm; the range")


def test_a_mean_on_the_limit_is_told_as_that():
    found = judge(0.5, 0.008, 4.0, find_range("futsal-law-2"), n=5)

    assert "The mean rebound, 50.0 cm, is on the lower limit, and" in found.reason
