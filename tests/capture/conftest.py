"""Let the tests of this room import the picture renderer from ``examples``."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2] / "examples"))
