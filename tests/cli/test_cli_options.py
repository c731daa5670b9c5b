"""What options mean: lengths with and without units, by the rules of the project's own keys."""

import pytest

from cradle.cli.options import lengths_mm, of_picture
from cradle.errors import InputError


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
    assert of_picture(None, option="--thickness", like="thickness") is None
    # a plain number and one with a unit, as the capture sheet's thickness is told
    texts = ("2", "2 mm", "0.2 cm", 2.0)
    assert {of_picture(text, option="--thickness", like="thickness") for text in texts} == {2.0}
    with pytest.raises(InputError, match=r"--thickness: .*allowed is 0\.0 mm to 20\.0 mm"):
        of_picture("99", option="--thickness", like="thickness")
