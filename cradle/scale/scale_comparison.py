"""Sources of scale beside one another: what is told of how they differ and of the view that they fix."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.scale import DISAGREE, FROM_TAG, OBLIQUE, Scale, ScaleKind, measured_difference
from cradle.finding import Finding, doubt, in_unit, note
from cradle.project.picture import PictureSource, ScaleFrom
from cradle.units import PAPER_MM

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.calibration.picture_view import PictureView
    from cradle.pictures.image import Picture

RULERS_DISAGREE: Final = "rulers-disagree"
SURE: Final = 3.0
"""Sources contradict one another if they differ by more than this many standard uncertainties."""
_LEAN_TOLD_DEG: Final = 1.0
_GLASS_MM: Final = (*PAPER_MM.values(), (215.9, 297.0), (215.9, 355.6), (297.0, 420.0))
"""Sizes of whole scans, mm, the shorter side first: a sheet of paper, or all of a scanner's glass (common practice, no source)."""
_WHOLE: Final = 0.01


def compared(
    used: Scale, members: Sequence[Scale], others: Sequence[Scale], spec: PictureSource, *, picture: Picture
) -> Iterator[Finding]:
    """Which other sources contradict the one used, and whether it stands alone."""
    where = picture.file
    off = [abs(measured_difference(used, other)[0]) for other in others]
    yield from (
        _disagreement(used, other, spec, because=_trusted_because(used, members, other, spec), where=where)
        for other, own in zip(others, off, strict=True)
        if own > DISAGREE
    )
    confirmed = len(members) > 1 or any(own <= DISAGREE for own in off)
    if used.kind is ScaleKind.BANK_CARD and not confirmed:
        yield _card_alone(used, where)
    if used.kind is ScaleKind.TAG and not others:
        yield _tag_alone(used, picture)


def _tag_alone(used: Scale, picture: Picture) -> Finding:
    """The doubt about a scale that the file's tag alone tells; only a note where the picture, by that scale, has the size of a whole scan: a copy made smaller has not."""
    told = f"the scale rests on the file's {used.told} alone, and"
    size_mm = np.multiply(picture.size_px, picture.resolution.mm_per_px or (0.0, 0.0))
    short, long = sorted(size_mm.tolist())
    if any(max(abs(short / own[0] - 1), abs(long / own[1] - 1)) < _WHOLE for own in _GLASS_MM):
        return note(
            FROM_TAG,
            f"{told} by it the picture is {short:.0f} x {long:.0f} mm, a whole scan",
            "check a length with calipers",
            where=picture.file,
        )
    return doubt(
        FROM_TAG,
        f"{told} nothing in the picture confirms it",
        "lay a ruler beside the piece, or check it with calipers",
        where=picture.file,
    )


def _trusted_because(used: Scale, members: Sequence[Scale], other: Scale, spec: PictureSource) -> str:
    """Why the source used was preferred to another that contradicts it, in words."""
    if spec.scale is not ScaleFrom.AUTO:
        return "it was asked for"
    if len(members) > 1 and other.kind is not ScaleKind.TAG:
        return "all others contradict the other one"
    if used.kind is other.kind:
        return "it has more marks"
    return f"a {used.kind.named} is trusted more than a {other.kind.named}"


def _disagreement(used: Scale, other: Scale, spec: PictureSource, *, because: str, where: str) -> Finding:
    off, length = measured_difference(used, other)
    more = "larger" if off > 0 else "smaller"
    over = f", {abs(off) * length:.2f} mm over {length:.0f} mm" if np.isfinite(length) else ""
    return doubt(
        "scales-disagree",
        f"by the {used.told} sizes are {100 * abs(off):.2f} % {more} than by the {other.told}{over};"
        f" the {used.kind.named} was used because {because}",
        "check with calipers"
        + ("" if spec.scale is ScaleFrom.AUTO else ', or have the scale found (scale = "auto")')
        + ("; all is well if what looks like a card is none" if other.kind is ScaleKind.BANK_CARD else ""),
        where=where,
        **in_unit("%", 100 * abs(off), limit=100 * DISAGREE),
    )


def _card_alone(card: Scale, where: str) -> Finding:
    """The note that the scale rests on a card alone, in case something else was taken for one."""
    return note(
        "scale-from-card",
        f"the scale rests on one thing alone, {card.place}: it has a bank card's form, and was taken for one",
        "if that is something else, lay a ruler beside the piece, or give two points and how far they are apart",
        where=where,
    )


def view_findings(view: PictureView, members: Sequence[Scale], *, where: str) -> Iterator[Finding]:
    """What is told of the view that sources fix together."""
    if view.lean_deg > _LEAN_TOLD_DEG:
        yield note(
            OBLIQUE,
            f"the camera was tilted by about {view.lean_deg:.0f}°; this was corrected as far as the known lengths show it",
            "hold the camera level, straight above the piece",
            where=where,
            **in_unit("deg", view.lean_deg),
        )
    uneven = view.height_by_width - 1
    apart = float(np.ptp(view.off)) if quarrel(view, members) else 0.0
    if max(abs(uneven), apart) > DISAGREE:
        yield _rulers_disagree(_kinds(members), uneven, apart, where)


def quarrel(view: PictureView, members: Sequence[Scale]) -> bool:
    """Whether some source is surely off by more than it should be, whatever the view."""
    shares = [member.known.share for member in members if member.known is not None]
    return bool((np.abs(view.off) > SURE * np.array(shares)).any())


def _rulers_disagree(kinds: str, uneven: float, apart: float, where: str) -> Finding:
    """The doubt that sources differ along and across a picture, or that no view explains by how much they do."""
    if abs(uneven) > DISAGREE:
        off = 100 * abs(uneven)
        how = f"by them a pixel is {off:.1f} % {'longer' if uneven > 0 else 'shorter'} up and down (y) than left to right (x)"
        why = "one of them is wrong, or the picture was not taken from straight above"
    else:
        off = 100 * apart
        how = f"sizes differ by {off:.1f} % by one and the other, and no lean of the camera explains that"
        why = "one of them is wrong, or bent, or lies higher than the paper"
    return doubt(
        RULERS_DISAGREE,
        f"the {kinds} disagree: {how}; {why}",
        "check both against each other, or measure the piece both ways with calipers",
        where=where,
        **in_unit("%", off, limit=100 * DISAGREE),
    )


def _kinds(members: Sequence[Scale]) -> str:
    """The kinds of sources in words."""
    kinds = [s.kind.value for s in members]
    return " and ".join(
        f"{kinds.count(kind)} {kind}s" if kinds.count(kind) > 1 else kind for kind in dict.fromkeys(kinds)
    )
