"""The pictures of a question in sentences."""

from __future__ import annotations

import pytest

from hpteach.questions import deal, read_bank
from hpteach.solution_words import air_in_words, asked_chart_in_words, boiling_in_words, boiling_points, circuit_in_words, names_to_compare, points_in_words
from hpteach.units import show

BANK = read_bank()


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize(("kind", "attribute", "measured"), [("pressure-enthalpy", "enthalpy", "specific energy"), ("temperature-entropy", "entropy", "specific entropy")])
def test_the_corners_are_told_as_they_stand_on_the_chart(kind: str, attribute: str, measured: str, system: str) -> None:
    """Each sentence has what is on both axes, in the units of the reader."""
    cycle = deal(BANK.question("cooling-cop"), 5, system).cycle
    sentences = points_in_words(cycle, kind, system)
    assert 4 == len(sentences)
    for label, sentence in zip("1234", sentences):
        point = cycle.point(label)
        assert sentence.startswith(f"Point {label}, {point.phase}: ")
        assert show(point.pressure, "pressure", system) in sentence and show(getattr(point, attribute), measured, system) in sentence


@pytest.mark.parametrize(
    ("question", "begins"),
    [
        ("predict-perfect-compressor", "efficiency "), ("predict-colder-outdoors", "evaporating "), ("predict-suction-volume", "R-"), ("mass-flow-in-the-cold", "outdoors "),
        ("predict-thermostat-set-higher", "indoors "), ("predict-less-air-flow", "air flow "), ("predict-superheat-when-the-pressure-falls", "suction "),
        ("share-of-flash-gas", ""),
    ],
)  # fmt: skip
def test_two_cycles_are_told_apart_by_what_differs(question: str, begins: str) -> None:
    """The names differ, and say the one condition by which the two differ; where several do they are first and second."""
    one, other = names_to_compare(deal(BANK.question(question), 5))
    assert one != other and one.startswith(begins) and other.startswith(begins)
    assert begins or ("first", "second") == (one, other)


def test_boiling_points_are_told_with_what_a_gauge_shows() -> None:
    """The gauge counts from the air of the question."""
    variant = deal(BANK.question("gauge-at-altitude"), 5)
    (point,) = boiling_points(variant)
    (sentence,) = boiling_in_words(variant, [point])
    assert show(point.pressure, "gauge pressure", atmosphere=variant.atmosphere) in sentence and show(point.pressure, "pressure") in sentence


def test_air_is_told_before_and_behind_the_coil() -> None:
    """Temperature, water and dew point of both."""
    stated = deal(BANK.question("sensible-heat-of-the-air"), 5).air
    before, behind = air_in_words(stated, stated.leaving, None, "SI")
    assert before.startswith("The air before the coil: ") and behind.startswith("The air behind it: ")
    assert show(stated.leaving.dry_bulb, "temperature") in behind and "dew point" in before


def test_a_circuit_is_told_with_its_way() -> None:
    """Roles, what meters, and the parts in the order in which they are met."""
    variant = deal(BANK.question("order-the-circuit"), 5)
    sentences = circuit_in_words(variant.flow)
    assert variant.flow.condenser in sentences[0]
    assert f"The way of the refrigerant: {', '.join(step.component for step in variant.flow.path)}." == sentences[-1]


def test_the_chart_to_read_is_told_without_what_is_to_be_read() -> None:
    """Axes, lines and named points are told, and that the numbers are on the picture alone."""
    variant = deal(BANK.question("heating-on-the-chart"), 5)
    said = asked_chart_in_words(variant)
    assert said.startswith(f"Pressure-enthalpy chart of {variant.chart.refrigerant}") and said.endswith("from the picture alone.")
    assert "absolute pressure" in said and "bar" not in said
