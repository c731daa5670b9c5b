"""Settings that messages advise are settings that a project file takes."""

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import cradle
from cradle.errors import InputError
from cradle.names import AdvisedSetting, with_settings
from cradle.project.key import Key, Kinds, Table
from cradle.project.project import TABLES
from cradle.project.section import DRAWING

ROOT = Path(cradle.__file__).parent
OF_FILES = (
    "toml_mistakes.py",
    "change.py",
)
"""Which speak of how any line of a file is written, or write one."""
EQUATIONS = ("in", "x", "y")
FILE = 'outline = "FILE"'


def texts() -> Iterator[str]:
    """All texts of the program but its docstrings, ``?`` in place of what is put into them."""
    for file in sorted(ROOT.rglob("*.py")):
        if file.name in OF_FILES:
            continue
        tree = ast.parse(file.read_text(encoding="utf-8"))
        parts = {id(v) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for v in node.values}
        parts |= {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if id(node) in parts:
                continue
            if isinstance(node, ast.JoinedStr):
                yield "".join(v.value if isinstance(v, ast.Constant) else "?" for v in node.values)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield node.value


def keys_of(table: Table | Kinds) -> Iterator[tuple[str, Key]]:
    if isinstance(table, Kinds):
        for one in table.tables.values():
            yield from keys_of(one)
        return
    yield from table.keys.items()
    for inner in table.sources.values():
        yield from keys_of(inner)


def takes(key: Key, value: object) -> bool:
    """Whether a key takes a value; of one that something is put into, that there is the key is all that is asked."""
    if isinstance(value, str) and ("?" in value or "{}" in value):
        return True
    try:
        key.value(value, where="")
    except InputError:
        return False
    return True


@pytest.mark.slow
def test_every_setting_that_a_message_advises_is_one_that_a_project_file_takes():
    advised: list[AdvisedSetting] = []
    for text in texts():
        with_settings(text, lambda one: advised.append(one) or one.written)
    known = [pair for top in (*(top.table for top in TABLES.values()), DRAWING) for pair in keys_of(top)]
    kinds = TABLES["opening"].table.tables
    refused = [
        one.written
        for one in advised
        if one.key not in EQUATIONS
        and one.written != FILE
        and not (one.key == "kind" and one.value in kinds)
        and not any(
            name == one.key and takes(key, tomllib.loads(one.written)[one.key]) for name, key in known
        )
    ]
    assert len(advised) > 20
    assert not refused
