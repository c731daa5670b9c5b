"""Tables of a file read by their declarations: what is mistaken is gathered, each with its dotted key and line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, Final

from cradle.errors import Problem, ProjectError
from cradle.names import listed
from cradle.project import toml_positions as at
from cradle.project.convert import Choice
from cradle.project.key import Key, Kinds, Occurrence, Table, TopLevelTable, Values
from cradle.project.mistake import Mistake, MistakeError, shown, wrong
from cradle.project.other_words import likely_meant
from cradle.project.project import tables
from cradle.project.writer import toml_value

if TYPE_CHECKING:
    from pathlib import Path

_MOST_STRANGE: Final = 60
"""So many unknown keys of a table are looked at; a file of thousands is no project."""
_LONGEST_SAID: Final = 60
"""Letters of a text that is told as the value that was meant."""


class TableReader:
    """One walk through a file's data, gathering problems."""

    def __init__(self, places: Mapping[at.KeyPath, at.Place], *, file: Path) -> None:
        self.places = places
        self.file = file
        self.problems: list[Problem] = []

    def report(self, path: at.KeyPath, mistakes: Iterable[Mistake]) -> None:
        """Note mistakes, each with its line."""
        for mistake in mistakes:
            full = (*path, *mistake.at)
            where, line = at.dotted(full), at.line_of(self.places, full)
            self.problems.append(Problem(where=where, found=mistake.found, hint=mistake.hint, line=line))

    def drafts(self, data: Mapping[str, Any], known: Mapping[str, TopLevelTable]) -> Values:
        """Values of each table by its field; None for one that need not stand in the file and does not."""
        self._unknown(data, (), known=known)
        drafts: Values = {}
        for name, top in known.items():
            if top.occurrence is Occurrence.AT_MOST_ONCE and name not in data:
                drafts[top.field] = None
            elif top.occurrence is not Occurrence.MANY and isinstance(top.table, Table):
                drafts[top.field] = self._table(data.get(name, {}), top.table, (name,))
            else:
                many = self._many(data.get(name, []), name, top)
                if many is not None:
                    drafts[top.field] = many
        return drafts

    def made(self, drafts: Values, known: Mapping[str, TopLevelTable]) -> Values:
        """The specs by field.

        Raises
        ------
        ProjectError
            If anything was mistaken; it holds all problems, in the order of their lines.
        """
        if self.problems:
            raise ProjectError(str(self.file), tuple(sorted(self.problems, key=lambda p: p.line or 0)))
        made: Values = {}
        for top in known.values():
            draft = drafts[top.field]
            if isinstance(draft, list):
                made[top.field] = tuple(_made(top.table, values) for values in draft)
            else:
                made[top.field] = None if draft is None else _made(top.table, draft)
        return made

    def _many(self, data: object, name: str, top: TopLevelTable) -> list[Values] | None:
        """The values of each table of a list; None when it is no list of tables, or one of too many."""
        table = top.table
        if not isinstance(data, list):
            found = f"expected tables [[{name}]], not {shown(data)}"
            hint = f"write [[{name}]] with double brackets, once for each"
            self.report((name,), [Mistake(found=found, hint=hint)])
            return None
        if len(data) > top.most:
            found = f"found {len(data)} tables [[{name}]], allowed are at most {top.most}"
            self.report((name, top.most), [Mistake(found=found, hint="leave some out")])
            return None
        if isinstance(table, Kinds):
            return [self._of_kind(entry, table, (name, index)) for index, entry in enumerate(data)]
        return [self._outlined(data[index], table, (name, index)) for index in top.order(data)]

    def _of_kind(self, data: object, kinds: Kinds, path: at.KeyPath) -> Values:
        """The kind of a table, and its values by the keys of that kind."""
        if not isinstance(data, Mapping):
            self._not_a_table(data, path)
            return {}
        choose = Choice(kinds.tables)
        try:
            if kinds.by not in data:
                raise wrong("missing", hint=f"use {listed(choose.words, 'or')}")
            kind = choose(data[kinds.by])
        except MistakeError as error:
            self.report((*path, kinds.by), error.mistakes)
            self._unknown(data, path, known=kinds.inside)
            return {}
        table, own = kinds.tables[kind], dict(data)
        del own[kinds.by]
        what = f"the {path[0]} {kind}"
        for name in [name for name in own if name in kinds.inside and name not in table.keys]:
            hint = f"it takes {listed(sorted(table.keys, key=lambda key: not table.keys[key].required))}"
            self.report((*path, name), [Mistake(found=f"{what} has no {name}", hint=hint)])
            del own[name]
        return {**self._table(own, table, path, what=what), kinds.by: kind}

    def _outlined(self, data: object, table: Table, path: tuple[str, int]) -> Values:
        """The values of one table of a list, its number as a name and the source of its outline included."""
        given: Values = {}
        if table.counted_as:
            given |= {"name": f"{table.counted_as} {path[1] + 1}", "number": path[1]}
        if table.drawing is not None and isinstance(data, Mapping):
            before = len(self.problems)
            source = self._source(data, table, table.drawing, path)
            if len(self.problems) == before:
                given["source"] = source
        return self._table(data, table, path, given=given)

    def _source(self, data: Mapping[str, Any], table: Table, drawing: Table, path: at.KeyPath) -> object:
        """Where an outline comes from; None when that was reported as a problem."""
        kinds = [key for key in ("outline", *table.sources) if key in data]
        tables = (f"a table [{path[0]}.{key}]" for key in table.sources)
        choices = " or ".join(['outline = "FILE"', *tables])
        if len(kinds) != 1:
            found = f"found {' and '.join(kinds)}, allowed is one of them" if kinds else "no outline found"
            self.report(path, [Mistake(found=found, hint=f"give {choices}")])
            return None
        before = len(self.problems)
        drawn = {key: data[key] for key in drawing.keys if key in data}
        if kinds == ["outline"]:
            chosen = drawing
            values = self._table(drawn, drawing, path)
        else:
            self.report(
                path, [Mistake(found="only an outline from a drawing takes this", at=(key,)) for key in drawn]
            )
            chosen = table.sources[kinds[0]]
            values = self._table(data[kinds[0]], chosen, (*path, kinds[0]))
        return chosen.makes(**values) if len(self.problems) == before else None

    def _table(
        self, data: object, table: Table, path: at.KeyPath, *, given: Values | None = None, what: str = ""
    ) -> Values:
        """A table's values by field, defaults included; what is mistaken is reported and absent.

        ``given`` are values where the keys say none; ``what`` is what needs a missing key.
        """
        if not isinstance(data, Mapping):
            names = [name for name, key in table.keys.items() if key.required]
            said = isinstance(data, str) and len(data) <= _LONGEST_SAID and len(names) == 1
            value = toml_value(data) if said else "..."
            self._not_a_table(data, path, holds=", ".join(f"{name} = {value}" for name in names))
            return given or {}
        meant = self._unknown(data, path, known=table.inside)
        values = table.defaults() | (given or {})
        for name, key in table.keys.items():
            if name in data:
                try:
                    values[key.field] = key.convert(data[name])
                except MistakeError as error:
                    self.report((*path, name), error.mistakes)
                    values.pop(key.field, None)
            elif key.required and name not in meant and key.field not in values:
                self.report((*path, name), [Mistake(found="missing", hint=_needed(key, what=what))])
        self.report(path, table.check(values))
        return values

    def _not_a_table(self, data: object, path: at.KeyPath, *, holds: str = "") -> None:
        """Report something that stands where one table belongs; ``holds`` shows the keys that such a table needs."""
        found = shown(data) if not isinstance(data, list) else "a list of tables"
        hint = f"write [{path[0]}] once, in single brackets" if len(path) == 1 else ""
        if len(path) > 1 and isinstance(path[-1], str) and holds:
            hint = f"write {path[-1]} = {{ {holds} }}"
        self.report(path, [Mistake(found=f"expected one table, not {found}", hint=hint)])

    def _unknown(self, data: Mapping[str, Any], path: at.KeyPath, *, known: Mapping[str, object]) -> set[str]:
        """Report the keys that are not known, and return those that were probably meant."""
        strange = [name for name in data if name not in known]
        found = "unknown key" if path else "unknown table or key"
        told = strange[:_MOST_STRANGE]
        for name in told:
            hint = _unknown_hint(name, path, list(known))
            self.report(path, [Mistake(found=found, hint=hint, at=(name,))])
        if len(strange) > len(told):
            more = f"{len(strange) - len(told)} more keys from here on are unknown"
            self.report(path, [Mistake(found=more, at=(strange[len(told)],))])
        return {_meant(name, list(known)) for name in told}


def _made(table: Table | Kinds, values: Values) -> object:
    if isinstance(table, Kinds):
        own = {field: value for field, value in values.items() if field != table.by}
        return table.tables[values[table.by]].makes(**own)
    return table.makes(**values)


def _needed(key: Key, *, what: str) -> str:
    """The hint for a key that is missing; ``what`` names the thing that needs it, if that is not plain."""
    unit = " in mm" if key.field.endswith("_mm") else ""
    needs = f"{what or 'it'} needs its {key.name}{unit}"
    return ": ".join(filter(None, [needs if what or not key.wanted else "", key.wanted]))


def _meant(name: str, known: list[str]) -> str:
    """The known key that a misspelt one stands for, or an empty text; a unit at its end is let go."""
    word = re.sub(r"_(mm|deg|g)$", "", name.lower())
    longer = [key for key in known if word in key.split("_")]
    return longer[0] if len(longer) == 1 else likely_meant(word, known)


def _unknown_hint(name: str, path: at.KeyPath, known: list[str]) -> str:
    inside = ".".join(part for part in path if isinstance(part, str))
    homes = list(dict.fromkeys(home for home, table in tables() if name in table.inside))
    outer = inside.split(".")[0]
    if inside != outer and outer in homes:
        return f"it belongs to the {outer}: write it above [{inside}]"
    meant = _meant(name, known)
    if meant:
        return f"did you mean {meant}?"
    if homes:
        return f"it belongs in {' or '.join(f'[{home}]' for home in homes)}"
    return f"allowed here are {listed(known)}"
