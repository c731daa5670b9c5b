import tomllib

import pytest
from generated_projects import projects
from hypothesis import given, settings
from written import project_to_text, with_values

from cradle.errors import InputError
from cradle.project.toml_positions import WrittenAs, data_of, dotted, line_of, overlong_key, places_in

TRICKY = '''\
# [not.a.table] = 1
top = """a
[fake]
x = "1" \\""" """   # a comment = with [brackets
"quoted key".'and # this' = 'x # y' # z
[ a . "b.c" ]  # header
d = [ 1, [2, # two ]
  3], {e = {f.g = 7}, h = "}"},
]
\ti.j.k = 1979-05-27 07:32:00
i.j.l = \'\'\'\'\'quoted\'\'\'\'\'
[[list]]
[[list.inner]]
m = 1
[[list.inner]]
[list.inner.n]
o = true
[[list]]
inner = []
p = "\\u00e9\\"="
'''


def test_a_key_of_more_parts_than_any_project_has_is_found_before_it_costs_anything():
    chain = ".".join(["a"] * 50_000)
    spaced = " . ".join(["'a'"] * 50_000)
    for line in (
        f"{chain} = 1",
        f"[{chain}]",
        f"[[ {chain} ]]",
        f"x = {{ {spaced} = 1 }}",
        f"{chain}.",
        chain,
    ):
        assert overlong_key(f"x = 1\n# y\n{line}\n") == 3, line[:20]
    for line in (f"# {chain}", f'x = "{chain}"', "a." * 31 + "a = 1", "x = [" + "1.5, " * 100 + "]"):
        assert overlong_key(line) is None, line[:20]


def test_no_way_of_changing_a_text_reads_an_overlong_key_either():
    text = ".".join(["a"] * 50_000) + " = 1\n"
    assert data_of(text) is None
    with pytest.raises(InputError, match="the project file cannot be read"):
        with_values(text, {"fit.clearance": 0.3})


def leaves(data, path=()):
    if isinstance(data, dict):
        for key, value in data.items():
            yield from leaves(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from leaves(value, (*path, index))
    else:
        yield path, data


def check_spans(text: str) -> int:
    """Every leaf has a place, and the text there reads as the leaf's value."""
    places, count = places_in(text), 0
    for path, value in leaves(tomllib.loads(text)):
        place = places[path]
        assert tomllib.loads(f"v = {text[place.start : place.end]}")["v"] == value, path
        assert place.line == text.count("\n", 0, place.start) + 1
        count += 1
    return count


def test_every_value_of_a_tricky_text_is_found_at_its_line():
    assert check_spans(TRICKY) == 12
    assert check_spans(TRICKY.replace("\n", "\r\n")) == 12
    places = places_in(TRICKY)
    assert line_of(places, ("top",)) == 2
    assert line_of(places, ("quoted key", "and # this")) == 5
    assert line_of(places, ("a", "b.c", "d", 1, 1)) == 8
    assert line_of(places, ("a", "b.c", "d", 2, "e", "f", "g")) == 8
    assert line_of(places, ("a", "b.c", "i", "j", "l")) == 11
    assert line_of(places, ("list", 0)) == 12
    assert line_of(places, ("list", 0, "inner", 1, "n", "o")) == 17
    assert line_of(places, ("list", 1)) == 18
    assert line_of(places, ("a",)) == 6  # never named alone: where what is in it begins
    assert line_of(places, ("b",)) is None
    assert places["a", "b.c"].written_as is WrittenAs.HEADER
    assert places["a", "b.c", "i", "j"].written_as is WrittenAs.DOTTED
    assert places["a", "b.c", "d", 2].written_as is WrittenAs.INLINE


def test_a_missing_key_has_the_line_of_the_table_around_it():
    places = places_in("[fit]\n\n[[section]]\n")
    assert line_of(places, ("section", 0, "measured", "width")) == 3
    assert line_of(places, ("block", "wall")) is None


def test_dotted_keys_count_from_1():
    assert dotted(("section", 0, "measured", "width")) == "section[1].measured.width"
    assert dotted(("a b", "c")) == '"a b".c'


@pytest.mark.slow
@settings(max_examples=30, deadline=None)
@given(projects())
def test_every_value_of_any_project_is_found(project):
    assert check_spans(project_to_text(project)) > 20
