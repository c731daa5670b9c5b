"""A picture that noise spoils ends in pieces or a clear error, and nothing else."""

from contextlib import suppress

import numpy as np
import pytest
from painted import KRAFT, OAK, Table, scanned
from PIL import Image
from things_painted import lobed, placed, rule_on

from cradle.capture.tracing import trace_picture
from cradle.errors import CaptureError
from cradle.pictures.faint_things import faint_things
from cradle.pictures.image import read_picture
from cradle.pictures.pieces import pieces_of
from cradle.pictures.regions import find_things
from cradle.project.picture import PictureSource


def noisy(folder, spread, *, mode="RGB"):
    """The file of a scan of a piece beside a rule on oak, with noise of so many levels (standard deviation)."""
    table = Table(110, 90, 8, OAK, seed=4)
    rule_on(table, at_mm=(8, 16), length_mm=90, depth_mm=14)
    table.paint(placed(lobed(40.0), at_mm=(60, 58)), colour=KRAFT)
    image = np.asarray(Image.fromarray(scanned(table, dpi=110, tag=False).image).convert(mode), dtype=float)
    spoiled = image + np.random.default_rng(1).normal(0, spread, image.shape)
    Image.fromarray(np.clip(spoiled, 0, 255).astype(np.uint8)).save(folder / "a.png", compress_level=1)
    return folder / "a.png"


@pytest.mark.first_daily
@pytest.mark.parametrize("mode", ["RGB", "L"])
@pytest.mark.parametrize("spread", [80, 40, 160])
def test_noise_ends_in_pieces_or_a_clear_error(tmp_path, spread, mode):
    with suppress(CaptureError):
        assert trace_picture(noisy(tmp_path, spread, mode=mode), PictureSource(file="a.png")).pieces


def test_where_no_ground_is_seen_nothing_faint_lies_on_it(tmp_path):
    things = pieces_of(find_things(read_picture(noisy(tmp_path, 120), where="a.png")))
    everywhere = np.array([[0, 0], [5000, 0], [5000, 5000], [0, 5000]], dtype=float)
    assert not faint_things(things, keep_out=[everywhere]).boxes
