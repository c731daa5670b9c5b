"""Things as a wild project measures them: sections with their outlines, readings, profiles and views."""

import math

import numpy as np
import wild_files
import wild_outlines

FORMS = ("rectangle", "ellipse", "superellipse")
SIDES = ("front", "back", "left", "right")


class Draw:
    """Random choices of one project, and how far it strays from what is usual."""

    def __init__(self, rng, boldness):
        self.rng, self.boldness = rng, boldness

    def maybe(self, share):
        """True in so many of all cases."""
        return self.rng.random() < share

    def bold(self):
        """True now and then in a project that strays."""
        return self.rng.random() < self.boldness

    def size(self, low, high, *, least=None, most=None):
        """A length between two usual ones, or now and then up to the extremes; its logarithm is even."""
        if self.bold():
            low, high = low if least is None else least, high if most is None else most
        return round(math.exp(self.rng.uniform(math.log(low), math.log(high))), 3)

    def number(self, low, high, *, least=None, most=None):
        """A number between two usual ones, or now and then one of the extremes or between them."""
        if self.bold() and least is not None and most is not None:
            return round(self.rng.choice([least, most, self.rng.uniform(least, most)]), 3)
        return round(self.rng.uniform(low, high), 3)

    def one_of(self, usual, rare=()):
        """One of the usual values, or now and then a rare one."""
        return self.rng.choice(rare if rare and self.bold() else usual)


class Thing:
    """A thing's sections by height: centre, width and depth that change steadily, and outlines."""

    SOURCES = (*["measured"] * 5, *["drawing"] * 4, "half", "picture")

    def __init__(self, draw, files, *, prefix=""):
        self.draw, self.files, self.prefix = draw, files, prefix
        rng = draw.rng
        self.size = draw.size(20, 80, least=3, most=600)
        count = draw.one_of([2, 3, 3, 4, 5], [2, 8, 30])
        steps = [draw.number(0.5, 1.5) for _ in range(count)]
        height = draw.size(0.4 * self.size, 2 * self.size, least=0.02 * self.size, most=5 * self.size)
        first = draw.one_of([2.0, draw.number(0.5, 5.0)], [0.0, 0.001, 100.0])
        rises = np.cumsum(steps) - steps[0]
        self.heights = [round(first + height * r / max(rises[-1], 1e-9), 3) for r in rises]
        self.heights = [h for k, h in enumerate(self.heights) if k == 0 or h > self.heights[k - 1]]
        self.kinds = wild_outlines.CALM
        if draw.maybe(0.5 * draw.boldness + 0.05):
            self.kinds = wild_outlines.ODD
        if draw.maybe(0.04):
            self.kinds = wild_outlines.WRONG
        self.shape = wild_outlines.outline(rng, self.kinds)
        self.ratio = draw.size(0.6, 1.6, least=0.02, most=50)
        self.lean = [draw.number(-0.15, 0.15, least=-2, most=2) for _ in range(2)]
        self.swells = [draw.number(0.8, 1.3, least=0.05, most=4) for _ in self.heights]
        self.extents = []

    def ring(self, k):
        """The outline of section k in its place, mm, and where its middle lies."""
        draw = self.draw
        shape = wild_outlines.outline(draw.rng, self.kinds) if draw.bold() else self.shape
        shape = shape * [1.0, self.ratio] / max(1.0, self.ratio)
        ring = shape * self.size * self.swells[k]
        middle = np.array(self.lean) * (self.heights[k] - self.heights[0])
        ring = ring - (ring.max(axis=0) + ring.min(axis=0)) / 2
        return ring, middle

    def sections(self):
        """The tables of all sections; their files are put beside."""
        return [self._section(k) for k in range(len(self.heights))]

    def _section(self, k):
        draw, rng = self.draw, self.draw.rng
        ring, middle = self.ring(k)
        width, depth = (max(float(v), 0.02) for v in np.ptp(ring, axis=0))
        self.extents.append(
            (self.heights[k], *(middle - [width / 2, depth / 2]), *(middle + [width / 2, depth / 2]))
        )
        table = {"name": f"{self.prefix}s{k}", "height": self.heights[k]}
        if draw.maybe(0.1):
            del table["name"]
        source = rng.choice(self.SOURCES)
        getattr(self, f"_{source}")(table, ring, width, depth)
        if source != "measured" and draw.maybe(0.6):
            slip = draw.one_of([1.0, rng.gauss(1, 0.01)], [1.05, 1.2, 25.4, 0.1])
            table["width"] = round(width * slip, 2) or 0.01
        if source != "measured" and draw.maybe(0.6):
            table["depth"] = round(depth * draw.one_of([1.0], [1.07, 0.5]), 2) or 0.01
        if draw.maybe(0.15):
            table["girth"] = (
                round(2.6 * (width + depth) / 2 * draw.number(0.95, 1.3, least=0.3, most=4), 1) or 0.1
            )
        if draw.maybe(0.3):
            table["shift"] = [round(float(v) + rng.gauss(0, 0.1 + 5 * draw.bold()), 2) for v in middle]
        if draw.maybe(0.2):
            table["turn"] = draw.number(-3, 3, least=-360, most=360)
        if draw.maybe(0.1):
            table["clearance"] = draw.number(0.1, 0.8, least=0.0, most=10.0)
        return table

    def _measured(self, table, ring, width, depth):
        draw = self.draw
        form = draw.rng.choice(FORMS)
        own = {"form": form, "width": round(width, 2) or 0.01, "depth": round(depth, 2) or 0.01}
        if form == "rectangle" and draw.maybe(0.8):
            own["corner"] = round(min(width, depth) / 2 * draw.number(0.0, 0.99, least=0.0, most=1.1), 3)
        if form == "superellipse":
            own["diagonal"] = round(
                math.hypot(width, depth) * draw.number(0.75, 0.95, least=0.5, most=1.0), 3
            )
        table["measured"] = own

    def _drawing(self, table, ring, width, depth, *, ends="closed"):
        draw, rng = self.draw, self.draw.rng
        ending = rng.choice(["svg", "dxf", "csv", "json"] if ends == "closed" else ["svg", "dxf", "csv"])
        if draw.maybe(0.3):
            ring = ring[::-1]
        if ending == "svg":
            data = wild_files.svg_file(rng, ring, ends=ends)
        elif ending == "dxf":
            data = wild_files.dxf_file(rng, ring, ends=ends)
        else:
            data = getattr(wild_files, f"{ending}_file")(rng, ring)
        table["outline"] = self._put(ending, data)
        if ending in {"dxf", "svg"} and draw.maybe(0.1):
            table["layer"] = draw.one_of(["0" if ending == "dxf" else "own"], ["outline", "0"])
        if draw.maybe(0.2) or (ending == "dxf" and b"$INSUNITS\n 70\n0" in data):
            table["unit"] = draw.one_of(["mm"], ["cm", "in"])

    def _half(self, table, ring, width, depth):
        angles = np.linspace(-np.pi / 2, np.pi / 2, self.draw.rng.choice([3, 9, 40]))
        bow = 1 + 0.2 * self.draw.rng.uniform(-1, 1) * np.cos(3 * angles) ** 2
        half = np.column_stack([width / 2 * np.cos(angles) * bow, depth / 2 * np.sin(angles)])
        half[[0, -1], 0] = 0.0
        self._drawing(table, half, width, depth, ends="open")
        table["half"] = self.draw.one_of([True], [False])

    def _picture(self, table, ring, width, depth, *, shapes=("piece", "piece", "line", "cut_out")):
        draw, rng = self.draw, self.draw.rng
        shape = draw.one_of(shapes, ["cut_out"])
        rings = [ring] if shape != "cut_out" else [ring, ring[:, ::1] * [-1, 1]]
        ending = rng.choice(["png", "jpg", "bmp", "webp", "gif"])
        data = wild_files.picture_file(rng, rings, shape=shape, ending=ending)
        if data is None:
            self._measured(table, ring, width, depth)
            return
        own = {"file": self._put(ending, data), "shape": shape}
        if shape == "cut_out":
            own |= {"pick": 1} | ({"back": 2} if draw.maybe(0.8) else {"back_file": own["file"]})
            table["depth"] = round(depth, 2)
        elif draw.maybe(0.3):
            middle = [float(v) / 2 + 12 for v in np.ptp(ring, axis=0)]
            place = [v * wild_files.PICTURE_DPI / 25.4 for v in middle]
            own |= rng.choice(
                [{"pick": draw.one_of([1], [2, 999])}, {"point": draw.one_of([place], [[-0.5, 1e5]])}]
            )
        if shape == "line" and draw.maybe(0.7):
            own["edge"] = rng.choice(["middle", "inside", "outside"])
        scale = draw.one_of(["dpi", "mm_per_px", "apart"], ["scale"])
        if scale == "dpi":
            own["dpi"] = draw.one_of([wild_files.PICTURE_DPI], [30, 2400])
        elif scale == "mm_per_px":
            own["mm_per_px"] = draw.one_of([25.4 / wild_files.PICTURE_DPI], [9.0, 1e-4])
        elif scale == "apart":
            own |= {"from": [10, 10], "to": draw.one_of([[130, 10]], [[10, 10]]), "apart": 25.4}
        else:
            own["scale"] = rng.choice(["auto", "tag", "sheet", "ruler", "bank_card"])
        for key, usual in (("distance", 400.0), ("thickness", 1.5), ("check", 150.0)):
            if draw.maybe(0.05):
                own[key] = usual
        table["picture"] = own

    def side(self):
        """The table of side profiles: readings of the extents at many heights."""
        draw, rng = self.draw, self.draw.rng
        table = {}
        for name in rng.sample(SIDES, rng.choice([1, 2, 2, 4])):
            column = {"left": 1, "front": 2, "right": 3, "back": 4}[name]
            known = np.array(self.extents)
            heights = np.linspace(known[0, 0], known[-1, 0], rng.choice([2, 5, 40, 200]))
            if draw.bold():
                heights = heights[: max(2, len(heights) // 2)] * draw.rng.choice([1.0, 3.0])
            offs = np.interp(heights, known[:, 0], known[:, column])
            offs = offs + draw.one_of([0.0, rng.gauss(0, 0.2)], [30.0, -30.0])
            data = wild_files.csv_file(rng, np.column_stack([heights, offs]), heading=("height", "y"))
            table[name] = self._put("csv", data)
        return table

    def views(self):
        """The tables of one or two views: the extents as a silhouette."""
        draw, rng = self.draw, self.draw.rng
        tables = []
        for seen in rng.sample(SIDES, rng.choice([1, 2])):
            known = np.array(self.extents)
            low, high = (1, 3) if seen in {"front", "back"} else (2, 4)
            sign = -1 if seen in {"back", "left"} else 1
            silhouette = np.concatenate(
                [
                    np.column_stack([sign * known[:, low], known[:, 0]]),
                    np.column_stack([sign * known[:, high], known[:, 0]])[::-1],
                ]
            )
            bottom, top = draw.number(0, 1), known[-1, 0] + draw.size(1, 10)
            silhouette = np.concatenate(
                [silhouette[:1] * [1, 0] + [0, bottom], silhouette, silhouette[-1:] * [1, 0] + [0, bottom]]
            )
            table = {"from": seen}
            holder = {}
            if draw.maybe(0.3):
                self._picture(holder, silhouette, *np.ptp(silhouette, axis=0), shapes=("piece", "line"))
            if "picture" not in holder:
                holder = {}
                self._drawing(holder, silhouette, *np.ptp(silhouette, axis=0))
            table |= holder
            table["scale"] = rng.choice(["given", "free"])
            if draw.maybe(0.5):
                table["distance"] = draw.size(500, 5000, least=20.1, most=50000)
            if draw.maybe(0.7):
                table["bottom"] = draw.one_of([round(bottom, 2), "free"], [40.0])
            if draw.maybe(0.4):
                table["top"] = draw.one_of([round(float(known[-1, 0]), 2)], [top, 2000.0])
            tables.append(table)
        return tables

    def _put(self, ending, data):
        name = f"{self.prefix}{len(self.files)}.{ending}"
        self.files[name] = data
        return name
