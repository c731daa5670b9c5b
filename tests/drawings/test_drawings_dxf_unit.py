"""A DXF drawing whose stated unit is not that of its numbers."""

import ezdxf
import pytest
from drawn_files import read

from cradle.errors import OutlineError


@pytest.mark.parametrize(
    ("code", "side", "told"), [(6, 50, "taken as m, as the file states"), (4, 50_000, "check the unit")]
)
def test_a_drawing_that_its_unit_makes_absurdly_large_names_it(tmp_path, code, side, told):
    """ezdxf, as some programs, states m where nobody chose a unit: the default of its `ezdxf.new`."""
    document = ezdxf.new()
    assert document.header["$INSUNITS"] == 6
    document.header["$INSUNITS"] = code
    document.modelspace().add_lwpolyline([(0, 0), (side, 0), (side, 40)], close=True)
    document.saveas(tmp_path / "a.dxf")
    with pytest.raises(OutlineError, match=f"the curve is 50000 mm large.*{told}"):
        read(tmp_path, "a.dxf")
