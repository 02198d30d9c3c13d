"""A hidden fault, readings that cost minutes, and what they leave (hpteach/machine/diagnosis.py)."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import CircuitError, UnknownNameError
from hpteach.machine import diagnosis
from hpteach.machine.diagnosis import SOUND, Case, deal_case, judge, lineup, suspects, telling_apart, thriftiest
from hpteach.machine.faults import BOTH, COOLING, HEATING, KINDS, Fault, operate_with, position_with, shows
from hpteach.machine.readings import READINGS, read
from hpteach.machine.switches import opened
from tests.sign_table import WEATHER, machine_with

SEEDS = range(200)
MODES = pytest.mark.parametrize("called", BOTH, ids=["cooling", "heating"])


@cache
def case(called: ValvePosition, seed: int) -> Case:
    return deal_case(machine_with("R-410A", "thermostatic valve"), called, *WEATHER[called], seed)


_THRIFTY: dict[tuple[ValvePosition, int], tuple[str, ...]] = {}


def thrifty(one: Case) -> tuple[str, ...]:
    """The thriftiest readings of a case, worked out once."""
    if (one.called, one.seed) not in _THRIFTY:
        _THRIFTY[one.called, one.seed] = thriftiest(one)
    return _THRIFTY[one.called, one.seed]


def everyone(called: ValvePosition):  # noqa: ANN201
    return lineup(machine_with("R-410A", "thermostatic valve"), called, *WEATHER[called])


def first(called: ValvePosition, hidden: str) -> Case:
    """The first case with a fault hidden in it."""
    return next(case(called, seed) for seed in SEEDS if case(called, seed).hidden_id == hidden)


def ids(found) -> set[str]:  # noqa: ANN001
    return {one.id for one in found}


def minutes(bought) -> int:  # noqa: ANN001
    return sum(READINGS[id].minutes for id in bought)


# The suspects -----------------------------------------------------------------------------------


@MODES
def test_lineup_holds_what_shows(called: ValvePosition) -> None:
    """The sound machine first, then faults that show when this is called for; nobody else, and nobody missing who runs at some size without a switch."""
    sound, *others = everyone(called)
    assert SOUND == sound.id
    machine = machine_with("R-410A", "thermostatic valve")
    for kind in KINDS.values():
        one = Fault(kind, kind.size)
        suspect = next((other for other in others if other.id == kind.id), None)
        if not shows(one, position_with(called, [one]), called):
            assert suspect is None
        elif suspect is not None:
            assert all(opened(operate_with(machine, called, *WEATHER[called], [Fault(kind, size)])) is None for size in suspect.sizes)
    assert {"outdoor_fan_failed"} == ({kind.id for kind in KINDS.values() if COOLING in kind.shows_in} - ids(others) if called is COOLING else {"outdoor_fan_failed"})


@MODES
def test_sound_machine_is_in_the_middle_of_its_readings(called: ValvePosition) -> None:
    """Its row is what is read on the machine without faults."""
    found = read(operate_with(machine_with("R-410A", "thermostatic valve"), called, *WEATHER[called]))
    assert list(found.values()) == pytest.approx(everyone(called)[0].readings[0].tolist())


# Dealing ----------------------------------------------------------------------------------------


@MODES
def test_same_seed_is_the_same_case(called: ValvePosition) -> None:
    """Dealt twice, twenty cases have the same fault, size and readings; different seeds differ."""
    machine = machine_with("R-410A", "thermostatic valve")
    for seed in range(20):
        again = deal_case(machine, called, *WEATHER[called], seed)
        assert case(called, seed).hidden == again.hidden
        assert list(case(called, seed).readings.values()) == pytest.approx(list(again.readings.values()))
    assert len({case(called, seed).hidden for seed in range(20)}) > 8


@MODES
def test_fault_that_no_instrument_finds_is_not_dealt(called: ValvePosition) -> None:
    """In every case with a fault some reading lies outside what instruments may differ by from the sound machine's."""
    healthy = read(operate_with(machine_with("R-410A", "thermostatic valve"), called, *WEATHER[called]))
    for seed in SEEDS:
        one = case(called, seed)
        off = [abs(one.readings[id] - healthy[id]) > READINGS[id].tolerance(one.readings[id]) for id in READINGS]
        assert (one.hidden is not None) is any(off), seed
        assert opened(one.operation) is None


def test_every_fault_is_dealt_at_some_seed() -> None:
    """Over 200 seeds in both positions each fault of the list is dealt, but for the check valve that the metering valve hides; about one case in twelve is sound."""
    dealt = [case(called, seed).hidden_id for called in BOTH for seed in SEEDS]
    assert {"indoor_check_valve_shut"} == set(KINDS) - set(dealt)
    assert 15 < dealt.count(SOUND) < 55
    suspect = next(one for one in everyone(HEATING) if one.id == "indoor_check_valve_shut")
    healthy = everyone(HEATING)[0].readings[0]
    assert all(abs(value - sound) <= READINGS[id].tolerance(value) for id, value, sound in zip(READINGS, suspect.readings[0], healthy, strict=True))


def test_orifice_deals_the_check_valve_that_a_valve_hides() -> None:
    """With fixed orifices nothing makes up for the second device in the way, so it is found and dealt."""
    machine = machine_with("R-410A", "fixed orifice")
    assert "indoor_check_valve_shut" in {deal_case(machine, HEATING, *WEATHER[HEATING], seed).hidden_id for seed in range(40)}


# Readings and suspects --------------------------------------------------------------------------


@MODES
def test_thriftiest_readings_leave_only_what_no_reading_can_tell_apart(called: ValvePosition) -> None:
    """Over 200 seeds they leave the same suspects as all readings together, the hidden fault among them, and none of them is to spare."""
    for seed in SEEDS:
        one = case(called, seed)
        bought = thrifty(one)
        settled = ids(suspects(one, READINGS))
        assert settled == ids(suspects(one, bought)) and one.hidden_id in settled, seed
        assert all(settled < ids(suspects(one, [id for id in bought if id != spared])) for spared in bought), seed


@MODES
def test_thriftiest_readings_are_near_the_least_minutes(called: ValvePosition) -> None:
    """Among all sets of up to three readings none settles a case in less than three quarters of their minutes, in nine of ten cases."""
    dear = 0
    for seed in range(20):
        one = case(called, seed)
        settled, bought = ids(suspects(one, READINGS)), thrifty(one)
        sets = sorted((few for many in (1, 2, 3) for few in combinations(READINGS, many) if minutes(few) < 0.75 * minutes(bought)), key=minutes)
        dear += any(ids(suspects(one, few)) == settled for few in sets)
    assert dear <= 2


@MODES
def test_more_readings_leave_no_more_suspects(called: ValvePosition) -> None:
    """Each reading that is bought can only strike out; before the first all are left, and buying one twice changes nothing."""
    for seed in range(0, 200, 10):
        one, bought = case(called, seed), []
        left = ids(suspects(one, bought))
        assert ids(everyone(called)) == left
        for id in READINGS:
            bought.append(id)
            fewer = ids(suspects(one, bought))
            assert fewer <= left and fewer == ids(suspects(one, [*bought, id]))
            left = fewer


@MODES
def test_suspect_is_struck_out_where_no_size_of_it_reads_so(called: ValvePosition) -> None:
    """By one reading alone: a suspect is out exactly where its whole range, from size to size, lies farther than the tolerance."""
    for seed in range(0, 200, 20):
        one = case(called, seed)
        for column, (id, reading) in enumerate(READINGS.items()):
            value = one.readings[id]
            near = reading.tolerance(value)
            for suspect in everyone(called):
                span = suspect.readings[:, column]
                hit = bool(span.min() - near <= value <= span.max() + near)
                assert (hit or suspect.id == one.hidden_id) is (suspect.id in ids(suspects(one, [id]))), (seed, id, suspect.id)


@MODES
def test_telling_apart_strikes_out_suspects(called: ValvePosition) -> None:
    """Each reading that it names strikes out a suspect when it is bought, alone or with the others named; the first strikes out most for a minute; one left out strikes out none."""
    for seed in range(0, 200, 5):
        one = case(called, seed)
        for bought in ([], ["suction_gauge"], list(thrifty(one))[:1]):
            left = suspects(one, bought)
            named = telling_apart(one, left, bought)
            struck = {id: len(left) - len(suspects(one, [*bought, id])) for id in READINGS if id not in bought}
            telling = {id for id, many in struck.items() if many}
            assert telling == set(named) if telling else len(left) > len(suspects(one, [*bought, *named])) or not named
            worth = [struck[id] / READINGS[id].minutes for id in named]
            assert sorted(worth, reverse=True) == worth
            assert not set(named) & set(bought)


@MODES
def test_nothing_tells_apart_what_no_reading_can(called: ValvePosition) -> None:
    """Where all readings are bought, or the thriftiest, no reading is named any more."""
    for seed in range(0, 200, 10):
        one = case(called, seed)
        for bought in (list(READINGS), list(thrifty(one))):
            assert () == telling_apart(one, suspects(one, bought), bought)


def test_two_readings_may_tell_together_what_neither_tells_alone() -> None:
    """Some case has a stage at which no single reading strikes anybody out though all of them would; those that do it together are then named."""
    stages = 0
    for called in BOTH:
        for seed in SEEDS:
            one, bought = case(called, seed), list(thrifty(case(called, seed)))
            for some in combinations(bought, max(len(bought) - 2, 0)):
                left = suspects(one, some)
                if len(bought) > 1 and len(left) > 1 and all(len(suspects(one, [*some, id])) == len(left) for id in READINGS):
                    named = telling_apart(one, left, some)
                    assert len(named) > 1 and ids(suspects(one, [*some, *named])) == ids(suspects(one, READINGS))
                    stages += 1
        if stages:
            return
    pytest.fail("no such stage in 400 cases")


# Judging ----------------------------------------------------------------------------------------


@MODES
def test_thrifty_diagnosis_scores_all(called: ValvePosition) -> None:
    """The right name with the thriftiest readings is worth 100, and nothing more could have been told."""
    for seed in range(0, 200, 10):
        one = case(called, seed)
        found = judge(one, thrifty(one), one.hidden_id)
        assert (True, 100, found.least_minutes, ()) == (found.right, found.score, found.minutes, found.telling)


@MODES
def test_minutes_cost_score(called: ValvePosition) -> None:
    """With all readings the score is 50 and half of the thriftiest minutes over all minutes."""
    one = case(called, 1)
    found = judge(one, READINGS, one.hidden_id)
    assert sum(reading.minutes for reading in READINGS.values()) == found.minutes == 41
    assert round(50.0 + 50.0 * found.least_minutes / 41) == found.score


@MODES
def test_wrong_name_scores_nothing(called: ValvePosition) -> None:
    """However thrifty, and the judgement says what was hidden and what the readings left."""
    one = first(called, "undercharge")
    found = judge(one, thrifty(one), "overcharge")
    assert (False, 0, "undercharge", ("undercharge",)) == (found.right, found.score, found.hidden_id, found.left)


@MODES
def test_lucky_guess_scores_60_at_most(called: ValvePosition) -> None:
    """Right without readings that show it: all suspects were left, and the judgement names what would have told them apart."""
    one = first(called, "compressor_worn")
    found = judge(one, [], "compressor_worn")
    assert (True, 60, 0, len(everyone(called))) == (found.right, found.score, found.minutes, len(found.left))
    assert found.telling


@MODES
def test_look_alike_is_right_too(called: ValvePosition) -> None:
    """A suspect that no reading tells from the hidden fault counts as right, and is named as equal."""
    one = first(called, "indoor_metering_stuck_shut" if called is COOLING else "outdoor_metering_stuck_shut")
    restricted = one.hidden_id.replace("stuck_shut", "restricted")
    found = judge(one, thrifty(one), restricted)
    assert (True, 100, (restricted,)) == (found.right, found.score, found.equal)


def test_reading_named_twice_costs_once() -> None:
    """Whoever looks again has paid already."""
    one = case(COOLING, 1)
    assert 10 == judge(one, ["suction_gauge", "discharge_gauge", "suction_gauge"], one.hidden_id).minutes


# Refusals ---------------------------------------------------------------------------------------


def test_unknown_names_are_refused() -> None:
    """A fault or a reading that is in no list, with the nearest; also a fault that cannot show in this position."""
    one = case(COOLING, 1)
    with pytest.raises(UnknownNameError, match="undercharge"):
        judge(one, [], "undercharg")
    with pytest.raises(UnknownNameError, match="valve_stuck_cooling"):
        judge(one, [], "valve_stuck_cooling")
    with pytest.raises(UnknownNameError, match="suction_gauge"):
        suspects(one, ["suction_gage"])
    with pytest.raises(UnknownNameError, match="suction_gauge"):
        telling_apart(one, suspects(one, []), ["suction_gage"])


def test_position_between_the_seats_is_not_dealt() -> None:
    """It cannot be called for."""
    with pytest.raises(CircuitError, match="valve_between"):
        deal_case(machine_with("R-410A", "thermostatic valve"), ValvePosition.BETWEEN, *WEATHER[COOLING], seed=1)


def test_names_stand_for_what_is_wrong() -> None:
    """Each suspect says in words what is wrong."""
    assert "nothing is wrong" == everyone(COOLING)[0].words
    assert {one.id: KINDS[one.id].words for one in everyone(COOLING)[1:]} == {one.id: one.words for one in everyone(COOLING)[1:]}
    assert SOUND == diagnosis.SOUND not in KINDS
