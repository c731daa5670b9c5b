"""What can be used of a project that still has mistakes."""

import pytest

from cradle.capture.outline_reader import source_outline
from cradle.errors import InputError
from cradle.page.drafts import draft_of

TEXT = """
[[section]]
name = "rim"
height = 40
measured = { form = "rectangle", width = 30, depth = 0.1 }
[[section]]
height = 20
outline = "belly.svg"
[[section]]
name = "foot"
height = 5
picture = { file = "foot.png" }
[[section]]
height = "wide"
outline = "belly.svg"
layer = "low"
"""


def test_each_place_that_messages_name_leads_to_its_section(tmp_path):
    draft = draft_of(TEXT, file=tmp_path / "holder.toml")
    usable = [s for s in draft.sections if s.number < 3]
    for section in usable:
        with pytest.raises(InputError) as caught:
            source_outline(section.spec, folder=tmp_path)
        assert draft.places[caught.value.where] == section.number + 1
        assert draft.places[section.spec.where] == section.number + 1
    assert draft.places["section 4"] == 4
    assert len(usable) == 3
