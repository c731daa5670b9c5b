"""How far a printed length may be off: a yardstick from a standard for machined parts.

ISO 286-1 gives a full tolerance band by nominal size and grade. Grade 13 is
taken as the yardstick, half to each side: it says what is worth a second look
with the calipers, not what a printer holds. Sizes above 18 up to 120 mm as in a
published extract of the standard; the others from memory.
"""

from __future__ import annotations

from typing import Final

import numpy as np

SOURCE: Final = "Limits: ± half of IT13 (ISO 286-1). A guide only; printers differ."
_UP_TO_MM: Final = np.array(
    [3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000]
)
_BAND_MM: Final = np.array(
    [
        *(0.14, 0.18, 0.22, 0.27, 0.33, 0.39, 0.46, 0.54, 0.63, 0.72),
        *(0.81, 0.89, 0.97, 1.10, 1.25, 1.40, 1.65, 1.95, 2.30),
    ]
)


def band_mm(length_mm: float) -> float:
    """The full tolerance band of ISO 286-1 grade 13 for a length, mm; a size on a limit counts below it."""
    step = int(np.searchsorted(_UP_TO_MM, length_mm))
    return float(_BAND_MM[min(step, len(_BAND_MM) - 1)])
