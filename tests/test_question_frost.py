"""Questions about frost and defrost: what a file may state, the names that follow, and answers held against sums done by hand."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from hpteach import units
from hpteach.circuit import ValvePosition
from hpteach.errors import DataError, InputError
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine
from hpteach.machine.defrost import Demand, TimeTemperature
from hpteach.machine.frost import frost_cycle
from hpteach.questions import check, deal, read_bank
from hpteach.questions.air_conditions import completed_air, read_air_conditions, weather_of
from hpteach.questions.draws import read_draw
from hpteach.questions.entries import Entry
from hpteach.questions.frost import QUANTITIES, FrostWeather, cycle_of
from hpteach.questions.scenarios import KINDS_OF, Given, Situation, solve
from hpteach.questions.weather import QUANTITIES as OF_THE_WEATHER

BANK = read_bank()
FILE = "frost/example.toml"
DRAWS = {"pause": read_draw(Entry(FILE, "draw.pause", {"kind": "duration", "choices": ["30 min", "60 min"]}))}
WEATHER = {
    "machine": "R-32", "valve_position": "heating", "outdoor_temperature": "1 C", "outdoor_humidity": "85 %", "indoor_temperature": "20 C", "indoor_humidity": "50 %",
}  # fmt: skip
OUT, ROOM = moist_air(274.15, relative_humidity=0.85), moist_air(293.15, relative_humidity=0.5)
DRY = moist_air(263.15, relative_humidity=0.4)
FROST_QUESTIONS = [question for question in BANK.questions.values() if question.topic == "frost"]


def read(compared: bool = False, **more: str) -> dict:
    """The conditions of a [weather], or of a [compare] beside it."""
    return read_air_conditions(Entry(FILE, "weather", more if compared else WEATHER | more), DRAWS, "weather", compared=compared)


def weather(outdoor=OUT, **more: object) -> FrostWeather:  # noqa: ANN001
    """The bench unit for R-32 with a defrost."""
    return FrostWeather("R-32", ValvePosition.HEATING, outdoor, ROOM, **more)


# What a file states -------------------------------------------------------------------------


def test_a_defrost_is_stated_with_what_starts_it() -> None:
    """The clock with a drawn interval, or the excess of the coil, reach the machine's control."""
    conditions = read(defrost="clock", defrost_interval="pause")
    assert ("clock", "pause") == (conditions["defrost"], conditions["defrost_interval"].text)
    stated = dict(machine="R-32", valve_position="heating", outdoor_temperature=274.15, outdoor_humidity=0.85, indoor_temperature=293.15, indoor_humidity=0.5)
    assert TimeTemperature(interval=1800.0) == weather_of({**stated, "defrost": "clock", "defrost_interval": 1800.0}, 101325.0).control
    assert Demand(excess=2.0) == weather_of({**stated, "defrost": "demand", "defrost_excess": 2.0}, 101325.0).control
    assert TimeTemperature() == weather(defrost="clock").control and Demand() == weather(defrost="demand").control
    assert not isinstance(weather_of(stated, 101325.0), FrostWeather)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"defrost": "sun"}, "use clock or demand"),
        ({"defrost_interval": "30 min"}, 'no such key without defrost = "clock"'),
        ({"defrost": "demand", "defrost_interval": "30 min"}, 'no such key without defrost = "clock"'),
        ({"defrost": "clock", "defrost_excess": "2 K"}, 'no such key without defrost = "demand"'),
        ({"defrost": "clock", "defrost_interval": "30 K"}, "a fixed duration"),
    ],
)
def test_what_does_not_belong_together_is_refused(more: dict, said: str) -> None:
    """The refusal names the file, the key and what is allowed."""
    with pytest.raises(DataError, match=said):
        read(**more)


def test_a_defrost_belongs_to_heating() -> None:
    """With the valve in cooling there is no frost outdoors."""
    with pytest.raises(InputError, match="belongs to heating"):
        FrostWeather("R-32", ValvePosition.COOLING, OUT, ROOM)


def test_the_compared_weather_takes_another_start() -> None:
    """A [compare] with defrost on demand keeps all else of the weather."""
    both = completed_air(read(True, defrost="demand", defrost_excess="2 K"), read(defrost="clock", defrost_interval="pause"), "weather")
    assert "demand" == both["defrost"] and Given("temperature difference", 2.0) == both["defrost_excess"] and "R-32" == both["machine"]


# The names ----------------------------------------------------------------------------------


def test_every_name_has_a_value_and_a_kind() -> None:
    """What is found in frost weather, in dry cold and without a defrost is what the list names, all with their kinds."""
    for one in (weather(), weather(DRY), weather(DRY, defrost="demand")):
        found = one.found()
        assert set(QUANTITIES) == set(found) | set(one.derived(found))
    assert set(OF_THE_WEATHER) < set(QUANTITIES) <= set(KINDS_OF)


def test_the_names_are_those_of_the_machine() -> None:
    """Means, run and defrost are those of the cycle of frost and defrost that the machine has."""
    found = solve(Situation(around=weather(interval=2400.0))).quantities
    cycle = frost_cycle(demo_machine("R-32"), OUT, ROOM, TimeTemperature(interval=2400.0))
    expected = {
        "integrated_capacity": cycle.capacity, "integrated_power": cycle.power, "integrated_cop": cycle.cop, "lost_share": 1.0 - cycle.capacity_share,
        "running_time": 2400.0, "frost_mass": cycle.moments[-1].frost, "defrost_duration": cycle.defrost.duration, "melted_frost": cycle.defrost.melted,
        "defrost_heat": cycle.defrost.heat, "frosted_capacity": cycle.moments[-1].capacity, "capacity": cycle.clean.capacity, "defrosts": 1.0, "blocked": 0.0,
        "defrost_supply_temperature": cycle.defrost.supply_temperature,
    }  # fmt: skip
    assert expected == pytest.approx({name: found[name] for name in expected}, rel=1e-9)


def test_the_mean_is_heat_in_less_heat_out_over_the_time() -> None:
    """By hand: the mean lies between that of a run as strong as at its start and one as weak as at its end."""
    found = weather().found()
    whole = found["running_time"] + found["defrost_duration"]
    weakest, strongest = ((found[name] * found["running_time"] - found["heat_from_room"]) / whole for name in ("frosted_capacity", "capacity"))
    assert weakest < found["integrated_capacity"] < strongest


def test_without_frost_the_defrost_costs_nothing_on_demand() -> None:
    """In dry cold nothing starts on demand, and all that a defrost would be is zero; by the clock it melts nothing and takes heat."""
    still, clock = weather(DRY, defrost="demand").found(), weather(DRY).found()
    assert [0.0] * 6 == [still[name] for name in ("defrosts", "running_time", "defrost_duration", "melted_frost", "defrost_heat", "heat_from_room")]
    assert still["capacity"] == still["integrated_capacity"]
    assert (1.0, 0.0) == (clock["defrosts"], clock["melted_frost"]) and clock["heat_from_room"] > 0.0


def test_a_blocked_coil_is_told() -> None:
    """Two hours in very damp air are more than the gap holds."""
    assert "the coil is blocked" == cycle_of(weather(moist_air(274.15, relative_humidity=0.95), interval=7200.0)).begins_because
    assert 1.0 == weather(moist_air(274.15, relative_humidity=0.95), interval=7200.0).found()["blocked"]


# The questions ------------------------------------------------------------------------------


def test_the_lesson_has_questions_enough() -> None:
    """At least six questions, two of them predictions, and two foreseen mistakes in each number."""
    assert len(FROST_QUESTIONS) >= 6 and len([one for one in FROST_QUESTIONS if one.id.startswith("predict-")]) >= 2
    for question in FROST_QUESTIONS:
        assert "12" == question.lesson
        assert all(len(part.mistakes) >= 2 for part in deal(question, 1).parts if part.kind == "number")


def answer(question: str, seed: int, system: str) -> tuple[float, list[float], list[float]]:
    """The right answer, and the powers and times that the prompt prints, all in SI."""
    variant = deal(BANK.question(question), seed, system)
    powers, times = (re.findall(rf"\b[\d.]+ (?:{unit})", variant.prompt) for unit in ("kW|Btu/h", "min"))
    return variant.parts[0].answer, [units.read(one, "power") for one in powers], [units.read(one, "duration") for one in times]


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("seed", range(4))
def test_the_estimate_is_that_of_the_rating_method(seed: int, system: str) -> None:
    """Nine tenths of the straight line: the relation of the reference table, written out; 0.6 is (35 - 17) / (47 - 17)."""
    with (Path(__file__).parent / "reference" / "04e_rating_formulas.csv").open(encoding="utf-8") as file:
        row = next(row for row in csv.DictReader(file) if row["item"] == "capacity at 35 F without H2 test")
    assert "Q(35) = 0.90*{Q(17) + 0.6*[Q(47)-Q(17)]}" == row["formula"] and 0.6 == pytest.approx((35 - 17) / (47 - 17))
    found, (low, high), _ = answer("capacity-at-a-rating-point", seed, system)
    assert 0.90 * (low + 0.6 * (high - low)) == pytest.approx(found, rel=1e-9)


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("seed", range(4))
def test_the_mean_of_the_question_is_a_balance_of_heat(seed: int, system: str) -> None:
    """Heat in the run less heat in the defrost, in joules, over all the seconds."""
    found, (bringing, taking), (run, melting) = answer("mean-capacity-with-defrost", seed, system)
    assert bringing * run - taking * melting == pytest.approx(found * (run + melting), rel=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_the_day_with_more_frost_is_the_milder_one(seed: int) -> None:
    """In every set of the prediction, with frost on both days."""
    variant = deal(BANK.question("predict-when-frost-grows"), seed)
    assert variant.weather.frost_rate > variant.other_weather.frost_rate > 0.0
    assert "on the milder day" == variant.parts[0].answer


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("seed", range(6))
def test_clock_and_demand_both_have_frost_to_melt(seed: int, system: str) -> None:
    """What the texts say of frost holds in every set: some grows, and on demand the run is more than twice as long."""
    variant = deal(BANK.question("clock-or-demand"), seed, system)
    melted = re.search(r"no more than ([\d.]+) (?:kg|lb) of frost", variant.parts[0].solution)
    assert float(melted[1]) > 0.1
    waited = [float(one) for one in re.findall(r"([\d.]+) min", variant.parts[0].solution)]
    assert 2.0 * waited[0] < waited[1]


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("seed", range(6))
def test_a_whole_percent_is_right_for_the_share_that_is_lost(seed: int, system: str) -> None:
    """Rounded as one would say it, the share is taken; two more or less are not."""
    variant = deal(BANK.question("share-lost-to-frost"), seed, system)
    share = round(100.0 * variant.parts[0].answer)
    verdicts = [check(variant, f"{share + other} %", "lost").correct for other in (0, -2, 2)]
    assert [True, False, False] == verdicts


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_frost_drops_and_nothing_are_all_dealt(system: str) -> None:
    """The three cases come up, and each is the right one by surface, freezing and dew point."""
    seen = set()
    for seed in range(40):
        variant = deal(BANK.question("frost-or-drops"), seed, system)
        coil, air = variant.weather.outdoor_coil, variant.weather.outdoor
        surface = max(coil.zones, key=lambda zone: zone.share).met.surface_temperature
        expected = "Nothing settles on it." if surface > air.dew_point else "Frost grows on it." if surface < 273.15 else "Water drips from it."
        assert expected == variant.parts[0].answer
        seen.add(expected)
    assert 3 == len(seen)
