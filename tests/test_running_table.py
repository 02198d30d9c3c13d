"""How a machine runs at the bins of a climate, worked out once: rows, straight lines between them, following a load."""

from __future__ import annotations

import pytest

from hpteach.errors import InputError, LimitError
from hpteach.machine import demo_machine
from hpteach.machine.climate import climate
from hpteach.machine.running import MachineInWinter
from hpteach.machine.running_table import RunningTable, running_table
from hpteach.machine.season import Running, load_in, season

COLD, MILD = 263.15, 283.15
ROOM = 293.15
FIXED = {COLD: [Running(6000.0, 2400.0, "frost")], MILD: [Running(10000.0, 2500.0)]}
VARIABLE = {COLD: [Running(2000.0, 700.0), Running(6000.0, 2400.0)], MILD: [Running(3000.0, 600.0), Running(6000.0, 1400.0), Running(10000.0, 2600.0)]}


def winter(machine: str, name: str) -> MachineInWinter:
    """A demo machine in the air of a climate."""
    return MachineInWinter(demo_machine(machine), ROOM, climate(name).moisture)


@pytest.mark.parametrize(("at", "capacity", "power", "note"), [(263.15, 6000.0, 2400.0, "frost"), (268.15, 7000.0, 2425.0, "frost"), (278.15, 9000.0, 2475.0, "")])
def test_between_two_rows_it_answers_on_straight_lines(at: float, capacity: float, power: float, note: str) -> None:
    """A row answers as it was worked out, a temperature between two in proportion, with the note of the nearer one."""
    assert Running(capacity, power, note) == RunningTable(FIXED).performance(at)


def test_rows_may_come_in_any_order() -> None:
    """The warm row first makes the same table."""
    assert RunningTable(FIXED).rows == RunningTable(dict(reversed(FIXED.items()))).rows
    assert (COLD, MILD) == RunningTable(dict(reversed(FIXED.items()))).temperatures


def test_next_to_a_row_without_a_run_the_machine_does_not_run() -> None:
    """Where the machine does not run, it does not run up to the next row either, but in that row it does."""
    table = RunningTable({253.15: [], **FIXED})
    assert (None, None, 6000.0) == (table.performance(253.15), table.performance(263.0), table.performance(COLD).capacity)


@pytest.mark.parametrize("at", [263.0, 283.3])
def test_beyond_the_rows_is_refused(at: float) -> None:
    """Colder than the coldest and warmer than the warmest row is refused, with the range."""
    with pytest.raises(LimitError, match="beyond the table's"):
        RunningTable(FIXED).performance(at)


def test_a_fixed_speed_follows_no_load() -> None:
    """With one run in each row there is nothing to follow."""
    assert RunningTable(FIXED).following is None


@pytest.mark.parametrize(("load", "capacity"), [(1000.0, 3000.0), (3000.0, 3000.0), (4500.0, 4500.0), (10000.0, 10000.0), (12000.0, 10000.0)])
def test_a_variable_speed_follows_between_its_least_and_its_most(load: float, capacity: float) -> None:
    """Between least and most it gives the load; below it gives its least, above its most."""
    assert capacity == RunningTable(VARIABLE).following(MILD, load).capacity


def test_the_power_of_a_following_machine_rises_with_its_capacity() -> None:
    """On the way from least to most the power rises all along, and passes through what was worked out."""
    table = RunningTable(VARIABLE)
    powers = [table.following(at, load).power for at in (COLD, 273.15) for load in range(3000, 6001, 250)]
    assert powers[:13] == sorted(powers[:13]) and powers[13:] == sorted(powers[13:])
    assert 1400.0 == pytest.approx(table.following(MILD, 6000.0).power, rel=1e-12)


def test_a_larger_machine_gives_and_takes_more_in_proportion() -> None:
    """A quarter larger: capacity and power 1.25 times, in every run; COP and notes as before."""
    table, larger = RunningTable(VARIABLE), RunningTable(VARIABLE).larger(1.25)
    assert {1.25} == {round(big.capacity / small.capacity, 12) for at in table.temperatures for big, small in zip(larger.runs(at), table.runs(at))}
    assert {1.25} == {round(big.power / small.power, 12) for at in table.temperatures for big, small in zip(larger.runs(at), table.runs(at))}


@pytest.mark.parametrize("factor", [0.0, -1.0, float("inf"), float("nan")])
def test_a_machine_of_no_size_is_refused(factor: float) -> None:
    """A factor that is not positive makes no machine."""
    with pytest.raises(LimitError, match="makes no machine"):
        RunningTable(FIXED).larger(factor)


@pytest.mark.parametrize(("rows", "said"), [({}, "at least one"), ({COLD: [Running(6000.0, 2400.0), Running(6000.0, 2500.0)]}, "do not rise")])
def test_rows_that_cannot_be_are_refused(rows: dict, said: str) -> None:
    """No rows, and runs of one row that do not rise in capacity, are refused."""
    with pytest.raises(InputError, match=said):
        RunningTable(rows)


@pytest.mark.parametrize("name", ["average", "us-region-iv"])
def test_a_season_from_the_table_is_that_of_the_machine(name: str) -> None:
    """Every bin of a fixed speed is that of the machine itself, so heat, energy and COP agree; the balance point within 0.05 K, between two bins."""
    here, machine = climate(name), winter("R-32", name)
    table, load = running_table(machine, here), load_in(here, 11e3)
    quick, whole = season(table.performance, here, load), season(machine.performance, here, load)
    assert whole.bins == quick.bins and whole.seasonal_cop == quick.seasonal_cop
    assert whole.balance_point == pytest.approx(quick.balance_point, abs=0.05)


@pytest.mark.parametrize("design_load", [4e3, 12e3])
def test_a_variable_speed_from_the_table_is_near_the_machine(design_load: float) -> None:
    """A variable speed is worked out at some temperatures and speeds only: the seasonal COP stays within 0.5 % and the balance point within 0.1 K."""
    here, machine = climate("average"), winter("R-32-variable-speed", "average")
    table, load = running_table(machine, here), load_in(here, design_load)
    quick = season(table.performance, here, load, following=table.following)
    whole = season(machine.performance, here, load, following=machine.following)
    assert whole.seasonal_cop == pytest.approx(quick.seasonal_cop, rel=5e-3)
    assert whole.balance == quick.balance and (whole.balance_point or 0.0) == pytest.approx(quick.balance_point or 0.0, abs=0.1)
    assert len(table.rows) == sum(one.outdoor_temperature < here.zero_load_temperature for one in here.bins)
