"""Every public name is documented, and what is documented is true."""

import ast
import doctest
import importlib
import re
from functools import cache
from io import StringIO
from pathlib import Path

PACKAGE = Path(__file__).parent.parent / "cradle"
MODULES = [m for m in sorted(PACKAGE.rglob("*.py")) if m.name not in {"__init__.py", "__main__.py"}]


def dotted(module: Path) -> str:
    return ".".join(["cradle", *module.relative_to(PACKAGE).with_suffix("").parts])


def public(body: list[ast.stmt], prefix: str = "") -> list[tuple[str, ast.AST]]:
    """Public functions, classes and methods, by name."""
    found: list[tuple[str, ast.AST]] = []
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            if any(isinstance(d, ast.Name) and d.id == "overload" for d in node.decorator_list):
                continue  # the definition after them has the words
            found.append((prefix + node.name, node))
            if isinstance(node, ast.ClassDef):
                found += public(node.body, f"{node.name}.")
    return found


def real_parameters(node: ast.FunctionDef) -> set[str]:
    args = node.args
    names = [*args.posonlyargs, *args.args, *args.kwonlyargs, args.vararg, args.kwarg]
    return {a.arg for a in names if a is not None} - {"self", "cls"}


def section(doc: str, title: str) -> str | None:
    match = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[^\n]*\n-+\n|\Z)", doc, re.MULTILINE | re.DOTALL)
    return match[1] if match else None


def listed(text: str) -> list[str]:
    """Names before the colons of a numpydoc list: ``a, b : int`` gives a and b."""
    heads = [line for line in text.splitlines() if line and not line.startswith(" ")]
    return [name.strip(" *`") for head in heads for name in head.split(" : ")[0].split(",")]


@cache
def documented() -> list[tuple[str, ast.AST]]:
    return [
        (f"{dotted(m)}.{name}", node)
        for m in MODULES
        for name, node in public(ast.parse(m.read_text(encoding="utf-8")).body)
    ]


def test_every_public_name_has_a_docstring():
    names = documented()
    assert len(names) > 150
    bare = [name for name, node in names if not ast.get_docstring(node)]  # type: ignore[arg-type]
    assert not bare, bare


def test_docstrings_name_the_result_and_do_not_say_return():
    docs = [(name, ast.get_docstring(node) or "") for name, node in documented()]  # type: ignore[arg-type]
    assert sum(doc.startswith(("The ", "A ", "How ")) for _, doc in docs) > 300
    wrong = [name for name, doc in docs if doc.startswith(("Return the ", "Return a ", "Returns ", "Pass "))]
    assert not wrong, wrong


def test_every_room_has_its_glossary():
    doors = {
        m.parent.name: ast.get_docstring(ast.parse(m.read_text("utf-8")))
        for m in PACKAGE.glob("*/__init__.py")
    }
    assert {"capture", "report", "geometry"} < set(doors)
    without = [room for room, doc in doors.items() if "\n\n" not in (doc or "")]
    assert not without, without


def test_documented_parameters_exist():
    checked, wrong = 0, []
    for name, node in documented():
        if not isinstance(node, ast.FunctionDef):
            continue
        text = section(ast.get_docstring(node) or "", "Parameters")
        if text is None:
            continue
        checked += 1
        wrong += [f"{name}: {p}" for p in listed(text) if p not in real_parameters(node)]
    assert checked > 10
    assert not wrong, wrong


def test_documented_attributes_exist():
    checked, wrong = 0, []
    for name, node in documented():
        if not isinstance(node, ast.ClassDef):
            continue
        text = section(ast.get_docstring(node) or "", "Attributes")
        if text is None:
            continue
        checked += 1
        fields = {
            n.target.id for n in node.body if isinstance(n, ast.AnnAssign) and isinstance(n.target, ast.Name)
        }
        wrong += [f"{name}: {a}" for a in listed(text) if a not in fields]
    assert checked > 5
    assert not wrong, wrong


def test_errors_said_to_be_raised_are_real_names():
    errors = importlib.import_module("cradle.errors")
    checked, wrong = 0, []
    for name, node in documented():
        text = section(ast.get_docstring(node) or "", "Raises") if isinstance(node, ast.FunctionDef) else None
        for error in listed(text) if text else []:
            checked += 1
            if not hasattr(errors, error) and error not in {
                "TypeError",
                "ValueError",
                "MistakeError",
                "OSError",
            }:
                wrong.append(f"{name}: {error}")
    assert checked > 10
    assert not wrong, wrong


def test_the_examples_in_docstrings_run():
    finder, runner, said = doctest.DocTestFinder(), doctest.DocTestRunner(verbose=False), StringIO()
    ran = 0
    for module in MODULES:
        for test in finder.find(importlib.import_module(dotted(module))):
            runner.run(test, out=said.write)
            ran += bool(test.examples)
    assert ran > 3
    assert runner.failures == 0, said.getvalue()
