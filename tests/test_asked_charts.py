"""The chart from which a question is answered: what is dealt for a view to draw, and refusals of a wrong file."""

import pytest

from hpteach.errors import DataError
from tests.kinds_of_part import CHART, STATE, TABLE, circuit, cycle, dealt


def test_variant_says_what_is_drawn():
    """The chart has a kind, the refrigerant, the cycle and the points marked on it; the part says from which chart it is read."""
    variant = dealt(cycle(), CHART)
    assert ("pressure-enthalpy", "R-410A", ("1", "2")) == (variant.chart.kind, variant.chart.refrigerant, variant.chart.marked)
    assert variant.cycle is variant.chart.cycle
    assert "pressure-enthalpy" == variant.parts[0].read_from


def test_question_without_a_chart_has_none():
    """Other questions have no chart, and their parts are read from nothing."""
    variant = dealt(cycle(), TABLE)
    assert (None, {""}) == (variant.chart, {part.read_from for part in variant.parts})


@pytest.mark.parametrize(
    ("kind", "marked", "expected", "drawn"),
    [
        ("temperature-entropy", 'marked = ["2a", "4a"]', ("2a", "4a"), True), ("pressure-enthalpy", "", ("1", "2", "3", "4"), True),
        ("pressure-enthalpy", "marked = []", (), False), ("pressure-temperature", "", (), False),
    ],
)  # fmt: skip
def test_points_are_marked_as_the_file_says(kind, marked, expected, drawn):
    """Left out, the four corners are marked; with none the chart is without a cycle, as the pressure-temperature chart always is."""
    chart = dealt(cycle(), CHART.replace('marked = ["1", "2"]', marked).replace("pressure-enthalpy", kind)).chart
    assert (kind, expected, drawn) == (chart.kind, chart.marked, chart.cycle is not None)


def test_any_kind_may_be_read_from_a_chart():
    """A state table and a state can be read from a chart too."""
    reading = 'read_from = "pressure-enthalpy"\n'
    variant = dealt(cycle(), TABLE.replace('kind = "table"\n', f'kind = "table"\n{reading}'), STATE.replace("{place}", "liquid line").replace('kind = "state"\n', f'kind = "state"\n{reading}'))
    assert {"pressure-enthalpy"} == {part.read_from for part in variant.parts}
    assert 5 == len(variant.parts)


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("pressure-enthalpy", "pressure-volume", "parts[1].read_from = 'pressure-volume': allowed is one of pressure-enthalpy, temperature-entropy, pressure-temperature"),
        ('["1", "2"]', '["1", "5"]', "parts[1].marked = '5': allowed is state points of 1, 2, 2a, 2b, 3, 4, 4a"),
        ('["1", "2"]', '["1", "1"]', "allowed is a different one for each"),
        ('["1", "2"]', '"1"', "parts[1].marked = '1': allowed is a list of one or more texts"),
        ('read_from = "pressure-enthalpy"\n', "", "parts[1].marked = ['1', '2']: allowed is no such key without read_from"),
        ("pressure-enthalpy", "pressure-temperature", "no such key beside a pressure-temperature chart"),
    ],
)  # fmt: skip
def test_wrong_file_is_refused(old, new, sentence):
    """A wrong key or value is refused with file, key, value and what is allowed."""
    assert old in CHART
    with pytest.raises(DataError) as refusal:
        dealt(cycle(), CHART.replace(old, new))
    assert sentence in str(refusal.value)


def test_chart_needs_a_cycle():
    """Beside a circuit alone there is nothing to draw."""
    state = STATE.replace("{place}", "liquid line").replace('kind = "state"\n', 'kind = "state"\nread_from = "pressure-enthalpy"\n')
    with pytest.raises(DataError, match="a chart only beside a .scenario. that states a cycle"):
        dealt(circuit(), state)


def test_marked_point_that_the_cycle_does_not_make_is_drawn_again():
    """R-1234yf that is compressed perfectly from its dew point ends inside the dome, so no draw has a point 2a to mark."""
    wet = cycle(superheat="0 K").replace('"0.7"', '"1"')
    text = CHART.replace('["1", "2"]', '["2a"]')
    assert ("2a",) == dealt(wet, text).chart.marked
    with pytest.raises(DataError, match="none of 20 draws .* this cycle does not make point 2a, which its chart should mark"):
        dealt(wet.replace("R-410A", "R-1234yf"), text)
