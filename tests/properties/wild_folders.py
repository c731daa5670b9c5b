"""Whole project folders with all that a project file can say, usual and extreme, and the files it names."""

import datetime
import json
import random

from wild_things import SIDES, Draw, Thing

SCREWS = ("M2.5", "M3", "M3.5", "M4", "M5", "M6", "M8")
OPENINGS = (
    *("drain", "round", "slot", "window", "notch", "finger", "screw"),
    *("countersunk", "keyhole", "magnet", "feet", "label"),
)
FLOOR_OPENINGS = ("drain", "round", "slot", "screw", "countersunk", "magnet", "feet")


def wild_folder(seed):
    """Contents by file name; ``holder.toml`` is the project."""
    rng = random.Random(f"folder {seed}")
    draw = Draw(rng, rng.choice([0.0, 0.0, 0.0, 0.0, 0.005, 0.01, 0.02, 0.05, 0.2]))
    files = {}
    thing = Thing(draw, files)
    return project_files(draw, files, thing, fit=usual_fit)


def project_files(draw, files, thing, *, fit):
    """The files of a thing with its project beside them, its way out and clearances as `fit` draws them."""
    tables = of_thing(draw, thing, fit=fit)
    tables |= of_holder(draw, thing)
    if draw.maybe(0.15):
        tables["row"] = _row(draw, files)
    files["holder.toml"] = toml_text(tables).encode("utf-8")
    if draw.maybe(0.15):
        files["trials.toml"] = toml_text({"trial": trials(draw, thing)}).encode("utf-8")
    return files


def toml_text(tables):
    """TOML of tables, arrays of tables, and tables inside them."""
    parts = []
    for name, content in tables.items():
        for table in content if isinstance(content, list) else [content]:
            head = f"[[{name}]]" if isinstance(content, list) else f"[{name}]"
            lines = [
                f"{key} = {value_text(value)}" for key, value in table.items() if not isinstance(value, dict)
            ]
            parts.append("\n".join([head, *lines]))
            for key, inner in table.items():
                if isinstance(inner, dict):
                    inside = [f"{k} = {value_text(v)}" for k, v in inner.items()]
                    parts.append("\n".join([f"[{name}.{key}]", *inside]))
    return "\n".join(parts) + "\n"


def value_text(value):
    """A value as TOML."""
    if isinstance(value, datetime.date):
        return value.isoformat()
    return json.dumps(value, ensure_ascii=False)


def of_thing(draw, thing, *, fit):
    """The tables that a thing has wherever it is held."""
    rng = draw.rng
    about = {
        "name": draw.one_of(
            ["thing", "my odd thing"], ["Öhrchen 寸 \U0001f600", "x" * 200, "../../up", "a\\b"]
        )
    }
    if draw.maybe(0.7):
        about["mass"] = draw.size(5, 900, least=0.01, most=1e5)
    if draw.maybe(0.5):
        about["height"] = round(thing.heights[-1] + draw.size(0.1, 30, most=1500), 2)
    if draw.maybe(0.2):
        about["balance"] = [draw.number(-3, 3, least=-500, most=500) for _ in range(2)] + [
            draw.number(5, 40, least=-50, most=900)
        ]
    if draw.maybe(0.5):
        about["hazards"] = rng.sample(["sharp", "warm", "mains", "wet", "child"], rng.randrange(4))
    tables = {"object": about, "section": thing.sections()}
    if draw.maybe(0.25):
        tables["side"] = thing.side()
    if draw.maybe(0.2):
        tables["view"] = thing.views()
    tables["loft"] = {
        "align": draw.one_of(["auto"], ["auto", "profiles", "mirror", "match", "drawing"]),
        "between": rng.choice(["auto", "straight", "smooth"]),
    }
    tables["fit"] = fit(draw)
    if draw.maybe(0.2):
        tables["spread"] = _spread(draw)
    return tables


def usual_fit(draw):
    """The table of the fit."""
    clearance = draw.number(0.2, 0.8, least=0.0, most=10.0)
    fit = {"clearance": draw.rng.choice(["auto", clearance, clearance, clearance])}
    if draw.maybe(0.4):
        tilt = [draw.number(-0.1, 0.1, least=-0.5, most=0.5) for _ in range(2)]
        fit["lift_out"] = draw.rng.choice(["auto", [*tilt, 1]])
    if draw.maybe(0.5):
        fit["between"] = draw.rng.choice(["auto", 0.0, draw.number(0.1, 0.6, least=0.0, most=10.0)])
    if draw.maybe(0.2):
        fit["chance"] = draw.number(0.6, 0.97, least=0.001, most=0.995)
    if draw.maybe(0.2):
        fit |= _lining(draw)
    return fit


def _lining(draw):
    lining = {"lining": draw.number(0.5, 5, least=0.0, most=10.0)}
    if draw.maybe(0.5):
        lining["lining_pressed"] = round(lining["lining"] * draw.rng.uniform(0.0, 1.0), 3)
    return lining


def _spread(draw):
    spread = {}
    for key in ("trace", "calipers", "step", "heights", "repeat", "placing", "between", "inside"):
        if draw.maybe(0.4):
            spread[key] = draw.number(0.02, 0.3, least=0.0, most=5.0)
    if draw.maybe(0.3):
        spread["scale"] = draw.number(0.1, 0.5, least=0.0, most=5.0)
    return spread


def of_holder(draw, thing):
    """The tables of block, openings, plate, printer and test pieces."""
    rng = draw.rng
    high = thing.heights[-1]
    usual = max(high * rng.uniform(0.4, 1.0), thing.heights[0] + 0.1)
    form = rng.choice(["box", "box", "oval", "hug"])
    block = {
        "form": form,
        "wall": draw.size(2, 6, least=0.05, most=200),
        "floor": draw.size(1.5, 6, least=0.05, most=200),
        "height": round(draw.one_of([usual], [thing.heights[0] + 0.01, 1.5 * high + 1, 2000.0]), 2),
    }
    plated = form == "box" and draw.maybe(0.3)
    if draw.maybe(0.4) and not plated:
        block["flare"] = rng.choice(["auto", draw.number(0, 8, least=0, most=200)])
    if draw.maybe(0.2):
        block["tip_angle"] = draw.number(5, 25, least=0.01, most=45)
    for key, usual_most in (
        ("corner", 6),
        ("chamfer", 0.25 * block["wall"]),
        ("lead_in", 0.4 * block["wall"]),
    ):
        if draw.maybe(0.6):
            block[key] = draw.number(0, usual_most, least=0, most=200)
    if form == "box" and draw.maybe(0.3):
        block["corner_form"] = rng.choice(["cut", "round"])
    if draw.maybe(0.3):
        block["lean"] = draw.number(-20, 20, least=-60, most=60)
    tables = {"block": block}
    flat = form == "box" and "flare" not in block
    walls = draw.one_of([SIDES] if flat else [()], [SIDES])
    if plated:
        tables["plate"] = _plate(draw, thing)
    if draw.maybe(0.6):
        tables["opening"] = [
            _opening(draw, thing, block, walls=walls) for _ in range(draw.one_of([1, 1, 2], [3, 6]))
        ]
    if draw.maybe(0.3):
        tables["printer"] = _printer(draw)
    tables["test_pieces"] = _test_pieces(draw, thing)
    for key in ("width", "depth"):
        if form == "box" and draw.maybe(0.2):
            block[key] = draw.size(100, 200, least=0.05, most=2000)
    return tables


def _screw(draw, *, head):
    if draw.maybe(0.6):
        return {"screw": draw.rng.choice(SCREWS)}
    diameter = draw.size(2, 6, least=0.05, most=60)
    return {"diameter": diameter} | ({"head": round(2 * diameter, 3)} if head else {})


def _plate(draw, thing):
    plate = {"width": draw.size(thing.size + 20, thing.size + 90, least=1, most=2000)}
    if draw.maybe(0.4):
        plate["height"] = draw.size(20, 90, least=1, most=2000)
    plate["thickness"] = draw.size(3, 6, least=0.05, most=200)
    plate["corner"] = draw.number(0, 8, least=0, most=100)
    plate["hole"] = draw.rng.choice(["countersunk", "plain", "keyhole"])
    plate |= _screw(draw, head=True)
    if draw.maybe(0.4):
        plate["edge"] = draw.size(6, 12, least=0.1, most=200)
    if draw.maybe(0.3):
        plate["spacing"] = [draw.size(thing.size, thing.size + 60), draw.rng.choice([0.0, 20.0])]
    return plate


def _opening(draw, thing, block, *, walls):
    rng = draw.rng
    kind = rng.choice(OPENINGS if walls else FLOOR_OPENINGS)
    small = max(thing.size / 8, 1.5)
    opening = {"kind": kind}
    floor = not walls or kind in {"drain", "feet"} or (kind in FLOOR_OPENINGS and draw.maybe(0.4))
    if not floor or draw.bold():
        opening["through"] = rng.choice(SIDES)
    if draw.maybe(0.4):
        up = rng.uniform(0.2, 0.8) * block["height"]
        opening["at"] = [
            draw.number(-small, small, least=-300, most=300),
            round(rng.uniform(-small, small) if floor else up, 2),
        ]
    size = draw.size(small / 2, small, least=0.05, most=4 * thing.size)
    if kind in {"drain", "round", "magnet", "feet"}:
        opening["diameter"] = size
    if kind in {"magnet", "feet"}:
        opening["depth"] = draw.number(0.5, 1.5, least=0.01, most=50)
    if kind in {"slot", "window", "notch"}:
        opening["width"] = size
    if kind == "slot":
        opening["length"] = round(size * draw.number(1, 3), 3)
    if kind == "window":
        opening["height"] = round(size * draw.number(0.5, 2), 3)
    if kind in {"slot", "window"} and draw.maybe(0.5):
        opening["turn"] = draw.rng.choice([0, 90, draw.number(-360, 360)])
    if kind in {"window", "notch"} and draw.maybe(0.5):
        opening["corner"] = round(draw.number(0, 0.24, least=0, most=0.6) * size, 3)
    if kind in {"notch", "finger"} and "at" not in opening:
        opening["depth"] = round(draw.number(0.1, 0.6, least=0.01, most=2) * block["height"], 3)
    if kind == "finger" and draw.maybe(0.5):
        opening["width"] = size
    if kind in {"screw", "countersunk", "keyhole"}:
        opening |= _screw(draw, head=kind != "screw")
    if kind == "keyhole" and draw.maybe(0.4):
        opening |= {
            "lip": draw.number(1, 2.5, least=0.05, most=20),
            "depth": draw.number(3, 5, least=0.1, most=30),
        }
    if kind == "label":
        opening |= {"text": draw.one_of(["hose", "A 1"], ["寸", "\U0001f600", "W" * 80, "i"]), "height": size}
        if draw.maybe(0.4):
            opening["depth"] = draw.number(0.3, 0.8, least=0.01, most=20)
    if kind != "feet" and draw.maybe(0.2):
        opening["pocket"] = draw.one_of([1], [2, 24])
    return opening


def _printer(draw):
    return {
        "bed": [draw.size(150, 300, least=20, most=2000) for _ in range(3)],
        "line_width": draw.number(0.3, 0.8, least=0.01, most=5),
        "layer_height": draw.number(0.1, 0.3, least=0.01, most=5),
        "material": draw.one_of(["PLA", "PETG", "TPU", "ABS"], ["wood?", "pa12"]),
        "inside_error": draw.number(-0.1, 0.2, least=-2, most=2),
        "paper": draw.rng.choice(["A4", "Letter"]),
    }


def _test_pieces(draw, thing):
    pieces = {
        "thickness": draw.number(1.5, 4, least=0.05, most=50),
        "ring": draw.rng.choice(["closed", "open"]),
    }
    if draw.maybe(0.4):
        pieces["clearances"] = [0.2, round(0.3 + draw.number(0, 0.3, least=0, most=9), 2)]
    if draw.maybe(0.3):
        pieces["heights"] = [round(thing.heights[-1] * draw.number(0.2, 1.0, least=0, most=3), 2)]
    return pieces


def _row(draw, files):
    """The table of a row, with another thing beside the project's own."""
    row = {"count": draw.one_of([1, 2, 3], [8, 22])}
    if draw.maybe(0.5):
        other = Thing(Draw(draw.rng, 0.0), files, prefix="other-")
        tables = of_thing(Draw(draw.rng, 0.0), other, fit=usual_fit) | {
            "block": {"height": other.heights[-1]}
        }
        files["other.toml"] = toml_text(tables).encode("utf-8")
        row["things"] = draw.one_of([["other.toml"]], [["other.toml", "other.toml"], ["holder.toml"]])
    if draw.maybe(0.5):
        row["gap"] = draw.size(2, 10, least=0.01, most=200)
    return row


def trials(draw, thing):
    """The tables of what was tried."""
    tried = []
    for _ in range(draw.one_of([1, 3], [40])):
        trial = {"date": datetime.date(2026, 3, draw.rng.randrange(1, 28))}
        if draw.maybe(0.5):
            trial["project"] = draw.rng.choice(["holder.toml", "other.toml"])
        if draw.maybe(0.8):
            gap = draw.number(0.1, 0.8, least=0, most=9)
            trial["piece"] = draw.rng.choice(["test-piece", "holder"])
            if trial["piece"] == "test-piece":
                trial |= draw.rng.choice(
                    [
                        {"section": f"s{draw.rng.randrange(len(thing.heights))}"},
                        {"height": round(draw.rng.uniform(0, thing.heights[-1]), 2)},
                    ]
                )
                if draw.maybe(0.5):
                    trial["size"] = [draw.size(10, 60), draw.size(10, 60)]
            trial |= {"clearance": gap, "gap": round(gap + draw.number(0, 0.2), 3)}
            if trial["piece"] == "holder" and draw.maybe(0.3):
                trial |= {"lining_pressed": 0.5} | _lining(draw)
                trial["lining_pressed"] = min(trial["lining_pressed"], trial["lining"])
            if trial["piece"] == "holder" and draw.maybe(0.3):
                levels = sorted({draw.size(1, 60) for _ in range(4)})
                trial["room"] = [[at, trial["gap"], draw.size(10, 60), draw.size(10, 60)] for at in levels]
            trial["seen"] = draw.rng.choice(["no-go", "tight", "good", "loose"])
            if draw.maybe(0.3):
                trial["side"] = draw.rng.choice(SIDES)
        if "piece" not in trial or draw.maybe(0.2):
            read = draw.size(10, 60)
            trial |= {"read": read, "nominal": round(read + draw.number(-0.3, 0.3), 2)}
        tried.append(trial)
    return tried
