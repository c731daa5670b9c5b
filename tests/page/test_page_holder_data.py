"""What the page shows of a holder before it is measured."""

import re
from dataclasses import replace

import numpy as np
from shown import points_mm
from tub import TUB

from cradle.finding import note
from cradle.page.holder_data import holder_data, rough_data
from cradle.pipeline import build, model_row
from cradle.pipeline.building import rough_holder
from cradle.project.reader import read_project


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


def test_a_finding_on_another_thing_is_shown_in_its_pocket_and_leads_nowhere_in_this_project(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_text(f'{TUB}[row]\nthings = ["narrow.toml"]\n', encoding="utf-8")
    (tmp_path / "narrow.toml").write_text(TUB.replace("Tub", "Narrow tub"), encoding="utf-8")
    made = build(model_row(read_project(file)))
    tall = note("tall", "it is tall", where='section "low"', place_mm=(0.0, 0.0, 10.0))
    found = tuple(replace(tall, things=(label,), message=label) for label in ("Tub", "Narrow tub"))
    own, other = holder_data(replace(made, findings=found))["findings"]
    assert (own["own"], other["own"]) == (True, False)
    places = [thing.places(made.holder)[0][:2, 3].tolist() for thing in made.things]
    np.testing.assert_allclose([own["at"][:2], other["at"][:2]], places, atol=0.01)
