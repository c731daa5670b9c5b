"""Tables and lists of the page: findings, facts, what calipers should read, and where the sections lie, how surely, and why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Final

import numpy as np

from cradle.finding import Finding
from cradle.geometry.ring import size
from cradle.names import counted
from cradle.report.in_brief import doubts_in_brief, notes_in_brief
from cradle.result.measurements import InspectionDimension
from cradle.sections.posterior import PARAMETERS, Posterior, ReadingKind
from cradle.sections.section import Section

_WORDS: Final = {
    ReadingKind.WIDTH: "width by calipers",
    ReadingKind.DEPTH: "depth by calipers",
    ReadingKind.GIRTH: "girth",
    ReadingKind.FRONT: "front profile or view",
    ReadingKind.BACK: "back profile or view",
    ReadingKind.LEFT: "left profile or view",
    ReadingKind.RIGHT: "right profile or view",
    ReadingKind.TURN: "how the sheet lay",
    ReadingKind.SHIFT_X: "shift as given or drawn",
    ReadingKind.SHIFT_Y: "shift as given or drawn",
    ReadingKind.SCALE: "the drawing's scale",
    ReadingKind.SCALE_APART: "the drawing's scale",
    ReadingKind.MIRROR_TURN: "its mirror line",
    ReadingKind.MIRROR_PLACE_X: "its mirror line",
    ReadingKind.MIRROR_PLACE_Y: "its mirror line",
    ReadingKind.LIKENESS_X: "being in line with the next section",
    ReadingKind.LIKENESS_Y: "being in line with the next section",
    ReadingKind.LIKENESS_TURN: "likeness to the next section",
    ReadingKind.HEIGHT: "heights of the sections",
    ReadingKind.INSTRUMENT: "the calipers' own error",
    ReadingKind.PLANE: "the mirror plane",
    ReadingKind.TILT: "tilt of a view",
    ReadingKind.LEAN_X: "lean not measured",
    ReadingKind.LEAN_Y: "lean not measured",
}
"""What a reading is called on the page."""
_NOTHING: Final = 1e-9


def table(caption: str, head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table whose first column heads the rows; cells are text and are escaped."""
    top = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in head)
    body = "".join(
        f'<tr><th scope="row">{escape(row[0])}</th>{"".join(f"<td>{escape(cell)}</td>" for cell in row[1:])}</tr>'
        for row in rows
    )
    return (
        f'<div class="wide"><table><caption>{escape(caption)}</caption><thead><tr>{top}</tr></thead>'
        f"<tbody>{body}</tbody></table></div>"
    )


def inspection_table(dimensions: Sequence[InspectionDimension]) -> str:
    """Inspection dimensions, what may be read, and room for the readings."""
    return table(
        "What calipers should read on the cold print, mm",
        ["where", "height above base", "should read", "limits", "your reading"],
        [
            [
                dimension.name,
                "" if dimension.height_mm is None else f"{dimension.height_mm:.2f}",
                f"{dimension.length_mm:.2f}",
                allowed_words(dimension),
                "",
            ]
            for dimension in dimensions
        ],
    )


def allowed_words(dimension: InspectionDimension) -> str:
    """The least and greatest reading allowed, mm."""
    return f"{dimension.low_mm:.2f} to {dimension.high_mm:.2f}"


def section_table(sections: Sequence[Section]) -> str:
    """Sections: traced and caliper sizes, the scale applied, what was used."""
    return table(
        "Sections, mm, width × depth",
        ["section", "height", "outline", "with calipers", "scale, %", "used", "placed by"],
        [
            [
                section.name,
                f"{section.height_mm:.2f}",
                _pair(section.traced_mm),
                _pair(section.caliper_mm),
                _pair([100 * v for v in section.scale]),
                _pair(size(section.points_mm)),
                str(section.placed_by),
            ]
            for section in sections
        ],
    )


def _pair(values: Sequence[float | None]) -> str:
    return " × ".join("–" if v is None else f"{v:.2f}" for v in values)


def finding_list(findings: Sequence[Finding]) -> str:
    """Findings, worst first; notes folded away."""
    loud, quiet = doubts_in_brief(findings), notes_in_brief(findings)
    parts = []
    if loud:
        parts.append(f'<ul class="findings">{"".join(map(_finding, loud))}</ul>')
    if quiet:
        parts.append(
            f"<details><summary>{counted(len(quiet), 'note')}: choices and repairs made for you</summary>"
            f'<ul class="findings">{"".join(map(_finding, quiet))}</ul></details>'
        )
    return "".join(parts) or "<p>None.</p>"


def _finding(finding: Finding) -> str:
    where = f'<span class="where">{escape(finding.where)}</span> ' if finding.where else ""
    advice = f" <em>{escape(finding.advised)}</em>" if finding.advice else ""
    return (
        f'<li class="{finding.severity}"><strong>{finding.severity.words}</strong>'
        f" {where}{escape(finding.told)}.{advice}</li>"
    )


def fact_list(pairs: Iterable[tuple[str, str]]) -> str:
    """Names and figures."""
    return f"<dl>{''.join(f'<div><dt>{escape(n)}</dt><dd>{escape(v)}</dd></div>' for n, v in pairs)}</dl>"


def caution_list(cautions: Iterable[str]) -> str:
    """Cautions, each a paragraph of a list."""
    return f'<ul class="cautions">{"".join(f"<li>{escape(words)}</li>" for words in cautions)}</ul>'


def placing_table(sections: Sequence[Section], posterior: Posterior) -> str:
    """The table of the sections' places with their standard uncertainties; empty where nothing was read of them."""
    if not posterior.readings:
        return ""
    estimate, spreads = posterior.estimate, posterior.spreads()
    decided = undecided_by(posterior)
    rows = [
        [
            section.name,
            f"{x:z.2f} ± {sx:.2f}",
            f"{y:z.2f} ± {sy:.2f}",
            f"{section.turn_deg:z.1f} ± {np.degrees(st):.1f}",
            _WORDS[kind] if kind is not None else "nothing",
        ]
        for section, (x, y), (sx, sy, st), kind in zip(
            sections, estimate[:, :2], spreads[:, :3], decided, strict=True
        )
    ]
    words = (
        '<p class="small">All sections are placed at once, by all readings together; ± is one standard'
        " uncertainty. The last column names the reading that leaves most of the shift open: a better one helps most.</p>"
    )
    head = ["section", "middle x, mm", "middle y, mm", "turned from its drawing, °", "left open mostly by"]
    return table("Where the sections lie", head, rows) + words


def undecided_by(posterior: Posterior) -> list[ReadingKind | None]:
    """For each section the kind of reading whose spread adds most to that of its shift; None where none does."""
    spread = np.array([reading.spread for reading in posterior.readings])
    added = (posterior.gain * spread).reshape(-1, PARAMETERS, len(spread))[:, :2] ** 2
    kinds = list(dict.fromkeys(reading.kind for reading in posterior.readings))
    of = np.array([kinds.index(reading.kind) for reading in posterior.readings])
    found: list[ReadingKind | None] = []
    for own in added.sum(axis=1):
        parts = np.bincount(of, weights=own, minlength=len(kinds))
        found.append(kinds[int(parts.argmax())] if parts.max() > _NOTHING else None)
    return found
