"""Tables and lists of the page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any, Final

_SEVERITIES: Final = {"fail": "do not print", "warn": "look first", "note": "note"}


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


def control_table(rows: Sequence[Mapping[str, Any]]) -> str:
    """Control dimensions, what may be read, and room for the readings."""
    return table(
        "What calipers should read on the cold print, mm",
        ["where", "above the foot", "should read", "allowed", "reads"],
        [
            [
                row["name"],
                "" if row["height_mm"] is None else f"{row['height_mm']:.2f}",
                f"{row['length_mm']:.2f}",
                allowed_words(row),
                "",
            ]
            for row in rows
        ],
    )


def allowed_words(row: Mapping[str, Any]) -> str:
    """The least and greatest reading allowed, mm; nothing where no limits are known."""
    if row.get("low_mm") is None or row.get("high_mm") is None:
        return ""
    return f"{row['low_mm']:.2f} to {row['high_mm']:.2f}"


def section_table(rows: Sequence[Mapping[str, Any]]) -> str:
    """Sections: traced and caliper sizes, the scale applied, what was used."""
    return table(
        "Sections, mm, width × depth",
        ["section", "height", "traced", "calipers", "scale, %", "used", "placed by"],
        [
            [
                row["name"],
                f"{row['height_mm']:.2f}",
                _pair(row["traced_mm"]),
                _pair(row["caliper_mm"]),
                _pair([100 * v for v in row["scale"]]),
                _pair(row["used_mm"]),
                row["placed_by"],
            ]
            for row in rows
        ],
    )


def _pair(values: Sequence[float | None]) -> str:
    return " × ".join("–" if v is None else f"{v:.2f}" for v in values)


def finding_list(findings: Sequence[Mapping[str, Any]]) -> str:
    """Findings, worst first; notes folded away."""
    loud = [f for f in findings if f["severity"] != "note"]
    quiet = [f for f in findings if f["severity"] == "note"]
    parts = []
    if loud:
        parts.append(f'<ul class="findings">{"".join(map(_finding, loud))}</ul>')
    if quiet:
        count = f"{len(quiet)} notes" if len(quiet) != 1 else "1 note"
        parts.append(
            f"<details><summary>{count}: choices and repairs made for you</summary>"
            f'<ul class="findings">{"".join(map(_finding, quiet))}</ul></details>'
        )
    return "".join(parts) or "<p>None.</p>"


def _finding(row: Mapping[str, Any]) -> str:
    word = _SEVERITIES[row["severity"]]
    where = f'<span class="where">{escape(row["where"])}</span> ' if row.get("where") else ""
    advice = f" <em>{escape(row['advice'])}</em>" if row.get("advice") else ""
    return (
        f'<li class="{row["severity"]}"><strong>{word}</strong> {where}{escape(row["message"])}.{advice}</li>'
    )


def fact_list(pairs: Iterable[tuple[str, str]]) -> str:
    """Names and figures."""
    return f"<dl>{''.join(f'<div><dt>{escape(n)}</dt><dd>{escape(v)}</dd></div>' for n, v in pairs)}</dl>"


def caution_list(cautions: Iterable[Any]) -> str:
    """Cautions: plain texts, or mappings with ``title`` and ``text``."""
    return f'<ul class="cautions">{"".join(f"<li>{escape(words)}</li>" for words in caution_words(cautions))}</ul>'


def caution_words(cautions: Iterable[Any]) -> list[str]:
    """Each caution as one text."""
    out = []
    for caution in cautions:
        if isinstance(caution, Mapping):
            title = str(caution.get("title") or caution.get("about") or "").rstrip(":")
            text = str(caution.get("text") or caution.get("message") or "")
            out.append(f"{title[:1].upper()}{title[1:]}: {text}" if title and text else title or text)
        else:
            out.append(str(caution))
    return out
