"""The rules of the house, read off the source itself."""

import ast
import re
import subprocess
import sys
import tomllib
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "cradle"
MODULES = sorted(PACKAGE.rglob("*.py"))

ROOMS = [
    ["noun", "errors", "units", "tolerances", "finding", "names"],
    ["files"],
    ["geometry"],
    ["project"],
    ["drawings", "pictures"],
    ["calibration"],
    ["capture_sheet", "rulers", "cards"],
    ["scale"],
    ["capture"],
    ["sections"],
    ["views", "slips"],
    ["placing"],
    ["matching"],
    ["loft"],
    ["pocket"],
    ["holder"],
    ["fit"],
    ["result"],
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
    "PIL": (
        "Pillow",
        {
            "pictures/picture_file.py",
            "pictures/file_tags.py",
            "pictures/levels.py",
            "pictures/image.py",
            "capture/check_picture.py",
        },
    ),
    "click": ("click", {"cli"}),
    "contourpy": ("contourpy", {"geometry/level_lines.py"}),
    "cv2": (
        "opencv-python-headless",
        {
            "pictures",
            "capture_sheet",
            "rulers",
            "cards",
            "scale/paper_under.py",
            "capture/check_picture.py",
        },
    ),
    "ezdxf": (
        "ezdxf",
        {"drawings/dxf_file.py", "drawings/dxf_drawing.py", "export/dxf.py"},
    ),
    "fontTools": ("fonttools", {"geometry/lettering.py"}),
    "manifold3d": ("manifold3d", {"geometry/solid.py"}),
    "numpy": ("numpy", {*RANK}),
    "reportlab": ("reportlab", {"files/isolation.py", "geometry/lettering.py"}),
    "rich": ("rich", {"cli"}),
    "rpack": ("rectangle-packer", {"holder/beds.py"}),
    "scipy": (
        "scipy",
        {
            "drawings/joining.py",
            "fit/linear_program.py",
            "sections/adjustment.py",
            "sections/rough_profiles.py",
            "slips/out_of_line.py",
        },
    ),
    "shapely": (
        "shapely",
        {
            "geometry/planar.py",
            "geometry/region_measures.py",
            "geometry/outer_regions.py",
            "geometry/edge_search.py",
        },
    ),
    "starlette": ("starlette", {"page"}),
    "uvicorn": ("uvicorn", {"page/server.py"}),
    "stl": ("numpy-stl", {"export/readback.py"}),
}
"""Every dependency by the name it is imported by: what brings it, and the modules or rooms that may know it."""
STANDARD = {"tomllib": {"project"}, "socket": {"page/listening.py"}}
"""Modules of the standard library that one room or module stands for."""
NEVER = {"urllib", "http", "pickle"}
FILE_ROOMS = {"files"}
"""The one room that opens files, for reading and for writing."""
OPENS = {
    "cli/main.py": {"open"},
    "pictures/picture_file.py": {"open"},
    "report/page.py": {"read_text"},
    "report/viewer.py": {"read_text"},
}
"""Calls of the same name that open no file of the user's: the null device, a picture in an open file, what lies beside a module."""
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
    "starlette",
    "uvicorn",
}


@cache
def tree_of(module: Path) -> ast.Module:
    return ast.parse(module.read_text(encoding="utf-8"), filename=str(module))


def inner_name(module: Path) -> str:
    return module.relative_to(PACKAGE).as_posix()


def room_of(module: Path) -> str:
    first = module.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


@cache
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


def test_a_module_imports_only_from_rooms_to_its_left():
    breaches = []
    for module in MODULES:
        room = room_of(module)
        if room in {"__init__", "__main__"}:
            continue
        for name, line in imported(tree_of(module)):
            other = room_imported(name)
            if other is None or other == room or RANK[other] < RANK[room] or RANK[room] == RANK[other] == 0:
                continue
            breaches.append(f"{inner_name(module)}:{line}: {room} imports {name}")
    assert not breaches, "\n".join(breaches)


def test_the_order_is_not_vacuous():
    rooms_used = {room_imported(name) for m in MODULES for name, _ in imported(tree_of(m))}
    assert {*RANK} - {"cli"} <= rooms_used


def third_party() -> list[tuple[str, str, str]]:
    """Name, module and place of everything imported that is neither ours nor Python's own."""
    return [
        (top, inner_name(m), f"{inner_name(m)}:{line}")
        for m in MODULES
        for top, line in {(name.split(".")[0], line) for name, line in imported(tree_of(m))}
        if top not in sys.stdlib_module_names and top not in {"cradle", "__future__"}
    ]


def may_know(inner: str, places: set[str]) -> bool:
    return inner in places or inner.split("/")[0].removesuffix(".py") in places


def test_each_dependency_is_imported_by_its_gateway_only():
    found = third_party()
    assert len(found) > 100
    breaches = [
        f"{place}: {top} belongs to {sorted(GATEWAYS[top][1]) if top in GATEWAYS else 'no room: it has no gateway'}"
        for top, inner, place in found
        if top not in GATEWAYS or not may_know(inner, GATEWAYS[top][1])
    ]
    for module in MODULES:
        for name, line in imported(tree_of(module)):
            top = name.split(".")[0]
            if top in NEVER or not may_know(inner_name(module), STANDARD.get(top, set(RANK) | {"__main__"})):
                breaches.append(f"{inner_name(module)}:{line}: {top}")
    assert not breaches, "\n".join(sorted(set(breaches)))


def test_every_gateway_is_used():
    found = third_party()
    for top, (_, places) in GATEWAYS.items():
        if top == "numpy":
            continue
        unused = [
            p for p in sorted(places) if not any(t == top and may_know(inner, {p}) for t, inner, _ in found)
        ]
        assert not unused, f"{top}: {unused} import it no more"


def test_every_dependency_of_the_package_has_a_gateway_and_every_gateway_its_dependency():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["page"]]
    names = {re.split(r"[<>=~!\[; ]", text)[0] for text in asked}
    assert len(names) > 10
    assert names == {requirement for requirement, _ in GATEWAYS.values()}


def test_only_the_command_line_prints_and_only_readers_and_writers_open_files():
    file_calls = {"open", "read_text", "read_bytes", "write_text", "write_bytes", "fdopen"}
    breaches = []
    for module in MODULES:
        for node in ast.walk(tree_of(module)):
            if not isinstance(node, ast.Call):
                continue
            name = getattr(node.func, "id", None) or getattr(node.func, "attr", None)
            excused = room_of(module) in FILE_ROOMS or name in OPENS.get(inner_name(module), ())
            prints = name == "print" and room_of(module) != "cli"
            if prints or (name in file_calls and not excused):
                breaches.append(f"{inner_name(module)}:{node.lineno}: {name}")
    assert not breaches, "\n".join(breaches)


def test_only_the_command_line_places_an_error_at_an_option():
    """Whoever works on the page or calls a function has typed none; `cradle.cli.options.named_as_options` names it."""
    seen, breaches = 0, []
    for module in MODULES:
        for node in ast.walk(tree_of(module)):
            if isinstance(node, ast.keyword) and node.arg == "where":
                at_option = "--" in ast.unparse(node.value)
                seen += at_option
                if at_option and room_of(module) != "cli":
                    breaches.append(f"{inner_name(module)}:{node.value.lineno}: {ast.unparse(node.value)}")
    assert seen
    assert not breaches, "\n".join(breaches)


def test_no_function_calls_what_a_name_of_its_own_hides():
    """A variable called like a function that is imported stands before it: neither linter nor types see it called."""
    hiding, breaches = 0, []
    for module in MODULES:
        tree = tree_of(module)
        imports = [node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)]
        known = {alias.asname or alias.name for node in imports for alias in node.names}
        for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
            inside = list(ast.walk(function))
            own = {n.id for n in inside if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)} & known
            hiding += bool(own)
            called = {n.func.id for n in inside if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)}
            breaches += [f"{inner_name(module)}: {function.name}: {name}" for name in sorted(own & called)]
    assert hiding
    assert not breaches, "\n".join(breaches)


def test_what_tests_import_from_each_other_has_a_name_of_its_own():
    names = [file.stem for file in (ROOT / "tests").rglob("*.py") if file.stem != "conftest"]
    assert sorted(names) == sorted(set(names))  # of two the one that is found first is imported


def test_files_stay_short():
    files = [*MODULES, *(ROOT / "tests").rglob("*.py"), *(ROOT / "examples").rglob("*.py")]
    lines = {str(m.relative_to(ROOT)): m.read_text(encoding="utf-8").count("\n") for m in files}
    assert not {name: count for name, count in lines.items() if count > 400}


def test_modules_have_a_docstring_and_plain_names():
    assert not [inner_name(m) for m in MODULES if not ast.get_docstring(tree_of(m))]
    plain = {"utils", "util", "helpers", "common", "manager", "misc"}
    assert not [inner_name(m) for m in MODULES if m.stem in plain]


DOORS = [m for m in MODULES if m.name == "__init__.py" and room_of(m) not in {"__init__", "pipeline"}]
"""The pipeline's door hands out its verbs; every other room's holds its glossary alone."""


def test_a_room_s_door_holds_only_its_docstring():
    assert len(DOORS) > 10
    bodies = {inner_name(room): tree_of(room).body for room in DOORS}
    assert not [name for name, body in bodies.items() if len(body) != 1 or not isinstance(body[0], ast.Expr)]


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


def test_signed_figures_are_told_without_a_minus_zero():
    """PEP 682, the "z" of a format: what rounds to zero has no sign."""
    signed, found = 0, []
    for file in MODULES:
        for node in ast.walk(tree_of(file)):
            if isinstance(node, ast.FormattedValue) and isinstance(node.format_spec, ast.JoinedStr):
                spec = ast.unparse(node.format_spec)[2:-1]
                signed += spec.startswith("+")
                if spec.startswith("+") and "z" not in spec:
                    found.append(f"{file.relative_to(ROOT)}:{node.lineno}: {spec}")
    assert signed
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


def test_a_project_of_ordinary_drawings_is_judged_without_the_slowest_library_to_load():
    script = "import sys; from cradle.cli.main import main; code = main(sys.argv[1:]); print('scipy' in sys.modules, code)"
    project = ROOT / "demo_data" / "ocarina" / "holder.toml"
    done = subprocess.run(
        [sys.executable, "-c", script, "check", str(project)], capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "False 0"
