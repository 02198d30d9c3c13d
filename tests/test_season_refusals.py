"""Machines that stand still in a season: refused where they never run, with a reason where some bins are beyond them (hpteach/machine/season.py)."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import replace

import pytest

from hpteach.errors import HpteachError, LimitError
from hpteach.fluids import refrigerant
from hpteach.machine import demo_machine, machine_text
from hpteach.machine.climate import climate
from hpteach.machine.compressor_map import map_of
from hpteach.machine.running import MachineInWinter, refused_in_ordinary_weather
from hpteach.machine.season import Running, load_in, season
from hpteach.options import OPTIONS, Reader
from hpteach.season_options import MONEY, season_of
from hpteach.season_readouts import beyond_limits_in_words, season_in_words, season_tables

AVERAGE = climate("average")
BENCH = demo_machine("R-32")
EMPTY = replace(BENCH, charge=0.02, held_aside=0.0)
MAPPED = replace(
    BENCH,
    compressor=map_of(BENCH.compressor, refrigerant("R-32"), (258.15, 265.15, 272.15, 282.15), (298.15, 308.15, 318.15, 333.15), 11.0),
)


def options(**changed) -> Namespace:
    """The options of a season as they are when none is given."""
    choices = ("--climate", "--design-load", "--design-temperature", "--zero-load", *MONEY)
    none = {option.removeprefix("--").replace("-", "_"): OPTIONS[option].default for option in choices}
    return Namespace(**(none | {"refrigerant": None, "machine": None, "indoor": "20C"} | changed))


def refusal(**changed) -> str:
    with pytest.raises(HpteachError) as refused:
        season_of(options(**changed), Reader(run=lambda command: 0))
    return str(refused.value)


def file_of(tmp_path, name: str, text: str) -> str:
    """A file in a short place, as refusals quote sixty letters of an option."""
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    return str(file)


def test_machine_without_a_balance_in_ordinary_weather_is_refused(tmp_path) -> None:
    """A charge that fits no weather is a refusal that begins with the machine and ends with the balance's own reason."""
    file = file_of(tmp_path, "mine.toml", machine_text(EMPTY))
    told = refusal(machine=file)
    assert (True, True) == (told.startswith(f"--machine {file[:60]}: air of 7 °C at the outdoor coil"), told.endswith("the charge does not suit the machine"))


def test_machine_that_runs_in_no_heated_bin_is_refused(tmp_path) -> None:
    """A season that is too cold for the machine in every bin is refused, naming machine, climate and room."""
    file = file_of(tmp_path, "cold.csv", "outdoor_C,hours\n-55,30\n-50,100\n")
    told = refusal(climate=file, refrigerant="R-32")
    assert told.startswith(f"--refrigerant R-32 and --climate {file[:60]} and --indoor 20C: it runs in no bin that needs heat, for even in the mildest: air of -50 °C")
    assert "discharge of the compressor: R-32" in told


def test_bin_beyond_the_machine_says_why(tmp_path) -> None:
    """A cold bin beyond the machine stands still with the reason in its note, while the mild one runs; the words say it once."""
    file = file_of(tmp_path, "mine.csv", "outdoor_C,hours\n-50,10\n-45,20\n9,400\n")
    found = season_of(options(climate=file, refrigerant="R-32"), Reader(run=lambda command: 0))[0]
    assert ["machine does not run: discharge beyond the equation of state"] * 2 == [one.note for one in found.bins[:2]]
    assert "In 30 of 430 hours it does not run at all: discharge beyond the equation of state." in season_in_words(found)


@pytest.mark.parametrize(
    ("machine", "outdoor", "indoor", "reason"),
    [
        (BENCH, 218.15, 293.15, "discharge beyond the equation of state"),
        (MAPPED, 258.15, 293.15, "the map of the compressor ends"),
        (demo_machine("R-410A"), 280.15, 330.15, "condensing near critical"),
        (EMPTY, 280.15, 293.15, "the metering device or the charge does not suit"),
        (BENCH, 285.15, 293.15, ""),
    ],
)
def test_reason_is_said_in_a_few_words(machine, outdoor: float, indoor: float, reason: str) -> None:
    """Why a machine stands still is a few words of its refusal; a machine that runs has none."""
    assert reason == MachineInWinter(machine, indoor, lambda temperature: {"relative_humidity": 0.8}).reason(outdoor)


def test_ordinary_weather_is_the_rating_point() -> None:
    """The bench unit heats in ordinary weather, the one without a charge does not, and a room that is far too warm is to blame as well."""
    assert (True, False, False) == tuple(refused_in_ordinary_weather(*one) is None for one in ((BENCH, 293.15), (EMPTY, 293.15), (BENCH, 330.15)))


def test_hours_beyond_a_limit_are_counted_in_words() -> None:
    """Each limit has its hours, the bins with several count once, and what a real machine does stands beside it."""

    def hot(outdoor: float) -> Running:
        return Running(9000.0, 3000.0, "beyond limit: pressure ratio; beyond limit: discharge temperature" if outdoor < 264.0 else "frost")

    (told,) = beyond_limits_in_words(season(hot, AVERAGE, load_in(AVERAGE, 6500.0)))
    assert told.startswith("In 1 of 4910 hours it would run beyond a limit of its compressor (pressure ratio 1 h, discharge temperature 1 h).")
    assert "slows down, injects liquid or vapour into the compressor, or stops" in told
    assert () == beyond_limits_in_words(season(lambda outdoor: Running(9000.0, 3000.0), AVERAGE, load_in(AVERAGE, 6500.0)))


def test_reason_stands_in_the_note_only_where_there_is_one() -> None:
    """Without a reason the note is the bare sentence."""
    load = load_in(AVERAGE, 6500.0)
    notes = [
        season(lambda outdoor: Running(9e3, 3e3) if outdoor > 268.0 else None, AVERAGE, load, reason=reason).bins[0].note
        for reason in (None, lambda outdoor: "", lambda outdoor: "too cold")
    ]
    assert ["machine does not run", "machine does not run", "machine does not run: too cold"] == notes


@pytest.mark.parametrize("cop", [8.5, 90.0])
def test_auxiliary_cop_of_no_source_is_refused(cop: float) -> None:
    """A second heat pump may give up to eight times its energy; above, a percentage was meant."""
    load = load_in(AVERAGE, 6500.0)
    assert 8.0 == season(lambda outdoor: Running(3e3, 1e3), AVERAGE, load, auxiliary_cop=8.0).auxiliary_cop
    with pytest.raises(LimitError, match=f"auxiliary COP of {cop:g} is more than any source of heat has: was a percentage meant"):
        season(lambda outdoor: Running(3e3, 1e3), AVERAGE, load, auxiliary_cop=cop)


def test_small_load_has_enough_figures() -> None:
    """A house of a few hundred watts is shown to the watt."""
    small = season(lambda outdoor: Running(3000.0, 1000.0), AVERAGE, load_in(AVERAGE, 260.0))
    assert ("0.260", "0.250") == tuple(row[2] for row in season_tables(small)[0].rows[:2])
