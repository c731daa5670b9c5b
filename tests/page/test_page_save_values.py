"""Moved values, written back into the project file."""

import tomllib

import pytest

from cradle.errors import InputError
from cradle.page.save_values import keep_values


def test_only_the_moved_value_changes(tub):
    before = tub.read_text(encoding="utf-8")
    after = keep_values(tub, {"fit.clearance": 0.45}, read=before)
    assert tub.read_text(encoding="utf-8") == after
    assert tomllib.loads(after)["fit"]["clearance"] == 0.45
    one, other = tomllib.loads(before), tomllib.loads(after)
    one.setdefault("fit", {})["clearance"] = 0.45
    assert one == other
    assert [p.name for p in tub.parent.iterdir()] == [tub.name]


def test_a_file_that_somebody_changed_meanwhile_is_left_alone(tub):
    before = tub.read_text(encoding="utf-8")
    changed = before + "\n# mine\n"
    tub.write_text(changed, encoding="utf-8")
    with pytest.raises(InputError, match="was changed since this page read it"):
        keep_values(tub, {"fit.clearance": 0.45}, read=before)
    assert tub.read_text(encoding="utf-8") == changed


def test_a_value_that_would_not_be_sound_is_not_written(tub):
    before = tub.read_text(encoding="utf-8")
    with pytest.raises(InputError, match=r"fit\.clearance"):
        keep_values(tub, {"fit.clearance": -1.0}, read=before)
    assert tub.read_text(encoding="utf-8") == before
