"""A machine as a set of parts, one for both positions of the valve (hpteach/machine/machine.py)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from hpteach.errors import LimitError
from hpteach.machine import DEMO_MACHINES, demo_machine
from hpteach.machine.machine import WorkingLimits
from tests.settling import COOLING, HEATING

MACHINE = demo_machine("R-32")
LIMITS = MACHINE.limits


def test_valve_exchanges_the_roles_of_the_same_coils() -> None:
    """What boils in heating condenses in cooling: the very same two objects."""
    boiling, condensing = MACHINE.coils(HEATING)
    assert MACHINE.outdoor_coil is boiling and MACHINE.indoor_coil is condensing
    boiling, condensing = MACHINE.coils(COOLING)
    assert MACHINE.indoor_coil is boiling and MACHINE.outdoor_coil is condensing


@pytest.mark.parametrize(("position", "place"), [(HEATING, "outdoor coil"), (COOLING, "indoor coil")])
def test_device_that_works_is_the_one_at_the_coil_that_boils(position, place: str) -> None:  # noqa: ANN001
    """The other stands aside, its check valve open."""
    device = {"outdoor coil": MACHINE.outdoor_metering, "indoor coil": MACHINE.indoor_metering}[place]
    assert device is MACHINE.metering(position)
    assert place == MACHINE.coils(position)[0].place


def test_charge_is_held_aside_in_heating_only() -> None:
    """In cooling all of it circulates."""
    assert MACHINE.charge == MACHINE.circulating(COOLING)
    assert MACHINE.charge == pytest.approx(MACHINE.circulating(HEATING) + MACHINE.held_aside, rel=1e-12)


@pytest.mark.parametrize("name", DEMO_MACHINES)
def test_demo_machine_says_that_it_is_invented(name: str) -> None:
    """Name and note say so, as no maker builds it."""
    machine = demo_machine(name)
    assert "(invented)" in machine.name and machine.note.startswith("Invented")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"charge": 0.0}, "charge in kg of 0"), ({"charge": math.nan}, "charge in kg"), ({"held_aside": -0.1}, "held aside"),
        ({"held_aside": MACHINE.charge}, "leaves nothing"), ({"liquid_line_volume": -1.0}, "volume of the liquid line"),
        ({"indoor_coil": MACHINE.outdoor_coil}, "its place is the outdoor coil"), ({"outdoor_coil": MACHINE.indoor_coil}, "its place is the indoor coil"),
    ],
)  # fmt: skip
def test_machine_that_cannot_be_is_refused(change: dict, words: str) -> None:
    """The refusal names what does not fit."""
    with pytest.raises(LimitError, match=words):
        replace(MACHINE, **change)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("discharge_temperature", 115.0), ("pressure_ratio", 1.0), ("least_saturated_suction_temperature", -30.0),
        ("saturated_condensing_temperature", 0.0), ("discharge_temperature", math.inf),
    ],
)  # fmt: skip
def test_working_limit_that_cannot_be_is_refused(field: str, value: float) -> None:
    """Celsius given for kelvin is caught where it can be, with the quantity named."""
    with pytest.raises(LimitError, match=field.split("_")[-1]):
        replace(LIMITS, **{field: value})
    assert isinstance(LIMITS, WorkingLimits)
