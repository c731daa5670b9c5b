"""Whether a picture whose file tells nothing was taken by a scanner: as its light and a card in it say.

A scanner lights its whole glass alike and looks straight down on it. A camera held
by hand leans by some degrees, which a card's four sides show, and its light falls
off: with the distance of the lamp, and towards the corners of the picture.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.finding import Finding, Severity
from cradle.scale.scale import ON_GLASS
from cradle.scale.view import fit_view, setting_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cradle.pictures.image import Picture
    from cradle.scale.scale import Scale

_LEVEL_DEG: Final = 0.5
"""A camera held by hand, which leans by 3 degrees either way, is so level one time in seventy; cards on glass seem so to 0.1."""
_EVEN: Final = 0.02
"""Part by which the levels of a lid differ over the whole glass at most (common practice, no source)."""
_BRIGHT: Final = 200.0


def seen_on_glass(picture: Picture, card: Scale, ground: NDArray[np.float32]) -> bool:
    """Whether a card lies as level and its ground is as bright and as evenly lit as on a scanner's glass.

    Parameters
    ----------
    picture : Picture
    card : Scale
        A card's, seen by what may be a camera.
    ground : (h, w, c)
        Levels of the ground everywhere.
    """
    if card.known is None or picture.by_camera:
        return False
    low, high = (float(np.quantile(ground.min(axis=-1), q)) for q in (0.01, 0.99))
    if low < _BRIGHT or high - low > _EVEN * high:
        return False
    view = fit_view(setting_of(picture, camera=True), (card.known,))
    return view.lean_deg < _LEVEL_DEG


def on_glass_note() -> Finding:
    """The note that a picture was taken for a scan."""
    return Finding(
        code=ON_GLASS,
        severity=Severity.NOTE,
        message="the file does not say what took the picture; its light is as even and the card lies as level as on a"
        " scanner's glass, so it was taken for a scan",
        where="card",
        advice="say how far the lens was with distance if a camera took it",
    )
