"""The body as far as the block asks for it."""

from dataclasses import replace

import numpy as np
import pytest
from tub import TUB

from cradle.capture.outline_reader import read_outline
from cradle.finding import note
from cradle.geometry.region_measures import area_mm2
from cradle.geometry.solid import cut_regions
from cradle.pipeline import make
from cradle.pipeline.modelling import model_thing
from cradle.project.reader import project_from_text

THIN = """
[[section]]
name = "low"
height = 2.0
shift = [0.0, 0.0]
measured = {{ form = "ellipse", width = 60, depth = {depth} }}
[[section]]
name = "high"
height = 40.0
shift = [0.0, {shift}]
measured = {{ form = "ellipse", width = 60, depth = {depth} }}
[fit]
lift_out = "auto"
[block]
height = {height}
lean = {lean}
"""


@pytest.mark.further
@pytest.mark.parametrize(
    ("depth", "shift", "lean", "height"),
    [(8, 24, 20, 60), (12, 30, 25, 70), (10, 30, -30, 100), (10, 30, 30, 100)],
)
def test_a_thing_that_leans_and_is_leant_fills_its_block_to_the_top(tmp_path, depth, shift, lean, height):
    text = THIN.format(depth=depth, shift=shift, lean=lean, height=height)
    made = make(project_from_text(text, file=tmp_path / "holder.toml"))
    pocket = made.own.pocket
    heights = np.linspace(pocket.bottom_mm + 5, pocket.top_mm - 0.01, 30)
    areas = area_mm2(cut_regions(pocket.solid, heights))
    # an ellipse's level section, leaning by the angle of its axis to the upright, is no smaller than the ellipse
    assert areas[5:].min() > 0.9 * np.pi * 30 * depth / 2
    turned = (
        made.own.model.body.mesh.vertices_mm @ pocket.stand_from_thing[2, :3] + pocket.stand_from_thing[2, 3]
    )
    z = made.own.model.body.mesh.vertices_mm[:, 2]
    assert turned[z > z.max() - 1e-6].min() > pocket.top_mm


@pytest.mark.parametrize(
    ("edges_mm", "told"),
    [
        ((0.2, 0.2), ['sheet.png: sections "low" and "high": edge 0.2 mm']),
        ((0.2, 0.3), ['sheet.png: section "low": edge 0.2 mm', 'sheet.png: section "high": edge 0.3 mm']),
    ],
)
def test_what_is_found_of_several_sections_of_one_file_is_told_once_with_their_names(
    tmp_path, edges_mm, told
):
    edges = iter(edges_mm)

    def read(spec, *, folder):
        found = note("picture-uncertainty", f"edge {next(edges):g} mm", where="sheet.png")
        return replace(read_outline(spec, folder=folder), form_findings=(found,))

    model = model_thing(project_from_text(TUB, file=tmp_path / "holder.toml"), read=read)
    assert [str(f) for f in model.findings if f.code == "picture-uncertainty"] == told
