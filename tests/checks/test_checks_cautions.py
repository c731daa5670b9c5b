"""Cautions follow what is held, what it is made of, and how it is mounted (usual in the trade, from memory)."""

from pathlib import Path

import numpy as np
import pytest
from pockets import pocket_of
from stacked import rectangle, stacked

from cradle.checks.cautions import ALWAYS, MEASURING, UNSTATED, cautions
from cradle.checks.material import heat_findings
from cradle.holder.holder import make_holder
from cradle.project.block import BlockSpec, PlateHole, PlateSpec
from cradle.project.materials import MATERIALS
from cradle.project.opening import KeyholeSpec, MagnetSpec, ScrewSpec, Through
from cradle.project.printer import PrinterSpec
from cradle.project.project import Project
from cradle.project.thing import Hazard, ObjectSpec

BLOCK = BlockSpec(wall_mm=9.0, floor_mm=6.0)


@pytest.fixture(scope="module")
def pocket():
    return pocket_of(stacked([0, 40], [rectangle(40, 24)] * 2), lead_in_mm=0)


def words(pocket, *openings, hazards=None, material="PLA", tips=40.0, plate=None):
    holder = make_holder([pocket], block=BLOCK, openings=openings, under=np.zeros((1, 2)), plate=plate)
    project = Project(
        file=Path("holder.toml"),
        sections=(),
        thing=ObjectSpec(hazards=hazards),
        block=BLOCK,
        printer=PrinterSpec(material=material),
    )
    return cautions(project, holder, hazards=hazards or (), tip_angle_deg=tips, filled_g=1210.0)


KEYHOLE = KeyholeSpec(through=Through.BACK, screw="M4")
MAGNET = MagnetSpec(diameter_mm=8, depth_mm=3)
SCREW_DOWN = ScrewSpec(screw="M4")


def test_a_plain_stand_gets_what_always_applies_and_its_material_s_heat(pocket):
    found = words(pocket)
    assert found[0] == UNSTATED
    assert found[2:] == ALWAYS
    # PLA softens at 55 to 60 degrees (npj Materials Degradation 2025, table 2); keep 10 to 15 below
    assert "55 °C" in found[1]
    assert "under 40 °C" in found[1]


@pytest.mark.parametrize(
    ("options", "starts"),
    [
        ({"hazards": (Hazard.SHARP,)}, {"Sharp", "Measuring"}),
        ({"hazards": (Hazard.MAINS, Hazard.WET)}, {"Mains", "Water", "Measuring"}),
        ({"hazards": (Hazard.WARM,)}, {"Warm", "Measuring"}),
        ({"hazards": (Hazard.CHILD,)}, {"Children"}),
        ({"tips": 12.0}, {"It tips over easily"}),
        ({"openings": (KEYHOLE,)}, {"Wall", "Keyhole"}),
        ({"plate": PlateSpec(width_mm=100, screw="M4"), "tips": 2.0}, {"Wall", "Wall plate"}),
        (
            {"plate": PlateSpec(width_mm=100, screw="M4", hole=PlateHole.KEYHOLE)},
            {"Wall", "Wall plate", "Keyhole"},
        ),
        ({"openings": (KEYHOLE,), "tips": 2.0}, {"Wall", "Keyhole"}),
        ({"openings": (MAGNET,)}, {"Magnets"}),
        ({"openings": (SCREW_DOWN,)}, set()),
    ],
)
def test_what_applies_is_said_and_nothing_else(pocket, options, starts):
    openings = options.pop("openings", ())
    found = words(pocket, *openings, **options)
    special = [line for line in found if line not in (*ALWAYS, UNSTATED) and not line.startswith("Heat")]
    assert all(any(line.startswith(start) for start in starts) for line in special)
    assert all(any(line.startswith(start) for line in special) for start in starts)


def test_a_wall_mount_defers_to_local_rules_and_rates_no_load(pocket):
    text = " ".join(words(pocket, KEYHOLE))
    for phrase in (
        "up to 1.3 kg; the screw, the plug, the wall or the print may give way; none of them is rated",
        "asbestos",
        "socket",
        "rules",
        "licensed",
        "pipes and cables",
        "creeps",
    ):
        assert phrase in text


@pytest.mark.parametrize(
    ("material", "codes"),
    [("PLA", 1), ("TPU", 1), ("PETG", 1), ("PA12", 1), ("ABS", 0), ("ASA", 0), ("strange", 0)],
)
def test_a_warm_thing_in_a_soft_material_is_doubtful(material, codes):
    project = Project(
        file=Path("h.toml"),
        sections=(),
        thing=ObjectSpec(hazards=(Hazard.WARM,)),
        printer=PrinterSpec(material=material),
    )
    assert [f.code for f in heat_findings(project)] == ["material-soft"] * codes
    cold = Project(file=Path("h.toml"), sections=(), printer=PrinterSpec(material=material))
    assert not [*heat_findings(cold)]


@pytest.mark.parametrize("material", sorted(MATERIALS))
def test_the_heat_a_caution_allows_is_the_heat_the_finding_judges_by(pocket, material):
    heat = next(line for line in words(pocket, material=material) if line.startswith("Heat"))
    bears = MATERIALS[material].bears_c
    assert (f"under {bears:.0f} °C" in heat) if bears is not None else ("sags" in heat)
    assert bears is None or bears >= 40  # never so low that a warm room would break the rule


@pytest.mark.parametrize(("material", "said"), [("PLA", False), ("ABS", True), ("ASA", True), ("PA12", True)])
def test_fumes_are_told_by_material(pocket, material, said):
    assert any(line.startswith("Fumes") for line in words(pocket, material=material)) is said


def test_a_charging_thing_is_neither_enclosed_nor_left_alone_nor_put_where_the_electrical_rules_forbid(
    pocket,
):
    text = " ".join(words(pocket, hazards=(Hazard.MAINS,)))
    for phrase in ("local electrical rules", "unattended", "lithium", "do not enclose", "before you fit"):
        assert phrase in text


def test_a_stated_hazard_is_not_asked_for_and_a_dangerous_thing_is_measured_with_care(pocket):
    assert UNSTATED not in words(pocket, hazards=(Hazard.WET,))
    assert UNSTATED not in words(pocket, hazards=())
    assert MEASURING not in words(pocket, hazards=(Hazard.WET,))
    assert MEASURING in words(pocket, hazards=(Hazard.SHARP,))


def test_toy_rules_of_three_regions_and_implants_are_named(pocket):
    """ISO 8124, EN 71, and ASTM F963 made law by 16 CFR 1250; small parts 16 CFR 1501."""
    text = " ".join(words(pocket, MAGNET, hazards=(Hazard.CHILD,)))
    for name in ("ISO 8124", "EN 71", "ASTM F963", "16 CFR 1250", "16 CFR 1501", "defibrillators"):
        assert name in text
