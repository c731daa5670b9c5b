"""A picture as it is traced: with its scales, what is asked of it, and how high what is traced lay."""

from __future__ import annotations

from cradle.calibration.calibration import mm_per_px, to_mm, to_px
from cradle.calibration.scale import ScaleKind
from cradle.capture.thickness import Raised
from cradle.geometry.arrays import Floats
from cradle.noun import noun
from cradle.pictures.grain import Grain, LengthUnit
from cradle.pictures.image import Picture
from cradle.project.picture import PictureSource
from cradle.scale.scale_choice import Scales


@noun
class ScaledPicture:
    """A picture with its scales and what is asked of it.

    ``above`` is how high what is traced lay; None where no lens looked aslant at it.
    """

    picture: Picture
    spec: PictureSource
    scales: Scales
    above: Raised | None

    @property
    def name(self) -> str:
        """The picture, for messages."""
        return self.picture.file

    @property
    def grain(self) -> Grain:
        """Length of a pixel in the picture's middle, the longer way."""
        width, height = self.picture.size_px
        x, y = mm_per_px(self.scales.calibration, at_px=((width - 1) / 2, (height - 1) / 2))
        unknown = self.scales.used.kind is ScaleKind.SUPPOSED
        return Grain(mm=max(x, y), unit=LengthUnit.PX if unknown else LengthUnit.MM)

    def to_mm(self, points_px: Floats) -> Floats:
        """Places on the paper of points in the picture, ``(n, 2)``."""
        return to_mm(self.scales.calibration, points_px)

    def to_px(self, points_mm: Floats) -> Floats:
        """Places in the picture of points on the paper, ``(n, 2)``."""
        return to_px(self.scales.calibration, points_mm)

    def by_height_mm(self, ring_mm: Floats) -> float:
        """What a thickness that is not known exactly adds to the uncertainty of an edge's place."""
        return 0.0 if self.above is None else self.above.uncertainty_mm(ring_mm)
