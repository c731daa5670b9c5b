import numpy as np
import pytest

from cradle.errors import SectionError
from cradle.geometry.arrays import frozen
from cradle.sections.profiles import Profiles, extent_at, wander_mm
from cradle.sections.section import Section
from cradle.slips.profile_doubts import check_profiles, silent_profiles, too_high_profiles

FRONT = frozen([[0, -20], [10, -22], [40, -10]])
BACK = frozen([[5, 20], [40, 26]])
BOX = np.array([[-10.0, -20], [10, -20], [10, 22], [-10, 22]])


def section(height, ring=BOX, **more):
    return Section(name="low", height_mm=height, points_mm=frozen(ring), traced_mm=(20.0, 42.0), **more)


@pytest.mark.parametrize(
    ("height_mm", "front", "back"),
    [
        (5, -21, 20),
        (40, -10, 26),
        (4.6, -20.92, None),
        (40.4, None, None),
        (4.8, -20.96, 20),
        (40.2, -10, 26),
    ],
)
def test_a_profile_is_linear_between_its_points_and_silent_beyond(height_mm, front, back):
    """But for what heights are read to: a section at 90 mm was not reached by a profile up to 3.543 in."""
    read = extent_at(Profiles(front=FRONT, back=BACK), axis=1, height_mm=height_mm)
    assert read == (front and pytest.approx(front), back)


def test_every_side_has_its_own_word_at_a_height():
    profiles = Profiles(front=FRONT, back=BACK)
    assert extent_at(profiles, axis=1, height_mm=25) == pytest.approx((-16, 20 + 6 * 20 / 35))
    assert extent_at(profiles, axis=0, height_mm=25) == (None, None)


@pytest.mark.parametrize(
    ("profiles", "words"),
    [
        (Profiles(front=BACK, back=FRONT), r"side\.front: at height 5 mm the front profile"),
        (
            Profiles(left=frozen([[0, 5], [9, 5]]), right=frozen([[0, 6], [9, 4]])),
            r"side\.left: at height 9 mm",
        ),
    ],
)
def test_profiles_that_contradict_themselves_are_refused(profiles, words):
    with pytest.raises(SectionError, match=words) as told:
        check_profiles(profiles)
    assert "perhaps each counts from a line of its own" in str(told.value)


def test_sound_profiles_pass():
    check_profiles(Profiles(front=FRONT, back=BACK))


def test_a_section_that_no_profile_reaches_is_told():
    (found,) = silent_profiles((section(50),), profiles=Profiles(front=FRONT, back=BACK))
    assert found.code == "profile-silent"
    assert "profile or view" in found.message
    assert not list(silent_profiles((section(50),), profiles=Profiles()))


@pytest.mark.parametrize(("overall", "told"), [(None, 0), (60.0, 0), (59.0, 0), (57.0, 1), (20.0, 1)])
def test_a_profile_above_the_things_height_is_told(overall, told):
    profiles = Profiles(
        front=np.array([[0.0, -9.0], [60.0, -12.0]]), right=np.array([[5.0, 9.0], [40.0, 9.0]])
    )
    found = [*too_high_profiles(profiles, overall_mm=overall)]
    assert all("how far the lens was (distance)" in f.advice for f in found)
    assert [f.where for f in found] == ["side.front"] * told
    assert not [*too_high_profiles(Profiles(), overall_mm=overall)]


HEIGHTS = np.arange(0.0, 81.0, 2.0)


def two_sides(middle):
    """Left and right of a thing that widens upwards about a middle."""
    wider = 10 + HEIGHTS / 8
    return Profiles(
        left=np.column_stack([HEIGHTS, middle - wider]), right=np.column_stack([HEIGHTS, middle + wider])
    )


def wander(profiles, *, axis=0, between_mm=(0.0, 80.0), read_mm=(0.0, 0.0)):
    return wander_mm(profiles, axis=axis, between_mm=between_mm, read_mm=read_mm)


@pytest.mark.parametrize("lean", [0.0, 0.2])
def test_how_far_a_thing_runs_to_and_fro_is_seen_between_opposite_sides(lean):
    seen = two_sides(lean * HEIGHTS + 4 * np.sin(2 * np.pi * HEIGHTS / 20))
    # of a sine half of all lies within sin 45 degrees of the middle (elementary)
    assert wander(seen) == pytest.approx(1.4826 * 4 * np.sin(np.pi / 4), rel=0.15)
    assert wander(seen, axis=1) is None
    assert wander(Profiles(left=seen.left)) is None
    assert wander(seen, between_mm=(30.0, 31.0)) is None  # too few heights
    straight = two_sides(lean * HEIGHTS)
    assert wander(straight) == pytest.approx(0, abs=1e-9)
    slip = np.array(straight.left)
    slip[7, 1] += 10
    assert wander(Profiles(left=slip, right=straight.right)) < 0.5


def test_only_what_the_sides_show_between_the_sections_counts():
    bent = two_sides(np.where(HEIGHTS > 50, HEIGHTS - 50, 0.0))  # straight as far as it is held
    assert wander(bent) > 1
    assert wander(bent, between_mm=(4.0, 46.0)) == pytest.approx(0, abs=1e-9)


def test_a_step_of_the_middle_is_no_slip():
    stepped = two_sides(np.where(HEIGHTS < 12, 5.0, 0.0))  # over 6 of 41 heights
    assert wander(stepped) > 0.8


def test_what_reading_makes_of_the_middle_is_no_wander():
    rng = np.random.default_rng(4)
    # the mean of two readings is off by √(r² + r²) / 2 (JCGM 100:2008, eq. 10)
    rough = [
        wander(two_sides(0.3 / np.sqrt(2) * rng.standard_normal(len(HEIGHTS))), read_mm=(0.3, 0.3))
        for _ in range(40)
    ]
    assert np.median(rough) < 0.1
    wandering = [
        wander(
            two_sides(np.hypot(0.3 / np.sqrt(2), 1.0) * rng.standard_normal(len(HEIGHTS))), read_mm=(0.3, 0.3)
        )
        for _ in range(40)
    ]
    assert np.median(wandering) == pytest.approx(1.0, rel=0.15)
