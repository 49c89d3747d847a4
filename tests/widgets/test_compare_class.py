import pytest

from bouncelab import bounciness, check_drops, read_drops
from bouncelab.analysis.comparison import compare
from bouncelab.places import kit_folder
from bouncelab.widgets.lessons.compare_class import CompareClass

CLASS = kit_folder("data") / "larkfield_class.csv"


@pytest.fixture(scope="module")
def found():
    return bounciness(check_drops(read_drops(CLASS)))


@pytest.fixture
def lesson(tmp_path):
    return CompareClass(CLASS, tmp_path)


def test_the_count_of_pairs_is_the_librarys(lesson, found):
    told = compare(found, by="ball")
    differ = sum(pair.different for pair in told.pairs)

    expected = f"{differ} of {len(told.pairs)} pairs can be told apart."
    assert lesson.stage.scene["told"] == expected


def test_another_thing_and_ball_can_be_chosen(lesson):
    lesson.stage.set(by="pressure", ball="Basketball size 7")

    labels = [each["label"] for each in lesson.stage.scene["readings"]]
    assert any("15.0 kPa → 55.0 kPa" in x or "55.0 kPa → 15.0 kPa" in x for x in labels)
    assert "15.0 kPa: e 0." in lesson.stage.picture["words"]


def test_what_cannot_be_compared_is_said(lesson):
    lesson.stage.set(by="floor")

    assert "there is only “gym, wood”" in lesson.stage.scene["told"]
    assert lesson.stage.scene["readings"] == []


def test_what_cannot_be_compared_is_told_with_a_way_on(lesson):
    lesson.stage.set(by="floor")
    told = lesson.stage.scene["told"]

    assert told.startswith("Comparing by floor: there is only “gym, wood”, with e = 0.")
    assert "or compare by ball, pressure or group." in told
