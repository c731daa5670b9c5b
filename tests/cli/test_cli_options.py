"""What options mean: lengths with and without units, by the rules of the project's own keys."""

import pytest

from cradle.cli.options import lengths_mm, value_of
from cradle.errors import InputError
from cradle.project.picture import PICTURE
from cradle.project.trial_log import TRIAL, Outcome


def test_lengths_are_in_mm_unless_they_say_otherwise_and_repeats_count_once():
    # 1 in = 25.4 mm exactly: international yard and pound agreement, 1959
    given = ["0.2", "0.4mm", "0.02 cm", "1/64 in", "0.2"]
    assert lengths_mm(given, option="--clearance", like="clearance") == [0.2, 0.4, 25.4 / 64]


@pytest.mark.parametrize("text", ["", "nan", "-1", "2 furlong", "1/0"])
def test_what_is_no_length_is_told_with_its_option(text):
    with pytest.raises(InputError) as caught:
        lengths_mm([text], option="--clearance", like="clearance")
    assert caught.value.where == "--clearance"
    assert caught.value.exit_code == 2


def test_a_picture_s_measure_stays_none_where_none_is_given():
    assert value_of("thickness", said={"thickness": None}, keys=PICTURE.keys) is None
    # a plain number and one with a unit, as the capture sheet's thickness is told
    texts = ("2", "2 mm", "0.2 cm", 2.0)
    assert {value_of("thickness", said={"thickness": text}, keys=PICTURE.keys) for text in texts} == {2.0}
    with pytest.raises(InputError, match=r"--thickness: .*allowed is 0\.0 mm to 20\.0 mm"):
        value_of("thickness", said={"thickness": "99"}, keys=PICTURE.keys)


def test_a_word_that_is_none_is_told_with_those_that_are():
    assert value_of("seen", said={"seen": "loose"}, keys=TRIAL.keys) is Outcome.LOOSE
    with pytest.raises(
        InputError,
        match=r"--seen: 'stuck' is not allowed; did you mean no-go\? use no-go, tight, good or loose",
    ):
        value_of("seen", said={"seen": "stuck"}, keys=TRIAL.keys)
