"""The page of cautions (docs/safety.md): every danger of the work is on it, and the figures marked as computed are."""

import re
from pathlib import Path

import pytest

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.fluids import moist_air, refrigerant
from hpteach.units import STANDARD_ATMOSPHERE, show

PAGE = (Path(__file__).parents[1] / "docs" / "safety.md").read_text(encoding="utf-8")
SECTIONS = dict(re.findall(r"^## (.+)\n((?:(?!## ).*\n)*)", PAGE, re.MULTILINE))
TEXT = " ".join(PAGE.split())


@pytest.mark.parametrize(
    ("section", "words"),
    [
        ("Pressure", ["rated", "eye protection", "80 %"]), ("Electricity", ["lock out", "prove dead", "capacitor"]), ("Fire: A2L, A2 and A3 refrigerants", ["A2L", "A3", "R-290", "ventilate", "detector"]),
        ("Cold", ["frostbite", "goggles"]), ("Heat", ["discharge line", "heaters"]), ("Air to breathe", ["pushes the air away", "Nitrogen"]), ("Moving parts", ["fans", "Fin edges"]),
        ("Oil and acid", ["burnt out", "acid", "gloves", "drain"]), ("Lifting and heights", ["weight", "hoist", "Cylinders", "ladders"]),
        ("Brazing, pressure tests and vacuum", ["Never oxygen", "dry nitrogen", "relief valve"]), ("Recovery and the law", ["forbidden", "Never mix"]),
        ("When something goes wrong", ["emergency number", "Cold burn", "Eyes"]),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)  # fmt: skip
def test_danger_has_its_cautions(section, words):
    """Each danger of the work has a section, with the cautions that nobody may miss."""
    assert [] == [word for word in words if word not in SECTIONS[section]]


def test_page_defers_to_law_makers_and_licensed_people():
    """Above all dangers stands what comes first: codes, the maker, the data sheet, whoever is in charge, and who may open a circuit."""
    first = " ".join(PAGE.split("\n## ")[0].split())
    for said in ("law and codes of your place", "manufacturer's instructions", "safety data sheet", "person in charge", "licensed work", "follow them"):
        assert said in first, said


def both(pressure):
    """A pressure (Pa, absolute) as the page has it, gauge, for both shores."""
    bar, psi = ((show(pressure, "gauge pressure", system, decimals=decimals)) for system, decimals in (("SI", 1), ("IP", 0)))
    return f"{bar} ({psi})"


@pytest.mark.parametrize(("name", "celsius"), [("R-410A", 20.0), ("R-410A", 50.0), ("R-32", 50.0)])
def test_pressures_at_rest_are_computed(name, celsius):
    """The pressures of a circuit at rest are those of the bubble point."""
    assert both(refrigerant(name).bubble_pressure(273.15 + celsius)) in TEXT


@pytest.mark.parametrize(("name", "figure"), [("R-410A", "-51 °C"), ("R-32", "-52 °C"), ("R-290", "-42 °C"), ("R-134a", "-26 °C")])
def test_boiling_points_are_computed(name, figure):
    """What escapes boils at the temperature that the page states."""
    assert f"{refrigerant(name).bubble_temperature(STANDARD_ATMOSPHERE) - 273.15:.0f} °C" == figure
    assert f"{name} at {figure}" in TEXT or f"{name} boils at {figure}" in TEXT


def gas(name):
    """The density of the gas at 20 °C and sea level."""
    return refrigerant(name).state_pt(STANDARD_ATMOSPHERE, 293.15).density


@pytest.mark.parametrize(("name", "times"), [("R-290", "1.5"), ("R-32", "1.8"), ("R-1234yf", "4.0")])
def test_weight_of_gas_beside_air_is_computed(name, times):
    """How much heavier the gas is than dry air of the same temperature and pressure."""
    assert times == f"{gas(name) / moist_air(293.15, relative_humidity=0.0).density:.1f}"
    assert re.search(rf"{name} (?:is )?{times} times", TEXT)


@pytest.mark.parametrize(("name", "volume"), [("R-410A", "0.33"), ("R-32", "0.46")])
def test_room_that_a_kilogram_takes_is_computed(name, volume):
    """How much gas a kilogram makes at 20 °C."""
    assert volume == f"{1.0 / gas(name):.2f}"
    assert re.search(rf"of {name} makes {volume} m³", TEXT)


@pytest.mark.parametrize(("name", "evaporating", "figure"), [("R-410A", 0.0, "81"), ("R-410A", -25.0, "106"), ("R-32", 0.0, "103"), ("R-32", -25.0, "148")])
def test_discharge_temperatures_are_computed(name, evaporating, figure):
    """The discharge of the bench example, at both evaporating temperatures."""
    conditions = Conditions(ValvePosition.HEATING, "outdoor coil", 273.15 + evaporating, 318.15, 5.0, 5.0, 0.7)
    assert figure == f"{solve(refrigerant(name), conditions).point('2').temperature - 273.15:.0f}"
    assert f"{figure} °C" in " ".join(SECTIONS["Heat"].split())
