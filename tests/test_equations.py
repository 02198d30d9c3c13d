"""Sums of printed quantities in a text, worked out anew.

1 psi = 6894.757 Pa, 1 Btu/h = 0.29307 W, 3412 Btu/h = 1 kW to four figures (NIST Special Publication 811, from memory, not seen here).
"""

import pytest

from hpteach.questions.equations import equations

TRUE = [
    "q = h1 - h4 = 431.5 kJ/kg - 275.0 kJ/kg = 156.5 kJ/kg",
    "COP = (h1 - h4) / (h2 - h1) = 156.5 kJ/kg / 46.9 kJ/kg = 3.337",
    "Superheat = line - dew = 17 °C - 6.1 °C = 10.9 K.",
    "Superheat = line - dew = 4 °C - (-3.1 °C) = 7.1 K.",
    "Superheat = 62 °F - 43.2 °F = 18.8 °F.",
    "T1 = 5 °C + 6 K = 11 °C, and not less.",
    "Absolute pressure = 7.5 bar g + 0.90 bar = 8.40 bar, counted from a vacuum.",
    "Absolute pressure = 105 psig + 14.2 psia = 119.2 psia",
    "volume flow = mass flow * v1 = 10 kW / 299.8 kJ/kg * 78.842 dm³/kg = 9.47 m³/h.",
    "(6.0 kW / 2.5 + 9.0 kW - 6.0 kW) x 120 h = 648 kWh.",
    "COP = 23646 Btu/h / (6865 Btu/h + 0.44 kW) = 2.828",
    "36000 Btu/h / 128.66 Btu/lb * 1.2320 ft³/lb = 5.75 ft³/min",
    "1 - 6.93 kW / 10.50 kW = 0.340.",
    "12 000 Btu/h / 3412 = 3.517 Btu/h",
    "Of 2.40 kg x 62 % = 1.49 kg nothing is left",
    "7 mm + 0.5 mm = 7.50 mm",
]
FALSE = [
    "q = 431.5 kJ/kg - 275.0 kJ/kg = 165.5 kJ/kg",
    "COP = 156.5 kJ/kg / 46.9 kJ/kg = 3.35",
    "Superheat = 17 °C - 6.1 °C = 11.9 K.",
    "Superheat = 17 °C - 6.1 °C = 10.9 °F.",
    "T1 = 5 °C + 6 K = 12 °C",
    "Absolute pressure = 7.5 bar g + 0.90 bar = 8.40 psia",
    "10 kW / 299.8 kJ/kg * 78.842 dm³/kg = 9.47 m³/s.",
    "2 kW x 3 h = 6 kJ",
]


@pytest.mark.parametrize("text", TRUE)
def test_sum_that_comes_out_holds(text):
    """A sum is worked out with its units, and may be off by what the rounding of its printed numbers explains."""
    assert [True] == [one.holds for one in equations(text) if one.holds is not None]


@pytest.mark.parametrize("text", FALSE)
def test_sum_that_does_not_come_out_is_found(text):
    """A wrong figure, a wrong unit and a forgotten conversion are found."""
    assert [False] == [one.holds for one in equations(text) if one.holds is not None]


@pytest.mark.parametrize(
    "text",
    [
        "Q = 1800 m³/h x 1.17 kg/m³ x specific heat = 7.14 kW",
        "COP = 4.6 x (1 - 0.20 x (1 - X)) = 3.833",
        "12 kW x (from -6 °C up to 17 °C) = 4 kW",
    ],
)
def test_sum_with_words_is_told_and_not_judged(text):
    """Who writes words into a sum of numbers is told that nobody can work it out from the text."""
    assert {None} == {one.holds for one in equations(text)}


@pytest.mark.parametrize("text", ["h4 = h3 = 260.9 kJ/kg", "with T cold = 4 °C and T hot = 46 °C", "R-32: v1 = 36.462 dm³/kg, q_e = 257.9 kJ/kg.", "w = h2 - h1", "nothing at all", "COP heating = COP cooling + 1"])
def test_names_and_single_figures_are_no_sums(text):
    """What gives a name to a figure, and a rule in words or symbols, has nothing to work out."""
    assert () == equations(text)


def test_each_step_of_a_chain_is_one_sum():
    """Of a chain of equals signs every step between figures is worked out, and told as it stands."""
    found = equations("COP = 2 kW / 0.5 kW = 8 / 2 = 4.0")
    assert [("2 kW / 0.5 kW = 8 / 2", True), ("8 / 2 = 4.0", True)] == [(str(one), one.holds) for one in found]


def test_division_by_nothing_does_not_hold():
    """A division by zero comes to nothing, so that it equals nothing."""
    assert [False] == [one.holds for one in equations("3 kW / 0 = 5 kW")]
