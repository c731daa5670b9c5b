"""Things of nearly the ground's colour are told from what light, paper and dust make of it."""

import cv2
import numpy as np
import pytest

from cradle.pictures.faint_things import faint_things
from cradle.pictures.image import Picture
from cradle.pictures.pieces import pieces_of
from cradle.pictures.regions import find_things
from cradle.pictures.resolution import Resolution

SIZE = (600, 800)
LID = 243.0
PALE = (228.0, 226.0, 222.0)
CARD = (420, 150, 220, 260)


def _lid(*, fall=0.0):
    """A scanner's lid on which a dark piece lies, lit less by a part ``fall`` at the right."""
    rgb = np.full((*SIZE, 3), LID, np.float32)
    rgb[100:400, 60:260] = 45.0
    return rgb * (1 - fall * np.linspace(0, 1, SIZE[1], dtype=np.float32)[None, :, None])


def _mask(draw):
    """Where something is drawn, 0 to 1."""
    mask = np.zeros(SIZE, np.uint8)
    draw(mask)
    return mask[..., None].astype(np.float32)


def _card(rgb, colour=PALE):
    x, y, wide, high = CARD
    rgb[y : y + high, x : x + wide] *= np.array(colour, np.float32) / LID
    return rgb


def _faint(rgb):
    rng = np.random.default_rng(3)
    seen = cv2.GaussianBlur(rgb, (0, 0), 0.7) + rng.normal(0, 2.0, rgb.shape)
    levels = np.clip(seen, 0, 255).astype(np.uint8)
    picture = Picture(
        file="p.png",
        grey=levels.mean(axis=2).astype(np.uint8),
        colour=levels,
        resolution=Resolution(dpi=None, told_by="none"),
    )
    things = pieces_of(find_things(picture))
    assert len(things.boxes) == 1  # the dark piece alone is clear to see
    return faint_things(things)


@pytest.mark.parametrize("fall", [0.0, 0.25])
@pytest.mark.parametrize("colour", [PALE, (236.0, 231.0, 224.0), (238.0, 243.0, 251.0)])
def test_a_pale_card_beside_a_dark_piece_is_found(colour, fall):
    found = _faint(_card(_lid(fall=fall), colour))
    (box,) = found.boxes
    assert np.array(box) * found.shrink == pytest.approx(CARD, abs=3)
    x, y = found.point_on(1)
    assert (x, y) == pytest.approx((CARD[0] + CARD[2] / 2, CARD[1] + CARD[3] / 2), abs=0.3 * CARD[3])


def test_a_pale_card_that_covers_a_third_of_the_lid_is_found():
    rgb = _lid()
    rgb[70:550, 300:730] = PALE
    (box,) = _faint(rgb).boxes
    assert box == pytest.approx((300, 70, 430, 480), abs=3)


def _shadow(rgb):
    """The soft shadow of something that leans over the glass."""
    soft = cv2.GaussianBlur(_mask(lambda m: cv2.rectangle(m, (420, 150), (640, 410), 1, -1)), (0, 0), 14)
    return rgb * (1 - 0.06 * soft[..., None])


def _piece_shadow(rgb):
    """The dark piece's own, sharp on one side."""
    dark = rgb[..., :1] < 100
    moved = np.roll(cv2.GaussianBlur(dark.astype(np.float32), (0, 0), 3), (10, 16), (0, 1))
    return np.where(dark, rgb, rgb * (1 - 0.08 * moved[..., None]))


def _fold(rgb):
    """A fold across a sheet of paper, dark along one side and light along the other."""
    rgb = rgb - 12 * _mask(lambda m: cv2.line(m, (320, 590), (760, 20), 1, 3))
    return rgb + 8 * _mask(lambda m: cv2.line(m, (324, 590), (764, 20), 1, 3))


def _writing(rgb):
    def write(mask):
        for row in range(6):
            cv2.putText(mask, "side view 42 x 17", (330, 150 + 50 * row), cv2.FONT_HERSHEY_SIMPLEX, 1.2, 1, 2)

    return rgb - 14 * _mask(write)


def _dust(rgb):
    rng = np.random.default_rng(1)

    def strew(mask):
        for x, y, r in zip(
            rng.integers(290, 790, 80), rng.integers(10, 590, 80), rng.integers(1, 5, 80), strict=True
        ):
            cv2.circle(mask, (int(x), int(y)), int(r), 1, -1)

    return rgb - 16 * _mask(strew)


def _ruled(rgb):
    def rule(mask):
        for y in range(20, 600, 32):
            cv2.line(mask, (0, y), (800, y), 1, 1)

    return rgb - 25 * _mask(rule) * (rgb[..., :1] > 100)


def _cockled(rgb):
    """Paper that does not lie flat."""
    y, x = np.mgrid[0 : SIZE[0], 0 : SIZE[1]].astype(np.float32)
    return rgb * (1 - 0.02 * np.sin(x / 70 + np.sin(y / 90))[..., None])


def _sheet_edge(rgb):
    """A sheet of paper of nearly the lid's colour on which all lies, cut off by the picture's edge."""
    rgb[:, 560:] -= 10
    return rgb


@pytest.mark.parametrize(
    "unevenly",
    [_shadow, _piece_shadow, _fold, _writing, _dust, _ruled, _cockled, _sheet_edge],
    ids=lambda each: each.__name__.strip("_"),
)
def test_light_paper_and_dust_are_no_things(unevenly):
    assert _faint(unevenly(_lid())).boxes == ()


@pytest.mark.first_daily
@pytest.mark.parametrize("unevenly", [_piece_shadow, _fold, _writing, _dust, _ruled, _cockled])
def test_beside_them_a_pale_card_is_found(unevenly):
    assert len(_faint(_card(unevenly(_lid()))).boxes) == 1
