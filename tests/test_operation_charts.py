"""The cycle of a machine in weather on the charts: pressures that differ along coils and lines, and crossings that are not made."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.circuit import ValvePosition, reversible_circuit
from hpteach.comparison import mean_condensing_temperature, mean_evaporating_temperature
from hpteach.cycle import Conditions, Cycle, solve
from hpteach.diagrams import CHARTS, CircuitDrawing, EnergyTrace, cycle_path
from hpteach.fluids import catalogue, moist_air, refrigerant
from hpteach.machine import Machine, Operation, demo_machine, operate
from hpteach.units import show

COOLING, HEATING = ValvePosition.COOLING, ValvePosition.HEATING
WEATHER = {
    HEATING: (moist_air(266.15, relative_humidity=0.85), moist_air(293.15, relative_humidity=0.5)),
    COOLING: (moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)),
}
FLUIDS = pytest.mark.parametrize("name", ["R-32", "R-454B", "R-290"])
POSITIONS = pytest.mark.parametrize("position", [HEATING, COOLING])
SYSTEMS = pytest.mark.parametrize("system", ["SI", "IP"])


@cache
def settled(name: str, position: ValvePosition) -> Operation:
    """The demo machine in its weather."""
    return operate(demo_machine(name), position, *WEATHER[position])


def with_orifices(charge: float, opening: float) -> Machine:
    """The R-32 machine with other charge and fixed orifices, so that liquid or vapour comes where it should not."""
    machine = demo_machine("R-32")
    indoor, outdoor = (
        replace(device, kind="fixed orifice", opening=opening * device.opening, opens_at=None, fully_open_at=None)
        for device in (machine.indoor_metering, machine.outdoor_metering)
    )
    return replace(machine, charge=charge * machine.charge, held_aside=charge * machine.held_aside, indoor_metering=indoor, outdoor_metering=outdoor)


@cache
def wet(missing: str) -> Cycle:
    """A cycle that lacks the crossings of the dome that are named."""
    charge, opening, position = {
        "2b": (0.7, 0.6, COOLING), "2b 4a": (0.7, 1.2, COOLING), "2a 4a": (1.5, 0.6, COOLING), "2a 2b 4a": (0.7, 2.4, COOLING),
    }[missing]  # fmt: skip
    return operate(with_orifices(charge, opening), position, *WEATHER[position]).cycle


MISSING = pytest.mark.parametrize("missing", ["2b", "2b 4a", "2a 4a", "2a 2b 4a"])


def joined(cycle: Cycle, **how: int) -> dict[str, np.ndarray]:
    """The closed line of a cycle."""
    path = cycle_path(refrigerant(cycle.refrigerant), cycle, **how)
    return {name: np.concatenate([getattr(process, name) for process in path]) for name in ("pressure", "temperature", "enthalpy", "entropy")}


# The path ---------------------------------------------------------------------------------


@pytest.mark.parametrize("steps", [None, 9])
@pytest.mark.parametrize("name", catalogue())
def test_at_equal_pressures_the_path_follows_the_isobars(name: str, steps: int | None) -> None:
    """A cycle without pressure drop has its states on the two isobars, to the last bit those at even shares of the superheat."""
    fluid = refrigerant(name)
    cycle = solve(fluid, Conditions(COOLING, "indoor coil", 265.15, 295.15, 7.0, 4.0, 0.7))
    _, condensing, _, boiling = cycle_path(fluid, cycle, steps=steps)
    two, dew, four, one, boiled = (cycle.point(label) for label in ("2", "2a", "4", "1", "4a"))
    many = steps or (5 if fluid.listing.model == "blend" else 8)
    hot = [fluid.superheated(two.pressure, (two.temperature - dew.temperature) * share) for share in np.linspace(1.0, 0.0, many)[1:-1]]
    warm = [fluid.superheated(one.pressure, (one.temperature - boiled.temperature) * share) for share in np.linspace(0.0, 1.0, many // 2)[1:-1]]
    assert {two.pressure} == set(condensing.pressure) and {four.pressure} == set(boiling.pressure)
    assert [(state.enthalpy, state.entropy) for state in hot] == [*zip(condensing.enthalpy, condensing.entropy)][1 : many - 1]
    assert [(state.enthalpy, state.entropy) for state in warm] == [*zip(boiling.enthalpy, boiling.entropy)][-1 - len(warm) : -1]


@POSITIONS
@FLUIDS
def test_the_path_of_a_machine_goes_through_its_state_points(name: str, position: ValvePosition) -> None:
    """Every state point of the operation lies on the line, in the order of flow, and the line closes at point 1."""
    cycle = settled(name, position).cycle
    line = joined(cycle)
    met = [(one.pressure, one.enthalpy) for label in ("1", "2", "2a", "2b", "3", "4", "4a", "1") for one in [cycle.point(label)]]
    along = list(zip(line["pressure"], line["enthalpy"]))
    places = [along.index(met[0]), *(along.index(one, 1) for one in met[1:-1]), len(along) - 1]
    assert sorted(places) == places and met[-1] == along[-1]


@pytest.mark.parametrize("steps", [None, 30])
@POSITIONS
@FLUIDS
def test_pressure_only_falls_along_the_flow(name: str, position: ValvePosition, steps: int | None) -> None:
    """From the discharge round to the suction no state has a higher pressure than the one before, as a fluid flows downhill."""
    line = joined(settled(name, position).cycle, **({"steps": steps} if steps else {}))
    assert (np.diff(line["pressure"][2:]) <= 0.0).all()
    assert line["pressure"][-1] < settled(name, position).cycle.point("4a").pressure < settled(name, position).cycle.point("4").pressure


@POSITIONS
@FLUIDS
def test_pressure_changes_evenly_with_the_superheat(name: str, position: ValvePosition) -> None:
    """Between 2 and 2a, and between 4a and 1, the pressure goes in even steps, and the superheat of each state with it."""
    fluid, cycle = refrigerant(name), settled(name, position).cycle
    _, condensing, _, boiling = cycle_path(fluid, cycle, steps=12)
    for process, ends, part in ((condensing, ("2", "2a"), slice(0, 12)), (boiling, ("4a", "1"), slice(-6, None))):
        pressure, temperature = process.pressure[part], process.temperature[part]
        begins, stops = (cycle.point(label).pressure for label in ends)
        superheat = temperature - [fluid.dew_temperature(float(one)) for one in pressure]
        assert pressure == pytest.approx(np.linspace(begins, stops, len(pressure)), rel=1e-12)
        assert superheat == pytest.approx(np.linspace(superheat[0], superheat[-1], len(pressure)), abs=1e-7)


@MISSING
def test_a_cycle_that_lacks_a_crossing_has_a_path(missing: str) -> None:
    """With liquid in the suction or the discharge, or vapour in the liquid line, the line goes from point to point that there is."""
    cycle = wet(missing)
    assert missing.split() == [label for label in ("2a", "2b", "4a") if label not in {point.label for point in cycle.points}]
    for how in ({}, {"steps": 12}):
        line = joined(cycle, **how)
        along = set(zip(line["pressure"], line["enthalpy"]))
        assert {(point.pressure, point.enthalpy) for point in cycle.points} <= along
        assert (np.diff(line["pressure"][2:]) <= 0.0).all()


# The charts -------------------------------------------------------------------------------


@SYSTEMS
@POSITIONS
@FLUIDS
@pytest.mark.parametrize("kind", CHARTS)
def test_a_machine_stands_on_the_charts_with_numbers_at_its_points(kind: str, name: str, position: ValvePosition, system: str) -> None:
    """The drawn line goes through the points, each point has its label inside the frame, and heat and work are those of the cycle."""
    cycle = settled(name, position).cycle
    figure = Figure(figsize=(5.4, 4.7), dpi=110)
    canvas = FigureCanvasAgg(figure)
    chart = CHARTS[kind](figure.add_subplot(), refrigerant(name), system=system, covering=[cycle])
    trace, energies = chart.add_cycle(cycle), EnergyTrace(chart)
    energies.show(cycle)
    canvas.draw()
    drawn = np.column_stack(trace._line.get_data())
    assert [True] * len(cycle.points) == [bool((np.abs(drawn - chart.place(point)) < 1e-9).all(axis=1).any()) for point in cycle.points]
    box = chart.axes.get_window_extent()
    labels = {label: text.get_window_extent() for label, text in trace._labels.items() if text.get_visible()}
    assert {point.label for point in cycle.points} == set(labels)
    assert [] == [label for label, one in labels.items() if not (box.x0 <= one.x0 and one.x1 <= box.x1 and box.y0 <= one.y0 and one.y1 <= box.y1)]
    said = " ".join(energies.texts)
    assert show(cycle.specific_work, "specific energy", system) in said


@MISSING
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("animated", [False, True])
def test_a_cycle_that_lacks_a_crossing_stands_on_the_charts(missing: str, kind: str, animated: bool) -> None:
    """Its trace has no label where it makes no crossing, one at every point that there is, and heat and work beside it."""
    cycle = wet(missing)
    figure = Figure(figsize=(5.4, 4.7), dpi=110)
    canvas = FigureCanvasAgg(figure)
    chart = CHARTS[kind](figure.add_subplot(), refrigerant("R-32"), covering=[cycle])
    trace, energies = chart.add_cycle(cycle, animated=animated), EnergyTrace(chart, animated=animated)
    energies.show(cycle)
    canvas.draw()
    assert {point.label for point in cycle.points} == {label for label, text in trace._labels.items() if text.get_visible()}
    assert any(show(cycle.refrigerating_effect, "specific energy") in text for text in energies.texts)


@SYSTEMS
@POSITIONS
@FLUIDS
def test_the_circuit_shows_the_pressures_of_each_place(name: str, position: ValvePosition, system: str) -> None:
    """At the four state points stand temperature and pressure of the operation, each with its own loss of pressure."""
    cycle = settled(name, position).cycle
    drawing = CircuitDrawing(Figure(figsize=(7.2, 5.2)).add_axes((0, 0, 1, 1)), reversible_circuit(), system=system)
    drawing.show(cycle.flow, cycle)
    for label in "1234":
        point = cycle.point(label)
        rows = f"{show(point.temperature, 'temperature', system)}\n{show(point.pressure, 'pressure', system)}"
        assert rows == drawing._words.words[f"reading {label}"].text


def test_the_middle_of_a_coil_without_a_crossing_is_counted_to_its_end() -> None:
    """Where boiling or condensing does not end in the coil the mean temperature is that to point 1 or 3."""
    cycle = wet("2a 2b 4a")
    one, three, four = (cycle.point(label).temperature for label in "134")
    assert 0.5 * (four + one) == mean_evaporating_temperature(cycle)
    assert 0.5 * (cycle.conditions.saturated_condensing_temperature + three) == mean_condensing_temperature(cycle)
