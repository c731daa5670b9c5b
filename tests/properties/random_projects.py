"""Random projects: shapes, sizes and blocks a user might write, sensible and less so."""

import numpy as np

FORMS = ("box", "oval", "hug")


def random_project(seed):
    """Text of a project file with 2 to 5 measured sections."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 6))
    heights = np.cumsum(rng.uniform(1.0, 25.0, count))
    lines = ["[object]", f'name = "thing {seed}"', f"mass = {rng.uniform(5, 900):.0f}", ""]
    for k, height in enumerate(heights):
        width, depth = rng.uniform(6.0, 120.0, 2) if rng.random() < 0.5 else rng.uniform(30.0, 60.0, 2)
        lines += ["[[section]]", f'name = "s{k}"', f"height = {height:.2f}"]
        if rng.random() < 0.4:
            lines.append(f"shift = [{rng.normal(0, 4):.2f}, {rng.normal(0, 4):.2f}]")
        if rng.random() < 0.3:
            lines.append(f"turn = {rng.normal(0, 20):.1f}")
        if rng.random() < 0.3:
            lines.append(f"clearance = {rng.uniform(0, 1):.2f}")
        lines.append("[section.measured]")
        kind = rng.integers(3)
        lines += [f"width = {width:.2f}", f"depth = {depth:.2f}"]
        if kind == 0:
            lines += ['form = "rectangle"', f"corner = {rng.uniform(0, min(width, depth) / 2):.2f}"]
        elif kind == 1:
            lines += ['form = "ellipse"']
        else:
            diagonal = rng.uniform(0.75, 0.95) * np.hypot(width, depth)
            lines += ['form = "superellipse"', f"diagonal = {diagonal:.2f}"]
        lines.append("")
    insertion = '"auto"' if rng.random() < 0.3 else f"[{rng.normal(0, 0.1):.3f}, {rng.normal(0, 0.1):.3f}, 1]"
    lines += [
        "[loft]",
        f'between = "{rng.choice(["auto", "straight", "smooth"])}"',
        "[fit]",
        f"clearance = {rng.choice([0.0, 0.1, 0.35, 1.0, 3.0])}",
        f"lift_out = {insertion}",
        f"between = {rng.choice([0.0, 0.0, 0.5])}",
        "[block]",
        f'form = "{rng.choice(FORMS)}"',
        f"wall = {rng.uniform(2.2, 6.0):.2f}",
        f"floor = {rng.uniform(0.4, 6.0):.2f}",
        f"height = {rng.uniform(0.3, 1.3) * heights[-1]:.2f}",
        f"flare = {rng.choice([0.0, 0.0, 4.0])}",
        f"corner = {rng.choice([0.0, 2.0, 8.0])}",
        f"chamfer = {rng.choice([0.0, 0.5, 1.0])}",
        f"lead_in = {rng.choice([0.0, 1.0, 1.0, 2.0])}",
        f"lean = {rng.choice([0.0, 0.0, 8.0, -12.0, 25.0])}",
    ]
    if rng.random() < 0.4:
        lines += ["[[opening]]", 'kind = "drain"', f"diameter = {rng.uniform(2, 8):.1f}"]
    if rng.random() < 0.3:
        side = rng.choice(["front", "back", "left", "right"])
        lines += [
            "[[opening]]",
            'kind = "round"',
            f'through = "{side}"',
            f"diameter = {rng.uniform(2, 8):.1f}",
        ]
    return "\n".join(lines) + "\n"
