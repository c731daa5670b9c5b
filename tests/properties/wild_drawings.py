"""One outline drawn in the many ways that drawing programs have: curves, loose pieces, blocks, layers, transforms, units."""

import io
from itertools import pairwise

import numpy as np

LAYERS = ("outline", "Schnitt 1", "0", "own")
_USER_UNITS = (("mm", 1.0), ("cm", 10.0), ("in", 25.4), ("pt", 25.4 / 72), ("", 25.4 / 96))
_DXF_UNITS = ((1, 25.4), (4, 1.0), (4, 1.0), (5, 10.0), (6, 1000.0), (14, 100.0), (0, 1.0))
_VERSIONS = ("R12", "R2000", "R2010", "R2018")


def svg_drawing(rng, points, *, ends="closed"):
    """The bytes of an SVG, and the keys that a section needs to have it read as meant."""
    unit, mm = rng.choice(_USER_UNITS)
    per_user = rng.choice([mm, mm, 1.0, 0.1])  # mm of a user unit
    low = points.min(axis=0) - 2
    width, height = (float(v) for v in np.ptp(points, axis=0) + 4)
    own = ((points - low) * [1, -1] + [0, height]) / per_user
    shape = _svg_shape(rng, own, ends=ends)
    layer = rng.choice(LAYERS)
    hidden = f'<rect x="0" y="0" width="{width / per_user:.4f}" height="{height / per_user:.4f}"/>'
    turn = rng.choice(
        [*[""] * 6, f"translate({3 / per_user:.3f} 0)", "rotate(90)", "scale(-1,1)", "matrix(0 1 -1 0 4 4)"]
    )
    match rng.randrange(4):
        case 0:
            shape = (
                f'<defs><g id="drawn">{shape}</g></defs><use href="#drawn" id="{layer}" transform="{turn}"/>'
            )
        case 1:
            away = hidden.replace("/>", ' class="away"/>')
            shape = f'<style>.away {{ display: none }}</style>{away}<g id="{layer}">{shape}</g>'
        case 2:
            shape = f'<g transform="{turn}"><g id="{layer}" style="fill:none"><title>piece</title>{shape}</g></g><text x="1">5</text>'
        case 3:
            away = hidden.replace("/>", ' visibility="hidden"/>')
            shape = f'{away}<svg id="{layer}" overflow="visible">{shape}</svg>'
    box = f'viewBox="0 0 {width / per_user:.5f} {height / per_user:.5f}"'
    size = f'width="{width / mm:.5f}{unit}" height="{height / mm:.5f}{unit}"'
    keys = {"layer": layer} if rng.random() < 0.4 else {}
    if rng.random() < 0.1:
        size = ""
        keys["unit"] = {1.0: "mm", 10.0: "cm", 25.4: "in"}.get(per_user, rng.choice(["mm", "in"]))
    head = rng.choice(["", '<?xml version="1.0" encoding="UTF-8"?>\n', "<!-- drawn -->\n"])
    return f'{head}<svg xmlns="http://www.w3.org/2000/svg" {size} {box}>{shape}</svg>'.encode(), keys


def _svg_shape(rng, own, *, ends):
    (x0, y0), (x1, y1) = own.min(axis=0), own.max(axis=0)
    ways = ["lines", "pieces", "relative", "smooth", "arcs"]
    if ends == "closed":
        ways += ["quadratic", "ellipse", "rect"]
    way = rng.choice(ways)
    ring = np.concatenate([own, own[:1]]) if ends == "closed" else own
    end = "z" if ends == "closed" else ""
    if way in {"lines", "pieces"}:
        return "".join(
            f'<polyline points="{" ".join(f"{x:.4f},{y:.4f}" for x, y in piece)}" fill="none"/>'
            if way == "pieces"
            else f'<line x1="{piece[0][0]:.4f}" y1="{piece[0][1]:.4f}" x2="{piece[1][0]:.4f}" y2="{piece[1][1]:.4f}"/>'
            for piece in loose_pieces(rng, ring, longest=2 if way == "lines" else len(ring))
        )
    if way == "relative":
        steps = " ".join(f"{x:.4f} {y:.4f}" for x, y in np.diff(ring, axis=0))
        return f'<path d="m{own[0][0]:.4f},{own[0][1]:.4f}l{steps}{end}"/>'
    if way == "smooth":
        curves = "C".join(
            " ".join(f"{v:.5g}" for v in np.ravel(part)) for part in bezier_parts(ring, ends=ends)
        )
        return f'<path d="M{own[0][0]:.5g} {own[0][1]:.5g}C{curves}{end}"/>'
    if way == "arcs":
        steps = np.hypot(*np.diff(ring, axis=0).T)
        bend = rng.choice([0.6, 1.0, 20.0])
        arcs = "".join(
            f"A{bend * step:.5g} {bend * step:.5g} 0 0 {rng.choice([0, 1])} {x:.5g} {y:.5g}"
            for step, (x, y) in zip(steps.tolist(), ring[1:].tolist(), strict=True)
        )
        return f'<path d="M{own[0][0]:.5g} {own[0][1]:.5g}{arcs}{end}"/>'
    if way == "quadratic":
        middles = (own + np.roll(own, -1, axis=0)) / 2
        bends = "".join(
            f"Q{a:.5g},{b:.5g} {x:.5g},{y:.5g}"
            for (a, b), (x, y) in zip(
                own[1:].tolist() + own[:1].tolist(), np.roll(middles, -1, axis=0).tolist(), strict=True
            )
        )
        return f'<path d="M{middles[0][0]:.5g},{middles[0][1]:.5g}{bends}Z"/>'
    if way == "ellipse":
        return f'<ellipse cx="{(x0 + x1) / 2:.4f}" cy="{(y0 + y1) / 2:.4f}" rx="{(x1 - x0) / 2:.4f}" ry="{(y1 - y0) / 2:.4f}"/>'
    round_ = rng.choice([0.0, 0.1, 0.5]) * min(x1 - x0, y1 - y0)
    return f'<rect x="{x0:.4f}" y="{y0:.4f}" width="{x1 - x0:.4f}" height="{y1 - y0:.4f}" rx="{round_:.4f}"/>'


def bezier_parts(ring, *, ends):
    """Control points of a smooth curve through all points of an open line, ``(n - 1, 3, 2)`` (Catmull and Rom, 1974)."""
    if ends == "closed":
        ahead = np.concatenate([ring[-2:-1], ring, ring[1:2]])
    else:
        ahead = np.concatenate([ring[:1], ring, ring[-1:]])
    slopes = (ahead[2:] - ahead[:-2]) / 6
    return np.stack([ring[:-1] + slopes[:-1], ring[1:] - slopes[1:], ring[1:]], axis=1)


def loose_pieces(rng, line, *, longest):
    """The line in pieces whose ends meet, in any order and direction."""
    cuts = [0]
    while cuts[-1] < len(line) - 1:
        cuts.append(min(cuts[-1] + (1 if longest == 2 else rng.randint(1, longest)), len(line) - 1))
    pieces = [line[a : b + 1] for a, b in pairwise(cuts)]
    rng.shuffle(pieces)
    return [piece[::-1] if rng.random() < 0.5 else piece for piece in pieces]


def dxf_drawing(rng, points, *, ends="closed"):
    """The bytes of a DXF, and the keys that a section needs to have it read as meant."""
    import ezdxf

    version = rng.choice(_VERSIONS)
    drawing = ezdxf.new(version)
    code, mm = (0, 1.0) if version == "R12" else rng.choice(_DXF_UNITS)  # R12 states none
    if code:
        drawing.units = code
    elif version != "R12":
        drawing.header["$INSUNITS"] = 0
    own, layer = points / mm, rng.choice(LAYERS)
    if layer != "0":
        drawing.layers.add(layer)
    space = drawing.modelspace()
    keys = {"layer": layer} if rng.random() < 0.4 else {}
    if code == 0:
        keys["unit"] = "mm"
    if rng.random() < 0.3:
        drawing.layers.add("aids").off()
        space.add_line((0, 0), (float(points[0][0]), 500.0), dxfattribs={"layer": "aids"})
    target = space
    if rng.random() < 0.3:
        target = drawing.blocks.new("piece")
        scale = rng.choice([1.0, 0.5, 2.0])
        own = own / scale
        space.add_blockref(
            "piece",
            (rng.uniform(-50, 50), 7.0),
            dxfattribs={
                "layer": layer,
                "xscale": scale,
                "yscale": scale,
                "rotation": rng.choice([0, 90, 33]),
            },
        )
    _draw_dxf(rng, target, own, ends=ends, layer=layer)
    if rng.random() < 0.2:
        data = io.BytesIO()
        drawing.write(data, fmt="bin")
        return data.getvalue(), keys
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().encode(drawing.output_encoding, errors="replace"), keys


def _draw_dxf(rng, target, own, *, ends, layer):
    on = {"layer": layer}
    line = np.concatenate([own, own[:1]]) if ends == "closed" else own
    (x0, y0), (x1, y1) = own.min(axis=0).tolist(), own.max(axis=0).tolist()
    ways = ["lines", "pieces", "old", "arcs"]
    modern = target.dxfversion > "AC1009"
    if modern:
        ways += ["spline", "bulges"]
    if ends == "closed":
        ways += ["circle", *(["ellipse"] if modern else [])]
    match rng.choice(ways):
        case "lines":
            for a, b in loose_pieces(rng, line, longest=2):
                target.add_line(tuple(a.tolist()), tuple(b.tolist()), dxfattribs=on)
        case "pieces":
            for piece in loose_pieces(rng, line, longest=len(line)):
                (target.add_lwpolyline if modern else target.add_polyline2d)(piece.tolist(), dxfattribs=on)
        case "old":
            target.add_polyline2d(own.tolist(), close=ends == "closed", dxfattribs=on)
        case "arcs":
            _arcs(rng, target, line, on=on)
        case "spline":
            parts = bezier_parts(line, ends=ends)
            control = np.concatenate([line[:1], parts.reshape(-1, 2)])
            knots = np.repeat(np.arange(len(parts) + 1.0), 3)
            target.add_spline(dxfattribs=on).apply_construction_tool(_bezier_spline(control, knots))
        case "bulges":
            bulged = [(x, y, rng.choice([0.0, 0.0, 0.1, -0.05])) for x, y in own.tolist()]
            target.add_lwpolyline(bulged, format="xyb", close=ends == "closed", dxfattribs=on)
        case "circle":
            target.add_circle(((x0 + x1) / 2, (y0 + y1) / 2), (x1 - x0) / 2, dxfattribs=on)
        case "ellipse":
            a, b = (x1 - x0) / 2, (y1 - y0) / 2
            axis, ratio = ((a, 0), b / a) if a >= b else ((0, b), a / b)
            target.add_ellipse(((x0 + x1) / 2, (y0 + y1) / 2), axis, max(ratio, 1e-6), dxfattribs=on)


def _bezier_spline(control, knots):
    from ezdxf.math import BSpline

    ends = np.concatenate([knots[:1], knots, knots[-1:]])
    return BSpline(control.tolist(), order=4, knots=ends.tolist())


def _arcs(rng, target, line, *, on):
    """An arc from each point to the next."""
    from ezdxf.math import ConstructionArc

    for a, b in zip(line[:-1].tolist(), line[1:].tolist(), strict=True):
        if np.hypot(b[0] - a[0], b[1] - a[1]) < 1e-6:
            continue
        arc = ConstructionArc.from_2p_angle(a, b, rng.choice([5.0, 30.0, 150.0]), ccw=rng.random() < 0.5)
        arc.add_to_layout(target, dxfattribs=on)
