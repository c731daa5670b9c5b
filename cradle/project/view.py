"""``[side]`` and ``[[view]]``: how the thing looks from its sides."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from typing import Final, Literal, TypeAlias

from cradle.project.convert import LEAST_SIZE_MM, Choice, FilePath, length, or_word
from cradle.project.key import Example, Table, Values, key, spec
from cradle.project.mistake import Mistake, amount
from cradle.project.picture import PICTURE, PICTURE_ENDINGS, PictureSource, Traced
from cradle.project.section import DRAWING, DrawingSource
from cradle.project.side import Side

FREE: Literal["free"] = "free"
Free: TypeAlias = Literal["free"]
_FARTHEST_LENS_MM: Final = 50_000.0
"""From there a thing looks as from infinitely far."""
PROFILE_ENDINGS: Final = (".svg", ".dxf", ".csv")
_VIEW_INSTEAD: Final = "a picture of a side belongs in a [[view]], as its picture"
_PROFILE: Final = FilePath(PROFILE_ENDINGS, elsewhere=dict.fromkeys(PICTURE_ENDINGS, _VIEW_INSTEAD))


@spec
class SideSpec:
    """Files of side profiles: height against the outermost y (front, back) or x (left, right)."""

    front: str | None = key(
        _PROFILE, "height, y  (outermost point on that side)", default=None, example="outlines/front.csv"
    )
    back: str | None = key(_PROFILE, "height, y", default=None, example="outlines/back.csv")
    left: str | None = key(_PROFILE, "height, x", default=None, example="outlines/left.csv")
    right: str | None = key(_PROFILE, "height, x", default=None, example="outlines/right.csv")


class ViewScale(StrEnum):
    """Whether the size of a view's outline counts."""

    GIVEN = "given"
    """By the drawing's unit or the picture's scale."""
    FREE = "free"
    """It is found from what calipers and sections say."""


@spec
class ViewSpec:
    """The closed silhouette of the thing, seen from a side; heights run up.

    To the right runs x seen from the front, -x from the back, y from the
    right, and -y from the left.
    """

    seen_from: Side = key(Choice(Side), "the side it is seen from", name="from")
    source: DrawingSource | PictureSource
    scale: ViewScale = key(
        Choice(ViewScale),
        "{}: the outline's own size is used, or found from the sections",
        default=ViewScale.GIVEN,
        start="free",
    )
    distance_mm: float | None = key(
        length(above=20.0, most=_FARTHEST_LENS_MM, hint="from the lens to the thing's middle"),
        "lens, level with it, to the thing's middle; left out: taken from far away",
        default=None,
        start=1200,
    )
    bottom_mm: float | Free = key(
        or_word(FREE, length(least=0.0)),
        'height of the outline\'s lowest edge: 0 is the resting line; or "free"',
        default=0.0,
    )
    top_mm: float | None = key(
        length(least=LEAST_SIZE_MM),
        "height of its highest edge; leave it out if the view is cut off there",
        default=None,
        example=70.0,
    )

    @property
    def where(self) -> str:
        """The view, for messages."""
        return f"view from the {self.seen_from}"


def _check_view(values: Values) -> Iterator[Mistake]:
    """A top that is not above the bottom, and a silhouette that would be a hollow."""
    bottom, top, source = (values.get(name) for name in ("bottom_mm", "top_mm", "source"))
    if isinstance(bottom, float) and top is not None and top <= bottom:
        yield Mistake(
            found=f"{amount(top, 'mm')} is not above the bottom ({amount(bottom, 'mm')})",
            hint="both are heights above the resting plane, of the outline's highest and lowest edge",
            at=("top",),
        )
    if isinstance(source, PictureSource) and source.shape is Traced.CUT_OUT:
        yield Mistake(
            found=f"found {Traced.CUT_OUT} in a view",
            hint='a view is a closed outline: use shape = "piece" or shape = "line"',
            at=("picture", "shape"),
        )


SIDE: Final = Table(makes=SideSpec, says="side profiles: how the thing runs between the sections")
VIEW: Final = Table(
    makes=ViewSpec,
    says="""\
The thing seen from a side, as a closed outline: a photograph from far away, or a drawing. It tells
how the thing runs between the sections, and how it leans. Stand it as it stands in the holder.
In place of outline it may have a table [view.picture], as a section has.""",
    check=_check_view,
    drawing=DRAWING,
    sources={"picture": PICTURE},
)
VIEW_EXAMPLES: Final = (Example(shows={"from": "front", "outline": "views/front.svg"}),)
