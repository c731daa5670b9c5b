"""The rules of the house, read off the source itself."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "cradle"
MODULES = sorted(PACKAGE.rglob("*.py"))

ROOMS = [
    ["errors", "units", "tolerances", "finding"],
    ["files"],
    ["geometry"],
    ["project"],
    ["drawings", "pictures"],
    ["scale"],
    ["capture"],
    ["sections"],
    ["loft"],
    ["pocket"],
    ["holder"],
    ["fit"],
    ["checks"],
    ["drawing"],
    ["export", "report"],
    ["pipeline"],
    ["page"],
    ["cli"],
]
"""From left to right; a room sees itself and what is left of it, not its neighbours in one group.

The first group is the ground floor, whose modules may see each other.
"""
RANK = {name: rank for rank, group in enumerate(ROOMS) for name in group}

GATEWAYS = {
    "manifold3d": {"geometry/solid.py"},
    "shapely": {"geometry/planar.py"},
    "ezdxf": {"drawings/dxf_file.py", "drawings/dxf_drawing.py", "export/dxf.py"},
    "trimesh": {"export/readback.py"},
    "stl": {"export/readback.py"},
}
ROOM_GATEWAYS = {
    "cv2": {"pictures", "scale", "capture"},
    "PIL": {"pictures", "capture"},
    "contourpy": {"pictures"},
    "svgelements": {"drawings"},
    "tomlkit": {"project", "cli"},
    "tomllib": {"project"},
    "click": {"cli"},
    "rich": {"cli"},
    "nicegui": {"page"},
    "starlette": {"page"},
}
NEVER = {"gmsh", "lib3mf", "hypothesis", "pytest", "requests", "urllib", "socket", "http", "pickle"}
FILE_ROOMS = {"files"}
"""The one room that opens files, for reading and for writing."""
OPENS = {"cli/main.py": {"open"}, "pictures/image.py": {"open"}}
"""Calls of the same name that open no file of the user's: the null device, and a picture in an open file."""
HEAVY = {
    "scipy",
    "shapely",
    "manifold3d",
    "cv2",
    "PIL",
    "ezdxf",
    "fontTools",
    "reportlab",
    "trimesh",
    "stl",
    "svgelements",
    "nicegui",
}


def tree_of(module: Path) -> ast.Module:
    return ast.parse(module.read_text(encoding="utf-8"), filename=str(module))


def inner_name(module: Path) -> str:
    return module.relative_to(PACKAGE).as_posix()


def room_of(module: Path) -> str:
    first = module.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def imported(tree: ast.Module) -> list[tuple[str, int]]:
    """Full names of everything imported anywhere in a module, with lines."""
    names = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names += [(alias.name, node.lineno) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"relative import in line {node.lineno}"
            names.append((node.module or "", node.lineno))
            names += [(f"{node.module}.{alias.name}", node.lineno) for alias in node.names]
    return names


def room_imported(name: str) -> str | None:
    parts = name.split(".")
    return parts[1] if parts[0] == "cradle" and len(parts) > 1 and parts[1] in RANK else None


def test_every_module_belongs_to_a_known_room():
    assert len(MODULES) > 30
    assert {room_of(m) for m in MODULES} - {"__init__", "__main__"} <= set(RANK)


@pytest.mark.parametrize("module", MODULES, ids=inner_name)
def test_a_module_imports_only_from_rooms_to_its_left(module):
    room = room_of(module)
    if room in {"__init__", "__main__"}:
        return
    for name, line in imported(tree_of(module)):
        other = room_imported(name)
        if other is None or other == room:
            continue
        ground_floor = RANK[room] == RANK[other] == 0
        assert ground_floor or RANK[other] < RANK[room], f"{inner_name(module)}:{line}: {room} imports {name}"


def test_the_order_is_not_vacuous():
    rooms_used = {room_imported(name) for m in MODULES for name, _ in imported(tree_of(m))}
    assert {
        "geometry",
        "project",
        "drawings",
        "pictures",
        "scale",
        "capture",
        "sections",
        "loft",
        "pocket",
        "holder",
    } <= rooms_used


@pytest.mark.parametrize("module", MODULES, ids=inner_name)
def test_each_dependency_has_its_gateway(module):
    for name, line in imported(tree_of(module)):
        top = name.split(".")[0]
        place = f"{inner_name(module)}:{line}"
        if top in GATEWAYS:
            assert inner_name(module) in GATEWAYS[top], f"{place}: {top} belongs to {sorted(GATEWAYS[top])}"
        if top in ROOM_GATEWAYS:
            assert room_of(module) in ROOM_GATEWAYS[top], f"{place}: {top} belongs to {ROOM_GATEWAYS[top]}"
        assert top not in NEVER, f"{place}: {top}"


def test_the_gateways_are_used():
    used = {(n.split(".")[0], inner_name(m)) for m in MODULES for n, _ in imported(tree_of(m))}
    for dependency in ("manifold3d", "shapely", "ezdxf", "stl"):
        assert any((dependency, gate) in used for gate in GATEWAYS[dependency]), dependency


@pytest.mark.parametrize("module", MODULES, ids=inner_name)
def test_only_the_command_line_prints_and_only_readers_and_writers_open_files(module):
    file_calls = {"open", "read_text", "read_bytes", "write_text", "write_bytes", "fdopen"}
    for node in ast.walk(tree_of(module)):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", None) or getattr(node.func, "attr", None)
        place = f"{inner_name(module)}:{node.lineno}"
        assert name != "print" or room_of(module) == "cli", f"{place}: print"
        excused = room_of(module) in FILE_ROOMS or name in OPENS.get(inner_name(module), ())
        assert excused or name not in file_calls, f"{place}: {name}"


@pytest.mark.parametrize("module", MODULES, ids=inner_name)
def test_files_stay_short(module):
    lines = module.read_text(encoding="utf-8").count("\n")
    assert lines <= 400, f"{inner_name(module)} has {lines} lines"


@pytest.mark.parametrize("module", MODULES, ids=inner_name)
def test_modules_have_a_docstring_and_plain_names(module):
    assert ast.get_docstring(tree_of(module)), inner_name(module)
    assert module.stem not in {"utils", "util", "helpers", "common", "manager", "misc"}


DOORS = [m for m in MODULES if m.name == "__init__.py" and room_of(m) not in {"__init__", "pipeline"}]
"""The pipeline's door hands out its verbs; every other room's holds its glossary alone."""


@pytest.mark.parametrize("room", DOORS, ids=inner_name)
def test_a_room_s_door_holds_only_its_docstring(room):
    body = tree_of(room).body
    assert len(body) == 1
    assert isinstance(body[0], ast.Expr)


FORBIDDEN = [
    r"/(?:work|tmp)/\w",
    r"/home/\w+",
    r"localhost:\d",
    r"\bpy\W?pi\b",
    r"\bTODO\b",
    r"\bFIXME\b",
]
TEXTS = [
    *MODULES,
    *(p for p in sorted((ROOT / "tests").rglob("*.py")) if p != Path(__file__)),
    *sorted((ROOT / "examples").rglob("*.py")),
    *(
        p
        for p in sorted((ROOT / "demo_data").rglob("*"))
        if p.suffix in {".md", ".toml", ".csv", ".svg", ".dxf"}
    ),
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    ROOT / "pyproject.toml",
    ROOT / ".ci/run",
]


def test_the_project_speaks_of_itself_alone():
    assert len(TEXTS) > 40
    found = []
    for file in TEXTS:
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), start=1):
            found += [
                f"{file.relative_to(ROOT)}:{number}: {p}"
                for p in FORBIDDEN
                if re.search(p, line, re.IGNORECASE)
            ]
    assert not found, "\n".join(found)


def test_the_top_level_is_tidy():
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "cradle",
        "tests",
        "examples",
        "demo_data",
        "LICENSE",
    }
    made_by_use = {"out", "build", "dist"}
    found = {
        p.name for p in ROOT.iterdir() if not p.name.startswith(".") and not p.name.endswith(".egg-info")
    }
    assert allowed <= found
    assert found <= allowed | made_by_use


def test_starting_the_command_line_loads_nothing_heavy():
    script = "import sys, cradle.cli.main; print(' '.join(sorted({m.split('.')[0] for m in sys.modules})))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "cradle" in loaded
    assert not loaded & HEAVY, sorted(loaded & HEAVY)
