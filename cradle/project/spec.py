"""What a project file says, as plain values: no arrays, no files opened.

Lengths in mm, angles in degrees, masses in g. ``AUTO`` marks a value that the
program is asked to choose. Vectors are in the thing's frame: x to the right,
y away from the viewer, z up from the plane the thing rests on.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Final, Literal, TypeAlias

from cradle.project.block_parts import CornerForm, PlateSpec, RowSpec
from cradle.project.picture_spec import PictureSource
from cradle.project.view import ViewSpec

AUTO: Literal["auto"] = "auto"
Auto: TypeAlias = Literal["auto"]
Pair: TypeAlias = tuple[float, float]
Triple: TypeAlias = tuple[float, float, float]


class Form(StrEnum):
    """Shape of a section known by measurements alone."""

    BOX = "box"
    ELLIPSE = "ellipse"
    SUPERELLIPSE = "superellipse"


class Nature(StrEnum):
    """What about the thing asks for caution."""

    SHARP = "sharp"
    WARM = "warm"
    """It is put away warm."""
    MAINS = "mains"
    """It is plugged into the mains, or charges there."""
    WET = "wet"
    CHILD = "child"
    """It is for children, or within their reach."""


class Align(StrEnum):
    """How sections without a given shift and turn are lined up."""

    AUTO = "auto"
    """Profiles when there are some, else mirror lines, else the best match."""
    PROFILES = "profiles"
    MIRROR = "mirror"
    MATCH = "match"
    DRAWING = "drawing"
    """The drawings share one frame already."""


class Between(StrEnum):
    """How the skin runs between sections."""

    AUTO = "auto"
    """Straight for 2 sections, smooth for 3 or more."""
    STRAIGHT = "straight"
    SMOOTH = "smooth"


class BlockForm(StrEnum):
    """Outline of the block seen from above."""

    BOX = "box"
    OVAL = "oval"
    HUG = "hug"
    """The outline follows the pocket's at one wall's distance."""


class OpeningKind(StrEnum):
    """Kinds of opening cut into the holder, and of parts for mounting it."""

    DRAIN = "drain"
    """A round hole through the floor under the pocket's middle."""
    ROUND = "round"
    SLOT = "slot"
    WINDOW = "window"
    """A rectangular hole through a wall, its corners rounded."""
    NOTCH = "notch"
    """A U-shaped opening through a wall, open at the rim: for a view, a lever or a cable."""
    FINGER = "finger"
    """A pair of round notches in opposite walls, to take hold of the thing."""
    SCREW = "screw"
    """A clearance hole for a screw."""
    COUNTERSUNK = "countersunk"
    """A clearance hole with a 90 degree countersink on the pocket's side."""
    KEYHOLE = "keyhole"
    """A slot in the outside of a wall that hangs on a screw's head."""
    MAGNET = "magnet"
    """A round recess from below, or in the outside of a wall."""
    FEET = "feet"
    """Four round recesses from below for rubber feet."""
    LABEL = "label"
    """Letters sunk into the outside of a wall."""


ON_BLOCK: Final = frozenset({OpeningKind.KEYHOLE, OpeningKind.MAGNET, OpeningKind.FEET, OpeningKind.LABEL})
"""Kinds that are there once for the block; each of the others is there once for every pocket."""


class Through(StrEnum):
    """What an opening goes through."""

    FLOOR = "floor"
    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectSpec:
    """The thing."""

    name: str = "thing"
    mass_g: float | None = None
    balance_mm: Triple | None = None
    height_mm: float | None = None
    nature: tuple[Nature, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingSource:
    """An outline in a drawing or a list of points (.svg .dxf .csv .json)."""

    path: str
    layer: str | None = None
    """Take only what is on this layer (DXF) or under this id (SVG)."""
    unit: str | None = None
    """Unit of a drawing that states none: mm, cm or in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredSource:
    """A section known by caliper readings alone; its middle is at the origin."""

    form: Form
    width_mm: float
    depth_mm: float
    corner_mm: float = 0.0
    diagonal_mm: float | None = None
    """Superellipse: largest extent along the diagonal of its box."""


Source: TypeAlias = DrawingSource | MeasuredSource | PictureSource


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionSpec:
    """One section of the thing."""

    name: str
    height_mm: float
    source: Source
    half: bool = False
    width_mm: float | None = None
    depth_mm: float | None = None
    girth_mm: float | None = None
    """Length of a taut string round the section: a cross-check only."""
    shift_mm: Pair | None = None
    """Where the middle of the section's width and depth lies."""
    turn_deg: float | None = None
    clearance_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SideSpec:
    """Files of side profiles: height against the outermost y (front, back) or x (left, right)."""

    front: str | None = None
    back: str | None = None
    left: str | None = None
    right: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoftSpec:
    """How the sections become a body."""

    align: Align = Align.AUTO
    between: Between = Between.AUTO


@dataclass(frozen=True, slots=True, kw_only=True)
class FitSpec:
    """How the thing sits in the holder."""

    clearance_mm: float | Auto = 0.35
    """Per side, normal to the wall."""
    insertion: Triple | Auto = (0.0, 0.0, 1.0)
    """Direction in which the thing is lifted out."""
    relief_mm: float | Auto = 0.0
    chance: float = 0.95
    """What ``clearance = "auto"`` aims at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadSpec:
    """Standard uncertainties (one standard deviation) of what was measured; None lets `cradle.fit` choose."""

    trace_mm: float = 0.1
    """Of a traced outline, square to it; smooth along it, of its own for each section."""
    scale_percent: float = 0.2
    """Of a drawing's scale, where no caliper reading corrects it; common to all drawings."""
    calipers_mm: float = 0.03
    """Of one caliper reading by hand: feel, squareness, the mark's height."""
    step_mm: float = 0.01
    """The calipers' last digit."""
    heights_mm: float = 0.3
    """Of a section's height."""
    placing_mm: float | None = None
    """Of where a section lies beside the others."""
    between_mm: float | None = None
    """Of the thing half way between two sections."""
    inside_mm: float | None = None
    """Of the printer's inside error; given, the inside error counts as measured even when it is 0."""
    repeat_mm: float = 0.03
    """From one print to the next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockSpec:
    """The parametric base."""

    form: BlockForm = BlockForm.BOX
    wall_mm: float = 3.0
    floor_mm: float = 4.0
    height_mm: float = 40.0
    flare_mm: float | Auto = 0.0
    """How much wider the foot is, per side; AUTO makes it as wide as ``stand_deg`` asks for."""
    stand_deg: float = 15.0
    """How far holder and thing shall lean in any direction before they fall."""
    corner_mm: float = 4.0
    corner_form: CornerForm = CornerForm.ROUND
    chamfer_mm: float = 0.5
    lead_in_mm: float = 1.0
    lean_deg: float = 0.0

    @property
    def wider_mm(self) -> float:
        """The flare as a number; 0 while it is still to be chosen."""
        return 0.0 if isinstance(self.flare_mm, str) else self.flare_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningSpec:
    """One opening through the floor or a wall.

    ``at_mm`` is (x, y) in the thing's frame for the floor, and (along the wall,
    height above the resting plane) for a wall; None is the pocket's middle. In a
    row it counts for each pocket from its own thing's frame, and for parts of the
    block along x from the block's middle.
    """

    kind: OpeningKind
    through: Through = Through.FLOOR
    at_mm: Pair | None = None
    diameter_mm: float | None = None
    """Round holes, magnets, feet; a screw's hole where its size is not in the table."""
    width_mm: float | None = None
    """Slot: across; its ends are round. Window, notch: along the wall."""
    length_mm: float | None = None
    """Slot: overall."""
    height_mm: float | None = None
    """Window: upward. Label: of the letters."""
    depth_mm: float | None = None
    """Notch, finger: below the rim. Recesses, labels: into the material."""
    corner_mm: float | None = None
    """Window, notch: radius of the corners."""
    screw: str | None = None
    """Size of a metric screw, such as M4."""
    head_mm: float | None = None
    """Diameter of a screw's head where its size is not in the table."""
    lip_mm: float | None = None
    """Keyhole: thickness of what the screw's head holds."""
    text: str | None = None
    """Label: what it says."""
    turn_deg: float = 0.0
    """Slot: seen from above, or looking at the wall from the front or the right."""
    pocket: int | None = None
    """Which of the pockets in a row, from 1 at the left; None is every one, or for a part of the block its middle."""


class RingForm(StrEnum):
    """Whether a test-fit slice goes all the way round."""

    CLOSED = "closed"
    OPEN = "open"
    """Open behind the widest part, so that it goes on from the front."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SliceSpec:
    """Test-fit slices."""

    thickness_mm: float = 2.4
    clearances_mm: tuple[float, ...] = (0.2, 0.3, 0.4)
    heights_mm: tuple[float, ...] = ()
    """Heights besides the sections' own."""
    ring: RingForm = RingForm.CLOSED


@dataclass(frozen=True, slots=True, kw_only=True)
class PrinterSpec:
    """The printer and its material."""

    bed_mm: Triple = (220.0, 220.0, 250.0)
    line_mm: float = 0.42
    layer_mm: float = 0.2
    material: str = "PLA"
    inside_error_mm: float = 0.0
    """Measured: how much smaller, per side, an inside wall comes out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """Everything a project file says."""

    file: Path
    """The file it was read from; relative paths start at its folder."""
    thing: ObjectSpec = field(default_factory=ObjectSpec)
    sections: tuple[SectionSpec, ...]
    side: SideSpec = field(default_factory=SideSpec)
    views: tuple[ViewSpec, ...] = ()
    loft: LoftSpec = field(default_factory=LoftSpec)
    fit: FitSpec = field(default_factory=FitSpec)
    block: BlockSpec = field(default_factory=BlockSpec)
    plate: PlateSpec | None = None
    row: RowSpec = field(default_factory=RowSpec)
    openings: tuple[OpeningSpec, ...] = ()
    slices: SliceSpec = field(default_factory=SliceSpec)
    printer: PrinterSpec = field(default_factory=PrinterSpec)
    spread: SpreadSpec = field(default_factory=SpreadSpec)

    @property
    def folder(self) -> Path:
        """Folder that relative paths start from."""
        return self.file.parent

    @property
    def slug(self) -> str:
        """The thing's name made fit for file names: lower case, words joined by hyphens."""
        words = "".join(c if c.isalnum() else " " for c in self.thing.name.lower()).split()
        return "-".join(words) or "thing"
