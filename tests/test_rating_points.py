"""The demo machines at published rating conditions, in the bands of the trade.

Conditions: tests/reference/04_rating_conditions.csv, whose README.md says how each is known.  The bands of COP, splits, pressure ratio and
discharge temperature are common practice, no source; they were written down before the machines were run.
"""

from __future__ import annotations

from functools import cache

import pytest

from hpteach.fluids import moist_air
from hpteach.machine import Operation, demo_machine, operate
from tests.reference import rows
from tests.settling import COOLING, HEATING

MACHINES = ("R-410A", "R-454B", "R-32", "R-290")
CONDITIONS = {row["code"]: row for row in rows("04_rating_conditions.csv") if row["standard"] == "US M1" or row["code"].startswith(("A35(24)", "A7(6)"))}
SPLIT_BANDS = {
    # code: pressure ratio, K from the evaporator's air down to the suction, K from the condenser's air up to condensing, discharge temperature in Celsius
    "A": ((2.3, 3.8), (15.0, 26.0), (8.0, 18.0), (55.0, 110.0)),
    "B": ((2.0, 3.3), (15.0, 26.0), (8.0, 18.0), (45.0, 100.0)),
    "H1": ((2.3, 4.2), (4.0, 12.0), (12.0, 28.0), (50.0, 105.0)),
    "H3": ((3.0, 5.8), (3.0, 10.0), (8.0, 20.0), (50.0, 120.0)),
}


@cache
def at(name: str, code: str) -> Operation:
    """A demo machine in the weather of a row."""
    row = CONDITIONS[code]
    airs = []
    for place in ("outdoor", "indoor"):
        wet_bulb = row[f"{place}_wb_C"]
        way = {"wet_bulb": float(wet_bulb) + 273.15} if wet_bulb else {"relative_humidity": 0.4}
        airs.append(moist_air(float(row[f"{place}_db_C"]) + 273.15, **way))
    return operate(demo_machine(name), COOLING if "cooling" in row["mode"] else HEATING, *airs)


@pytest.mark.parametrize("name", MACHINES)
def test_cop_and_capacity_lie_in_the_bands_of_ratings(name: str) -> None:
    """Cooling at 95 °F 3.0 to 4.2; heating at 47 °F 3.3 to 4.3, at 17 °F 2.2 to 2.9 with 55 to 70 % of the capacity at 47 °F."""
    cooling, mild, cold = (at(name, code) for code in ("A", "H1", "H3"))
    assert 3.0 <= cooling.cop <= 4.2
    assert 3.3 <= mild.cop <= 4.3
    assert 2.2 <= cold.cop <= 2.9
    assert 0.55 <= cold.capacity / mild.capacity <= 0.70


@pytest.mark.parametrize("name", MACHINES)
@pytest.mark.parametrize("code", list(SPLIT_BANDS))
def test_pressures_and_temperatures_lie_in_the_bands_of_the_trade(name: str, code: str) -> None:
    """Pressure ratio, both splits to the air and the discharge temperature are those of a machine that works."""
    found = at(name, code)
    boils, condenses = (found.outdoor, found.indoor) if found.valve_position is HEATING else (found.indoor, found.outdoor)
    figures = (
        found.pressure_ratio, boils.dry_bulb - found.saturated_suction_temperature, found.saturated_condensing_temperature - condenses.dry_bulb,
        found.discharge_temperature - 273.15,
    )  # fmt: skip
    assert [True] * 4 == [low <= figure <= high for figure, (low, high) in zip(figures, SPLIT_BANDS[code])]
    assert 2.0 < found.superheat < 9.0 and 2.0 < found.subcooling < 14.0
    assert () == found.limits


@pytest.mark.parametrize("name", MACHINES)
def test_cooling_dries_the_room_in_the_usual_share(name: str) -> None:
    """Sensible heat is 65 to 85 % of the capacity at 95 °F, and all of it on the dry coil of the C test."""
    assert 0.65 < at(name, "A").sensible / at(name, "A").capacity < 0.85
    assert at(name, "C").latent == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("name", MACHINES)
def test_milder_weather_gives_more(name: str) -> None:
    """From the 95 °F to the 82 °F test, and from 5 to 62 °F, capacity and COP rise."""
    for codes in (("A", "B"), ("H4", "H3", "H2", "H1", "H0")):
        found = [at(name, code) for code in codes]
        assert sorted(one.capacity for one in found) == [one.capacity for one in found]
        assert sorted(one.cop for one in found) == [one.cop for one in found]


@pytest.mark.parametrize("name", MACHINES)
@pytest.mark.parametrize(("code", "frosts"), [("H0", False), ("H1", False), ("H2", True), ("H3", True)])
def test_frost_grows_where_the_frost_test_is(name: str, code: str, frosts: bool) -> None:
    """At 35 °F and 17 °F ice grows outdoors; at 47 °F and above hardly a tenth of the water, if any, freezes."""
    assert frosts == (at(name, code).outdoor_coil.frost > 0.1)


@pytest.mark.parametrize("name", MACHINES)
def test_european_ratings_lie_beside_the_american(name: str) -> None:
    """35(24)/27(19) °C and 7(6)/20(15) °C differ from 95/80 °F and 47/70 °F by little: capacities within 5 %, COP within 6 %."""
    for american, european in (("A", "A35(24)/27(19)"), ("H1", "A7(6)/20(15max)")):
        first, second = at(name, american), at(name, european)
        assert first.capacity == pytest.approx(second.capacity, rel=0.05)
        assert first.cop == pytest.approx(second.cop, rel=0.06)
