"""What was found of the outlines and views of a project as they were read."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import replace

from cradle.capture.told_once import told_once
from cradle.drawings.file_unit import UNIT_UNKNOWN
from cradle.finding import Finding
from cradle.names import listed, section_words
from cradle.placing.to_place import ToPlace
from cradle.project.section import DrawingSource, Source


def source_findings(measured: ToPlace) -> Iterator[Finding]:
    """What was found of outlines and views, once for all sections of a file."""
    settled = _settled_units(measured)
    of_files: dict[str, list[tuple[str, list[Finding]]]] = {}
    for spec, outline in zip(measured.specs, measured.outlines, strict=True):
        for finding in _but_settled(outline.findings, source=spec.source, settled=settled):
            of_files.setdefault(finding.where, []).append((spec.name, [finding]))
    for where, found in of_files.items():
        if len({name for name, _ in found}) > 1:
            yield from told_once(found, where=where, named=_sections_named)
        else:
            yield from (finding for _, (finding,) in found)
    for view in measured.views:
        yield from _but_settled(view.findings, source=view.spec.source, settled=settled)


def _settled_units(measured: ToPlace) -> set[Source]:
    """Drawings whose unit is not in doubt, be it by the readings of one section."""
    return {
        replace(spec.source, layer=None)
        for spec, outline in zip(measured.specs, measured.outlines, strict=True)
        if isinstance(spec.source, DrawingSource) and UNIT_UNKNOWN not in {f.code for f in outline.findings}
    }


def _but_settled(
    findings: Sequence[Finding], *, source: Source, settled: Container[Source]
) -> Iterator[Finding]:
    """The findings of a source without the doubt of its unit, where other sections of the same file settle that."""
    known = isinstance(source, DrawingSource) and replace(source, layer=None) in settled
    yield from (f for f in findings if not known or f.code != UNIT_UNKNOWN)


def _sections_named(names: Sequence[str]) -> str:
    return (
        section_words(names[0]) if len(names) == 1 else "sections " + listed([f'"{name}"' for name in names])
    )
