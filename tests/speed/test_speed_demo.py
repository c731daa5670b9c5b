"""The ocarina demo: its geometry against a bare boolean plus file write, and the whole process."""

import json
from pathlib import Path

import manifold3d
import numpy as np
import pytest
from measuring import UNAVOIDABLE, best_s, cost_of, tell

from cradle.geometry.solid import moved, solid
from cradle.holder.block import block_plan, block_solid
from cradle.pipeline import build, model_row
from cradle.project.reader import read_project
from cradle.report.summary import summary_of

pytestmark = pytest.mark.speed
DEMOS = Path(__file__).parents[2] / "demo_data"
DEMO = DEMOS / "ocarina/holder.toml"


def bare_boolean_and_write(made, folder):
    """What any program has to do at least: body out of block, triangles to a file."""
    block = made.project.block
    height = made.holder.height_mm
    whole = block_solid(
        block_plan(made.holder.cavity.plan(), block, under=np.zeros((1, 2))), block, height_mm=height
    )
    tool = moved(solid(made.own.model.body.mesh, where="body"), (0.0, 0.0, made.holder.lift_mm))
    tool = manifold3d.Manifold(tool.to_mesh64())

    def job():
        rest = manifold3d.Manifold.batch_boolean([whole, tool], manifold3d.OpType.Subtract)
        mesh = rest.to_mesh64()
        corners = np.asarray(mesh.vert_properties)[:, :3].astype("<f4")[np.asarray(mesh.tri_verts)]
        record = np.zeros(len(corners), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
        record["v"] = corners
        record["n"] = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        (folder / "bare.stl").write_bytes(b"\0" * 80 + np.uint32(len(corners)).tobytes() + record.tobytes())
        return len(corners)

    return job


def test_geometry_of_the_demo(capsys, tmp_path):
    project = read_project(DEMO)
    reading, row = best_s(lambda: model_row(project))
    building, made = best_s(lambda: build(row))
    bare, triangles = best_s(bare_boolean_and_write(made, tmp_path))
    assert summary_of(made)["mesh_closed"]
    assert triangles > 100
    tell(
        capsys,
        f"drawings to body     {1000 * reading:7.0f} ms  ({len(made.own.model.body.mesh.faces)} triangles)",
        f"body to holder       {1000 * building:7.0f} ms  ({len(made.holder.mesh.faces)} triangles)",
        f"bare boolean + write {1000 * bare:7.0f} ms  ({triangles} triangles)",
        f"body to holder / bare boolean + write: {building / bare:.1f}",
        f"drawings to holder / bare boolean + write: {(reading + building) / bare:.1f}",
    )


def test_whole_processes(capsys, tmp_path):
    least = cost_of("-c", UNAVOIDABLE)
    rows = [f"{UNAVOIDABLE}: {least.cpu_s:.2f} s of CPU, {least.peak_mb:.0f} MB"]

    def row(words, cost, also=""):
        times = cost.cpu_s / least.cpu_s
        rows.append(
            f"{words:22s} {cost.cpu_s:6.2f} s of CPU, {times:5.1f} times that; {cost.peak_mb:4.0f} MB{also}"
        )

    row("cradle --help", cost_of("-m", "cradle", "--help"))
    row("cradle check ocarina", cost_of("-m", "cradle", "check", str(DEMO)))
    row("cradle pieces ocarina", cost_of("-m", "cradle", "pieces", str(DEMO), "-o", str(tmp_path)))
    for name in ("ocarina", "nozzle", "pair"):
        folder = tmp_path / name
        cost = cost_of("-m", "cradle", "make", str(DEMOS / name / "holder.toml"), "-o", str(folder))
        summary = json.loads((folder / "summary.json").read_text())
        row(f"cradle make {name}", cost, f"; {summary['triangles']} triangles")
        assert summary["triangles"] > 100
    tell(capsys, *rows)
