"""Figures and notes of the report, against their own geometry."""

import re
from dataclasses import replace
from types import SimpleNamespace
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from made_demos import made_demo

from cradle.drawing.holder_views import cuts_of, holder_views
from cradle.geometry.arrays import frozen
from cradle.geometry.mesh import TriMesh, edge_statistics, volume_mm3
from cradle.geometry.planar import region_even_odd
from cradle.geometry.ring import resample, size
from cradle.pipeline.output_files import report_files
from cradle.report.chance_figure import chance_figure
from cradle.report.facts import measured_facts
from cradle.report.gap_figure import gap_figure
from cradle.report.gap_map import gap_map
from cradle.report.printing import print_facts, print_hints
from cradle.report.section_figure import as_traced, section_figures
from cradle.report.shown_mesh import packed, shown, shown_body
from cradle.report.side_figure import side_figures
from cradle.sections.hollows import hollows_of

CUBE = TriMesh.of(
    [[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0], [0, 0, 10], [10, 0, 10], [10, 10, 10], [0, 10, 10]],
    [
        [0, 2, 1],
        [0, 3, 2],
        [4, 5, 6],
        [4, 6, 7],
        [0, 1, 5],
        [0, 5, 4],
        [1, 2, 6],
        [1, 6, 5],
        [2, 3, 7],
        [2, 7, 6],
        [3, 0, 4],
        [3, 4, 7],
    ],
)


@pytest.mark.parametrize("name", ["ocarina", "nozzle"])
def test_figures_are_well_formed(name):
    made = made_demo(name)
    (thing,) = made.things
    sides = side_figures(thing, holder=made.holder, views=holder_views(made.holder, made.things)[1:])
    figures = [svg for _, svg in (*section_figures(thing), *sides)]
    figures.append(gap_figure(thing, gap_map(thing.model.body, thing.pocket, lead_in_mm=1.0)))
    assert len(figures) == len(thing.model.sections) + 3
    for svg in figures:
        root = ElementTree.fromstring(svg)
        assert root.get("aria-label")
        assert len(root) > 3


def test_the_trace_is_shown_at_its_own_size():
    for section in made_demo("ocarina").own.model.sections:
        assert size(as_traced(section)) == pytest.approx(section.traced_mm, abs=0.02)


def test_the_trace_runs_into_hollows_that_the_outline_as_used_spans():
    top = made_demo("ocarina").own.model.sections[-1]
    hollows = hollows_of(as_traced(top), trace_mm=0.1)
    assert max(hollow.depth_mm for hollow in hollows) > 1.0
    assert hollows_of(top.points_mm, trace_mm=0.1) == ()


def paths_of(svg, kind):
    """The polylines of a figure of one kind, figure units."""
    found = [e.get("d") for e in ElementTree.fromstring(svg).iter() if e.get("class") == kind]
    trails = [trail for d in found for trail in d.split("M")[1:]]
    return [np.array(re.findall(r"[-\d.]+", trail), dtype=float).reshape(-1, 2) for trail in trails]


def test_a_long_outline_fills_no_more_than_a_screen():
    """A slot of 18 x 122 mm was drawn seven times as tall as wide; what is drawn stays in the middle."""
    own = made_demo("ocarina").own
    slot = replace(own.model.sections[0], points_mm=frozen(own.model.sections[0].points_mm * [0.2, 2.0]))
    ((_, svg),) = section_figures(replace(own, model=replace(own.model, sections=(slot,))))
    _, _, width, height = map(float, ElementTree.fromstring(svg).get("viewBox").split())
    assert height < 1.5 * width
    (thing,) = paths_of(svg, "thing")
    wide, deep = np.ptp(thing, axis=0)
    assert deep / wide == pytest.approx(np.divide(*size(slot.points_mm)[::-1]), rel=0.01)
    assert thing[:, 0].mean() == pytest.approx(width / 2, abs=0.06 * width)


@pytest.mark.parametrize("name", ["ocarina", "nozzle", "pair"])
def test_the_thing_is_shown_in_the_room_that_its_holder_leaves(name):
    """Seen whole before a holder that was cut, a thing that leans seemed to stand in its walls."""
    made = made_demo(name)
    views = holder_views(made.holder, made.things)
    for number, thing in enumerate(made.things):
        cuts = cuts_of(views, made.things, number)
        for (_, svg), view in zip(side_figures(thing, holder=made.holder, views=cuts), cuts, strict=True):
            wood, body = (region_even_odd(paths_of(svg, kind)) for kind in ("wood", "thing"))
            scale = np.sqrt(wood.area / region_even_odd(view.material).area)
            assert body.area > 0
            assert wood.distance(body) / scale > thing.gap.least_mm - 0.15 / scale  # three roundings
            ends = np.concatenate(paths_of(svg, "level"))
            away = shapely.distance(shapely.points(ends), body.boundary)
            assert away.max() < 0.2  # figure units: two roundings


def test_a_cube_s_twelve_edges_are_sharp_and_come_back_from_the_text():
    part = shown(CUBE)
    assert len(part.edges) == 12
    import base64

    text = packed(part)
    points = np.frombuffer(base64.b64decode(text["points"]), "<u2").reshape(-1, 3)
    back = np.array(text["low"]) + points * text["step"]
    assert np.abs(back - CUBE.vertices_mm).max() < 1e-3
    assert (np.frombuffer(base64.b64decode(text["faces"]), "<u2").reshape(-1, 3) == CUBE.faces).all()


def test_the_body_shown_is_closed_and_nearly_as_large():
    made = made_demo("ocarina")
    light = shown_body(made.own.model.body).moved(made.own.places(made.holder)[0])
    assert edge_statistics(light.mesh).closed
    assert volume_mm3(light.mesh) == pytest.approx(volume_mm3(made.own.model.body.mesh), rel=0.02)
    assert len(light.mesh.faces) < len(made.own.model.body.mesh.faces) / 2


def test_a_hollow_in_the_thing_is_shown_open():
    """Of a bow, such as a game controller's, the picture closed what lies between its two grips."""
    around = np.linspace(0.0, np.pi, 80)
    arc = np.column_stack([np.cos(around), np.sin(around)])
    bow = np.concatenate([40 * arc, 25 * arc[::-1]])
    body = SimpleNamespace(rings_mm=np.stack([bow, bow]), heights_mm=np.array([0.0, 30.0]))
    light = shown_body(body).mesh
    a, b, c = light.vertices_mm[light.faces].transpose(1, 0, 2)
    level = np.cross(b - a, c - a)[:, 2] / 2
    assert level[level > 0].sum() == pytest.approx(
        np.pi * (40**2 - 25**2) / 2, rel=0.02
    )  # half a ring's area


@pytest.mark.parametrize("bunched", [60, 400])
def test_a_body_most_of_whose_columns_lie_at_one_corner_is_shown_whole(bunched):
    """Between unlike sections the columns of one may all end at a corner of another: shown by every so many, a square became a sliver."""
    square = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]])
    corner = np.tile(square[:1], (bunched, 1))
    ring = np.concatenate([corner, resample(square, count=100), corner])
    body = SimpleNamespace(rings_mm=np.stack([ring, ring]), heights_mm=np.array([0.0, 20.0]))
    light = shown_body(body).mesh
    assert volume_mm3(light) == pytest.approx(40 * 30 * 20, rel=0.02)
    assert len(light.vertices_mm) <= 2 * 72


def test_mass_and_filament_of_a_cube():
    printer = replace(made_demo("ocarina").project.printer, line_mm=0.4, material="PLA")
    large = TriMesh.of(10 * CUBE.vertices_mm, CUBE.faces)
    shell, solid = 6e4 * 0.8, 1e6  # mm³: six faces, two lines
    sparse = shell + 0.1 * (solid - shell)
    facts = dict(print_facts(large, printer=printer))
    assert facts["mass"] == f"{sparse * 1.24e-3:.0f} to {solid * 1.24e-3:.0f} g"
    metres = [mm3 / (np.pi * 1.75**2 / 4) / 1000 for mm3 in (sparse, solid)]
    assert facts["1.75 mm filament"] == f"{metres[0]:.0f} to {metres[1]:.0f} m"


def test_walls_layers_and_brim_follow_from_shape_and_material():
    printer = replace(made_demo("ocarina").project.printer, line_mm=0.4, layer_mm=0.3, material="PLA")
    assert print_hints(CUBE, printer=printer, wall_mm=1.2) == (
        "The thinnest wall, 1.20 mm, has room for 3 lines.",
        "It takes 34 layers.",
        "It needs no brim.",
    )
    tower = TriMesh.of(CUBE.vertices_mm * [1, 1, 4], CUBE.faces)
    assert "40 mm high on a base only 10 mm across" in print_hints(tower, printer=printer, wall_mm=1.2)[2]
    warps = replace(printer, material="abs")
    assert "corners of ABS lift" in print_hints(CUBE, printer=warps, wall_mm=1.2)[2]


def test_the_chance_curve_marks_what_was_asked():
    curve = [(0.1 * k, k / 10) for k in range(11)]
    svg = chance_figure(curve, asked_mm=0.3, told="0.30", chance=0.3, goal=0.95)
    root = ElementTree.fromstring(svg)
    assert "30 % at 0.30 mm" in root.get("aria-label")
    words = [e.text for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "aim 95 %" in words


@pytest.mark.parametrize(("asked", "most"), [(0.5, 3), (4.0, 4)])
def test_the_chance_curve_ends_where_no_clearance_helps_any_more(asked, most):
    curve = [(0.5 * k, k / 60) for k in range(61)]
    svg = chance_figure(curve, asked_mm=asked, told=f"{asked:.2f}", chance=asked / 30, goal=0.95)
    told = [float(x) for x in re.findall(r'text-anchor="middle">([\d.]+)<', svg)]
    assert max(told) == most


@pytest.mark.parametrize("most", [0.45, 0.85, 1.3, 2.0, 2.9])
def test_the_marks_of_the_clearance_are_as_far_apart_as_they_say(most):
    svg = chance_figure([(0.0, 0.0), (most, 1.0)], asked_mm=0.05, told="0.05", chance=0.5, goal=0.95)
    marks = re.findall(r'<text x="([\d.]+)"[^>]*text-anchor="middle">([\d.]+)<', svg)
    at, told = np.array(marks, dtype=float).T
    assert len(told) > 3
    assert np.diff(told) / np.diff(at) == pytest.approx(told[-1] / (at[-1] - at[0]), rel=2e-3)


@pytest.mark.parametrize("asked", [0.0, 0.05, 0.2, 0.5, 0.8, 0.95, 1.0])
@pytest.mark.parametrize("steep", [0.5, 1.0, 3.0, 12.0])
@pytest.mark.parametrize("goal", [0.5, 0.95])
def test_the_labels_of_the_chance_curve_cross_no_line(asked, steep, goal):
    curve = [(0.05 * k, min(1.0, (0.05 * k) ** (1 / steep))) for k in range(21)]
    chance = min(1.0, asked ** (1 / steep))
    root = ElementTree.fromstring(
        chance_figure(curve, asked_mm=asked, told=f"{asked:.2f}", chance=chance, goal=goal)
    )
    lines = []
    for path in root.iter("{http://www.w3.org/2000/svg}path"):
        if path.get("class") in ("curve", "level"):
            numbers = [float(v) for v in re.findall(r"-?[0-9.]+", path.get("d"))]
            if "H" in path.get("d"):
                numbers = [numbers[0], numbers[1], numbers[2], numbers[1]]
            lines.append(shapely.linestrings(np.reshape(numbers, (-1, 2))))
    labels = [e for e in root.iter("{http://www.w3.org/2000/svg}text") if "mm: " in e.text or "aim" in e.text]
    assert len(labels) == 2
    boxes = []
    for e in labels:
        x, y = float(e.get("x")), float(e.get("y"))
        boxes.append(shapely.box(x, y - 9, x + 7 * len(e.text), y))
    assert not any(shapely.intersects(box, line) for box in boxes for line in lines)
    assert not shapely.intersects(*boxes)


@pytest.mark.slow
def test_every_holder_of_a_comparison_has_its_own_files():
    made = made_demo("nozzle")
    files = report_files(made, label="0.20") | report_files(made, label="0.30")
    assert list(files) == [
        f"{stem}-{label}.{end}"
        for label in ("0.20", "0.30")
        for stem, end in (
            ("fit-report", "html"),
            ("hose-nozzle-workshop", "pdf"),
            ("hose-nozzle-drawing", "dxf"),
            ("hose-nozzle-drawing", "svg"),
            ("hose-nozzle-drill-template", "pdf"),
        )
    ]
    assert report_files(made, label="0.20").items() <= files.items()


def test_what_hangs_on_a_wall_is_not_said_to_tip_over():
    facts = dict(measured_facts(made_demo("nozzle")))
    assert facts["standing"] == "fixed to a wall, not judged"
    assert "tips over at" not in facts
