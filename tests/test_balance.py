"""The search for the balance: it closes in any weather or is refused with the reason, always alike (hpteach/machine/balance.py, start.py)."""

from __future__ import annotations

import math
import re
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import CircuitError, LimitError
from hpteach.fluids import catalogue, moist_air
from hpteach.machine import Machine, demo_machine, operate
from hpteach.machine.balance import Search
from hpteach.machine.start import likely
from hpteach.units import sentence
from tests.settling import COOLING, HEATING, air, machine_for, settled_trial, trials_of, weather, with_charge, with_orifices

SIZED = [name for name in catalogue() if name != "R-744"]
POINTS = 40


def tried(machine: Machine, seed: str, count: int):  # noqa: ANN201
    """Each weather with what came of it: an operation or the refusal."""
    for position, outdoor, indoor in weather(seed, count):
        try:
            yield position, outdoor, indoor, operate(machine, position, outdoor, indoor)
        except LimitError as refusal:
            yield position, outdoor, indoor, refusal


# Any weather ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SIZED)
def test_every_weather_settles_or_is_refused_by_a_limit(name: str) -> None:
    """Forty seeded weathers for each refrigerant: energy closes to a millionth of the power, or a sentence names a limit and a value."""
    for _, outdoor, indoor, found in tried(machine_for(name), f"grid {name}", POINTS):
        if isinstance(found, LimitError):
            said = str(found)
            assert name in said and re.search(r"-?\d+(\.\d+)? °C at the (in|out)door coil", said)
            assert re.search(r"equation of state|critical|no two pressures|leaves this compressor|air that leaves", said), said
        else:
            assert found.energy_residual < 1e-6, (outdoor, indoor)
            assert found.machine.circulating(found.valve_position) == pytest.approx(found.charge, rel=1e-6)


@pytest.mark.parametrize("name", SIZED)
def test_ordinary_weather_is_never_refused(name: str) -> None:
    """Rooms at 15 to 27 °C are heated from -15 to 25 °C outdoors and cooled up to 46 °C with every refrigerant."""
    for celsius in (-15.0, 0.0, 25.0):
        operate(machine_for(name), HEATING, air(celsius, 0.8), air(20.0))
    for celsius, inside in ((10.0, 20.0), (35.0, 27.0), (46.0, 24.0)):
        operate(machine_for(name), COOLING, air(celsius, 0.3), air(inside))


REFUSED = [("R-32", HEATING, (-23.0, 0.57), (25.56, 0.93)), ("R-454B", HEATING, (46.15, 0.84), (28.04, 0.79)), ("R-452B", HEATING, (49.2, 0.58), (29.8, 0.37))]


@pytest.mark.parametrize(("name", "position", "outdoors", "indoors"), REFUSED, ids=[row[0] for row in REFUSED])
def test_refused_weather_lies_beyond_what_still_runs(name: str, position, outdoors, indoors) -> None:  # noqa: ANN001
    """The weather that the sentence names settles, close to the limit that it names."""
    machine = machine_for(name)
    with pytest.raises(LimitError) as refusal:
        operate(machine, position, air(*outdoors), air(*indoors))
    measures = refusal.value.measures
    assert air(*outdoors).dry_bulb == measures["cold"].value and air(*indoors).dry_bulb == measures["warm"].value
    ordinary, last = (280.15, 293.15), (measures["last_cold"].value, measures["last_warm"].value)
    assert all(abs(reached - start) <= abs(asked.dry_bulb - start) for reached, start, asked in zip(last, ordinary, (air(*outdoors), air(*indoors))))
    share = (last[0] - ordinary[0]) / (measures["cold"].value - ordinary[0])
    humidities = [start + share * (end[1] - start) for start, end in zip((0.87, 0.59), (outdoors, indoors))]
    found = operate(machine, position, *(moist_air(dry_bulb, relative_humidity=humidity) for dry_bulb, humidity in zip(last, humidities)))
    if "limit" in measures:
        assert found.cycle.point("2").pressure == pytest.approx(measures["limit"].value, rel=0.05)
    else:
        assert measures["most"].value - 8.0 < found.discharge_temperature < measures["most"].value + 1.0 if "most" in measures else True
    assert "°C" in sentence(refusal.value) and "°F" in sentence(refusal.value, "IP")


# The same answer --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["R-32", "R-454B"])
def test_answer_does_not_depend_on_what_was_asked_before_or_on_the_thread(name: str) -> None:
    """Twice in a row, after other weather, and from two threads at once: the same figures to a billionth.

    Not to the last bit: the property library remembers the saturated states asked last, found by temperature or by pressure.
    """
    machine = machine_for(name)

    def figures() -> list[float]:
        settled = [one for *_, one in tried(machine, "threads", 12) if not isinstance(one, LimitError)]
        return [figure for one in settled for figure in (one.capacity, one.cop, one.superheat, one.cycle.point("1").enthalpy)]

    first = figures()
    with ThreadPoolExecutor(2) as pool:
        others = [task.result() for task in (pool.submit(figures), pool.submit(figures))]
    assert [first] * 3 == [pytest.approx(other, rel=1e-9) for other in (*others, figures())]


@pytest.mark.parametrize("name", ["R-32", "R-290", "R-454B"])
@pytest.mark.parametrize(("position", "celsius", "inside"), [(HEATING, -8.0, 20.0), (HEATING, 30.0, 20.0), (COOLING, 35.0, 27.0), (COOLING, -10.0, 25.0)])
def test_balance_is_the_same_from_wherever_the_search_begins(name: str, position, celsius: float, inside: float) -> None:  # noqa: ANN001
    """Of twelve starts around, those that close come to one and the same balance, to a millionth."""
    trials, trial = settled_trial(machine_for(name), position, air(celsius, 0.7), air(inside))
    closed = 0
    for below in (1.0, 4.0):
        for above in (9.0, 14.0, 25.0):
            for superheat in (4.0, 12.0):
                search = Search(trials)
                found = search.run(search.start(below, above, superheat))
                if found is not None:
                    closed += 1
                    assert (trial.condensing, trial.superheat) == pytest.approx((found.condensing, found.superheat), rel=1e-6)
                    assert trial.compression.power == pytest.approx(found.compression.power, rel=1e-6)
    assert closed >= 3


@pytest.mark.parametrize("name", SIZED)
def test_likely_start_lies_near_the_balance(name: str) -> None:
    """In nine of ten weathers the first start closes at once, with no search from elsewhere."""
    machine, closed, settling = machine_for(name), 0, 0
    for position, outdoor, indoor, found in tried(machine, f"start {name}", 20):
        if not isinstance(found, LimitError):
            trials = trials_of(machine, position, outdoor, indoor)
            settling += 1
            near = likely(trials, 5.0, 1.0)
            closed += near is not None and Search(trials).run(near) is not None
    assert closed >= 0.9 * settling


def test_search_says_when_it_does_not_close() -> None:
    """From a start at which nothing is possible it comes back with none."""
    search = Search(trials_of(demo_machine("R-32"), HEATING, air(7.0), air(20.0)))
    assert search.run(np.array([0.0, 500.0, 5.0])) is None


# Machines made for a trouble ------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["R-32", "R-410A", "R-454B"])
@pytest.mark.parametrize("share", [0.5, 0.7, 0.9])
def test_orifices_settle_in_every_weather(name: str, share: float) -> None:
    """Fixed orifices hold no superheat: with little load the suction is wet, with much it is superheated, and both settle."""
    machine, wet, dry = with_orifices(demo_machine(name), share), 0, 0
    for position, inside in ((COOLING, 27.0), (COOLING, 15.0), (HEATING, 20.0)):
        for celsius in (-20.0, -5.0, 10.0, 25.0, 40.0):
            found = operate(machine, position, air(celsius, 0.7), air(inside))
            assert found.energy_residual < 1e-6
            wet, dry = wet + (found.cycle.point("1").quality is not None), dry + (found.superheat > 0.0)
    assert wet > 0 and dry > 0


def test_orifice_floods_more_as_the_load_falls() -> None:
    """A colder room leaves more liquid in the suction."""
    qualities = []
    for inside in (27.0, 22.0, 17.0, 12.0):
        suction = operate(with_orifices(demo_machine("R-32"), 0.7), COOLING, air(40.0, 0.3), air(inside)).cycle.point("1")
        qualities.append(1.0 if suction.quality is None else suction.quality)
    assert sorted(qualities, reverse=True) == qualities and qualities[-1] < qualities[0]


@pytest.mark.parametrize("name", ["R-32", "R-454B"])
def test_low_charge_starves_the_evaporator(name: str) -> None:
    """Less charge: less subcooling, then vapour in the liquid line, a fully open valve, more superheat, less capacity, and in the end a lower suction."""
    found = [operate(with_charge(demo_machine(name), share), COOLING, air(35.0, 0.4), air(27.0)) for share in (1.0, 0.9, 0.7, 0.5)]
    full, _, low, lowest = found
    assert full.subcooling > 3.0 and not full.fully_open
    assert low.cycle.point("3").quality > 0.0 and low.fully_open
    for figure in (lambda one: one.subcooling, lambda one: one.capacity):
        assert sorted(map(figure, found), reverse=True) == list(map(figure, found))
    assert lowest.saturated_suction_temperature < full.saturated_suction_temperature
    assert lowest.superheat > low.superheat > full.superheat


def test_high_charge_backs_up_in_the_condenser() -> None:
    """More charge: more subcooling and a higher condensing temperature."""
    found = [operate(with_charge(demo_machine("R-32"), share), COOLING, air(35.0, 0.4), air(27.0)) for share in (1.0, 1.15, 1.3)]
    assert found[0].subcooling < found[1].subcooling < found[2].subcooling
    assert found[0].saturated_condensing_temperature < found[1].saturated_condensing_temperature < found[2].saturated_condensing_temperature


def test_machine_that_runs_nowhere_is_refused_as_such() -> None:
    """With nearly no charge there is no balance in ordinary weather either, and the refusal says so."""
    with pytest.raises(LimitError, match="in ordinary weather too"):
        operate(with_charge(demo_machine("R-32"), 0.02), HEATING, air(7.0, 0.87), air(20.0))


def test_speed_changes_capacity_and_power() -> None:
    """A variable speed: more capacity at more speed, a better COP at less."""
    machine = demo_machine("R-32-variable-speed")
    slow, nominal, fast = (operate(machine, HEATING, air(7.0, 0.87), air(20.0), speed_ratio=ratio) for ratio in (0.6, 1.0, 1.3))
    assert slow.capacity < nominal.capacity < fast.capacity
    assert slow.cop > nominal.cop > fast.cop


# Refusals before anything is sought -------------------------------------------------------------------


def test_valve_between_its_seats_settles_nothing() -> None:
    """There is no flow to balance."""
    with pytest.raises(CircuitError, match="between its seats"):
        operate(demo_machine("R-32"), next(one for one in ValvePosition if one not in (HEATING, COOLING)), air(7.0), air(20.0))


@pytest.mark.parametrize(("name", "ratio", "words"), [("R-32", 0.9, "fixed speed"), ("R-32-variable-speed", 9.0, "times the nominal speed"), ("R-32", math.nan, "speed")])
def test_speed_that_the_compressor_has_not_is_refused_as_such(name: str, ratio: float, words: str) -> None:
    """The refusal speaks of the speed and not of the weather."""
    with pytest.raises(LimitError, match=words) as refusal:
        operate(demo_machine(name), HEATING, air(7.0), air(20.0), speed_ratio=ratio)
    assert str(refusal.value).startswith("speed ratio")


def test_one_pressure_of_the_air_for_both_sides() -> None:
    """Air at two heights cannot be that of one house."""
    with pytest.raises(LimitError, match="one pressure of the air"):
        operate(demo_machine("R-32"), HEATING, moist_air(280.15, relative_humidity=0.5, pressure=90e3), air(20.0))


def test_thin_air_carries_less() -> None:
    """At 80 kPa the same volume of air is a smaller mass, and the capacity falls."""
    thin = [moist_air(celsius + 273.15, relative_humidity=0.5, pressure=80e3) for celsius in (7.0, 20.0)]
    assert operate(demo_machine("R-32"), HEATING, *thin).capacity < operate(demo_machine("R-32"), HEATING, air(7.0), air(20.0)).capacity


def test_indoor_coil_cannot_stand_outdoors() -> None:
    """A coil given for the outdoor one must be one."""
    machine = demo_machine("R-32")
    with pytest.raises(LimitError, match="cannot stand outdoors"):
        operate(machine, HEATING, air(7.0), air(20.0), outdoor_coil=machine.indoor_coil)
