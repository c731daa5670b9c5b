"""Which section a finding or a mistake is about, by the place that it names."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cradle.names import section_words


def section_places(data: Mapping[str, Any]) -> dict[str, int]:
    """The number in the file, from 1, of each section by every place that messages about it name: itself and its file.

    A file of several sections stands for the first of them.

    Examples
    --------
    >>> section_places({"section": [{"outline": "low.svg"}, {"name": "rim", "measured": {}}]})
    {'section 1': 1, 'section 1: measured': 1, 'low.svg': 1, 'section "rim"': 2, 'section "rim": measured': 2}
    """
    places: dict[str, int] = {}
    sections = data.get("section")
    for number, section in enumerate(sections if isinstance(sections, list) else [], start=1):
        if not isinstance(section, Mapping):
            continue
        picture = section.get("picture")
        own = section_words(str(section.get("name", f"section {number}")))
        file = picture.get("file") if isinstance(picture, Mapping) else None
        for place in (own, f"{own}: measured", section.get("outline"), file):
            if isinstance(place, str):
                places.setdefault(place, number)
    return places
