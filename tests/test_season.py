"""A house, a climate and a machine over a heating season (hpteach/machine/season.py).

The machines here are plain functions, invented; bins are those of tests/reference/04b, formulas those of 04e, whose README.md
says how each is known.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.errors import InputError, LimitError
from hpteach.machine.climate import Bin, Climate, climate
from hpteach.machine.season import DEGRADATION, BuildingLoad, Running, following_in_proportion, load_in, season
from tests.reference import half_digit, rows

AVERAGE = climate("average")
KILOWATT_HOUR = 3.6e6  # J


def straight(outdoor: float) -> Running:
    """An invented machine: 6 kW at 7 °C, less in the cold, with a power that hardly changes."""
    return Running(6000.0 + 150.0 * (outdoor - 280.15), 1700.0 + 5.0 * (outdoor - 280.15))


def bins_of(*pairs: tuple[float, float]) -> Climate:
    """An invented season of bins in Celsius, designed for -10 °C and no load at 16 °C."""
    return Climate("invented", tuple(Bin(celsius + 273.15, hours) for celsius, hours in pairs), 263.15, 289.15, "invented", relative_humidity=0.8)


# The load -----------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("04b_en14825_heating_bins.csv"), ids=lambda row: row["Tj_C"])
def test_load_line_has_the_published_part_load_ratio(row: dict[str, str]) -> None:
    """The load by the design load is the part load ratio of Regulation (EU) 206/2012, Annex II, table 1, to half its last digit."""
    load = load_in(AVERAGE, 5000.0).at(float(row["Tj_C"]) + 273.15)
    assert float(row["part_load_ratio_average"]) == pytest.approx(load / 5000.0, abs=half_digit(row["part_load_ratio_average"].ljust(6, "0")))


@pytest.mark.parametrize(("celsius", "load"), [(16.0, 0.0), (25.0, 0.0), (-10.0, 5000.0), (3.0, 2500.0), (-23.0, 7500.0)])
def test_load_goes_on_below_the_design_temperature_and_ends_at_zero_load(celsius: float, load: float) -> None:
    """The line is straight through the design point, beyond it too, and there is no load where it is warm."""
    assert load == pytest.approx(BuildingLoad(5000.0, 263.15, 289.15).at(celsius + 273.15), abs=1e-9)


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ((0.0, 263.15, 289.15), "design load of 0 is not positive"),
        ((-5000.0, 263.15, 289.15), "design load of -5000 is not positive"),
        ((math.nan, 263.15, 289.15), "design load of nan is not positive"),
        ((math.inf, 263.15, 289.15), "design load of inf is not positive"),
        ((5000.0, 289.15, 289.15), "design temperature of 16 °C is not below the zero-load temperature of 16 °C"),
        ((5000.0, 293.15, 289.15), "design temperature of 20 °C is not below the zero-load temperature of 16 °C"),
        ((5000.0, math.nan, 289.15), "design temperature of nan °C"),
    ],
)
def test_load_that_cannot_be_is_refused(figures: tuple[float, float, float], words: str) -> None:
    """A load that is not positive and temperatures in the wrong order are refused with what to change."""
    with pytest.raises(LimitError, match=words):
        BuildingLoad(*figures)


# The whole equals the sum of the bins --------------------------------------------------


@pytest.mark.parametrize("auxiliary_cop", [1.0, 0.9])
@pytest.mark.parametrize("degradation", [0.0, 0.25, 1.0])
@pytest.mark.parametrize("design_load", [2000.0, 5000.0, 9000.0])
@pytest.mark.parametrize("name", ["average", "warmer", "colder"])
def test_season_is_the_sum_of_its_bins_by_hand(name: str, design_load: float, degradation: float, auxiliary_cop: float) -> None:
    """Heat, energies, COP, cost and carbon are those of a plain sum over the published bins (PLF of file 04e), to a part in 1e9."""
    design = {"average": -10.0, "warmer": 2.0, "colder": -22.0}[name]
    heat = machine = auxiliary = 0.0
    for row in rows("04b_en14825_heating_bins.csv"):
        celsius, seconds = float(row["Tj_C"]), 3600.0 * float(row[f"hours_{name}"])
        need = design_load * (16.0 - celsius) / (16.0 - design)
        capacity, power = 6000.0 + 150.0 * (celsius - 7.0), 1700.0 + 5.0 * (celsius - 7.0)
        heat += need * seconds
        if need < capacity:
            machine += power * (need / capacity) / (1.0 - degradation * (1.0 - need / capacity)) * seconds
        else:
            machine += power * seconds
            auxiliary += (need - capacity) * seconds / auxiliary_cop
    weather = climate(name)
    whole = season(
        straight, weather, load_in(weather, design_load), degradation=degradation, auxiliary_cop=auxiliary_cop,
        electricity_price=0.30 / KILOWATT_HOUR, auxiliary_price=0.10 / KILOWATT_HOUR, electricity_carbon=0.4 / KILOWATT_HOUR,
    )  # fmt: skip
    found = (whole.heat_delivered, whole.energy_machine, whole.energy_auxiliary, whole.seasonal_cop, whole.cost, whole.carbon)
    by_hand = (
        heat, machine, auxiliary, heat / (machine + auxiliary),
        (0.30 * machine + 0.10 * auxiliary) / KILOWATT_HOUR, 0.4 * (machine + auxiliary) / KILOWATT_HOUR,
    )  # fmt: skip
    assert by_hand == pytest.approx(found, rel=1e-9)


def test_heat_of_a_season_is_design_load_times_published_hours() -> None:
    """A house of 1 kW in the average climate needs the 2066 equivalent heating hours of Regulation (EU) 811/2013 in kWh, to the whole one."""
    assert 2066 == round(season(straight, AVERAGE, load_in(AVERAGE, 1000.0)).heat_delivered / KILOWATT_HOUR)


def test_each_bin_balances() -> None:
    """In every bin machine heat and auxiliary heat are the load, and over the season the heat delivered."""
    whole = season(straight, AVERAGE, load_in(AVERAGE, 7000.0))
    for one in whole.bins:
        given_by_machine = 0.0 if one.capacity is None else one.part_load_share * one.capacity
        assert one.load == pytest.approx(given_by_machine + one.auxiliary, rel=1e-12)
        assert given_by_machine == pytest.approx(one.machine_heat, rel=1e-9)
    assert whole.heat_delivered == pytest.approx(3600.0 * sum(one.hours * (one.machine_heat + one.auxiliary) for one in whole.bins), rel=1e-12)
    assert whole.heat_delivered - whole.heat_auxiliary == pytest.approx(whole.machine_cop * whole.energy_machine, rel=1e-12)


def test_cycling_costs_what_the_part_load_factor_says() -> None:
    """At a quarter of the capacity and a degradation of 0.25 the factor is 1 - 0.25 x 0.75 (file 04e), and the power goes up by it."""
    (formula,) = (row["formula"] for row in rows("04e_rating_formulas.csv") if row["item"] == "part-load factor")
    assert "PLF = 1 - C_D*(1 - X), X = BL/Q" == formula
    (one,) = season(lambda outdoor: Running(10000.0, 2500.0), bins_of((3.0, 100.0)), BuildingLoad(5000.0, 263.15, 289.15)).bins
    assert (0.25, 0.8125, 2500.0 * 0.25 / 0.8125) == pytest.approx((one.part_load_share, one.part_load_factor, one.power), rel=1e-12)


def test_default_degradation_is_the_published_one() -> None:
    """Without a test of cycling the degradation is 0.25, in the EU for air to air and in the US for heating (file 04e)."""
    printed = {row["item"]: row["formula"] for row in rows("04e_rating_formulas.csv")}
    assert "C_d = 0.25 if no cycling test" in printed["default degradation, air-to-air"] and "heating 0.25" in printed["default C_D"]
    assert 0.25 == DEGRADATION


def test_bins_without_load_use_nothing() -> None:
    """In a bin at or above the zero-load temperature the machine is not even asked."""

    def never_warm(outdoor: float) -> Running:
        assert outdoor < 289.15
        return straight(outdoor)

    whole = season(never_warm, bins_of((0.0, 100.0), (16.0, 50.0), (20.0, 50.0)), BuildingLoad(3000.0, 263.15, 289.15))
    assert [("no heat needed", None, 0.0, 0.0, 0.0)] * 2 == [(one.note, one.capacity, one.load, one.power, one.auxiliary) for one in whole.bins[1:]]


def test_where_the_machine_does_not_run_auxiliary_heat_does_all() -> None:
    """Below its operating limit the machine gives and uses nothing, and the second source the whole load at its efficiency."""
    whole = season(lambda outdoor: None, bins_of((0.0, 100.0)), BuildingLoad(2600.0, 263.15, 289.15), auxiliary_cop=0.8)
    (one,) = whole.bins
    assert (None, 0.0, 1600.0, 0.0, "machine does not run") == (one.capacity, one.power, pytest.approx(one.auxiliary), one.part_load_share, one.note)
    assert (None, 0.0, pytest.approx(160.0 / 0.8 * KILOWATT_HOUR), pytest.approx(0.8)) == (
        whole.machine_cop, whole.energy_machine, whole.energy_auxiliary, whole.seasonal_cop,
    )  # fmt: skip


def test_note_of_the_machine_reaches_its_bin() -> None:
    """What limits the machine in a bin stands with the bin."""
    (one,) = season(lambda outdoor: Running(5000.0, 2000.0, "frost"), bins_of((0.0, 9.0)), BuildingLoad(2600.0, 263.15, 289.15)).bins
    assert "frost" == one.note


def test_cost_and_carbon_are_none_unless_asked_for() -> None:
    """Without a price there is no cost, and without a carbon figure no carbon."""
    whole = season(straight, AVERAGE, load_in(AVERAGE, 5000.0))
    assert (None, None) == (whole.cost, whole.carbon)


def test_auxiliary_source_costs_as_electricity_unless_told() -> None:
    """One price counts for both."""
    whole = season(straight, AVERAGE, load_in(AVERAGE, 9000.0), electricity_price=1e-7, electricity_carbon=1e-7)
    assert 1e-7 * (whole.energy_machine + whole.energy_auxiliary) == pytest.approx(whole.cost, rel=1e-12) == pytest.approx(whole.carbon, rel=1e-12)


# A machine that follows the load -------------------------------------------------------


def test_machine_that_follows_the_load_does_not_cycle() -> None:
    """Down to nothing at an unchanged COP, the season's COP is the machine's, bin by bin, and the degradation has no say."""
    load = load_in(AVERAGE, 4000.0)
    follow = following_in_proportion(lambda outdoor: Running(6000.0, 2000.0), 0.0)
    whole = season(lambda outdoor: Running(6000.0, 2000.0), AVERAGE, load, following=follow, degradation=1.0)
    assert {1.0} == {round(one.part_load_share, 12) for one in whole.bins}
    assert 3.0 == pytest.approx(whole.seasonal_cop, rel=1e-12)
    assert [6000.0] * len(whole.bins) == [one.capacity for one in whole.bins]


def test_machine_cycles_below_the_least_that_it_gives() -> None:
    """Where even its lowest speed gives more than the load, part load counts from that."""
    follow = following_in_proportion(lambda outdoor: Running(8000.0, 2000.0), 0.5)
    (one,) = season(lambda outdoor: Running(8000.0, 2000.0), bins_of((3.0, 9.0)), BuildingLoad(2000.0, 263.15, 289.15), following=follow).bins
    assert (1000.0, 0.25, 1000.0 * 0.25 / 0.8125) == pytest.approx((one.load, one.part_load_share, one.power), rel=1e-12)


def test_machine_is_asked_for_the_load_only_below_its_most() -> None:
    """Where the load is more than the machine gives, it runs at its most, and how it would follow is not asked."""

    def follow(outdoor: float, load: float) -> Running:
        assert load < straight(outdoor).capacity
        return Running(load, 0.25 * load)

    whole = season(straight, AVERAGE, load_in(AVERAGE, 9000.0), following=follow)
    assert {True, False} == {one.auxiliary > 0.0 for one in whole.bins}


@pytest.mark.parametrize("short", [None, Running(900.0, 300.0)])
def test_machine_that_does_not_follow_is_refused(short: Running | None) -> None:
    """One that could cover the load but answers with less would hide auxiliary heat: it is refused by its figures."""
    with pytest.raises(LimitError, match="of 1000 at an outdoor temperature of 3 °C, though it can give 8000"):
        season(lambda outdoor: Running(8000.0, 2000.0), bins_of((3.0, 9.0)), BuildingLoad(2000.0, 263.15, 289.15), following=lambda outdoor, load: short)


@pytest.mark.parametrize("share", [-0.1, 1.1, math.nan])
def test_least_share_outside_0_to_1_is_refused(share: float) -> None:
    """A machine cannot follow the load to less than nothing, nor to more than all."""
    with pytest.raises(LimitError, match="least share of capacity of .* cannot be: use 0 to 1"):
        following_in_proportion(straight, share)


def test_machine_that_does_not_run_does_not_follow() -> None:
    """Below its operating limit a machine that follows the load runs as little as any."""
    assert following_in_proportion(lambda outdoor: None, 0.3)(250.0, 1000.0) is None


# The balance point --------------------------------------------------------------------


@pytest.mark.parametrize("design_load", [4500.0, 5000.0, 6500.0, 9000.0])
def test_balance_point_of_straight_lines_is_where_they_meet(design_load: float) -> None:
    """Capacity 6000 + 150 (T - 7) and load L (16 - T) / 26 meet where the sum by hand says, whatever bins there are."""
    by_hand = (16.0 * design_load / 26.0 - (6000.0 - 150.0 * 7.0)) / (150.0 + design_load / 26.0)
    whole = season(straight, AVERAGE, load_in(AVERAGE, design_load))
    assert ("met", by_hand) == (whole.balance, pytest.approx(whole.balance_point - 273.15, abs=1e-6))
    coarse = season(straight, bins_of((-10.0, 9.0), (10.0, 9.0)), load_in(AVERAGE, design_load))
    assert by_hand == pytest.approx(coarse.balance_point - 273.15, abs=1e-6)


def test_balance_point_of_a_curve_is_where_capacity_is_the_load() -> None:
    """On a curved capacity the point that is found has capacity and load alike."""

    def curved(outdoor: float) -> Running:
        return Running(8000.0 * math.exp(0.03 * (outdoor - 280.15)), 2000.0)

    load = load_in(AVERAGE, 7000.0)
    whole = season(curved, bins_of((-10.0, 9.0), (12.0, 9.0)), load)
    assert load.at(whole.balance_point) == pytest.approx(curved(whole.balance_point).capacity, rel=1e-6)


def test_balance_point_may_lie_on_a_bin() -> None:
    """A machine that gives exactly the design load at the design temperature has its balance point there."""
    whole = season(lambda outdoor: Running(5000.0, 2000.0), AVERAGE, load_in(AVERAGE, 5000.0))
    assert ("met", 263.15) == (whole.balance, whole.balance_point)


def test_capacity_that_drops_at_once_has_its_balance_point_at_the_drop() -> None:
    """Where a machine gives less from one temperature on, it falls below the load there, found to a ten thousandth of a kelvin."""
    whole = season(lambda outdoor: Running(9000.0 if outdoor > 275.0 else 1000.0, 2000.0), AVERAGE, load_in(AVERAGE, 5000.0))
    assert ("met", 275.0) == (whole.balance, pytest.approx(whole.balance_point, abs=1e-4))


@pytest.mark.parametrize(("running", "balance"), [(Running(9000.0, 3000.0), "covers all"), (Running(200.0, 60.0), "covers none"), (None, "covers none")])
def test_no_balance_point_where_the_machine_covers_all_or_none(running: Running | None, balance: str) -> None:
    """Where capacity and load do not meet among the bins, or the machine never runs, there is no balance point, and which it is is said."""
    whole = season(lambda outdoor: running, bins_of((-10.0, 9.0), (10.0, 9.0)), load_in(AVERAGE, 5000.0))
    assert (balance, None, None) == (whole.balance, whole.balance_point, whole.stops_below)


def test_machine_that_stops_first_has_no_balance_point() -> None:
    """A machine that stops at its operating limit while it still covers the load never meets it: the limit is told instead."""
    whole = season(lambda outdoor: Running(9000.0, 2500.0) if outdoor >= 268.4 else None, AVERAGE, load_in(AVERAGE, 5000.0))
    assert ("stops", None, 268.4) == (whole.balance, whole.balance_point, pytest.approx(whole.stops_below, abs=1e-4))


def test_machine_that_meets_the_load_and_stops_later_keeps_its_balance_point() -> None:
    """Between two far bins, of which the machine does not run in the cold one, capacity and load are still found to meet."""
    whole = season(lambda outdoor: straight(outdoor) if outdoor > 265.15 else None, bins_of((-10.0, 9.0), (10.0, 9.0)), load_in(AVERAGE, 5000.0))
    assert ("met", pytest.approx(267.678, abs=1e-3)) == (whole.balance, whole.balance_point)


# Refusals -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("choices", "error", "words"),
    [
        ({"degradation": -0.1}, LimitError, "degradation of -0.1 cannot be: use 0"),
        ({"degradation": 1.1}, LimitError, "degradation of 1.1 cannot be"),
        ({"degradation": math.nan}, LimitError, "degradation of nan cannot be"),
        ({"auxiliary_cop": 0.0}, LimitError, "auxiliary COP of 0 is not positive"),
        ({"auxiliary_cop": math.nan}, LimitError, "auxiliary COP of nan is not positive"),
        ({"electricity_price": -1e-8}, LimitError, "electricity price of -1e-08 per joule cannot be: use 0 or more"),
        ({"electricity_price": 0.0, "auxiliary_price": -1.0}, LimitError, "auxiliary price of -1 per joule"),
        ({"electricity_carbon": math.inf}, LimitError, "electricity carbon of inf per joule"),
        ({"electricity_carbon": 0.0, "auxiliary_carbon": -1.0}, LimitError, "auxiliary carbon of -1 per joule"),
        ({"auxiliary_price": 1e-8}, InputError, "auxiliary price is given and electricity price is not"),
        ({"auxiliary_carbon": 1e-8}, InputError, "auxiliary carbon is given and electricity carbon is not"),
    ],
)
def test_choices_that_cannot_be_are_refused(choices: dict[str, float], error: type, words: str) -> None:
    """Degradation, auxiliary COP, prices and carbon are refused by name, value and limit."""
    with pytest.raises(error, match=words):
        season(straight, AVERAGE, load_in(AVERAGE, 5000.0), **choices)


@pytest.mark.parametrize(
    ("running", "words"),
    [
        (Running(0.0, 1000.0), "machine's capacity of 0 at an outdoor temperature of -10 °C is not positive: give None"),
        (Running(-5.0, 1000.0), "machine's capacity of -5 at"),
        (Running(math.nan, 1000.0), "machine's capacity of nan at"),
        (Running(5000.0, 0.0), "machine's power of 0 at an outdoor temperature of -10 °C is not positive"),
        (Running(5000.0, math.inf), "machine's power of inf at"),
    ],
)
def test_machine_with_impossible_figures_is_refused(running: Running, words: str) -> None:
    """A capacity or power that is not positive is refused with the temperature at which it was told."""
    with pytest.raises(LimitError, match=words):
        season(lambda outdoor: running, AVERAGE, load_in(AVERAGE, 5000.0))


@pytest.mark.parametrize("weather", [bins_of((16.0, 9.0), (20.0, 9.0)), bins_of((0.0, 0.0), (20.0, 9.0))], ids=["all warm", "cold without hours"])
def test_season_without_any_load_is_refused(weather: Climate) -> None:
    """Where no bin with hours is below the zero-load temperature there is nothing to add up."""
    with pytest.raises(InputError, match="no bin with hours is below the zero-load temperature of 16 °C"):
        season(straight, weather, BuildingLoad(5000.0, 263.15, 289.15))


# What holds for any machine and house --------------------------------------------------

MACHINES = st.builds(
    lambda capacity, slope, cop: lambda outdoor: Running(capacity + slope * (outdoor - 263.15), (capacity + slope * (outdoor - 263.15)) / cop),
    st.floats(500.0, 20000.0), st.floats(0.0, 400.0), st.floats(1.5, 5.0),
)  # fmt: skip


@given(MACHINES, st.floats(500.0, 20000.0), st.floats(0.1, 10.0))
def test_a_house_and_machine_of_another_size_have_the_same_season(machine, design_load: float, size: float) -> None:
    """Load, capacity and power multiplied alike leave COP and balance point as they were, and multiply the energy."""

    def larger(outdoor: float) -> Running:
        return Running(size * machine(outdoor).capacity, size * machine(outdoor).power)

    one, other = season(machine, AVERAGE, load_in(AVERAGE, design_load)), season(larger, AVERAGE, load_in(AVERAGE, size * design_load))
    assert one.seasonal_cop == pytest.approx(other.seasonal_cop, rel=1e-9)
    assert size * one.energy_machine == pytest.approx(other.energy_machine, rel=1e-9)
    assert (one.balance, one.balance_point) == (other.balance, other.balance_point and pytest.approx(other.balance_point, abs=1e-3))


@given(MACHINES, st.floats(500.0, 20000.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_cycling_and_auxiliary_heat_only_cost(machine, design_load: float, degradation: float, least: float) -> None:
    """The season's COP is at most the machine's best; less degradation, and following the load, never make it worse."""
    load = load_in(AVERAGE, design_load)
    best = max(machine(one.outdoor_temperature).capacity / machine(one.outdoor_temperature).power for one in AVERAGE.bins)
    cycling = season(machine, AVERAGE, load, degradation=degradation)
    following = season(machine, AVERAGE, load, degradation=degradation, following=following_in_proportion(machine, least))
    steady = season(machine, AVERAGE, load, degradation=0.0)
    hair = 1e-9
    assert cycling.seasonal_cop <= following.seasonal_cop + hair and following.seasonal_cop <= steady.seasonal_cop + hair <= best + 2 * hair
    assert cycling.heat_auxiliary == pytest.approx(steady.heat_auxiliary)


@given(MACHINES, st.floats(500.0, 20000.0))
def test_a_larger_machine_has_a_lower_balance_point(machine, design_load: float) -> None:
    """Half as much capacity again moves the balance point down, or off the cold end of the bins."""
    one = season(machine, AVERAGE, load_in(AVERAGE, design_load))
    larger = season(lambda outdoor: replace(machine(outdoor), capacity=1.5 * machine(outdoor).capacity), AVERAGE, load_in(AVERAGE, design_load))
    order = {"covers none": math.inf, "covers all": -math.inf}
    assert order.get(larger.balance, larger.balance_point) <= order.get(one.balance, one.balance_point)


def test_results_are_fixed() -> None:
    """A season and its bins are results: their fields cannot be changed."""
    whole = season(straight, AVERAGE, load_in(AVERAGE, 5000.0))
    for one in (whole, whole.bins[0]):
        with pytest.raises(AttributeError):
            one.note = "other"


@pytest.mark.parametrize(
    ("machine", "most"),
    [
        (straight, 2),
        (lambda outdoor: Running(8000.0 * math.exp(0.03 * (outdoor - 280.15)), 2000.0), 8),
        (lambda outdoor: Running(90000.0 if outdoor > 275.0 else 1000.0, 2000.0), 30),
    ],
)
def test_machine_is_asked_once_for_each_bin_and_a_few_times_for_the_balance_point(machine, most: int) -> None:
    """A machine whose pressures have to be found takes its time: it is asked no more often than the search needs."""
    asked = []

    def counted(outdoor: float) -> Running:
        asked.append(outdoor)
        return machine(outdoor)

    whole = season(counted, AVERAGE, load_in(AVERAGE, 7000.0))
    assert "met" == whole.balance
    assert len(asked) - len(AVERAGE.bins) in range(1, most + 1)
