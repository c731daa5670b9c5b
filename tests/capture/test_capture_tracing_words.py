"""What is told of an outline that was traced and is none."""

import numpy as np
import pytest

from cradle.capture.traced_picture import TracedPicture, TracedPiece
from cradle.capture.tracing import trace_outline
from cradle.errors import OutlineError
from cradle.geometry.arrays import frozen
from cradle.pictures.grain import Grain
from cradle.project.picture import PictureSource


def test_a_traced_edge_that_crosses_itself_asks_for_another_picture(tmp_path):
    """Not for another drawing."""
    bow_tie = frozen(np.array([[0.0, 0.0], [50.0, 40.0], [50.0, 0.0], [0.0, 40.0]]))
    piece = TracedPiece(number=1, ring_mm=bow_tie, ring_px=bow_tie)
    traced = TracedPicture(
        picture=None, scales=None, pieces=(piece,), grain=Grain(mm=0.1), size_findings=(), form_findings=()
    )
    with pytest.raises(OutlineError, match="as traced, the outline crosses") as refused:
        trace_outline(tmp_path, PictureSource(file="a.png"), trace=lambda path, spec: traced)
    assert "take the picture again" in refused.value.hint
