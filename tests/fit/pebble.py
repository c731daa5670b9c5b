"""A pebble in a holder, as a project file."""

TEXT = """
[object]
name = "pebble"
mass = 90
[[section]]
name = "low"
height = 2.0
measured = {{ form = "superellipse", width = 40.0, depth = 30.0, diagonal = 43.0 }}
[[section]]
name = "belly"
height = 14.0
measured = {{ form = "superellipse", width = 46.0, depth = 35.0, diagonal = 50.0 }}
[[section]]
name = "high"
height = 30.0
measured = {{ form = "superellipse", width = 50.0, depth = 38.0, diagonal = 54.0 }}
[fit]
clearance = {clearance}
between = {between}
[block]
height = 24.0
[printer]
inside_error = 0.08
[spread]
{spread}
"""

KNOWN_BETWEEN = "between = 0.15"
"""Between the sections things differ so much that no clearance is sure without it."""


def write_pebble(folder, *, clearance="0.4", between="0.0", spread=""):
    """The project file in a folder, with what it asks for and how surely it was measured."""
    file = folder / "holder.toml"
    file.write_text(TEXT.format(clearance=clearance, between=between, spread=spread), encoding="utf-8")
    return file
