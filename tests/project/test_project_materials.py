"""What filaments weigh, and when they soften."""

import pytest

from cradle.project.materials import MATERIALS, material_named
from cradle.project.printer import PrinterSpec


def test_names_are_found_whatever_their_case():
    assert material_named(" petg ") is MATERIALS["PETG"]
    assert material_named("wood") is None


def test_densities_lie_where_handbooks_put_unfilled_plastics():
    """ISO 1183 densities of unfilled polymers, 0.8 to 1.5 g/cm³ (range from memory)."""
    assert all(0.8 < m.density_g_cm3 < 1.5 for m in MATERIALS.values())
    # npj Materials Degradation 2025, table 2: PLA 1.24 g/cm³, glass transition 55 to 60 °C
    assert MATERIALS["PLA"].density_g_cm3 == 1.24
    assert 55 <= MATERIALS["PLA"].softens_c <= 60


def test_an_unknown_material_weighs_as_pla():
    assert (
        PrinterSpec(material="wood").solid_density_g_cm3
        == PrinterSpec(material="pla").solid_density_g_cm3
        == 1.24
    )


@pytest.mark.parametrize("name", sorted(MATERIALS))
def test_what_softens_does_so_above_a_warm_room(name):
    softens = MATERIALS[name].softens_c
    assert softens is None or softens > 40
