import numpy as np
import pytest
from fit_models import round_places
from scipy.optimize import linprog

from cradle.fit.best_position import TURN_LIMIT_DEG, fits, seats

RNG = np.random.default_rng(3)


def oval(count=48, squash=0.6, levels=3):
    t = np.arange(count) * 2 * np.pi / count
    points = np.column_stack([30 * np.cos(t), 30 * squash * np.sin(t)])
    normal = np.column_stack([squash * np.cos(t), np.sin(t)])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    turn = (points[:, 0] * normal[:, 1] - points[:, 1] * normal[:, 0]) / 25
    return np.tile(np.column_stack([normal, turn]), (levels, 1))


@pytest.mark.parametrize("squash", [1.0, 0.9, 0.6])
def test_seats_are_those_of_a_linear_program(squash):
    directions = oval(squash=squash)
    deviations = 0.2 * RNG.standard_normal((40, len(directions)))
    found = seats(directions, deviations, lever_mm=25)
    limit = 25 * np.radians(TURN_LIMIT_DEG)
    for e, t in zip(deviations, found.tightness_mm, strict=True):
        answer = linprog(
            [0, 0, 0, 1],
            A_ub=np.column_stack([directions, -np.ones(len(directions))]),
            b_ub=-e,
            bounds=[(-5, 5), (-5, 5), (-limit, limit), (None, None)],
        )
        # where the thing is at the end of its turn, that end gives way by some ten-thousandths of the tightness
        assert t == pytest.approx(answer.fun, abs=1e-5)
    assert found.tightness_mm.std() > 0.01


def test_the_loads_explain_the_tightness():
    directions = oval()
    deviations = 0.1 * RNG.standard_normal((200, len(directions)))
    found = seats(directions, deviations, lever_mm=25)
    real = found.carriers >= 0
    carried = np.take_along_axis(deviations, np.where(real, found.carriers, 0), axis=1)
    assert found.loads.sum(axis=1) == pytest.approx(1.0)
    assert (np.where(real, found.loads * carried, 0).sum(axis=1)) == pytest.approx(found.tightness_mm)
    reached = deviations + found.moves @ directions.T
    assert reached.max(axis=1) == pytest.approx(found.tightness_mm, abs=1e-6)


def test_a_shifted_thing_is_not_tight():
    directions = oval()
    moved = directions @ np.array([0.4, -0.3, 0.2])
    found = seats(directions, np.array([moved, moved + 0.1, -moved]), lever_mm=25)
    assert found.tightness_mm == pytest.approx([0.0, 0.1, 0.0], abs=1e-6)


def test_a_round_thing_may_turn_as_it_likes():
    places = round_places()
    found = places.seats(np.full((2, 72), 0.25))
    assert found.tightness_mm == pytest.approx(0.25)


def test_a_thing_that_is_crooked_cannot_be_straightened_by_a_shift():
    # top shifted one way, foot the other: no common shift helps
    places = round_places()
    crooked = places.directions[:, 0] * (places.levels - 1) * 0.2
    found = places.seats(crooked[None])
    assert found.tightness_mm == pytest.approx([0.2], abs=1e-6)


def test_a_draw_fits_where_its_tightness_is_not_above_0():
    rng = np.random.default_rng(7)
    angle = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    directions = np.column_stack([np.cos(angle), np.sin(angle), 0.3 * np.sin(2 * angle)])
    deviations = rng.normal(-0.18, 0.1, (400, 90))
    tight = seats(directions, deviations, lever_mm=25).tightness_mm <= 0
    assert 0.2 < tight.mean() < 0.8
    assert np.array_equal(fits(directions, deviations, lever_mm=25), tight)


@pytest.mark.parametrize("unround", [0.0, 1e-15, 1e-12, 1e-9, 1e-6])
def test_the_seat_of_a_thing_that_is_round_but_for_rounding_is_found(unround):
    directions = oval(count=80, squash=1.0, levels=5)
    directions[:, 2] = unround * RNG.standard_normal(len(directions))
    around = np.tile(np.arange(80) * np.pi / 40, 5)
    waves = np.column_stack([np.ones(400), np.cos(2 * around), np.sin(3 * around)])
    deviations = 0.05 * RNG.standard_normal((2000, 3)) @ waves.T
    found = seats(directions, deviations, lever_mm=25)
    for e, t in zip(deviations[:5], found.tightness_mm[:5], strict=True):
        flat = np.column_stack([directions[:, :2], -np.ones(len(directions))])
        answer = linprog([0, 0, 1], A_ub=flat, b_ub=-e, bounds=[(-5, 5), (-5, 5), (None, None)])
        assert t == pytest.approx(answer.fun, abs=1e-6)
    assert (fits(directions, deviations, lever_mm=25) == (found.tightness_mm <= 0)).mean() > 0.999


def test_seats_are_found_where_the_search_limits_carry():
    # things that miss their pocket by centimetres: most seats lie at the ends of the search
    directions = oval(count=60, squash=0.7, levels=4)
    deviations = 40 * RNG.standard_normal((1500, 3)) @ directions.T + 15 * RNG.standard_normal((1500, 1))
    deviations += 5 * RNG.standard_normal(deviations.shape)
    found = seats(directions, deviations, lever_mm=25)
    assert (found.carriers < 0).any(axis=1).mean() > 0.9
    assert found.loads.min() >= 0
    assert found.loads.sum(axis=1) == pytest.approx(1.0)
    reached = (deviations + found.moves @ directions.T).max(axis=1)
    assert (reached <= found.tightness_mm + 1e-6).all()


@pytest.mark.parametrize("seed", range(2))
def test_a_thing_that_little_holds_is_seated_too(seed):
    # seldom turned to one side, it leans on the search's own limits, which are 10,000 times as stiff
    rng = np.random.default_rng(seed)
    angle = rng.uniform(-1.8, 1.8, 120)
    directions = np.column_stack([np.cos(angle), np.sin(angle), 0.3 * np.sin(2 * angle)])
    directions *= rng.uniform(0.1, 1, (120, 1))
    deviations = rng.normal(0.0, 3.0, (500, 120))
    found = seats(directions, deviations, lever_mm=25)
    assert (found.carriers < 0).any()
    needed = (deviations + found.moves @ directions.T).max(axis=1)
    assert needed == pytest.approx(found.tightness_mm, abs=1e-6)


def test_a_search_begun_at_other_seats_ends_at_the_same():
    rng = np.random.default_rng(8)
    directions, one, other = _random_places(rng), rng.normal(0, 0.3, (60, 90)), rng.normal(0, 0.3, (60, 90))
    first = seats(directions, one, lever_mm=25)
    anew, begun = (
        seats(directions, other, lever_mm=25),
        seats(directions, other, lever_mm=25, start=first.basis),
    )
    assert begun.tightness_mm == pytest.approx(anew.tightness_mm, abs=1e-6)
    assert begun.moves == pytest.approx(anew.moves, abs=1e-4)
    told = fits(directions, other - 0.5, lever_mm=25, start=first.basis)
    assert np.array_equal(told, fits(directions, other - 0.5, lever_mm=25))


@pytest.mark.parametrize("size_mm", [0.5, 20.0, 1e6])
@pytest.mark.parametrize("unlike", [0.0, 1e-15, 1e-12, 1e-9, 1e-7])
@pytest.mark.parametrize("kind", ["four ways", "in a row", "one way", "no way", "flat"])
def test_seats_are_found_where_places_nearly_coincide(kind, unlike, size_mm):
    rng = np.random.default_rng(8)
    for _ in range(4):
        directions = _few_places(kind, rng)[rng.integers(0, 7, 60)]
        directions += unlike * rng.choice([0.0, 1e-5, 0.01, 0.1, 1.0], (60, 1)) * rng.standard_normal((60, 3))
        deviations = size_mm * rng.standard_normal((30, 60))
        first = seats(directions, deviations, lever_mm=25)
        _assert_best(first, directions, deviations)
        moved = deviations + 0.3 * size_mm * rng.standard_normal((30, 60))
        found = seats(directions, moved, lever_mm=25, start=first.basis)
        _assert_best(found, directions, moved)
        doubtful = np.abs(found.tightness_mm) < 1e-6 * max(1.0, size_mm)
        for told in (
            fits(directions, moved, lever_mm=25, start=first.basis),
            fits(directions, moved, lever_mm=25),
        ):
            assert ((told == (found.tightness_mm <= 0)) | doubtful).all()


def _few_places(kind, rng):
    """Directions of seven places, of which few are unlike."""
    angle = rng.integers(0, 4, 7) * np.pi / 2
    if kind == "four ways":
        return np.column_stack([np.cos(angle), np.sin(angle), rng.choice([-0.5, 0.0, 0.5], 7)])
    if kind == "flat":
        return rng.standard_normal((7, 3)) * [1.0, 1e-9, 1e-3]
    one, other = rng.standard_normal((2, 3))
    along = {"in a row": rng.uniform(-1, 1, 7), "one way": np.ones(7), "no way": np.zeros(7)}[kind]
    return np.outer(along, one) + (other if kind == "in a row" else 0.0)


def _assert_best(found, directions, deviations):
    """What no seat can do without: nothing crossed further, by loads that balance; and for one the library's answer."""
    limit = 25 * np.radians(TURN_LIMIT_DEG)
    ends = np.array(
        [[1, 0, 0, 5], [0, 1, 0, 5], [0, 0, 1, limit], [-1, -1, -1, 10 + limit], [0, 0, -1, limit]]
    )
    near = 1e-6 * max(1.0, float(np.abs(deviations).max()))
    assert (deviations + found.moves @ directions.T <= found.tightness_mm[:, None] + near).all()
    rows = np.concatenate([directions, 1e4 * ends[:, :3]])
    needs = np.column_stack([deviations, np.tile(-1e4 * ends[:, 3], (len(deviations), 1))])
    assert found.loads.min() >= 0
    assert found.loads.sum(axis=1) == pytest.approx(1.0)
    assert np.einsum("nk,nki->ni", found.loads, rows[found.basis]) == pytest.approx(0.0, abs=1e-7)
    carried = (found.loads * np.take_along_axis(needs, found.basis, axis=1)).sum(axis=1)
    assert carried == pytest.approx(found.tightness_mm, abs=near)
    for e, t in zip(needs[:1], found.tightness_mm[:1], strict=True):
        stiff = np.concatenate([np.ones(len(directions)), np.full(len(ends), 1e4)])
        below = np.column_stack([rows, -np.ones(len(rows))]) / stiff[:, None]
        answer = linprog([0, 0, 0, 1], A_ub=below, b_ub=-e / stiff, bounds=(None, None), method="highs-ipm")
        assert t == pytest.approx(answer.fun, abs=near)


def _random_places(rng):
    """Directions of 90 places round about, each with its arm for a turn."""
    angle = rng.uniform(0, 2 * np.pi, 90)
    return np.column_stack([np.cos(angle), np.sin(angle), rng.uniform(-1, 1, 90)])
