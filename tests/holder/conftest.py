"""A plain thing in its pocket, whose holder many tests measure."""

import pytest
from pockets import TILE, pocket_of


@pytest.fixture(scope="package")
def tile():
    """The pocket of a tile of 40 by 24 mm with 0.5 mm per side, up to 30 mm."""
    return pocket_of(TILE)
