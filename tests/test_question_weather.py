"""Questions about air and about a machine in weather: what they state, what follows, and answers held against sums done by hand.

The sums use dry air at 1.006 kJ/(kg K), vapour at 1.86 kJ/(kg K) and 2501 kJ/kg at 0 C (ASHRAE Handbook - Fundamentals, chapter
Psychrometrics; from memory, not seen here), which agree with real moist air to about 0.5 %.
"""

import math

import pytest

from hpteach import units
from hpteach.circuit import ValvePosition
from hpteach.errors import DataError, LimitError
from hpteach.fluids import MoistAir, moist_air
from hpteach.machine import DEMO_MACHINES, demo_machine, operate
from hpteach.machine.sweep import LoadLine
from hpteach.questions import deal, read_bank
from hpteach.questions.air import AirAlone, names_of
from hpteach.questions.air_conditions import AIR, WEATHER, air_alone, completed_air, read_air_conditions, weather_of
from hpteach.questions.bank import read_question
from hpteach.questions.draws import read_draw
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import expression
from hpteach.questions.scenarios import KINDS_OF, Given, Situation, solve
from hpteach.questions.weather import QUANTITIES, Weather, machine_called, worked
from tests.example_question import head

BANK = read_bank()
ATMOSPHERE = 101325.0
ROOM = moist_air(299.15, relative_humidity=0.5)
MILD = Weather("R-32", ValvePosition.HEATING, moist_air(280.15, relative_humidity=0.8), moist_air(293.15, relative_humidity=0.4))
HOT = Weather("R-410A", ValvePosition.COOLING, moist_air(308.15, relative_humidity=0.4), moist_air(299.15, relative_humidity=0.5))
FILE = "air-side/example.toml"
DRAWS = {
    name: read_draw(Entry(FILE, f"draw.{name}", {"kind": kind, "choices": choices}))
    for name, kind, choices in (
        ("room", "temperature", ["24 C", "26 C"]),
        ("damp", "relative humidity", ["50 %", "60 %"]),
        ("fall", "temperature difference", ["5 K", "10 K"]),
        ("unit", "name", ["R-32", "R-410A"]),
        ("odd", "name", ["R-32", "R-999"]),
    )
}
GOOD_AIR = {"dry_bulb": "room", "relative_humidity": "damp", "coil_surface": "room - fall", "bypass": "0.2", "air_flow": "1800 m3/h"}
GOOD_WEATHER = {
    "machine": "unit", "valve_position": "heating", "outdoor_temperature": "room - 2 * fall", "outdoor_humidity": "80 %",
    "indoor_temperature": "20 C", "indoor_wet_bulb": "15 C",
}  # fmt: skip


def enthalpy(air: MoistAir) -> float:
    """J for each kg of dry air, by hand."""
    warm = air.dry_bulb - 273.15
    return 1006.0 * warm + air.humidity_ratio * (2501e3 + 1860.0 * warm)


# What a file states -----------------------------------------------------------------------


def read(table, compared=False, **conditions):
    return read_air_conditions(Entry(FILE, "compare" if compared else table, conditions), DRAWS, table, compared=compared)


@pytest.mark.parametrize(
    ("table", "good", "key", "text", "expected"),
    [
        ("air", GOOD_AIR, "dry_bulb", "26 C", Given("temperature", 299.15)), ("air", GOOD_AIR, "coil_surface", "room - fall", expression("room - fall")),
        ("air", GOOD_AIR, "relative_humidity", "45 %", Given("relative humidity", 0.45)), ("air", GOOD_AIR, "air_flow", "3.6 m3/h", Given("air flow", 0.001)),
        ("weather", GOOD_WEATHER, "machine", "unit", expression("unit")), ("weather", GOOD_WEATHER, "machine", "R-290", "R-290"),
        ("weather", GOOD_WEATHER, "valve_position", "cooling", "cooling"), ("weather", GOOD_WEATHER, "indoor_air_share", "0.6", Given("ratio", 0.6)),
    ],
)  # fmt: skip
def test_condition_is_drawn_an_expression_or_fixed(table, good, key, text, expected):
    """A condition of air or weather is read as a drawn one, as an expression of drawn ones, or as fixed."""
    assert expected == read(table, **{**good, key: text})[key]


# Each row: the table, what is changed in a good one (None takes the key away), and what the refusal says.
REFUSALS = [
    ("air", {"dry_bulb": None}, "air.dry_bulb is missing: [air] needs dry_bulb"),
    ("air", {"relative_humidity": None}, "air.wet_bulb is missing: [air] needs wet_bulb or dew_point or relative_humidity or humidity_ratio"),
    ("air", {"wet_bulb": "18 C"}, "air.relative_humidity = 'damp': allowed is wet_bulb or relative_humidity, not both"),
    ("air", {"relative_humidity": "0.5"}, "air.relative_humidity = '0.5': allowed is a drawn name, an expression of drawn names, or a fixed relative humidity"),
    ("air", {"relative_humidity": "room"}, "air.relative_humidity = 'room': allowed is a drawn relative humidity, and this one is a temperature"),
    ("air", {"leaving_dry_bulb": "12 C"}, "air.coil_surface = 'room - fall': allowed is leaving_dry_bulb or coil_surface, not both"),
    ("air", {"coil_surface": None, "leaving_dry_bulb": "12 C"}, "air.leaving_wet_bulb is missing: [air] needs leaving_wet_bulb or"),
    ("air", {"leaving_wet_bulb": "12 C"}, "air.leaving_wet_bulb = '12 C': allowed is no such key without leaving_dry_bulb"),
    ("air", {"coil_surface": None}, "air.bypass = '0.2': allowed is no such key without coil_surface"),
    ("air", {"machine": "R-32"}, "air.machine = 'R-32': allowed is only the keys dry_bulb"),
    ("weather", {"machine": None}, "weather.machine is missing: [weather] needs machine or refrigerant"),
    ("weather", {"refrigerant": "R-32"}, "weather.refrigerant = 'R-32': allowed is machine or refrigerant, not both"),
    ("weather", {"machine": "odd"}, "weather.machine = 'R-999': allowed is a drawn name or a known one (demo machine 'R-999'"),
    ("weather", {"machine": "mine"}, "weather.machine = 'mine': allowed is a drawn name or a known one"),
    ("weather", {"valve_position": "between"}, "weather.valve_position = 'between': allowed is heating or cooling"),
    ("weather", {"indoor_wet_bulb": None}, "weather.indoor_wet_bulb is missing: [weather] needs indoor_wet_bulb or indoor_humidity"),
    ("weather", {"outdoor_temperature": None}, "weather.outdoor_temperature is missing: [weather] needs outdoor_temperature"),
]  # fmt: skip


@pytest.mark.parametrize(("table", "change", "expected"), REFUSALS)
def test_wrong_condition_is_refused_by_name(table, change, expected):
    """A key or value that is not allowed, two keys that say the same, and a missing one are refused by name."""
    good = {"air": GOOD_AIR, "weather": GOOD_WEATHER}[table]
    stated = {key: text for key, text in {**good, **change}.items() if text is not None}
    with pytest.raises(DataError) as caught:
        read(table, **stated)
    assert str(caught.value).startswith(f"{FILE}: {expected}")


@pytest.mark.parametrize(
    ("table", "good", "compare", "gone"),
    [
        ("air", GOOD_AIR, {"wet_bulb": "15 C"}, {"relative_humidity"}),
        ("air", GOOD_AIR, {"leaving_dry_bulb": "14 C"}, {"coil_surface"}),
        ("weather", GOOD_WEATHER, {"outdoor_temperature": "0 C"}, set()),
        ("weather", GOOD_WEATHER, {"indoor_humidity": "40 %", "refrigerant": "R-32"}, {"indoor_wet_bulb", "machine"}),
    ],
)
def test_compared_air_takes_everything_else_from_the_first(table, good, compare, gone):
    """What is compared keeps all conditions but its own, and those that its own stand for."""
    own = read(table, compared=True, **compare)
    assert {**{key: value for key, value in read(table, **good).items() if key not in gone}, **own} == completed_air(own, read(table, **good), table)


HEAD = head("10", "1.02", "air-side") + 'prompt = "?"\n'
PART = '[[parts]]\nid = "a"\nkind = "number"\ntext = "?"\nquantity = "{}"\nanswer = "{}"\ntolerance = {{ relative = 0.01, reason = "test" }}\nhints = ["?"]\nsolution = "?"\n'


def table(name, conditions):
    return f"[{name}]\n" + "".join(f'{key} = "{text}"\n' for key, text in conditions.items())


PLAIN_AIR = {"dry_bulb": "26 C", "relative_humidity": "50 %"}
PLAIN_WEATHER = {"machine": "R-32", "valve_position": "heating", "outdoor_temperature": "7 C", "outdoor_humidity": "80 %", "indoor_temperature": "20 C", "indoor_humidity": "40 %"}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (table("air", PLAIN_AIR) + table("weather", PLAIN_WEATHER), "weather = .*allowed is .air. or .weather., not both"),
        (table("scenario", {"valve_position": "heating"}) + table("air", PLAIN_AIR), "scenario = .'valve_position'.: allowed is only atmosphere or altitude"),
        (table("compare", {"dry_bulb": "20 C"}), "compare.dry_bulb = .* only the keys refrigerant"),
        (table("air", PLAIN_AIR) + PART.format("power", "heat"), "parts.1..answer = 'heat': allowed is an expression of known names"),
        (table("air", PLAIN_AIR) + PART.format("ratio", "h1"), "answer = 'h1': allowed is an expression of known names"),
        (table("weather", PLAIN_WEATHER) + PART.format("ratio", "other_cop"), "answer = 'other_cop': allowed is an expression of known names"),
        ('[draw.cop]\nkind = "ratio"\nchoices = ["0.5"]\n' + table("weather", PLAIN_WEATHER), "draw = 'cop': allowed is a name that is no quantity"),
    ],
)
def test_what_does_not_go_together_is_refused(text, expected):
    """Two tables that state different things, and names that follow from none of them, are refused when the file is read."""
    with pytest.raises(DataError, match=expected):
        read_question(HEAD + text, FILE)


@pytest.mark.parametrize(("key", "text", "pressure"), [("atmosphere", "0.9 bar", 90e3), ("altitude", "1600 m", units.atmosphere_at(1600.0))])
@pytest.mark.parametrize(("name", "plain", "asked"), [("air", PLAIN_AIR, "humidity_ratio"), ("weather", PLAIN_WEATHER, "outdoor_humidity_ratio")])
def test_pressure_of_the_air_counts(key, text, pressure, name, plain, asked):
    """Beside [air] or [weather] a scenario may say how much the air presses; thin air holds more water for each kilogram."""
    asked_file = read_question(HEAD + table("scenario", {key: text}) + table(name, plain) + PART.format("humidity ratio", asked), FILE)
    dry_bulb, humidity = (299.15, 0.5) if name == "air" else (280.15, 0.8)
    variant = deal(asked_file, 1)
    assert pytest.approx(moist_air(dry_bulb, relative_humidity=humidity, pressure=pressure).humidity_ratio) == variant.parts[0].answer
    assert pressure == pytest.approx(variant.atmosphere)


# What follows of air ----------------------------------------------------------------------

COOLED = AirAlone(ROOM, surface_temperature=283.15, bypass=0.1, air_flow=0.5)


def test_names_of_air_are_those_that_follow():
    """Every name that a question of air may use has a value, and no other has one."""
    for keys, air in (
        (("dry_bulb", "relative_humidity"), AirAlone(ROOM)),
        (("dry_bulb", "relative_humidity", "coil_surface"), AirAlone(ROOM, surface_temperature=283.15)),
        (("dry_bulb", "relative_humidity", "leaving_dry_bulb", "air_flow"), AirAlone(ROOM, leaving=moist_air(286.15, relative_humidity=0.9), air_flow=0.5)),
        (("dry_bulb", "relative_humidity", "coil_surface", "air_flow"), COOLED),
    ):
        found = solve(Situation(around=air)).quantities
        assert set(names_of(dict.fromkeys(keys))) == set(found) - {"atmosphere"}
    assert set(KINDS_OF.values()) <= set(units.KINDS)


def test_heat_of_air_agrees_with_the_sum_by_hand():
    """Heat, water and the sensible share of air on a wet coil are those of the sum by hand."""
    found = solve(Situation(around=COOLED)).quantities
    leaving = MoistAir(found["leaving_dry_bulb"], found["leaving_humidity_ratio"])
    flow = 0.5 / (287.05 * 299.15 * (1.0 + 1.6078 * ROOM.humidity_ratio) / ATMOSPHERE)
    assert flow == pytest.approx(found["dry_air_flow"], rel=0.002)
    assert flow * (enthalpy(ROOM) - enthalpy(leaving)) == pytest.approx(found["heat"], rel=0.005)
    assert flow * (ROOM.humidity_ratio - leaving.humidity_ratio) == pytest.approx(found["water"], rel=0.005)
    specific_heat = 1006.0 + 1860.0 * 0.5 * (ROOM.humidity_ratio + leaving.humidity_ratio)
    assert flow * specific_heat * (299.15 - leaving.dry_bulb) == pytest.approx(found["sensible"], rel=0.005)
    assert pytest.approx(found["heat"]) == found["sensible"] + found["latent"]
    assert found["water"] * 2.45e6 == pytest.approx(found["latent"], rel=0.05)


def test_coil_above_the_dew_point_stays_dry():
    """Above the dew point no water stays, and all the heat is sensible; below it some does."""
    dew = ROOM.dew_point
    dry, wet = (solve(Situation(around=AirAlone(ROOM, surface_temperature=dew + way, air_flow=0.5))).quantities for way in (0.5, -0.5))
    assert (0.0, 1.0) == (dry["water"], dry["sensible_heat_ratio"])
    assert wet["water"] > 0.0 and wet["sensible_heat_ratio"] < 1.0


def test_stated_air_is_made_of_its_numbers():
    """Each way of saying how moist air is leads to the same air."""
    for way in ("wet_bulb", "dew_point", "relative_humidity", "humidity_ratio"):
        found = air_alone({"dry_bulb": 299.15, way: getattr(ROOM, way)}, ATMOSPHERE)
        assert ROOM.humidity_ratio == pytest.approx(found.entering.humidity_ratio, rel=1e-6)
    behind = air_alone({"dry_bulb": 299.15, "relative_humidity": 0.5, "leaving_dry_bulb": 286.15, "leaving_relative_humidity": 0.9}, ATMOSPHERE)
    assert moist_air(286.15, relative_humidity=0.9) == behind.leaving


def test_air_that_cannot_be_is_drawn_again():
    """A wet bulb above the dry bulb is refused, and drawn again where other numbers can be."""
    with pytest.raises(LimitError, match="wet bulb of .* is above the dry bulb"):
        air_alone({"dry_bulb": 290.15, "wet_bulb": 295.15}, ATMOSPHERE)
    text = '[draw.wick]\nkind = "temperature"\nchoices = ["18 C", "30 C"]\n' + table("air", {"dry_bulb": "26 C", "wet_bulb": "wick"}) + PART.format("ratio", "wick / 291.15")
    asked = read_question(HEAD + text, FILE)
    assert {1.0} == {deal(asked, seed).parts[0].answer for seed in range(12)}


# What follows of weather ------------------------------------------------------------------


@pytest.mark.parametrize("name", DEMO_MACHINES)
@pytest.mark.parametrize("weather", [MILD, HOT], ids=["heating", "cooling"])
def test_every_name_of_weather_has_a_value(name, weather):
    """Each listed quantity exists for each demo machine, and a second time behind other_."""
    stated = Weather(name, weather.valve_position, weather.outdoor, weather.indoor)
    found = solve(Situation(around=stated, other_around=stated)).quantities
    for prefix in ("", "other_"):
        assert set() == {prefix + one for one in QUANTITIES} - set(found)


def test_weather_is_what_the_machine_does():
    """Capacity, COP, pressures and the air that leaves are those of the machine in the same weather."""
    at_work = operate(demo_machine("R-32"), ValvePosition.HEATING, MILD.outdoor, MILD.indoor)
    found = solve(Situation(around=MILD)).quantities
    for name, value in (
        ("capacity", at_work.capacity), ("cop", at_work.cop), ("p1", at_work.cycle.point("1").pressure), ("supply_temperature", at_work.supply_air.dry_bulb),
        ("latent", at_work.latent), ("outdoor_dew_point", MILD.outdoor.dew_point), ("mass_flow", at_work.mass_flow), ("pressure_ratio", at_work.pressure_ratio),
        ("discharge_temperature", at_work.discharge_temperature), ("frost_rate", at_work.frost_rate), ("power", at_work.power),
    ):  # fmt: skip
        assert value == pytest.approx(found[name], rel=1e-9, abs=1e-9), name
    assert at_work == worked(MILD)


def test_less_air_makes_the_coil_colder():
    """With half of its air the evaporator boils colder, cools less, and its air comes out colder."""
    less = Weather("R-410A", ValvePosition.COOLING, HOT.outdoor, HOT.indoor, indoor_air_share=0.5)
    found = solve(Situation(around=HOT, other_around=less)).quantities
    for name in ("saturated_suction_temperature", "capacity", "supply_temperature", "indoor_surface", "cop"):
        assert found[f"other_{name}"] < found[name], name
    assert 0.5 * found["indoor_air_flow"] == pytest.approx(found["other_indoor_air_flow"])


def test_refrigerant_of_the_catalogue_gets_a_machine():
    """A refrigerant without a demo machine gets one sized for it; a demo machine is taken as it is."""
    assert demo_machine("R-290") == machine_called("R-290")
    assert "R-134a" == machine_called("R-134a").refrigerant


def test_variant_brings_its_weather():
    """A dealt question brings the machine at work, and the one to compare with, for a panel to show; others bring none."""
    variant = deal(BANK.question("predict-supply-air-when-colder"), 3)
    assert variant.weather.outdoor.dry_bulb > variant.other_weather.outdoor.dry_bulb
    assert variant.weather.machine == demo_machine(variant.weather.cycle.refrigerant)
    assert (None, None) == (deal(BANK.question("cooling-cop"), 1).weather, deal(BANK.question("two-thermometers"), 1).weather)
    assert None is deal(BANK.question("auxiliary-heat-needed"), 1).other_weather


# Questions of the bank against sums by hand -----------------------------------------------


def printed(variant, before, kind):
    """The quantity that the prompt prints behind some words."""
    number, unit, more = [*variant.prompt.split(before, 1)[1].split(), ""][:3]
    gauge = " g" if unit == "bar" and more.rstrip(",.") == "g" else ""
    return units.read(f"{number} {unit.rstrip('.,;')}{gauge}", kind, atmosphere=variant.atmosphere)


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("seed", range(6))
def test_sensible_heat_agrees_with_the_rule_of_thumb(seed, system):
    """Flow times 1.2 kg/m3 times 1.005 kJ/(kg K) times the air split, and the workshop's 1.08 and 0.34, lie within the tolerance
    (common practice, no source)."""
    variant = deal(BANK.question("sensible-heat-of-the-air"), seed, system)
    flow, room, behind = (printed(variant, *where) for where in (("(invented) ", "air flow"), ("drawn in at ", "temperature"), ("the air is at ", "temperature")))
    low, high = variant.parts[0].accepts
    split = room - behind
    in_thumb = {"SI": 0.34 * flow * 3600.0 * split, "IP": 1.08 * (flow / 0.3048**3 * 60.0) * 1.8 * split * 1055.056 / 3600.0}[system]
    assert low < flow * 1.2 * 1005.0 * split < high and low < in_thumb < high


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("seed", range(6))
def test_learner_with_the_printed_numbers_gets_the_answers(seed, system):
    """What the prompt prints, put together as a learner does it, gives exactly the answer of the key."""
    water = deal(BANK.question("water-on-the-coil"), seed, system)
    flow, before, behind = (printed(water, *where) for where in (("pass ", "mass flow"), ("dry air, is ", "humidity ratio"), ("enters and ", "humidity ratio")))
    assert pytest.approx(flow * (before - behind), rel=1e-12) == water.parts[0].answer
    ratio = deal(BANK.question("pressure-ratio-in-the-cold"), seed, system)
    low, high = (printed(ratio, before, "pressure") for before in ("suction gauge shows ", "discharge gauge "))
    assert pytest.approx(high / low, rel=1e-12) == ratio.parts[0].answer
    cold = deal(BANK.question("cop-on-a-cold-day"), seed, system)
    mild, less, compressor, fans = (printed(cold, before, "power") for before in ("it brings ", "only ", "compressor takes ", "fans together "))
    assert pytest.approx((less / (compressor + fans), 1.0 - less / mild), rel=1e-12) == tuple(part.answer for part in cold.parts)
    heater = deal(BANK.question("auxiliary-heat-needed"), seed, system)
    need, brought = (printed(heater, before, "power") for before in ("loses ", "brings "))
    assert pytest.approx(need - brought, rel=1e-12) == heater.parts[0].answer
    thin = deal(BANK.question("mass-flow-in-the-cold"), seed, system)
    first, second = (printed(thin, before, "density") for before in ("a density of ", "density is "))
    assert pytest.approx(1.0 - second / first, rel=1e-12) == thin.parts[0].answer


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("seed", range(10))
def test_balance_point_is_that_of_a_house_that_can_be(seed, system):
    """The load is the load line of a house that needs nothing from 15 to 18 C on; the lines cross where capacity and load change places."""
    variant = deal(BANK.question("balance-point-between"), seed, system)
    cold, zero, mild = (printed(variant, before, "temperature") for before in ("of heat at ", "at all from ", " and " + variant.prompt.rsplit(" and ", 1)[1].split(" at ")[0] + " at "))
    load = LoadLine(printed(variant, "needs ", "power"), cold, zero)
    assert 288.0 < zero < 291.2 and variant.weather.capacity > load.at(mild) == pytest.approx(variant.parts[0].answer)
    expected = "between the two temperatures" if variant.other_weather.capacity < load.at(cold) else "at a temperature colder than both"
    assert expected == variant.parts[1].answer and f"The balance point lies {expected}." in variant.parts[1].solution


@pytest.mark.parametrize("seed", range(20))
def test_wet_coil_is_told_by_its_dew_point(seed):
    """The surface gets wet where it is colder than the dew point by the Magnus formula (constants of Sonntag 1990; from memory)."""
    variant = deal(BANK.question("predict-wet-or-dry-coil"), seed)
    room, surface = (printed(variant, before, "temperature") - 273.15 for before in ("in the room is at ", "indoor coil is at "))
    humidity = printed(variant, "relative humidity of ", "relative humidity")
    share = math.log(humidity) + 17.62 * room / (243.12 + room)
    assert (surface < 243.12 * share / (17.62 - share)) == variant.parts[0].answer.startswith("It gets wet")


def test_keys_of_both_tables_are_known_kinds():
    """Each key of [air] and [weather] has a kind that draws have."""
    assert set() == {*AIR.values(), *WEATHER.values()} - {*units.KINDS, "name"}
    assert MILD == weather_of(
        {"machine": "R-32", "valve_position": "heating", "outdoor_temperature": 280.15, "outdoor_humidity": 0.8, "indoor_temperature": 293.15, "indoor_humidity": 0.4},
        ATMOSPHERE,
    )
