"""Sizes of a machine as texts with a unit (hpteach/machine/part_sizes.py).

Units are held against their definitions: foot 0.3048 m, pound 0.45359237 kg (exact, international yard and pound of 1959), standard
gravity 9.80665 m/s2 (exact, CGPM 1901), and the Btu of 1055.056 J that `units` takes (ISO 31-4, by way of pint).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.errors import InputError, LimitError, UnitError
from hpteach.machine.part_sizes import KINDS, allowed, read_size, size_text
from hpteach.units import read

SIZES = st.floats(min_value=1e-9, max_value=1e9)


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("2.0 kg", "mass", 2.0),
        ("1 lb", "mass", 0.45359237),
        ("16 oz", "mass", 0.45359237),
        ("850 g", "mass", 0.85),
        ("33 cm3", "volume", 33e-6),
        ("33cm³", "volume", 33e-6),
        ("2.4 l", "volume", 2.4e-3),
        ("1 ft3", "volume", 0.3048**3),
        ("2 in3", "volume", 2.0 * 0.0254**3),
        ("1.5 mm2", "area", 1.5e-6),
        ("1 ft²", "area", 0.3048**2),
        ("1 in2", "area", 0.0254**2),
        ("1.6 mm", "length", 1.6e-3),
        ("1 in", "length", 0.0254),
        ("48 rev/s", "rotation", 48.0),
        ("2880 rpm", "rotation", 48.0),
        ("15 kPa", "pressure difference", 15e3),
        ("1 psi", "pressure difference", 0.45359237 * 9.80665 / 0.0254**2),
        ("0 Pa", "pressure difference", 0.0),
        ("0.015 MPa", "pressure difference", 15e3),
        ("1000 W/K", "conductance", 1000.0),
        ("1 Btu/h/F", "conductance", 1055.056 / 3600.0 * 1.8),
        ("1 Btu/(hr·°F)", "conductance", 1055.056 / 3600.0 * 1.8),
        ("9 kJ/K", "heat capacity", 9e3),
        ("1 Btu/F", "heat capacity", 1055.056 * 1.8),
        ("0.2 W/(m K)", "thermal conductivity", 0.2),
        ("0,2 W/m/K", "thermal conductivity", 0.2),
        ("1 Btu/(h ft F)", "thermal conductivity", 1055.056 / 3600.0 * 1.8 / 0.3048),
        ("115 C", "temperature", 388.15),
        ("9 F", "temperature difference", 5.0),
        ("0.56 m3/s", "volume flow", 0.56),
        ("160 W", "power", 160.0),
        ("70 %", "ratio", 0.7),
    ],
)
def test_size_is_read_in_si(text: str, kind: str, expected: float) -> None:
    """Each unit of a machine file is read by its definition."""
    assert expected == pytest.approx(read_size(text, kind), rel=1e-14, abs=0.0)


def test_btu_is_the_one_of_units() -> None:
    """A conductance and a power in Btu rest on one Btu."""
    assert read("1 Btu/h", "power") * 1.8 == pytest.approx(read_size("1 Btu/h/F", "conductance"), rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
@given(value=SIZES)
def test_size_reads_back_to_the_last_bit(kind: str, value: float) -> None:
    """Whatever number is written, in whichever unit, the very same number is read."""
    assert value == read_size(size_text(value, kind), kind)


@pytest.mark.parametrize(
    ("value", "kind", "expected"),
    [
        (33e-6, "volume", "33 cm3"),
        (2.4e-3, "volume", "2.4 l"),
        (28.0, "area", "28 m2"),
        (1.5e-6, "area", "1.5 mm2"),
        (0.0, "pressure difference", "0 kPa"),
        (338.15, "temperature", "65 C"),
        (338.1500000000001, "temperature", "338.1500000000001 K"),
        (1e-300, "length", "1e-300 m"),
        (2, "mass", "2 kg"),
    ],
)
def test_size_is_written_as_people_would(value: float, kind: str, expected: str) -> None:
    """A size stands in a handy unit where no digit is lost by it, else in SI."""
    assert expected == size_text(value, kind)


@pytest.mark.parametrize(
    ("text", "kind", "error", "words"),
    [
        ("2.0", "mass", UnitError, "'2.0' is not a number with a unit"),
        ("kg", "mass", UnitError, "is not a number with a unit"),
        ("2.0 W/K", "mass", UnitError, "'W/K' is no unit of mass here"),
        ("15 psig", "pressure difference", UnitError, "'psig' is no unit of pressure difference here"),
        ("15 mPa", "pressure difference", UnitError, "'mPa' is no unit of pressure difference here"),
        ("1,200 kg", "mass", UnitError, "may part thousands"),
        ("1e999 kg", "mass", LimitError, "not a finite number"),
        ("0.56", "volume flow", UnitError, "has no unit of volume flow"),
        ("5 kg/s", "power", UnitError, "is a mass flow, not a power"),
        ("-300 C", "temperature", LimitError, "absolute zero"),
    ],
)
def test_size_that_cannot_be_read_is_refused(text: str, kind: str, error: type[InputError], words: str) -> None:
    """A refusal says what is wrong with the text."""
    with pytest.raises(error) as refused:
        read_size(text, kind)
    assert words in str(refused.value)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "ratio"])
def test_example_of_a_refusal_can_be_read(kind: str) -> None:
    """The text that a refusal offers as an example is one that is read."""
    assert read_size(allowed(kind).split("'")[1], kind) > 0.0
