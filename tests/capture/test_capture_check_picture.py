"""Labels of the check picture, where there is room for them and where there is none."""

import numpy as np
from PIL import Image, ImageDraw

from cradle.capture.check_picture import _font, _Label, _write


class Looked(list):
    """A list that counts how often it is gone through."""

    times = 0

    def __iter__(self):
        self.times += 1
        return super().__iter__()


def test_a_label_for_which_there_is_no_room_is_written_all_the_same_without_looking_for_ever():
    words = ImageDraw.Draw(Image.new("RGB", (300, 400)))
    full = Looked((0.0, y, 300.0, y + 4.0) for y in np.arange(0.0, 400.0, 4.0))
    label = _Label(place=np.array([150.0, 200.0]), text="1", away=np.zeros(2), colour=(0, 0, 0))
    left, top, right, bottom = _write(words, label, _font(12), (300, 400), full)
    assert 0 <= left < right <= 300
    assert top < bottom
    assert full.times < 20
