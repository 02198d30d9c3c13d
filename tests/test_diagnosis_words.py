"""A case of diagnosis in words: the complaint is made from the case, the verdict says what it must, the transcript is whole."""

from __future__ import annotations

import re
from functools import cache

import pytest

from hpteach.circuit import ValvePosition
from hpteach.diagnosis_words import (
    ASKING, RULE, cautions_of, complaint, fitting, healthy, minutes_text, named_list, reading_text, readings_table, repair_cautions, score_of, situation, size_words, spent,
    transcript, verdict, words_of,
)  # fmt: skip
from hpteach.errors import UnknownNameError
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine
from hpteach.machine.diagnosis import SOUND, Case, judge, lineup, suspects, thriftiest
from hpteach.machine.faults import KINDS, fault, operate_with
from hpteach.machine.readings import GAUGES, LINES, LIVE, READINGS, read
from hpteach.units import show

COOLING, HEATING = ValvePosition.COOLING, ValvePosition.HEATING
AIR = {
    COOLING: (moist_air(308.15, relative_humidity=0.40), moist_air(299.85, relative_humidity=0.51)),
    HEATING: (moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.50)),
}


@cache
def case(id: str | None, size: float | None = None, called: ValvePosition = COOLING, seed: int = 1) -> Case:
    """A case with a fault of our choice in the R-410A bench unit."""
    machine, hidden = demo_machine("R-410A"), [] if id is None else [fault(id, size)]
    operation = operate_with(machine, called, *AIR[called], hidden)
    return Case(machine, called, *AIR[called], seed, hidden[0] if hidden else None, operation, read(operation, hidden))


def told(one: Case, bought: tuple[str, ...], named: str, **more: object) -> str:
    """The verdict as one text."""
    return "\n".join(verdict(one, bought, named, **more))


# The complaint ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("id", "size", "called", "said"),
    [
        ("wrong_wiring", None, COOLING, "It blows warm, though it is set to cool."),
        ("valve_stuck_cooling", None, HEATING, "It blows cold, though it is set to heat."),
        ("compressor_worn", 0.3, COOLING, "It does not cool as well as last year."),
        ("compressor_worn", 0.6, HEATING, "It is short of heat, even on a mild day like this."),
        ("indoor_fan_failed", 0.06, COOLING, "next to no cold comes out of it"),
        ("indoor_fan_failed", 0.06, COOLING, "There is white frost on a pipe."),
        ("indoor_metering_stuck_open", 1.0, COOLING, "Something in the outdoor unit knocks."),
        ("foreign_gas", 6e5, HEATING, "The electricity bill has grown."),
        (None, None, COOLING, "I notice nothing."),
        (None, None, HEATING, "I notice nothing."),
    ],
)
def test_the_complaint_is_what_the_machine_does(id: str | None, size: float | None, called: ValvePosition, said: str) -> None:
    """Heat the wrong way, less of it, frost, knocking and the bill are noticed; of a healthy machine nothing is."""
    assert said in complaint(case(id, size, called))


@pytest.mark.parametrize("called", [COOLING, HEATING])
def test_the_complaint_names_no_part(called: ValvePosition) -> None:
    """No customer says which part is broken: no complaint holds the words of a fault."""
    for suspect in lineup(demo_machine("R-410A"), called, *AIR[called])[1:]:
        size = suspect.sizes[len(suspect.sizes) // 2]
        assert suspect.words not in complaint(case(suspect.id, size, called))


def test_a_small_fault_is_no_complaint() -> None:
    """Who notices nothing may have a fault all the same: the words are those of the healthy machine."""
    assert complaint(case(None)) == complaint(case("outdoor_check_valve_shut"))


@pytest.mark.parametrize(("system", "degrees"), [("SI", "35.0 °C"), ("IP", "95.0 °F")])
def test_the_situation_says_machine_call_and_weather(system: str, degrees: str) -> None:
    """In the reader's units, with the complaint, and labelled invented."""
    said = " ".join(situation(case("undercharge"), system))
    for part in (complaint(case("undercharge")), "invented", "R-410A", "calls for cooling", degrees, "40% relative humidity", "51% relative humidity"):
        assert part in said


# Readings -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("id", "value", "si", "ip"),
    [
        ("suction_line", 283.15, "10.0 °C", "50.0 °F"),
        ("discharge_gauge", 2601325.0, "25.00 bar g", "362.6 psig"),
        ("compressor_power", 2500.0, "2.50 kW", "2.50 kW"),
        ("outdoor_fan", 1.0, "yes", "yes"),
        ("outdoor_frost", 0.0, "no", "no"),
    ],
)
def test_a_reading_is_shown_as_the_instrument_shows_it(id: str, value: float, si: str, ip: str) -> None:
    """Gauge pressure, temperature, a look; a power meter shows watts on either shore."""
    assert (si, ip) == (reading_text(id, value), reading_text(id, value, "IP"))


def test_the_table_holds_what_was_bought_and_nothing_else() -> None:
    """Two readings, their minutes and the sum; with the data sheet every healthy reading, and still only two of this machine."""
    one, bought = case("undercharge"), ["discharge_gauge", "liquid_line"]
    rows = readings_table(one, bought).rows
    assert [READINGS["liquid_line"].words, READINGS["discharge_gauge"].words, "all together"] == [row[0] for row in rows]
    assert ["2", "5", "7"] == [row[-1] for row in rows] and 7 == spent(bought)
    beside = readings_table(one, bought, beside=True).rows
    sheet = read(operate_with(one.machine, COOLING, *AIR[COOLING]))
    assert len(READINGS) + 1 == len(beside) and 2 == sum(bool(row[1]) for row in beside)
    assert [reading_text(id, value) for id, value in sheet.items()] == [row[2] for row in beside[:-1]]


def test_each_caution_is_said_once() -> None:
    """Three readings of two kinds have two cautions."""
    assert [LINES, GAUGES] == cautions_of(["suction_line", "liquid_line", "suction_gauge"])


@pytest.mark.parametrize(
    ("id", "size", "said"),
    [
        ("undercharge", 0.3, "share of the charge that is missing: 30 %"),
        ("spool_leak", 0.7, "gap at the spool: 0.7 mm²"),
        ("foreign_gas", 3e5, "partial pressure of the gas in the condenser: 3.00 bar"),
        ("wrong_wiring", None, ""),
    ],
)
def test_the_size_is_told_with_its_unit(id: str, size: float | None, said: str) -> None:
    """A share in per cent, a gap, a pressure; nothing for a fault without a size."""
    assert said == size_words(fault(id, size))


def test_lists_and_minutes_read_as_english() -> None:
    """One thing stands alone, several end with "or"; one minute has no s."""
    assert ("a", "a; or b", "1 minute", "2 minutes") == (named_list(["a"]), named_list(["a", "b"]), minutes_text(1), minutes_text(2))


# The verdict --------------------------------------------------------------------------------


def test_who_is_right_with_few_readings_has_all_points() -> None:
    """The thriftiest readings and the right name: settled, 100 points."""
    one = case("undercharge")
    said = told(one, thriftiest(one), "undercharge")
    assert said.startswith("Right. It was: refrigerant missing (share of the charge that is missing: 25 %).")
    assert KINDS["undercharge"].mechanism in said and "left no other suspect" in said and "Points: 100 of 100." in said


def test_who_is_wrong_is_told_what_it_was_and_what_would_have_told() -> None:
    """The named fault, the hidden one, the suspects left, a reading that strikes the named one out, the cheapest way, no points."""
    one, bought = case("compressor_worn"), ["suction_gauge", "discharge_gauge"]
    assert "spool_leak" in {suspect.id for suspect in suspects(one, bought)}
    said = told(one, bought, "spool_leak")
    assert f"Not right: you named “{words_of('spool_leak')}”. It was: compressor with worn valves" in said
    assert "Besides, your readings still left:" in said and "Points: 0 of 100." in said
    telling = next(line for line in said.splitlines() if line.startswith("What would have told them apart"))
    assert words_of("spool_leak") in telling
    least = judge(one, bought, "spool_leak").least_minutes
    assert f"Together {minutes_text(least)}; you spent 10." in said


def test_every_reading_named_as_telling_does_strike_out_what_is_said() -> None:
    """For a worn compressor after one reading: each suspect named behind a reading fits before it and not after it."""
    one, bought = case("compressor_worn"), ["discharge_gauge"]
    line = next(line for line in told(one, bought, "compressor_worn").splitlines() if line.startswith("What would have told them apart"))
    found = 0
    for id, reading in READINGS.items():
        match = re.search(re.escape(f"{reading.words} ({minutes_text(reading.minutes)}) strikes out: ") + r"([^.]*)\.", line)
        if match:
            before, after = ({suspect.words for suspect in suspects(one, bought + more)} for more in ([], [id]))
            named = [words for words in before if words in match[1]]
            assert named and not set(named) & after
            found += 1
    assert 1 <= found <= 3


def test_a_lucky_guess_is_told_so() -> None:
    """Right without readings: all suspects were left, and there are sixty points at most."""
    one = case("undercharge")
    said = told(one, (), "undercharge")
    assert "You took no reading, so all" in said and "Points: 60 of 100." in said
    some = told(one, ("liquid_line",), "undercharge")
    assert "the readings did not show it yet" in some


def test_what_no_reading_tells_apart_is_right_too() -> None:
    """A check valve that leaks as a stuck device does: where all readings leave both, naming either is right, and it is said."""
    pairs = [
        (one, judge(one, READINGS, SOUND))
        for one in (case("indoor_metering_stuck_open", 1.25), case("indoor_check_valve_leaking", 2.0), case(None), case("outdoor_check_valve_shut"))
    ]
    alike = [(one, found) for one, found in pairs if found.equal]
    assert alike
    for one, found in alike:
        said = told(one, tuple(READINGS), found.equal[0])
        assert said.startswith("Right") and words_of(found.equal[0]) in said


def test_a_sound_machine_is_a_verdict_too() -> None:
    """Nothing is wrong: said so, whether it was named or not."""
    one = case(None)
    assert told(one, thriftiest(one), SOUND).startswith("Right. Nothing is wrong with this machine")
    assert told(one, (), "wrong_wiring").startswith("Not right: you named “reversing valve's coil wired by the other convention”. Nothing is wrong")


@pytest.mark.parametrize(("asked", "points"), [(0, 100), (1, 90), (2, 80), (11, 0)])
def test_asking_costs_points_and_never_more_than_there_are(asked: int, points: int) -> None:
    """Ten each time, down to nothing, and the rule says so."""
    one = case("undercharge")
    assert points == score_of(judge(one, thriftiest(one), "undercharge"), asked)
    assert f"Points: {points} of 100" in told(one, thriftiest(one), "undercharge", asked=asked)
    assert f"takes {ASKING}" in RULE


def test_unknown_names_are_refused() -> None:
    """A fault or a reading that is in no list."""
    with pytest.raises(UnknownNameError):
        verdict(case("undercharge"), (), "gremlins")
    with pytest.raises(UnknownNameError):
        verdict(case("undercharge"), ("dowsing rod",), "undercharge")


def test_who_asks_is_told_who_fits() -> None:
    """As many as there are, each in words; the more is read, the fewer."""
    one = case("undercharge")
    everyone = lineup(one.machine, COOLING, *AIR[COOLING])
    assert f"{len(everyone)} of {len(everyone)} suspects fit" in fitting(one, [])
    settled = fitting(one, thriftiest(one))
    assert "refrigerant missing" in settled and f"1 of {len(everyone)}" in settled


# What to mind, and the whole ----------------------------------------------------------------


@pytest.mark.parametrize("id", KINDS)
def test_every_fault_has_a_caution_before_its_repair(id: str) -> None:
    """Opened circuits defer to licensed people, recovery and nitrogen; live parts to licensed people; coils to a locked-off power."""
    said = " ".join(repair_cautions(fault(id), "R-410A"))
    if id.endswith("coil_dirty"):
        assert "locked off" in said
    elif id.endswith("fan_failed") or id in ("wrong_wiring", "defrost_never_starts"):
        assert "live parts" in said and "Licensed people only" in said
    else:
        assert all(word in said for word in ("licensed work", "local codes", "recover the refrigerant", "dry nitrogen", "never oxygen"))


def test_flammable_refrigerant_and_leak_are_minded() -> None:
    """Propane has its caution besides; missing refrigerant is a leak."""
    assert len(repair_cautions(fault("overcharge"), "R-290")) > len(repair_cautions(fault("overcharge"), "R-410A"))
    assert "has leaked out" in repair_cautions(fault("undercharge"), "R-410A")[0]
    assert LIVE in cautions_of(["compressor_power"])


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_the_transcript_tells_the_whole_case(system: str) -> None:
    """Call, readings beside the healthy machine, cautions, the name, the verdict and what to mind, as plain text in the reader's units."""
    one, bought = case("undercharge", seed=9), ["liquid_line", "suction_gauge"]
    text = transcript(one, bought, "liquid_line_restricted", system, asked=1)
    expected = [
        "Case 9, Fernhill bench unit, R-410A (invented), cooling",
        *situation(one, system),
        show(one.readings["liquid_line"], "temperature", system),
        show(read(healthy(one))["suction_gauge"], "gauge pressure", system),
        LINES,
        GAUGES,
        "Named: liquid line restricted.",
        *verdict(one, bought, "liquid_line_restricted", system, asked=1),
        *repair_cautions(one.hidden, "R-410A"),
    ]
    places = [text.index(part) for part in expected]
    assert "<" not in text and places[0] == 0 and places[-1] == max(places)
