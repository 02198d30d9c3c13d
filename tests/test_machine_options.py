"""A machine and its weather from the options of the command line (hpteach/machine_options.py)."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import replace

import pytest

from hpteach.errors import HpteachError, InputError, UnitError, UnknownNameError
from hpteach.fluids import catalogue
from hpteach.machine import DEMO_MACHINES, demo_machine, machine_text
from hpteach.machine.metering import Metering
from hpteach.machine_options import air_of, machine_of, operation_of
from hpteach.options import Reader


def reader(atmosphere: float = 101325.0) -> Reader:
    """Whoever reads, in an air pressure (Pa)."""
    found = Reader(run=lambda command: 0)
    found.atmosphere = atmosphere
    return found


def options(**changed) -> Namespace:
    """The options of a machine in heating."""
    return Namespace(**{"refrigerant": "R-32", "machine": None, "valve": "heating", "outdoor": "47F/43F", "indoor": "70F/60F", "speed": "1"} | changed)


@pytest.mark.parametrize(
    ("text", "dry_bulb", "name", "value"),
    [
        ("47F/43F", 281.4833333333, "wet_bulb", 279.2611111111),
        ("8C / 7C", 281.15, "wet_bulb", 280.15),
        ("-15C/-16C", 258.15, "wet_bulb", 257.15),
        ("8.5C/280K", 281.65, "wet_bulb", 280.0),
        ("20C/50%", 293.15, "relative_humidity", 0.5),
        ("20C/50 % RH", 293.15, "relative_humidity", 0.5),
        ("7,5C/80%rh", 280.65, "relative_humidity", 0.8),
    ],
)  # fmt: skip
def test_air_is_read_by_wet_bulb_or_humidity(text: str, dry_bulb: float, name: str, value: float) -> None:
    """What stands behind the stroke is a wet bulb, or with a percent sign a relative humidity."""
    air = air_of(Namespace(outdoor=text), reader(), "--outdoor")
    assert (pytest.approx(air.dry_bulb, abs=1e-6), pytest.approx(getattr(air, name), abs=1e-6)) == (dry_bulb, value)


def test_air_is_that_of_the_place() -> None:
    """The air has the pressure of the reader's place."""
    assert 84e3 == air_of(Namespace(indoor="20C/50%"), reader(84e3), "--indoor").pressure


@pytest.mark.parametrize(
    ("text", "kind", "begins"),
    [
        ("47F", InputError, "--outdoor '47F' is not air: write dry bulb/wet bulb"),
        ("47F/", InputError, "--outdoor '47F/' is not air"),
        ("47F/43F/50%", InputError, "--outdoor '47F/43F/50%' is not air"),
        ("", InputError, "--outdoor '' is not air"),
        ("47/43F", UnitError, "--outdoor 47/43F: '47' has no unit of temperature"),
        ("47F/43", UnitError, "--outdoor 47F/43: '43' is neither a wet bulb nor a relative humidity: write it as 43F, 6C or 70%"),
        ("{a}/{b}", UnitError, "--outdoor {a}/{b}: '{a}' is not a number with a unit"),
        ("43F/47F", HpteachError, "--outdoor 43F/47F: wet bulb of 8.333 °C is above the dry bulb of 6.111 °C"),
        ("20C/110%", HpteachError, "--outdoor 20C/110%: relative humidity of 110 % cannot be: use 0 % (dry) to 100 % (saturated)"),
        ("20C/-5%", HpteachError, "--outdoor 20C/-5%: relative humidity of -5 % cannot be"),
        ("47F/-20F", HpteachError, "--outdoor 47F/-20F: wet bulb of -28.89 °C is too low for a dry bulb of 8.333 °C"),
        ("-70C/80%", HpteachError, "--outdoor -70C/80%: dry bulb of -70 °C is outside"),
        ("5C/4K", HpteachError, "--outdoor 5C/4K: wet bulb of -269.1 °C is outside -60 °C to 60 °C"),
    ],
)
def test_air_that_cannot_be_is_refused_by_its_option(text: str, kind: type[HpteachError], begins: str) -> None:
    """A refusal begins with the option and says what to write."""
    with pytest.raises(kind) as refused:
        air_of(Namespace(outdoor=text), reader(), "--outdoor")
    assert str(refused.value).startswith(begins)


def test_air_too_thin_blames_the_altitude() -> None:
    """An air pressure outside the model is no fault of the weather's option."""
    with pytest.raises(HpteachError) as refused:
        air_of(Namespace(outdoor="8C/7C"), reader(42e3), "--outdoor")
    assert str(refused.value).startswith("--altitude or --atmosphere: air pressure of 0.42 bar")


@pytest.mark.parametrize("name", ["R-410A", "R-454B", "R-32", "R-290"])
def test_refrigerant_with_a_demo_machine_gets_it(name: str) -> None:
    """A refrigerant that has a demo machine gets that one without a remark, however it is spelled."""
    assert (demo_machine(name), ()) == machine_of(options(refrigerant=name.lower().replace("-", "")))


def test_other_refrigerant_is_sized_for_and_that_is_remarked() -> None:
    """A refrigerant without a demo machine gets one that is sized for it, and the remark says from which."""
    machine, (remark,) = machine_of(options(refrigerant="r134a"))
    assert "R-134a" in set(catalogue()) - set(DEMO_MACHINES)
    assert ("R-134a", True) == (machine.refrigerant, "no demo machine for R-134a" in remark and "R-32" in remark)


def test_machine_may_be_a_file_or_a_demo_machine(tmp_path) -> None:
    """A file ends in .toml or is there; any other word names a demo machine; a refrigerant that agrees may stand beside it."""
    mine, other = tmp_path / "mine.toml", tmp_path / "mine.txt"
    for file in (mine, other):
        file.write_text(machine_text(demo_machine("R-290")), encoding="utf-8")
    for named, refrigerant in ((mine, None), (other, None), (mine, "r290"), ("R-290", "R-290"), ("R-290", None)):
        assert (demo_machine("R-290"), ()) == machine_of(options(machine=str(named), refrigerant=refrigerant))


@pytest.mark.parametrize(
    ("changed", "kind", "begins"),
    [
        ({"refrigerant": None}, InputError, "neither --refrigerant nor --machine says which machine it is"),
        ({"refrigerant": "R-9"}, UnknownNameError, "--refrigerant: refrigerant 'R-9' is not known; did you mean R-290?"),
        ({"refrigerant": "R-744"}, InputError, "--refrigerant: Fernhill bench unit, R-32 (invented) cannot be sized for R-744: R-744 cannot be saturated"),
        ({"machine": "R-290"}, InputError, "--refrigerant R-32 and --machine R-290, which holds R-290, contradict each other"),
        ({"machine": "R-23"}, UnknownNameError, "--machine: demo machine 'R-23' is not known; did you mean R-32"),
        ({"machine": "nowhere.toml"}, HpteachError, "--machine: nowhere.toml: cannot be read (No such file or directory)"),
        ({"valve": "between"}, UnknownNameError, "--valve: valve position 'between' is not known; known are heating, cooling"),
        ({"speed": "1.2"}, InputError, "--speed 1.2 cannot be, as the compressor of Fernhill bench unit, R-32 (invented) has one speed: leave --speed out"),
        ({"speed": "fast"}, UnitError, "--speed: 'fast' is not a number"),
        (
            {"refrigerant": None, "machine": "R-32-variable-speed", "speed": "160%"}, InputError,
            "--speed 160% cannot be, as the compressor of Fernhill bench unit, R-32, variable speed (invented) varies its speed from 0.35 to 1.5",
        ),
        ({"outdoor": "-55C/80%"}, HpteachError, "--outdoor -55C/80% --indoor 70F/60F: air of -55 °C at the outdoor coil that boils"),
    ],
)  # fmt: skip
def test_machine_that_cannot_be_is_refused_by_its_option(changed: dict, kind: type[HpteachError], begins: str) -> None:
    """A refusal begins with the options that are to blame."""
    with pytest.raises(kind) as refused:
        operation_of(options(**changed), reader())
    assert str(refused.value).startswith(begins)


def test_wrong_keys_of_a_file_are_refused(tmp_path) -> None:
    """A machine file with an unknown key is refused with the option, the file, the key and what is allowed."""
    file = tmp_path / "mine.toml"
    file.write_text(machine_text(demo_machine("R-32")) + "\n[fuel]\nkind = 'oil'\n", encoding="utf-8")
    with pytest.raises(HpteachError) as refused:
        machine_of(options(refrigerant=None, machine=str(file)))
    assert [] == [word for word in ("--machine", "mine.toml", "fuel", "allowed") if word not in str(refused.value)]


@pytest.mark.parametrize(
    ("part", "value"), [("charge", {"charge": 0.02, "held_aside": 0.0}), ("opening", {"outdoor_metering": Metering(kind="fixed orifice", opening=1e-8)})]
)
def test_machine_that_settles_in_no_weather_is_to_blame_itself(part: str, value: dict, tmp_path) -> None:
    """Where not even ordinary weather finds a balance, the refusal begins with the machine and not with the weather."""
    file = tmp_path / f"{part}.toml"
    file.write_text(machine_text(replace(demo_machine("R-32"), **value)), encoding="utf-8")
    with pytest.raises(HpteachError) as refused:
        operation_of(options(refrigerant=None, machine=str(file)), reader())
    assert (True, True) == (str(refused.value).startswith(f"--machine {str(file)[:60]}: air of"), "in ordinary weather too" in str(refused.value))


def test_speed_reaches_the_compressor() -> None:
    """Half the speed gives less heat with a better COP, as the coils are then large."""
    full, half = (operation_of(options(refrigerant=None, machine="R-32-variable-speed", speed=speed), reader())[0] for speed in ("1", "50%"))
    assert (1.0, 0.5) == (full.speed_ratio, half.speed_ratio)
    assert half.capacity < 0.7 * full.capacity and half.cop > full.cop
