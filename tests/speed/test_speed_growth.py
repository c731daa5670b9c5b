"""How time and memory grow with the sections and with the points of each."""

import json
import subprocess
import sys

import numpy as np
import pytest
from measuring import tell

pytestmark = pytest.mark.speed

RUN = """
import json, resource, sys, time
from pathlib import Path
from cradle.report.summary import summary_of
from cradle.pipeline import build, model_row
from cradle.project.reader import read_project
begin = time.process_time()
row = model_row(read_project(Path(sys.argv[1])))
middle = time.process_time()
made = build(row)
end = time.process_time()
print(json.dumps({
    "to_body_s": middle - begin,
    "to_holder_s": end - middle,
    "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    "triangles": len(made.holder.mesh.faces),
    "mesh_closed": summary_of(made)["mesh_closed"],
}))
"""


def project(folder, *, sections, points):
    """A lobed, leaning cone in many sections."""
    heights = np.linspace(2.0, 60.0, sections)
    angle = np.arange(points) * 2 * np.pi / points
    lines = ['[object]\nname = "lobes"', '[loft]\nalign = "drawing"']
    for number, height in enumerate(heights):
        radius = (18 + 0.12 * height) * (1 + 0.06 * np.cos(3 * angle) + 0.03 * np.cos(5 * angle + 1))
        ring = np.column_stack([1.2 * radius * np.cos(angle), radius * np.sin(angle) + 0.05 * height])
        np.savetxt(folder / f"{number}.csv", ring, fmt="%.5f", delimiter=",", header="x,y", comments="")
        lines.append(f'[[section]]\nname = "s{number}"\nheight = {height:.4f}\noutline = "{number}.csv"')
    lines.append("[fit]\nlift_out = [0, 0.05, 1]\n[block]\nheight = 55.0")
    file = folder / "holder.toml"
    file.write_text("\n".join(lines) + "\n")
    return file


def measured(folder, *, sections, points):
    folder.mkdir()
    return run(project(folder, sections=sections, points=points))


def run(file):
    done = subprocess.run([sys.executable, "-c", RUN, str(file)], check=True, capture_output=True, text=True)
    row = json.loads(done.stdout)
    assert row["mesh_closed"]
    return row


def line(sections, points, row):
    return (
        f"{sections:4d} sections x {points:4d} points: body {row['to_body_s']:6.2f} s, "
        f"holder {row['to_holder_s']:6.2f} s, {row['peak_mb']:5.0f} MB, {row['triangles']} triangles"
    )


@pytest.mark.parametrize("points", [64, 500, 2000])
def test_growth_with_sections(capsys, tmp_path, points):
    rows = {n: measured(tmp_path / str(n), sections=n, points=points) for n in (2, 8, 32, 200)}
    total = {n: row["to_body_s"] + row["to_holder_s"] for n, row in rows.items()}
    tell(
        capsys,
        *(line(n, points, row) for n, row in rows.items()),
        f"200 sections / 32 sections (6.25 would be linear): {total[200] / total[32]:.1f}",
    )


def leaning_ellipses(folder):
    """Two ellipses, the upper one askew, in a block that leans back; the way out is looked for."""
    angle = np.arange(256) * 2 * np.pi / 256
    lines = ['[object]\nname = "bottle"']
    for name, height, a, b, x in (("foot", 0.0, 30.0, 20.0, 0.0), ("neck", 60.0, 18.0, 24.0, 6.0)):
        ring = np.column_stack([x + a * np.cos(angle), b * np.sin(angle)])
        np.savetxt(folder / f"{name}.csv", ring, fmt="%.5f", delimiter=",", header="x,y", comments="")
        lines.append(f'[[section]]\nname = "{name}"\nheight = {height}\noutline = "{name}.csv"')
    lines.append('[fit]\nclearance = 0.35\nlift_out = "auto"\n[block]\nheight = 40.0\nlean = 30.0')
    file = folder / "holder.toml"
    file.write_text("\n".join(lines) + "\n")
    return file


def test_leaning_ellipses(capsys, tmp_path):
    row = run(leaning_ellipses(tmp_path))
    tell(capsys, f"two leaning ellipses, way out looked for: {line(2, 256, row).strip()}")
