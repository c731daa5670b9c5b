"""What the page shows of a holder before it is measured."""

import base64
import re

import numpy as np
from tub import TUB

from cradle.page.holder_data import rough_data
from cradle.pipeline import model_row
from cradle.pipeline.foresight import rough_holder
from cradle.project.reader import read_project


def points_mm(part):
    steps = np.frombuffer(base64.b64decode(part["points"]), dtype="<u2").reshape(-1, 3)
    return np.array(part["low"]) + steps * part["step"]


def test_a_first_holder_shows_every_thing_in_its_own_pocket(tmp_path):
    """Of two tubs and a narrow one, all three, the narrow one on the right."""
    file = tmp_path / "holder.toml"
    oval = re.sub(r"corner = \d", "", TUB.replace("rectangle", "ellipse"))
    file.write_text(f'{oval}wall = 3\n[row]\ncount = 2\nthings = ["narrow.toml"]\n', encoding="utf-8")
    narrow = oval.replace("width = 30", "width = 15").replace("width = 36", "width = 18")
    (tmp_path / "narrow.toml").write_text(narrow, encoding="utf-8")
    row = model_row(read_project(file))
    x = np.sort(points_mm(rough_data(rough_holder(row), row)["thing"])[:, 0])
    across = np.split(x, np.flatnonzero(np.diff(x) > 3.0) + 1)  # between pockets a wall stands
    assert [round(float(np.ptp(one))) for one in across] == [36, 36, 18]
