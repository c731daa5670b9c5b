"""Labels of the check picture, where there is room for them and where there is none."""

import numpy as np
import pytest
from PIL import Image, ImageDraw

from cradle.calibration.calibration import from_scale, to_px
from cradle.capture.check_picture import _axes, _font, _Label, _write
from cradle.capture.traced_picture import TracedPiece
from cradle.geometry.ring import turned


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


@pytest.mark.parametrize("turn", [5.0, -70.0, 95.0, 180.0])
def test_a_notch_is_measured_along_its_mouth_as_the_outline_is_that_it_gives(turn):
    levelled = np.array([[0.0, 0.0], [10.0, -18.0], [40.0, -12.0], [52.0, 0.0]])
    calibration = from_scale(0.1, 0.1, source="test", height_px=2000)
    lying = turned(levelled, angle_deg=turn) + [80.0, 90.0]
    piece = TracedPiece(
        number=1, ring_mm=levelled, ring_px=np.zeros((4, 2)), chord_px=to_px(calibration, lying[[0, -1]])
    )
    assert np.ptp(lying @ _axes(piece, calibration).T, axis=0) == pytest.approx(piece.size_mm)
