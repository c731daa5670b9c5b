"""Project folders whose files come from many programs, written as many people write, with openings that meet and rows of several things."""

import random

import wild_drawings
import wild_files
from wild_folders import of_holder, of_thing, toml_text, trials, usual_fit
from wild_scales import scaled_picture
from wild_things import Draw, Thing
from wild_writing import toml_otherwise, written_otherwise


def varied_folder(seed):
    """Contents by file name, some in folders; ``holder.toml`` is the project."""
    rng = random.Random(f"varied {seed}")
    draw = Draw(rng, rng.choice([0.0, 0.0, 0.0, 0.0, 0.003, 0.01]))
    files = {}
    thing = VariedThing(draw, files)
    tables = of_thing(draw, thing, fit=usual_fit) | of_holder(draw, thing)
    if "opening" in tables and draw.maybe(0.4):
        tables["opening"] += [_near(draw, one) for one in tables["opening"] if draw.maybe(0.6)]
    for opening in tables.get("opening", ()):
        if "through" not in opening and draw.maybe(0.3):
            opening["through"] = "floor"
        if opening["kind"] == "screw" and "diameter" in opening and draw.maybe(0.5):
            opening["head"] = round(2 * opening["diameter"], 3)
    if draw.maybe(0.25):
        tables["row"] = _row(draw, files)
        for opening in tables.get("opening", ()):
            if draw.maybe(0.3):
                opening["pocket"] = draw.rng.randrange(1, 4)
    files["holder.toml"] = _written(rng, tables)
    if draw.maybe(0.25):
        files["trials.toml"] = toml_text({"trial": trials(draw, thing)}).encode("utf-8")
    return files


def _written(rng, tables):
    tables = written_otherwise(rng, tables)
    return toml_otherwise(rng, tables) if rng.random() < 0.6 else toml_text(tables).encode("utf-8")


def _near(draw, opening):
    """The same opening again so near that both meet, touch, or leave hardly anything between."""
    own = dict(opening)
    size = next((own[name] for name in ("diameter", "width", "height", "head") if name in own), 4.0)
    x, y = own.get("at", [0.0, 0.0])
    away = [
        draw.rng.choice([0.0, 0.3, 0.5, 1.0, 1.0, 1.001, 1.1]) * size * draw.rng.choice([-1, 1])
        for _ in range(2)
    ]
    own["at"] = [round(x + away[0], 4), round(y + draw.rng.choice([0.0, away[1]]), 4)]
    if own["kind"] in {"notch", "finger"}:
        own.pop("depth", None)
    return own


def _row(draw, files):
    """Up to three other things, each with files of its own, one of them in a folder of its own with its own trials."""
    names = []
    for number in range(draw.rng.choice([0, 1, 1, 2, 3])):
        folder = "shelf/" if draw.maybe(0.3) else ""
        own = {}
        other = VariedThing(Draw(draw.rng, 0.0), own, prefix=f"other{number}-")
        tables = of_thing(Draw(draw.rng, 0.0), other, fit=usual_fit)
        tables["block"] = {"height": other.heights[-1]}
        names.append(f"{folder}other{number}.toml")
        own[f"other{number}.toml"] = _written(draw.rng, tables)
        if folder:
            own["trials.toml"] = toml_text({"trial": trials(draw, other)}).encode("utf-8")
        files.update({folder + name: data for name, data in own.items()})
    row = {"count": draw.rng.choice([1, 1, 2, 3])}
    if names:
        row["things"] = [draw.rng.choice(names) for _ in names] if draw.maybe(0.2) else names
    if draw.maybe(0.5):
        row["gap"] = draw.size(2, 10)
    return row


class VariedThing(Thing):
    """A thing whose sections each come from another program, scanner or camera."""

    SOURCES = ("measured", "measured", "drawing", "drawing", "drawing", "half", "picture")

    def _drawing(self, table, ring, width, depth, *, ends="closed"):
        rng = self.draw.rng
        if not self.draw.maybe(0.7):
            super()._drawing(table, ring, width, depth, ends=ends)
            return
        ending = rng.choice(["svg", "dxf", "json", "csv"] if ends == "closed" else ["svg", "dxf"])
        keys = {}
        if ending == "svg":
            data, keys = wild_drawings.svg_drawing(rng, ring, ends=ends)
        elif ending == "dxf":
            data, keys = wild_drawings.dxf_drawing(rng, ring, ends=ends)
        else:
            keys["unit"] = rng.choice(["mm", "cm", "in"])
            data = getattr(wild_files, f"{ending}_file")(
                rng, ring / {"mm": 1.0, "cm": 10.0, "in": 25.4}[keys["unit"]]
            )
        table["outline"] = self._put(ending, data)
        table |= keys

    def _picture(self, table, ring, width, depth, *, shapes=("piece", "piece", "line", "cut_out")):
        rng = self.draw.rng
        made = (
            scaled_picture(rng, ring, shape=rng.choice(["piece", "line"])) if self.draw.maybe(0.4) else None
        )
        if made is None:
            super()._picture(table, ring, width, depth, shapes=shapes)
            return
        data, ending, keys = made
        table["picture"] = {"file": self._put(ending, data), **keys}

    def _put(self, ending, data):
        rng = self.draw.rng
        folder = rng.choice(["", "", "outlines/", "von früher/"])
        name = rng.choice([f"{self.prefix}{len(self.files)}", f"{self.prefix}Schnitt {len(self.files)} (2)"])
        own = f"{folder}{name}.{rng.choice([ending, ending, ending.upper()])}"
        self.files[own] = data
        return own
