"""``[printer]`` and ``[test_pieces]``: the printer, its material, and thin rings to try the fit on."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from typing import Final

from cradle.project.convert import LEAST_SIZE_MM, Choice, Triple, length, list_of, text
from cradle.project.key import Table, Values, key, spec
from cradle.project.materials import MATERIALS, Material, material_named
from cradle.project.mistake import Mistake, amount
from cradle.project.section import CLEARANCE, SIZE

LARGEST_INSIDE_ERROR_MM: Final = 2.0
"""A printer that errs by more than this per side makes no holder (our own choice)."""
_LINE: Final = length(least=LEAST_SIZE_MM, most=5.0)


class RingForm(StrEnum):
    """Whether a ring goes all the way round."""

    CLOSED = "closed"
    OPEN = "open"
    """Open behind the widest part, so that it goes on from the front."""


@spec
class PieceSpec:
    """Test pieces: thin rings and pegs."""

    thickness_mm: float = key(length(least=LEAST_SIZE_MM, most=50.0), default=2.4)
    clearances_mm: tuple[float, ...] = key(
        list_of(CLEARANCE),
        "one ring for each gap per side; left out: the holder's own and two beside it",
        default=(),
        example=[0.2, 0.3, 0.4],
    )
    ring: RingForm = key(
        Choice(RingForm),
        "{} (cut away behind the widest part: it goes on from the front)",
        default=RingForm.CLOSED,
    )
    heights_mm: tuple[float, ...] = key(
        list_of(length(least=0.0)), "heights to try besides the sections' own", default=(), example=[12.0]
    )


class Paper(StrEnum):
    """The paper that pages are laid out for."""

    A4 = "A4"
    LETTER = "Letter"


@spec
class PrinterSpec:
    """The printer and its material, and the paper of the pages to print."""

    bed_mm: Triple = key(
        list_of(SIZE, names="x y z"),
        "x, y, z it can print",
        default=(220.0, 220.0, 250.0),
        start=[220, 220, 250],
    )
    line_mm: float = key(_LINE, "width of one printed line", default=0.42, name="line_width")
    layer_mm: float = key(_LINE, "height of one layer", default=0.2, name="layer_height")
    material: str = key(text("the name of a material"), " | ".join(MATERIALS), default="PLA")
    inside_error_mm: float = key(
        length(
            least=-LARGEST_INSIDE_ERROR_MM,
            most=LARGEST_INSIDE_ERROR_MM,
            hint="how much too small, per side, a printed pocket is",
        ),
        "measured: how much too small, per side, a printed pocket is",
        default=0.0,
    )
    paper: Paper = key(Choice(Paper), "{}: for the workshop page and the paper check", default=Paper.A4)

    @property
    def known_material(self) -> Material | None:
        """What is known of its material; None where that is nothing."""
        return material_named(self.material)

    @property
    def solid_density_g_cm3(self) -> float:
        """Of a print without hollows; that of PLA where the material is not known."""
        return (self.known_material or MATERIALS["PLA"]).density_g_cm3


def _check_pieces(values: Values) -> Iterator[Mistake]:
    """Clearances that stand twice in the list."""
    clearances = values.get("clearances_mm", ())
    for index, clearance in enumerate(clearances):
        if clearance in clearances[:index]:
            yield Mistake(
                found=f"found {amount(clearance, 'mm')} twice",
                hint="list each clearance once",
                at=("clearances", index),
            )


TEST_PIECES: Final = Table(
    makes=PieceSpec, says="thin rings to try the fit on before the long print", check=_check_pieces
)
PRINTER: Final = Table(makes=PrinterSpec)
