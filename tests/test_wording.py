"""Results said in sentences."""

from __future__ import annotations

import pytest

from hpteach.circuit import MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import Conditions, solve
from hpteach.fluids import refrigerant
from hpteach.wording import cycle_in_words, flow_in_words


@pytest.mark.parametrize(("position", "condenser"), [("cooling", "outdoor"), ("heating", "indoor")])
def test_the_roles_are_said_first(position: str, condenser: str) -> None:
    """The first sentence says which coil condenses in this position."""
    first = flow_in_words(flow(reversible_circuit(), ValvePosition(position)))[0]
    assert f"the {condenser} coil condenses" in first


def test_an_open_check_valve_names_the_device_gone_round() -> None:
    """The open check valve is named with the device that it bypasses, the shut one as shut."""
    sentences = flow_in_words(flow(reversible_circuit(), ValvePosition.HEATING))
    assert "The indoor check valve is open, so the liquid goes round the indoor metering device." in sentences
    assert "The outdoor check valve is shut." in sentences


def test_a_layout_without_check_valves_speaks_of_none() -> None:
    """With one device that meters either way, no check valve is mentioned."""
    sentences = flow_in_words(flow(reversible_circuit(MeteringLayout.OUTDOOR), ValvePosition.COOLING))
    assert not any("check valve" in sentence for sentence in sentences)


@pytest.mark.parametrize(
    ("layout", "position", "mixture"),
    [("outdoor", "cooling", True), ("outdoor", "heating", False), ("indoor", "heating", True), ("indoor", "cooling", False), ("each-coil", "cooling", False), ("each-coil", "heating", False)],
)  # fmt: skip
def test_a_device_before_the_liquid_line_fills_it_with_mixture(layout: str, position: str, mixture: bool) -> None:
    """With one device at the condensing coil the liquid line carries what was metered; otherwise it carries liquid and nothing is said."""
    sentences = flow_in_words(flow(reversible_circuit(MeteringLayout(layout)), ValvePosition(position)))
    assert mixture == any("liquid line, which therefore carries the metered mixture" in sentence for sentence in sentences)


def test_no_role_is_said_where_there_is_none() -> None:
    """A spool between its seats gives no coil a role, and the reason follows."""
    sentences = flow_in_words(flow(reversible_circuit(), ValvePosition.BETWEEN))
    assert "no condenser" in sentences[0] and "straight back to the suction" in sentences[1]


@pytest.mark.parametrize(("system", "unit", "amount"), [("SI", "°C", "kilogram"), ("IP", "°F", "pound")])
def test_a_cycle_is_said_in_the_readers_units(system: str, unit: str, amount: str) -> None:
    """Temperatures and energies are said in one system throughout."""
    cycle = solve(refrigerant("R-410A"), Conditions(ValvePosition.HEATING, "outdoor coil", 273.15, 318.15, 5.0, 5.0, 0.7))
    text = " ".join(cycle_in_words(cycle, system))
    other = {"°C": "°F", "°F": "°C"}[unit]
    assert unit in text and other not in text and f"each {amount}" in text


def test_a_wet_discharge_carries_a_caution() -> None:
    """A cycle that ends its compression in the dome is said to be one no compressor survives."""
    wet = solve(refrigerant("R-1234yf"), Conditions(ValvePosition.HEATING, "outdoor coil", 273.15, 318.15))
    dry = solve(refrigerant("R-32"), Conditions(ValvePosition.HEATING, "outdoor coil", 273.15, 318.15))
    assert "discharge is wet" in cycle_in_words(wet)[-1] and "discharge is wet" not in cycle_in_words(dry)[-1]
