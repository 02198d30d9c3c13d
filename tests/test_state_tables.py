"""The state table: printed cells, one number for each empty cell, the values of other points, and refusals of a wrong file."""

import pytest

from hpteach import units
from hpteach.errors import DataError
from hpteach.questions import check
from tests.kinds_of_part import TABLE, circuit, cycle, dealt, number


def table(system="SI", text=TABLE, **more):
    return dealt(cycle("cooling"), text, system=system, **more)


def test_table_is_dealt_as_one_number_for_each_empty_cell():
    """The parts are named by table and symbol and know their row and column; hints and solution come once."""
    parts = table().parts
    assert [("table_h2", "2", "enthalpy"), ("table_h3", "3", "enthalpy"), ("table_T4", "4", "temperature"), ("table_h4", "4", "enthalpy")] == [
        (part.id, part.row, part.column) for part in parts
    ]
    assert {("number", "table")} == {(part.kind, part.table) for part in parts}
    assert [("Metering keeps enthalpy.",), (), (), ()] == [part.hints for part in parts]
    assert [True, False, False, False] == ["h4 = h3 = " in part.solution for part in parts]
    for part in parts:
        assert part.solution.endswith(f"{part.id.removeprefix('table_')} = {units.show(part.answer, part.quantity)}.")


@pytest.mark.parametrize(("system", "labels"), [("SI", ("bar", "°C", "kJ/kg")), ("IP", ("psia", "°F", "Btu/lb"))])
def test_grid_has_the_printed_cells_in_the_readers_units(system, labels):
    """Every cell is either printed, as a number in the unit of its column, or asked; the columns name quantity and unit."""
    variant = table(system)
    grid, point = variant.tables[0], variant.cycle.point
    assert tuple(f"{name}, {label}" for name, label in zip(("pressure", "temperature", "enthalpy"), labels)) == grid.columns
    assert ("1: suction vapour", "2: discharge vapour", "3: liquid leaving the condenser", "4: mixture entering the evaporator") == grid.rows
    assert units.show(point("1").pressure, "pressure", system) == f"{grid.cells[0][0].given} {labels[0]}"
    assert units.show(point("2").temperature, "temperature", system) == f"{grid.cells[1][1].given} {labels[1]}"
    cells = [cell for row in grid.cells for cell in row]
    assert 12 == len(cells) == sum((cell.given == "") != (cell.part == "") for cell in cells)
    assert [part.id for part in variant.parts] == [cell.part for cell in cells if cell.part]


def test_table_prints_with_the_question():
    """In a terminal the grid stands once, with the id of the part in each empty cell, and no answer in it."""
    shown = str(table())
    assert 1 == shown.count("Fill the empty cells.") and "[table_h2]" in shown and "[table_T4]" in shown
    assert "Point 2" not in shown and table().solution not in shown


def test_printed_cells_count_as_printed():
    """What is derived rests on the printed number of a given cell, as for a number in the prompt."""
    variant = table(text=TABLE + number("work", "specific energy", "T1 - T1 + h1", 'absolute = "1 kJ/kg"'))
    printed = float(variant.tables[0].cells[0][2].given)
    assert pytest.approx(printed * 1e3, rel=1e-12) == variant.part("work").answer
    assert printed * 1e3 != variant.cycle.point("1").enthalpy


@pytest.mark.parametrize("system", units.SYSTEMS)
def test_cells_are_judged_as_numbers(system):
    """The right value is right in either system; a value of another point, a way and a mistake of the file are recognised."""
    variant = table(system)
    point = variant.cycle.point
    assert check(variant, units.show(point("2").enthalpy, "specific energy", system), "table_h2").correct
    another = check(variant, units.show(point("3").enthalpy, "specific energy", system), "table_h2")
    assert "value_of_another_point" == another.mistake
    assert "That is the enthalpy at point 3 (liquid leaving the condenser). Here point 2 is asked (discharge vapour)." == another.notes[0].sentence
    ideal = units.show(variant.cycle.isentropic_discharge.enthalpy, "specific energy", system)
    assert "compressor_taken_for_perfect" == check(variant, ideal, "table_h2").mistake
    saturated = units.show(point("2b").enthalpy, "specific energy", system)
    assert ["subcooling_ignored"] * 2 == [check(variant, saturated, f"table_h{label}").mistake for label in "34"]
    assert "dimension" == check(variant, "5 bar", "table_h2").notes[0].id


@pytest.mark.parametrize("system", units.SYSTEMS)
def test_bare_number_counts_in_the_unit_of_its_column(system):
    """The heading of a column has a unit, so that a number alone is enough in a cell; a unit that is written goes on counting."""
    variant = table(system)
    for part in variant.parts:
        shown = units.show(part.answer, part.quantity, system)
        assert [True, True] == [check(variant, text, part.id).correct for text in (shown.split()[0], shown)]
    other = {"SI": "IP", "IP": "SI"}[system]
    assert check(variant, units.show(variant.part("table_h2").answer, "specific energy", other), "table_h2").correct
    assert not check(variant, units.show(variant.part("table_h2").answer, "specific energy", other).split()[0], "table_h2").correct


def test_any_column_takes_bare_numbers():
    """The labels of all columns are units that can be read."""
    text = TABLE.replace('quantities = ["pressure", "temperature", "enthalpy"]', 'quantities = ["pressure", "entropy"]').replace('"T1", "h1", "p2", "T2", "p3", "T3", "p4"', '"s1"')
    text = text[: text.index("[parts.tolerances]")] + '[parts.tolerances]\npressure = { relative = 0.02, reason = "test" }\nentropy = { relative = 0.02, reason = "test" }\n'
    for system in units.SYSTEMS:
        variant = table(system, text=text)
        assert {"pressure", "entropy"} == {part.column for part in variant.parts}
        assert all(check(variant, units.show(part.answer, part.quantity, system).split()[0], part.id).correct for part in variant.parts)


@pytest.mark.parametrize("part", ["table_h2", "table_h3", "table_h4", "table_T4"])
def test_mistakes_of_a_cell_lie_apart(part):
    """No two foreseen values of a cell, nor one and the answer, lie within their tolerances; equal points are not told apart."""
    asked = table().part(part)
    bands = sorted([asked.accepts, *(mistake.accepts for mistake in asked.mistakes)])
    assert all(below[1] < above[0] for below, above in zip(bands, bands[1:]))
    if part in ("table_h3", "table_h4"):
        assert 2 == sum(mistake.id == "value_of_another_point" for mistake in asked.mistakes)


def test_table_of_a_machine_in_weather():
    """A machine in weather has a state table too, with the chart of its cycle for a view."""
    weather = (
        '[weather]\nmachine = "R-32"\nvalve_position = "heating"\noutdoor_temperature = "7 C"\noutdoor_humidity = "80%"\n'
        'indoor_temperature = "20 C"\nindoor_humidity = "50%"\n'
    )
    variant = dealt(weather, TABLE.replace('[[parts.mistakes]]\nway = "subcooling_ignored"\ncells = ["h3", "h4"]\n', ""))
    assert pytest.approx(variant.weather.cycle.point("4").enthalpy) == variant.part("table_h4").answer
    assert variant.weather.cycle.flow == variant.flow


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('points = ["1", "2", "3", "4"]', 'points = ["1", "5"]', "parts[1].points = '5': allowed is one of 1, 2, 2a, 2b, 3, 4, 4a"),
        ('points = ["1", "2", "3", "4"]', 'points = ["1", "1"]', "parts[1].points = '1': allowed is a different one for each"),
        ('"enthalpy"]', '"enthalphy"]', "parts[1].quantities = 'enthalphy': allowed is one of pressure, temperature, enthalpy, entropy"),
        ('given = ["p1"', 'given = ["p9"', "parts[1].given = 'p9': allowed is one of p1, T1, h1, p2"),
        ('given = ["p1", ', 'given = [', "parts[1].tolerances.pressure is missing: write a table"),
        ("enthalpy = {", "entropy = {", "parts[1].tolerances.entropy = {'absolute': '1 kJ/kg', 'reason': 'test'}: allowed is only the keys temperature, enthalpy"),
        ('temperature = { absolute = "0.5 K"', 'temperature = { absolute = "0.5 bar"', "parts[1].tolerances.temperature.absolute"),
        ('cells = ["h2"]', 'cells = ["h1"]', "parts[1].mistakes[2].cells = 'h1': allowed is one of h2, h3, T4, h4"),
        ('correction = "That is the ideal compressor."\ncells = ["h2"]', 'correction = "x"', "parts[1].mistakes[2].value = 'h2s': allowed is a value only together with the cells"),
        ("h4 = h3 = {h3}.", "{answer}", "parts[1].solution = '{answer}': allowed is a gap that is one of"),
        ('id = "table"', 'id = "table"\nquantity = "pressure"', "parts[1].quantity = 'pressure': allowed is only the keys id, kind, text, points"),
    ],
)  # fmt: skip
def test_wrong_file_is_refused(old, new, sentence):
    """A wrong key or value is refused with file, key, value and what is allowed."""
    assert old in TABLE
    with pytest.raises(DataError) as refusal:
        table(text=TABLE.replace(old, new))
    assert sentence in str(refusal.value)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ([f"{letter}{point}" for point in "1234" for letter in "pTh"], "so much that 1 to 24 cells are left to be asked, not 0"),
        ([], "so much that 1 to 24 cells are left to be asked, not 28"),
    ],
)
def test_table_asks_neither_nothing_nor_everything(given, sentence):
    """A table with no empty cell, or with too many for one question, is refused."""
    text = TABLE.replace('given = ["p1", "T1", "h1", "p2", "T2", "p3", "T3", "p4"]', f"given = {given}")
    if not given:
        text = text.replace('"3", "4"]', '"3", "4", "2a", "2b", "4a"]').replace('"enthalpy"]', '"enthalpy", "entropy"]')
    with pytest.raises(DataError) as refusal:
        table(text=text)
    assert sentence in str(refusal.value)


def test_table_needs_a_cycle():
    """Beside a circuit alone there is nothing to fill in."""
    with pytest.raises(DataError, match=r"parts\[1\].points = 'p1': allowed is a table only beside a \[scenario\] that states a cycle"):
        dealt(circuit(), TABLE)
