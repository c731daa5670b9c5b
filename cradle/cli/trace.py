"""``cradle trace PICTURE``: outlines in mm from a scan or a photograph, with a check picture."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from cradle.cli import options
from cradle.errors import InputError
from cradle.project.picture import PICTURE, LineEdge, PictureSource, ScaleFrom, Traced
from cradle.project.section import DRAWING_ENDINGS

if TYPE_CHECKING:
    from cradle.finding import Finding


@click.command()
@click.argument("picture", metavar="PICTURE", type=options.FILE, help="A scan or photograph.")
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    type=options.FILE,
    help="Where the outlines go: .svg, .dxf or .csv; else an .svg beside the picture.",
)
@click.option(
    "--shape",
    metavar="|".join(Traced),
    default=str(Traced.PIECE),
    help="The edge of a piece, the hollow cut into it, or a drawn line.",
)
@click.option(
    "--pick", metavar="NUMBER", type=int, help="Only this piece, counted row by row from the upper left."
)
@click.option(
    "--point", metavar="X,Y", help="Only the piece on which this point lies, px from the upper left."
)
@click.option(
    "--edge",
    metavar="|".join(LineEdge),
    default=str(LineEdge.MIDDLE),
    help="Which edge of a drawn line.",
)
@click.option(
    "--scale",
    metavar="|".join(ScaleFrom),
    default=str(ScaleFrom.AUTO),
    help="Where the scale is taken from.",
)
@click.option("--dpi", metavar="DPI", type=float, help="Use this scale instead of any that is found.")
@click.option(
    "--thickness",
    metavar="MM",
    help="Thickness of the piece, in a photograph of the capture sheet: corrects for its upper face being nearer to the lens.",
)
@click.option("--distance", metavar="MM", help="Lens to paper: corrects for how high what is measured lies.")
@click.option("--check", metavar="MM", help="What your ruler reads on the capture sheet's 150 mm line.")
@click.option(
    "--from",
    "from_",
    metavar="X,Y",
    help="First of two points a known distance apart, px from the upper left; with --to and --apart.",
)
@click.option("--to", metavar="X,Y", help="The second point.")
@click.option("--apart", metavar="MM", help="The distance between the two points.")
@options.as_json
@options.debug
def trace(*, picture: Path, output: Path | None, as_json: bool, **said: Any) -> int:
    """Trace the outlines in a picture, in true mm.

    Written are the outlines and, beside them, a check picture that shows what
    was traced and which scale was used.
    """
    spec = _spec(picture, said)

    from cradle.capture.check_picture import check_picture_png
    from cradle.capture.tracing import trace_picture
    from cradle.cli.console import exit_code
    from cradle.cli.progress import Progress
    from cradle.cli.show_trace import show_trace
    from cradle.export.named_ring import NamedRing
    from cradle.export.outline import outlines_bytes
    from cradle.files.reading import real_path
    from cradle.files.writing import write_all

    keys = [key for key in PICTURE.keys if key in said]
    with Progress() as progress, options.errors_as_options(keys):
        progress.step("looking at the picture")
        traced = trace_picture(picture, spec)
    advised = partial(_with_options, keys=keys)
    traced = replace(
        traced,
        size_findings=tuple(map(advised, traced.size_findings)),
        form_findings=tuple(map(advised, traced.form_findings)),
    )
    target = output if output is not None else picture.with_name(f"{picture.stem}-outlines.svg")
    shown = target.with_name(f"{target.stem}-check.png")
    if real_path(picture) in (real_path(target), real_path(shown)):
        raise InputError("this is the picture itself", where=str(target), hint="name another file with -o")
    rings = [
        NamedRing(name=f"{picture.stem} {piece.number}", height_mm=0.0, points_mm=piece.ring_mm)
        for piece in traced.pieces
    ]
    written = write_all({target: outlines_bytes(rings, path=target), shown: check_picture_png(traced)})
    code = exit_code(traced.findings)
    show_trace(traced, rings, written=written, code=code, as_json=as_json)
    return code


def _with_options(finding: Finding, *, keys: Sequence[str]) -> Finding:
    return replace(finding, advice=options.as_options(finding.advice, keys=keys))


def _spec(picture: Path, said: Mapping[str, Any]) -> PictureSource:
    """What the options say of a picture.

    Raises
    ------
    InputError
        If it is a drawing, a value has the wrong form, or an option needs others.
    """
    if picture.suffix.lower() in DRAWING_ENDINGS:
        raise InputError(
            "this is a drawing, which needs no tracing",
            where=str(picture),
            hint=f'name it in a section of the project: outline = "{picture.name}"',
        )
    value = partial(options.value_of, said=said, keys=PICTURE.keys)
    pick = said["pick"]
    if pick is not None and pick < 1:
        raise InputError(f"found {pick}, pieces are counted from 1", where="--pick")
    if pick is not None and said["point"] is not None:
        raise InputError("both say which piece", where="--pick, --point", hint="give one of them")
    spec = PictureSource(
        file=picture.name or str(picture),
        shape=value("shape"),
        pick=pick,
        point_px=_place(said["point"], option="--point"),
        edge=value("edge"),
        scale=value("scale"),
        dpi=value("dpi"),
        distance_mm=value("distance"),
        thickness_mm=value("thickness"),
        check_mm=value("check"),
        from_px=_place(said["from_"], option="--from"),
        to_px=_place(said["to"], option="--to"),
        apart_mm=value("apart"),
    )
    if len({one is None for one in (spec.from_px, spec.to_px, spec.apart_mm)}) > 1:
        raise InputError(
            "a scale from two marks needs all of --from, --to and --apart",
            where="--from, --to, --apart",
            hint="--from 310,2210 --to 2081,2214 --apart 150",
        )
    return spec


def _place(text: str | None, *, option: str) -> tuple[float, float] | None:
    """A place in the picture from "x,y"; None stays None."""
    if text is None:
        return None
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError as error:
        raise InputError(f"found {text!r}, expected two numbers such as 310,2210", where=option) from error
    if not (math.isfinite(x) and math.isfinite(y)):
        raise InputError(f"found {text!r}, expected two finite numbers", where=option)
    return x, y
