"""Damaged projects end in a Project or an InputError, nothing else."""

import random
import re

import pytest
from generated_projects import FILE, SMALL, projects
from hypothesis import given, settings
from hypothesis import strategies as st
from written import project_to_text, with_values

from cradle.errors import InputError, ProjectError
from cradle.project.project import Project
from cradle.project.reader import project_from_text
from cradle.project.template import project_template

WHOLE = re.sub(r"(?m)\s*#.*$", "", project_template(name="thing"))
VALUES = [
    "nan", "-inf", "true", "0", "-1", "1e308", "1e-308", "0x" + "f" * 400, '""', '"auto"', '"1/2 in"', '"1/0"', "[]",
    "[[]]", "[1, 2, 3]", "[nan, true]", "{}", "{a = 1}", "1979-05-27", "12:00:00", "'''\n'''", '"\\u0000"', "[{}]",
    '"' + "x" * 300 + '"', "[" * 60 + "]" * 60, '"\u0661 mm"', "99999999999999999999",
]  # fmt: skip
PIECES = [
    *"[]{}=.,#\"'\\\n\t",
    "[[section]]\n",
    "[fit]\n",
    "section",
    "height",
    "measured.",
    "\r\n",
    "\0",
    "é",
    " ",
]


def check_problems(error: ProjectError, *, lines: int) -> None:
    assert error.problems
    assert all(p.where and p.found and (p.line is None or 1 <= p.line <= lines) for p in error.problems)
    assert len(str(error).split("\n")) == len(error.problems)


def outcome(text: str) -> str:
    """Read, and check what comes of it."""
    try:
        project = project_from_text(text, file=FILE)
    except ProjectError as error:
        check_problems(error, lines=text.count("\n") + 1)
        return "refused"
    assert isinstance(project, Project)
    assert project_from_text(project_to_text(project), file=FILE) == project
    return "read"


def count_outcomes(texts) -> dict[str, int]:
    counts = {"read": 0, "refused": 0}
    for text in texts:
        counts[outcome(text)] += 1
    return counts


@pytest.mark.slow
def test_a_text_cut_off_anywhere_is_read_or_refused():
    counts = count_outcomes(WHOLE[:end] for end in range(len(WHOLE)))
    assert sum(counts.values()) > 700
    assert min(counts.values()) > 50


@pytest.mark.slow
@pytest.mark.parametrize("every", [pytest.param(1, marks=pytest.mark.further), 3])
def test_every_value_replaced_by_every_odd_value_is_read_or_refused(every):
    """By every one, or by every third of them, another third for each of three values in turn."""
    lines = WHOLE.splitlines()
    keyed = [index for index, line in enumerate(lines) if " = " in line]
    assert len(keyed) > 40
    changed = (
        "\n".join([*lines[:i], f"{lines[i].split(' = ')[0]} = {value}", *lines[i + 1 :]])
        for n, i in enumerate(keyed)
        for value in VALUES[n % every :: every]
    )
    counts = count_outcomes(changed)
    assert sum(counts.values()) > 1000 / every
    assert min(counts.values()) > 20 / every


@pytest.mark.slow
def test_a_text_of_lines_lost_doubled_and_swapped_is_read_or_refused():
    chance, lines = random.Random(20), WHOLE.splitlines()

    def shuffled() -> str:
        made = list(lines)
        for _ in range(chance.randint(1, 3)):
            i, j = chance.randrange(len(made)), chance.randrange(len(made))
            match chance.randrange(3):
                case 0:
                    del made[i]
                case 1:
                    made.insert(j, made[i])
                case 2:
                    made[i], made[j] = made[j], made[i]
        return "\n".join(made)

    counts = count_outcomes(shuffled() for _ in range(800))
    assert min(counts.values()) > 50


@pytest.mark.slow
def test_a_text_of_letters_lost_changed_and_put_in_is_read_or_refused():
    chance = random.Random(21)

    def damaged() -> str:
        text = SMALL
        for _ in range(chance.randint(1, 4)):
            i = chance.randrange(len(text) + 1)
            piece = chance.choice(PIECES)
            text = text[:i] + piece * chance.randrange(2) + text[i + chance.randrange(3) :]
        return text

    counts = count_outcomes(damaged() for _ in range(3000))
    assert min(counts.values()) > 100


@pytest.mark.parametrize("examples", [pytest.param(400, marks=pytest.mark.further), 80])
def test_any_text_at_all_is_read_or_refused(examples):
    @settings(max_examples=examples, deadline=None)
    @given(st.text(max_size=60) | st.lists(st.sampled_from(PIECES), max_size=30).map("".join))
    def any_text(text):
        outcome(text)

    any_text()


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(projects(), st.data())
def test_any_project_cut_and_spliced_is_read_or_refused(project, data):
    text = project_to_text(project)
    i, j = (data.draw(st.integers(0, len(text))) for _ in range(2))
    outcome(text[:i] + text[j:])


def test_changing_damaged_texts_changes_them_or_says_why_not():
    chance, changed, refused = random.Random(22), 0, 0
    for _ in range(800):
        i = chance.randrange(len(SMALL))
        text = SMALL[:i] + chance.choice(PIECES) * chance.randrange(2) + SMALL[i + chance.randrange(3) :]
        key = chance.choice(
            ["fit.clearance", "section[1].width", "section[2].measured.corner", "section[2].height"]
        )
        try:
            with_values(text, {key: chance.choice([1.5, None])})
            changed += 1
        except InputError:
            refused += 1
    assert min(changed, refused) > 50
