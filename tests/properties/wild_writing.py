"""The tables of a project as other people write them: units behind numbers, words said that need not be, other TOML."""

from functools import cache

from wild_folders import value_text

from cradle.project import block, fasteners, opening, picture, printer, section, side, thing, trial_log, view
from cradle.project.mistake import MistakeError
from cradle.project.project import tables
from cradle.project.trial_log import TRIAL

_UNITS = {"1 mm": 1.0, "1 kg": 1000.0, "1 deg": 1.0}
"""What tells a length, a mass and an angle by the value read."""
_WRITTEN = {
    "1 mm": ((1.0, " mm"), (1.0, "mm"), (10.0, " cm"), (25.4, " in"), (25.4, '"'), (1.0, "")),
    "1 kg": ((1.0, " g"), (1000.0, " kg"), (28.349523125, " oz")),
    "1 deg": ((1.0, " deg"), (1.0, "°"), (1.0, "")),
}


@cache
def every_word():
    """All words that keys take: members of enumerations, screws, units, and those that stand in place of a number."""
    words = {"auto", "free", True, False, *fasteners.SCREWS, *section.DRAWING_UNITS}
    for module in (block, opening, picture, printer, section, side, thing, trial_log, view):
        for found in vars(module).values():
            if isinstance(found, type) and issubclass(found, str):
                words |= {str(member) for member in found}
    return tuple(sorted(words, key=str))


def takes(convert, value):
    """Whether a key takes the value, or a list of it."""
    for one in (value, [value]):
        try:
            convert(one)
        except MistakeError:
            continue
        return True
    return False


@cache
def schema():
    """For each table by its name (an opening's with its kind), the words each key takes; None of one that takes any text."""
    known = {}
    for name, table in [*tables(), ("trial", TRIAL)]:
        kind = getattr(table.makes, "kind", None)
        own = {**table.keys, **(table.drawing.keys if table.drawing is not None else {})}
        known[table_name(name, kind)] = {
            key: None
            if takes(content.convert, "any text")
            else tuple(word for word in every_word() if takes(content.convert, word))
            for key, content in own.items()
        }
    return known


def table_name(name, kind=None):
    """A table's name in `schema`: one for all pictures, and one for each kind of opening."""
    if name.endswith(".picture"):
        return "picture"
    return f"{name}.{kind}" if kind else name


@cache
def _measures():
    """What kind of quantity each key of each table is, by a text of it."""
    known = {}
    for name, table in [*tables(), ("trial", TRIAL)]:
        for key, content in table.keys.items():
            for text, value in _UNITS.items():
                try:
                    found = content.convert(text)
                except MistakeError:
                    continue
                if found == value:
                    known[table_name(name, getattr(table.makes, "kind", None)), key] = text
                    break
    return known


def written_otherwise(rng, all_tables):
    """The same tables, some numbers with a unit behind them, and now and then a word for a key that had none."""
    out = {}
    for name, content in all_tables.items():
        many = content if isinstance(content, list) else [content]
        own = [_table(rng, name, table) for table in many]
        out[name] = own if isinstance(content, list) else own[0]
    return out


def _table(rng, name, table):
    label = table_name(name, table.get("kind"))
    made = {}
    for key, value in table.items():
        if isinstance(value, dict):
            made[key] = _table(rng, f"{name}.{key}", value)
        else:
            made[key] = _quantity(rng, value, _measures().get((label, key)))
    for key, words in schema().get(label, {}).items():
        if key not in table and words and rng.random() < 0.03:
            made[key] = rng.choice(words)
    return made


def _quantity(rng, value, kind):
    if kind is None or isinstance(value, str | bool | list) or rng.random() < 0.7:
        return value
    factor, unit = rng.choice(_WRITTEN[kind])
    return f"{value / factor:.6g}{unit}"


def toml_otherwise(rng, all_tables):
    """TOML of the tables with tables inside their lines, dotted keys, remarks and line ends of other systems."""
    parts = []
    for name, content in all_tables.items():
        for table in content if isinstance(content, list) else [content]:
            lines = [f"[[{name}]]" if isinstance(content, list) else f"[ {name} ]"]
            keys = list(table)
            rng.shuffle(keys)
            for key in keys:
                lines += _lines(rng, key, table[key])
            parts.append("\n".join(lines))
    text = rng.choice(["\n\n", "\n"]).join(parts) + rng.choice(["", "\n"])
    return text.replace("\n", rng.choice(["\n", "\r\n"])).encode(rng.choice(["utf-8", "utf-8", "utf-8-sig"]))


def _lines(rng, key, value):
    if isinstance(value, dict):
        if rng.random() < 0.5:
            inside = ", ".join(f"{k} = {value_text(v)}" for k, v in value.items())
            return [f"{key} = {{ {inside} }}"]
        return [f"{key}.{k} = {value_text(v)}" for k, v in value.items()]
    text = value_text(value)
    if isinstance(value, list) and rng.random() < 0.2:
        text = "[\n" + "".join(f"  {value_text(item)},  # one\n" for item in value) + "]"
    if isinstance(value, str) and "'" not in value and rng.random() < 0.3:
        text = f"'{value}'"
    return [f"{rng.choice(['', '', chr(9)])}{key}={text}{rng.choice(['', '', '  # as read'])}"]
