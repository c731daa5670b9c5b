import re

import numpy as np
import pytest
from fronts import placed_by_front, silhouette_of, stack_of
from pinhole import picture_of
from section_shapes import outline, polar, spec
from section_shapes import placed as placed_of

from cradle.errors import CombinedError, SectionError
from cradle.finding import Severity
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import size, turned
from cradle.names import listed
from cradle.pictures.border import Border
from cradle.project.fit import SpreadSpec
from cradle.project.section import Align, DrawingSource
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec
from cradle.sections.profiles import Profiles
from cradle.sections.section import PlacedBy
from cradle.views.silhouette import Silhouette, check_whole, check_widths, cut_off_findings


def test_the_extents_of_a_turned_rectangle():
    # by hand: a cos + b sin, a sin + b cos; 130 x 40 at 2 degrees
    box = np.array([[-65.0, -20], [65, -20], [65, 20], [-65, 20]])
    assert size(turned(box, angle_deg=2)) == pytest.approx((131.317, 44.513), abs=1e-3)


def test_a_circles_turn_is_known_by_its_drawing_alone():
    circle = polar(400, lambda t: 25 + 0 * t)
    result = placed_of([outline(circle)], specs=[spec(width_mm=50.0, depth_mm=50.0)], spread=SpreadSpec())
    assert np.degrees(result.posterior.spreads()[0, 2]) == pytest.approx(2.5, rel=0.3)


HEIGHTS, FACTORS = (5.0, 25.0, 45.0), (0.8, 1.1, 0.9)
LEVELS = np.linspace(0.0, 50.0, 101)
EGG = polar(400, lambda t: 22 + 3 * np.cos(2 * t) + 2 * np.sin(t))


def leaning_eggs():
    """Outlines of an egg at `LEVELS`, leaning 0.1 to the right."""
    grown = np.interp(LEVELS, HEIGHTS, FACTORS)
    return [EGG * g + [0.1 * h, 0.0] for g, h in zip(grown, LEVELS, strict=True)]


def ends_of(levels):
    """The silhouette of outlines at `LEVELS` from the front, from far away, ``(2 l, 2)``."""
    low, high = ([end(r[:, 0]) for r in levels] for end in (min, max))
    return np.concatenate([np.column_stack([low, LEVELS]), np.column_stack([high, LEVELS])[::-1]])


def seen_from(distance, *, told, rings, levels):
    """Sections placed by a view rendered from a distance."""
    picture = frozen(picture_of(levels, heights=LEVELS, distance=distance) * 3.7)
    return placed_by_front(picture, heights=HEIGHTS, rings=rings, distance_mm=distance if told else None)


def test_what_placed_a_section_is_told_a_view_a_profile_or_both():
    rings = [EGG * f for f in FACTORS]
    straight = ends_of([EGG * np.interp(h, HEIGHTS, FACTORS) for h in LEVELS])
    by_view = placed_by_front(straight, heights=HEIGHTS, rings=rings)
    assert {s.placed_by for s in by_view.sections} == {PlacedBy.VIEWS}
    front = [[h, (EGG * f)[:, 1].min()] for h, f in zip(HEIGHTS, FACTORS, strict=True)]
    both = placed_by_front(straight, heights=HEIGHTS, rings=rings, profiles=Profiles(front=frozen(front)))
    assert {s.placed_by for s in both.sections} == {PlacedBy.BOTH}


@pytest.mark.parametrize("told", [True, False])
@pytest.mark.parametrize("distance", [500.0, 1000.0, 2000.0])
def test_a_view_of_a_leaning_egg_gives_its_lean(distance, told):
    result = seen_from(distance, told=told, rings=[EGG * f for f in FACTORS], levels=leaning_eggs())
    assert np.polyfit(HEIGHTS, result.posterior.estimate[:, 0], 1)[0] == pytest.approx(0.1, abs=0.02)
    assert result.posterior.lean_known == (True, False)
    assert result.profiles.left is not None


@pytest.mark.parametrize("align", [Align.AUTO, Align.DRAWING, Align.PROFILES])
def test_where_the_drawings_lie_moves_what_a_view_shows_with_them(align):
    view = Silhouette(
        spec=ViewSpec(seen_from=Side.FRONT, source=DrawingSource(path="invented.csv"), scale=ViewScale.FREE),
        points_mm=frozen(ends_of(leaning_eggs())),
    )

    def reach(beside):
        rings = [EGG * f + [0.1 * h + beside, 0.0] for h, f in zip(HEIGHTS, FACTORS, strict=True)]
        specs = [spec(f"s{i}", h) for i, h in enumerate(HEIGHTS)]
        found = placed_of([outline(r) for r in rings], specs=specs, views=[view], align=align)
        return [
            (
                s.points_mm[:, 0].min(),
                s.points_mm[:, 0].max(),
                *(p.at(s.height_mm) for p in found.profiles.known),
            )
            for s in found.sections
        ]

    here, there = np.array(reach(0.0)), np.array(reach(7.0))
    assert there - here == pytest.approx(np.full((3, 4), 7.0), abs=0.02)
    assert here[:, 2:] == pytest.approx(here[:, :2], abs=0.15)


def test_a_given_shift_says_where_a_view_lies():
    view = Silhouette(
        spec=ViewSpec(seen_from=Side.FRONT, source=DrawingSource(path="invented.csv"), scale=ViewScale.FREE),
        points_mm=frozen(ends_of(leaning_eggs())),
    )
    specs = [spec(f"s{i}", h, shift_mm=(40.0, 0.0) if i == 1 else None) for i, h in enumerate(HEIGHTS)]
    found = placed_of([outline(EGG * f) for f in FACTORS], specs=specs, views=[view])
    middles = [(s.points_mm[:, 0].min() + s.points_mm[:, 0].max()) / 2 for s in found.sections]
    assert middles == pytest.approx([38.0, 40.0, 42.0], abs=0.1)
    assert "reading-disagrees" not in {f.code for f in found.findings}


def test_a_profile_that_was_read_says_where_a_view_lies():
    rings = [EGG * f + [0.1 * h + 12.0, 0.0] for h, f in zip(HEIGHTS, FACTORS, strict=True)]
    left, right = ([(h, end(r[:, 0])) for h, r in zip(HEIGHTS, rings, strict=True)] for end in (min, max))
    found = placed_by_front(
        ends_of(leaning_eggs()), heights=HEIGHTS, rings=rings, profiles=Profiles(left=frozen(left))
    )
    (seen,) = (profile for profile in found.profiles.known if profile.side is Side.RIGHT)
    assert [seen.at(h) for h, _ in right] == pytest.approx([reach for _, reach in right], abs=0.05)


@pytest.mark.parametrize("known", ["the other view", "profiles"])
@pytest.mark.parametrize("other_side", [True, False])
def test_a_second_view_of_the_same_sides_is_held_against_what_is_known(other_side, known):
    """A thing that leans to the right from the front leans to the left from the back, where it was taken from there."""
    ends = ends_of(leaning_eggs())

    def view(side, points):
        source = DrawingSource(path="invented.csv")
        return Silhouette(
            spec=ViewSpec(seen_from=side, source=source, scale=ViewScale.FREE), points_mm=frozen(points)
        )

    back = view(Side.BACK, ends * [-1, 1] if other_side else ends)
    low, high = ends[: len(LEVELS)], ends[: len(LEVELS) - 1 : -1]
    read = Profiles(left=frozen(low[:, ::-1]), right=frozen(high[:, ::-1]))
    given = {"views": [view(Side.FRONT, ends), back]}
    if known == "profiles":
        given = {"views": [back], "profiles": read}
    specs = [spec(f"s{i}", h) for i, h in enumerate(HEIGHTS)]
    findings = placed_of([outline(EGG * f) for f in FACTORS], specs=specs, **given).findings
    (unused,) = [f for f in findings if f.code == "view-not-needed"]
    assert f"from {'another view' if known == 'the other view' else 'their profiles'};" in unused.message
    assert [f.where for f in findings if f.code == "view-mirrored"] == ["view from the back"] * (
        not other_side
    )


@pytest.mark.slow
@pytest.mark.parametrize("distance", [500.0, 1000.0, 2000.0])
def test_a_near_edge_looks_too_wide_unless_the_distance_is_told(distance):
    """A box 50 mm wide all the way up, 20, 60 and 30 mm deep: its near face looks wider by t / (D - t)."""
    corners = np.array([[-25.0, -0.5], [25.0, -0.5], [25.0, 0.5], [-25.0, 0.5]])
    depths = (20.0, 60.0, 30.0)
    rings = [corners * [1.0, d] for d in depths]
    deep = np.interp(LEVELS, HEIGHTS, depths)
    levels = [corners * [1.0, d] for d in deep]
    off = {}
    for told in (True, False):
        profiles = seen_from(distance, told=told, rings=rings, levels=levels).profiles
        heights = np.arange(7.0, 44.0, 2.0)
        width = np.interp(heights, *profiles.right.T) - np.interp(heights, *profiles.left.T)
        off[told] = np.ptp(width)
    # of the deepest against the flattest, pinhole
    nearest = 50 * (30 / (distance - 30) - 10 / (distance - 10))
    assert off[True] < 0.02
    assert 0.7 * nearest < off[False] < 1.05 * nearest  # some of it goes into the view's own size


TABLES = {
    "wide": np.array([[90.0, 0.0], [90.0, -30.0], [-90.0, -30.0], [-90.0, 0.0]]),
    "narrow": np.array([[40.0, 0.0], [40.0, -9.0], [-40.0, -9.0], [-40.0, 0.0]]),
}


def placed_by_eggs(*, table, cut_off_at, **given):
    """Sections placed by a view of leaning eggs on a table that was traced with them."""
    view = Silhouette(
        spec=ViewSpec(
            seen_from=Side.FRONT, source=DrawingSource(path="invented.csv"), scale=ViewScale.FREE, **given
        ),
        points_mm=frozen(np.concatenate([ends_of(leaning_eggs()), TABLES[table]])),
        cut_off_at=cut_off_at,
    )
    specs = [spec(f"s{i}", h) for i, h in enumerate(HEIGHTS)]
    return placed_of([outline(EGG * f) for f in FACTORS], specs=specs, views=[view])


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize(
    "borders", [(Border.LEFT, Border.RIGHT), (Border.LOWER,), (Border.UPPER, Border.LEFT)]
)
def test_a_table_that_was_traced_with_the_thing_is_named(table, borders):
    with pytest.raises(
        SectionError, match=f"reaches the picture's {listed(borders)} edge: the table on which"
    ):
        placed_by_eggs(table=table, cut_off_at=borders)


def test_widths_that_differ_are_told_with_the_side_it_was_taken_from():
    with pytest.raises(SectionError, match="widths in the view differ") as refused:
        placed_by_eggs(table="narrow", cut_off_at=())
    assert "from which side" in refused.value.hint


def test_all_views_that_were_not_taken_of_the_thing_alone_are_told_at_once():
    views = [
        Silhouette(
            spec=ViewSpec(seen_from=side, source=DrawingSource(path="a.csv")),
            points_mm=TABLES["wide"],
            cut_off_at=(Border.LEFT,),
        )
        for side in (Side.FRONT, Side.LEFT)
    ]
    with pytest.raises(CombinedError) as refused:
        check_whole(views)
    assert [error.where for error in refused.value.errors] == ["view from the front", "view from the left"]


@pytest.mark.parametrize(
    ("borders", "given"), [((Border.UPPER,), {}), ((Border.UPPER, Border.LOWER), {"bottom_mm": "free"})]
)
def test_a_view_may_be_cut_off_above_and_below_where_its_heights_are_given(borders, given):
    spec = ViewSpec(seen_from=Side.FRONT, source=DrawingSource(path="a.csv"), **given)
    view = Silhouette(spec=spec, points_mm=TABLES["wide"], cut_off_at=borders)
    check_whole([view])
    (told,) = cut_off_findings(view)
    assert told.severity is Severity.NOTE
    assert f"the picture's {listed(borders)} edge" in told.message


@pytest.mark.parametrize(
    ("seen", "hint"), [((75, 107, 107), "a handle.* shows at 30 mm"), ((90, 92, 96), "^check")]
)
def test_a_handle_beside_the_thing_is_thought_of(seen, hint):
    """A mug's handle shows between its sections at 30 and 60 mm, and not at its foot."""
    view = Silhouette(
        spec=ViewSpec(seen_from=Side.FRONT, source=DrawingSource(path="mug.csv")), points_mm=TABLES["wide"]
    )
    widths = np.array([75.2, 77.3, 80.0])
    with pytest.raises(SectionError, match="widths in the view differ") as refused:
        check_widths(view, off=np.array(seen) - widths, widths=widths, heights=np.array([5.0, 30.0, 60.0]))
    assert re.search(hint, refused.value.hint)


def tilt_told(result):
    """The turn that set the view upright, and its stated spread, degrees."""
    note = next(f for f in result.findings if f.code == "view-scaled")
    turn, spread = re.findall(r"(-?[0-9.]+)°", note.message)
    return float(turn), float(spread)


@pytest.mark.parametrize("tilted", [-3.0, 0.5, 1.5, 5.0])
def test_a_flat_base_between_corners_tells_the_tilt(tilted):
    # by construction: the silhouette was turned by just so much
    levels = stack_of(lambda z: 60.0 + 0.2 * z)
    result = placed_by_front(
        silhouette_of(levels, tilted_deg=tilted), heights=[5.0, 45.0], rings=[levels[5][1], levels[45][1]]
    )
    turn, spread = tilt_told(result)
    (size_told,) = [f.message for f in result.findings if f.code == "view-scaled"]
    assert size_told.startswith("the view got its size from the sections and was turned")
    assert "%" not in size_told
    assert turn == pytest.approx(-tilted, abs=0.3)
    assert spread < 1.0


@pytest.mark.parametrize("foot", [0.0, 2.0, 5.0])
def test_a_base_that_rises_from_a_small_foot_hardly_tells_the_tilt(foot):
    """Read every millimetre up, a ball and a bowl with a foot on one side show long straight edges that are no base."""
    ball = stack_of(lambda z: max(2 * np.sqrt(max(60.0 * z - z * z, 0.0)), foot) + 1.0)
    lopsided = [(z, ring + [0.15 * np.ptp(ring[:, 0]), 0.0]) for z, ring in ball]
    for levels in (ball, lopsided):
        result = placed_by_front(
            silhouette_of(levels, tilted_deg=0.0), heights=[5.0, 45.0], rings=[levels[5][1], levels[45][1]]
        )
        turn, spread = tilt_told(result)
        assert abs(turn) < 2 * spread
        assert spread > 0.3


@pytest.mark.slow
@pytest.mark.parametrize("low", [1.5, 2.0, 2.5])
@pytest.mark.parametrize("tilted", [-1.0, 0.0, 1.0])
@pytest.mark.parametrize("given", [{}, {"top_mm": 50.0}])
def test_a_section_at_a_step_does_not_say_that_a_view_shows_something_else(low, tilted, given):
    """A body 66 mm wide on a foot of 40 that widens within 2 mm: a height off by a little changes the width by much."""
    levels = stack_of(lambda z: float(np.interp(z, [0.0, 1.0, 3.0], [38.0, 40.0, 66.0])), step=0.25)
    at = dict(levels)
    result = placed_by_front(
        silhouette_of(levels, tilted_deg=tilted),
        heights=[low + 0.5, 40.0],
        rings=[at[low], at[40.0]],
        **given,
    )
    right, left = result.profiles.right, result.profiles.left
    assert np.interp(30.0, *right.T) - np.interp(30.0, *left.T) == pytest.approx(66.0, rel=0.06)


def test_a_view_of_something_else_is_refused_all_the_same():
    levels = stack_of(lambda z: 60.0 - 0.8 * z)
    upside_down = [(50.0 - z, ring) for z, ring in reversed(levels)]
    with pytest.raises(SectionError, match="differ from the sections'"):
        placed_by_front(
            silhouette_of(upside_down),
            heights=[5.0, 25.0, 45.0],
            rings=[levels[i][1] for i in (5, 25, 45)],
            top_mm=50.0,
        )


@pytest.mark.parametrize("highest", [46.0, 49.0, 49.999])
def test_sections_at_the_ends_of_a_view_that_closes_there_do_not_make_it_a_giant(highest):
    """A ball that was said to be a post: it is seen so narrow at its ends that it would be made some times to thousands of times as wide as it is high."""
    ball = stack_of(lambda z: 0.01 + 60.0 * np.sqrt(max(0.0, 1 - (z / 25 - 1) ** 2)), step=0.05)
    post = stack_of(lambda z: 60.0)[0][1]
    with pytest.raises(SectionError, match="differ from the sections'"):
        placed_by_front(silhouette_of(ball), heights=[0.5, highest], rings=[post, post], top_mm=50.0)


def test_readings_that_are_exchanged_are_named_and_not_the_view_that_they_make_look_wrong():
    ring = polar(400, lambda t: 30 + 3 * np.cos(3 * t)) * [1.0, 2.0]
    view = Silhouette(
        spec=ViewSpec(seen_from=Side.FRONT, source=DrawingSource(path="invented.csv")),
        points_mm=silhouette_of([(z, ring) for z in (0.0, 50.0)], scale=1.0),
    )
    width, depth = size(ring)
    specs = [
        spec("low", 5.0, width_mm=width, depth_mm=depth),
        spec("high", 40.0, width_mm=depth, depth_mm=width),
    ]
    with pytest.raises(SectionError, match="width and depth are swapped"):
        placed_of([outline(ring)] * 2, specs=specs, views=[view])


def test_what_disagrees_in_a_view_is_told_once():
    ring = polar(400, lambda t: 30 + 3 * np.cos(3 * t))
    view = Silhouette(
        spec=ViewSpec(seen_from=Side.FRONT, source=DrawingSource(path="invented.csv")),
        points_mm=silhouette_of([(z, ring) for z in (0.0, 70.0)], scale=1.0),
    )
    specs = [
        spec(f"s{i}", 10.0 + 25 * i, shift_mm=(x, 0.0), width_mm=size(ring)[0])
        for i, x in enumerate((0.0, 8.0, 0.0))
    ]
    found = placed_of([outline(ring)] * 3, specs=specs, views=[view]).findings
    (told,) = (f for f in found if f.code == "reading-disagrees")
    assert re.search(r"edge in the view at \S+ mm .*, as do(es)? \S+ other edges? in", told.message)


def test_a_view_shows_the_section_on_the_table_and_says_which_heights_it_shows():
    levels = stack_of(lambda z: 60.0 + 0.2 * z)
    leaning = [(z, ring + [0.1 * z, 0.0]) for z, ring in levels]
    result = placed_by_front(silhouette_of(leaning), heights=[0.0, 45.0], rings=[levels[0][1], levels[45][1]])
    x = result.posterior.estimate[:, 0]
    assert x[1] - x[0] == pytest.approx(0.1 * 45.0, abs=0.3)
    assert not [f for f in result.findings if f.code == "profile-silent"]
    note = next(f for f in result.findings if f.code == "view-scaled")
    assert "heights from 0.0 to 50.0 mm" in note.message
