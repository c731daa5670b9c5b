"""A whole project as text, and a text with some keys changed: what the tests of reading and changing start from."""

from cradle.project.change import with_value
from cradle.project.key import Kinds, Table
from cradle.project.project import TABLES
from cradle.project.toml_positions import path_of
from cradle.project.writer import table_lines, toml_value


def with_values(text, changes):
    """The text with keys such as ``section[1].width`` changed one after another; None takes one out."""
    for key, value in changes.items():
        text = with_value(text, path_of(key), value)
    return text


def project_to_text(project):
    """The project as TOML text; reading it back gives an equal project."""
    lines = []
    for name, top in TABLES.items():
        value = getattr(project, top.field)
        if isinstance(value, tuple):
            for made in value:
                lines += [f"[[{name}]]", *_entry_lines(name, made, top.table)]
        elif value is not None and isinstance(top.table, Table):
            lines += [f"[{name}]", *table_lines(value, top.table)]
    return "".join(f"{line}\n" for line in lines)


def _entry_lines(name, made, table):
    """The lines of one table out of many: its kind, or where its outline comes from, among them."""
    if isinstance(table, Kinds):
        kind = getattr(made, table.by)
        return [f"{table.by} = {toml_value(kind)}", *table_lines(made, table.tables[kind])]
    own = table_lines(made, table)
    if table.drawing is None:
        return own
    for inner, keys in table.sources.items():
        if isinstance(made.source, keys.makes):
            return [*own, f"[{name}.{inner}]", *table_lines(made.source, keys)]
    return [*own, *table_lines(made.source, table.drawing)]
