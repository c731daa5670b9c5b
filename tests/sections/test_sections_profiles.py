import numpy as np
import pytest

from cradle.errors import SectionError
from cradle.geometry.arrays import frozen
from cradle.sections.profiles import check_profiles, compare_profiles, extent_at, profile_at, profile_shift
from cradle.sections.section import Profiles, Section

FRONT = frozen([[0, -20], [10, -22], [40, -10]])
BACK = frozen([[5, 20], [40, 26]])
BOX = np.array([[-10.0, -20], [10, -20], [10, 22], [-10, 22]])


def section(height, ring=BOX, **more):
    return Section(name="low", height_mm=height, points_mm=frozen(ring), traced_mm=(20.0, 42.0), **more)


def test_linear_between_and_silent_beyond():
    assert profile_at(FRONT, height_mm=5) == pytest.approx(-21)
    assert profile_at(FRONT, height_mm=40) == -10
    assert profile_at(FRONT, height_mm=40.01) is None
    assert profile_at(BACK, height_mm=4.99) is None
    assert profile_at(None, height_mm=5) is None


def test_one_profile_is_met_two_share_the_difference():
    front = extent_at(Profiles(front=FRONT), height_mm=25)
    assert front.front == pytest.approx(-16)
    assert profile_shift(BOX, extent=front) == (None, pytest.approx(4))
    both = extent_at(Profiles(front=FRONT, back=BACK), height_mm=5)
    assert profile_shift(BOX, extent=both)[1] == pytest.approx(((-21 + 20) + (20 - 22)) / 2)
    sides = extent_at(Profiles(left=frozen([[0, -8], [9, -8]])), height_mm=5)
    assert profile_shift(BOX, extent=sides) == (pytest.approx(2), None)


@pytest.mark.parametrize(
    ("profiles", "words"),
    [
        (Profiles(front=BACK, back=FRONT), r"side\.front: at height 5 mm the front profile"),
        (
            Profiles(left=frozen([[0, 5], [9, 5]]), right=frozen([[0, 6], [9, 4]])),
            r"side\.left: at height 9 mm",
        ),
        (Profiles(back=frozen([[0, 1], [5, 2], [5, 3]])), r"side\.back: the height 5 mm is not above"),
        (Profiles(right=frozen([[0, 1]])), r"side\.right: expected at least 2"),
    ],
)
def test_profiles_that_contradict_themselves_are_refused(profiles, words):
    with pytest.raises(SectionError, match=words):
        check_profiles(profiles)


def test_sound_profiles_pass():
    check_profiles(Profiles(front=FRONT, back=BACK))


def test_depth_is_compared_with_the_calipers():
    profiles = Profiles(front=FRONT, back=BACK)  # 41 mm apart at height 5
    assert compare_profiles((section(5, caliper_mm=(None, 41.4)),), profiles=profiles) == ()
    (found,) = compare_profiles((section(5, caliper_mm=(None, 42.0)),), profiles=profiles)
    assert found.code == "profile-disagrees"
    assert found.measured == pytest.approx(-1.0)
    assert "caliper depth is 42.00 mm" in found.message


def test_silence_is_told():
    (found,) = compare_profiles((section(50),), profiles=Profiles(front=FRONT, back=BACK))
    assert found.code == "profile-silent"
    assert compare_profiles((section(50),), profiles=Profiles()) == ()
