"""The zones of a coil against a march through hundreds of elements, textbooks, and what cannot be (hpteach/machine/coils.py)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from hpteach.errors import LimitError
from hpteach.fluids import listing
from hpteach.machine import demo_machine
from hpteach.machine.coils import Ends, OffTheCoil, PressureLoss, boil, condense, logarithmic_mean
from tests.settling import COOLING, HEATING, air, machine_for, settled_trial

ELEMENTS = 1500
WEATHER = [(COOLING, air(35.0, 0.4), air(27.0, 0.47)), (HEATING, air(7.0, 0.87), air(20.0)), (HEATING, air(-8.3, 0.7), air(21.1))]
NAMES = ["R-32", "R-290", "R-410A", "R-454B", "R-407C"]
CASES = [(name, *conditions) for name in NAMES for conditions in WEATHER]


def case_id(value) -> str:  # noqa: ANN001
    return value if isinstance(value, str) else getattr(value, "value", None) or f"{value.dry_bulb - 273.15:g}"


def marched(heat_at, enthalpy: float, flow: float, *, share: float = 1.0) -> float:  # noqa: ANN001
    """The enthalpy behind a coil's share, element by element, each against fresh air, its middle found in two rounds."""
    for _ in range(ELEMENTS):
        middle = enthalpy
        for _ in range(2):
            step = heat_at(middle) * share / ELEMENTS / flow
            middle = enthalpy + 0.5 * step
        enthalpy += step
    return enthalpy


def straight(points: list[tuple[float, float]]):  # noqa: ANN201
    """Temperature over enthalpy on straight lines between points."""

    def temperature(enthalpy: float) -> float:
        for (h0, t0), (h1, t1) in zip(points, points[1:]):
            if enthalpy <= h1 or (h1, t1) == points[-1]:
                return t0 + (t1 - t0) * (enthalpy - h0) / (h1 - h0)
        raise AssertionError

    return temperature


# Against a march --------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "position", "outdoor", "indoor"), CASES, ids=case_id)
def test_condenser_is_that_of_a_march(name: str, position, outdoor, indoor) -> None:  # noqa: ANN001
    """Vapour, condensing and liquid zones give the heat of 1500 elements of the same temperatures, within 0.1 %."""
    trials, trial = settled_trial(machine_for(name), position, outdoor, indoor)
    coil, stream, flow = trials.condenser, trials.condensing_air, trial.compression.mass_flow
    fluid = trials.refrigerant
    dew, bubble = fluid.saturated_vapour(fluid.dew_pressure(trial.condensing)), fluid.saturated_liquid(trial.liquid_pressure)
    assert ["vapour", "condensing", "liquid"] == [zone.name for zone in trial.condensed.zones]
    near = fluid.subcooled(trial.liquid_pressure, 4.0)
    temperature = straight([
        (near.enthalpy, near.temperature), (bubble.enthalpy, bubble.temperature), (dew.enthalpy, dew.temperature),
        (trial.discharge.enthalpy, trial.discharge.temperature),
    ])  # fmt: skip

    def heat(enthalpy: float) -> float:
        if enthalpy > dew.enthalpy:
            conductance = coil.vapour_conductance
        else:
            conductance = coil.condensing_conductance if enthalpy > bubble.enthalpy else coil.liquid_conductance
        return -stream.capacity_flow * stream.effectiveness(conductance) * (temperature(enthalpy) - stream.inlet.dry_bulb)

    out = marched(heat, trial.discharge.enthalpy, flow)
    given = trial.discharge.enthalpy - trial.condensed.enthalpy
    assert trial.discharge.enthalpy - out == pytest.approx(given, rel=1e-3)


@pytest.mark.parametrize(("name", "position", "outdoor", "indoor"), CASES, ids=case_id)
def test_evaporator_is_that_of_a_march(name: str, position, outdoor, indoor) -> None:  # noqa: ANN001
    """Boiling and superheating zones take the heat of 1500 elements, each asked what the air gives at its own temperature, within 0.1 %.

    The zone has the air's heat on a straight line over the enthalpy; along a glide that of a wet coil bends, hence 0.5 % for a blend.
    """
    trials, trial = settled_trial(machine_for(name), position, outdoor, indoor)
    coil, stream, flow = trials.evaporator, trials.boiling_air, trial.compression.mass_flow
    fluid = trials.refrigerant
    dew = fluid.saturated_vapour(trial.outlet.pressure)
    first = fluid.state_ph(trial.inlet_pressure, trial.condensed.enthalpy)
    rise = (trial.outlet.temperature - dew.temperature) / (trial.outlet.enthalpy - dew.enthalpy)

    def heat(enthalpy: float) -> float:
        if enthalpy < dew.enthalpy:
            share = (enthalpy - first.enthalpy) / (dew.enthalpy - first.enthalpy)
            return stream.meets(first.temperature + share * (dew.temperature - first.temperature), coil.boiling_conductance).heat
        warmer = stream.inlet.dry_bulb - dew.temperature - rise * (enthalpy - dew.enthalpy)
        return stream.capacity_flow * stream.effectiveness(coil.vapour_conductance) * warmer

    out = marched(heat, first.enthalpy, flow)
    assert out - first.enthalpy == pytest.approx(trial.outlet.enthalpy - first.enthalpy, rel=5e-3 if listing(name).model == "blend" else 1e-3)


@pytest.mark.parametrize("name", ["R-454B", "R-407C"])
def test_straight_line_of_a_blend_is_near_its_true_curve(name: str) -> None:
    """With the blend's own temperatures in the dome, asked element by element, the condensing zone gives the same heat within 1 %."""
    trials, trial = settled_trial(machine_for(name), *WEATHER[0])
    coil, stream, flow, fluid = trials.condenser, trials.condensing_air, trial.compression.mass_flow, trials.refrigerant
    dew = fluid.saturated_vapour(fluid.dew_pressure(trial.condensing))
    bubble = fluid.saturated_liquid(trial.liquid_pressure)
    rate = stream.capacity_flow * stream.effectiveness(coil.condensing_conductance)
    zone = next(zone for zone in trial.condensed.zones if zone.name == "condensing")
    enthalpy, elements = dew.enthalpy, 150
    for index in range(elements):
        pressure = dew.pressure + (bubble.pressure - dew.pressure) * (index + 0.5) / elements
        temperature = fluid.state_ph(pressure, enthalpy).temperature
        enthalpy -= rate * (temperature - stream.inlet.dry_bulb) * zone.share / elements / flow
    assert dew.enthalpy - bubble.enthalpy == pytest.approx(dew.enthalpy - enthalpy, rel=0.01)


# Against textbooks ---------------------------------------------------------------------------


@pytest.mark.parametrize("superheat", [2.0, 8.0, 15.0])
def test_superheating_zone_is_a_textbook_cross_flow(superheat: float) -> None:
    """Refrigerant mixed and the lesser flow, air unmixed: eps = 1 - exp(-(1 - exp(-C_r NTU)) / C_r), Incropera & DeWitt table 11.3 (from memory)."""
    trials, trial = settled_trial(demo_machine("R-32"), *WEATHER[0])
    coil, stream, fluid, flow = trials.evaporator, trials.boiling_air, trials.refrigerant, trial.compression.mass_flow
    low = fluid.dew_pressure(278.15)
    dew, outlet = fluid.saturated_vapour(low), fluid.superheated(low, superheat)
    warmer = stream.inlet.dry_bulb - dew.temperature
    ends = Ends(dew, fluid.saturated_liquid(low), 0.0)
    zones = boil(coil, stream, ends, dew.temperature, flow, dew.enthalpy - 1.0, outlet, superheat, warmer - superheat)
    share = zones[-1].share
    refrigerant_side = flow * (outlet.enthalpy - dew.enthalpy) / superheat
    air_flow = stream.capacity_flow * share
    total = share / (1.0 / stream.conductance + 1.0 / coil.vapour_conductance)
    least, ratio = refrigerant_side, refrigerant_side / air_flow
    effectiveness = 1.0 - math.exp(-(1.0 - math.exp(-ratio * total / least)) / ratio)
    assert effectiveness == pytest.approx(superheat / warmer, rel=1e-9)


@pytest.mark.parametrize(("first", "second"), [(10.0, 5.0), (5.0, 10.0), (3.0, 3.0000001), (1e-6, 40.0), (7.0, 7.0)])
def test_logarithmic_mean_lies_between_the_two_other_means(first: float, second: float) -> None:
    """Geometric <= logarithmic <= arithmetic mean, whichever comes first."""
    mean = logarithmic_mean(first, second)
    assert math.sqrt(first * second) * (1.0 - 1e-12) <= mean <= 0.5 * (first + second) * (1.0 + 1e-12)
    assert mean == pytest.approx(logarithmic_mean(second, first), rel=1e-12)


def test_logarithmic_mean_passes_on_smoothly_where_both_are_near() -> None:
    """On both sides of the change of formula it is the same to a hundred-millionth."""
    assert logarithmic_mean(1.0 + 0.99999e-4, 1.0) == pytest.approx(logarithmic_mean(1.0 + 1.00001e-4, 1.0), rel=1e-8)


@pytest.mark.parametrize(("first", "second"), [(0.0, 1.0), (1.0, 0.0), (-1.0, -2.0), (math.nan, 1.0)])
def test_heat_that_would_flow_the_wrong_way_is_off_the_coil(first: float, second: float) -> None:
    """Without a difference of temperature at an end there is no mean."""
    with pytest.raises(OffTheCoil):
        logarithmic_mean(first, second)


# Condensing ------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def condensing():  # noqa: ANN201
    """Coil, air, ends of the dome, discharge state and flow of a settled bench unit."""
    trials, trial = settled_trial(demo_machine("R-454B"), *WEATHER[0])
    fluid = trials.refrigerant
    bubble = fluid.saturated_liquid(trial.liquid_pressure)
    heat = (bubble.enthalpy - fluid.subcooled(trial.liquid_pressure, 4.0).enthalpy) / 4.0
    ends = Ends(fluid.saturated_vapour(fluid.dew_pressure(trial.condensing)), bubble, heat)
    return trials.condenser, trials.condensing_air, ends, trial.discharge, trial.compression.mass_flow


def test_shares_of_a_condenser_add_up_to_the_coil(condensing) -> None:  # noqa: ANN001
    """Whatever the flow, the zones fill the coil and their heat is what the refrigerant loses."""
    coil, stream, ends, discharge, flow = condensing
    for factor in (0.3, 1.0, 1.5, 2.5):
        found = condense(coil, stream, ends, factor * flow, discharge.enthalpy, discharge.temperature)
        assert sum(zone.share for zone in found.zones) == pytest.approx(1.0, abs=1e-12)
        heat = factor * flow * (discharge.enthalpy - found.enthalpy)
        assert heat == pytest.approx(-sum(zone.heat for zone in found.zones), rel=1e-12)


def test_too_much_flow_leaves_vapour(condensing) -> None:  # noqa: ANN001
    """As the flow grows the liquid zone shrinks, then the outlet is a mixture, and the enthalpy passes the bubble point without a jump."""
    coil, stream, ends, discharge, flow = condensing
    outs = [condense(coil, stream, ends, flow * (1.0 + 0.002 * step), discharge.enthalpy, discharge.temperature) for step in range(700)]
    assert len(outs[0].zones) == 3 and len(outs[-1].zones) == 2
    steps = [later.enthalpy - earlier.enthalpy for earlier, later in zip(outs, outs[1:])]
    assert 0.0 < min(steps) and max(steps) < 2e3
    assert outs[-1].enthalpy > ends.bubble.enthalpy


def test_wet_discharge_has_no_vapour_zone(condensing) -> None:  # noqa: ANN001
    """What enters wet condenses from its own temperature on."""
    coil, stream, ends, _, flow = condensing
    enthalpy = 0.5 * (ends.dew.enthalpy + ends.bubble.enthalpy)
    found = condense(coil, stream, ends, flow, enthalpy, ends.dew.temperature)
    assert ["condensing", "liquid"] == [zone.name for zone in found.zones]


def test_condenser_against_warmer_air_is_off_the_coil(condensing) -> None:  # noqa: ANN001
    """Air that is not colder than the bubble point, and vapour that the whole coil cannot cool to its dew point, are refused."""
    coil, stream, ends, discharge, flow = condensing
    with pytest.raises(OffTheCoil, match="not colder"):
        condense(coil, replace(stream, inlet=air(ends.bubble.temperature - 273.15 + 0.1, 0.1)), ends, flow, discharge.enthalpy, discharge.temperature)
    with pytest.raises(OffTheCoil, match="too small"):
        condense(coil, stream, ends, 30.0 * flow, discharge.enthalpy, discharge.temperature)


def test_leaving_liquid_comes_near_the_air_and_not_beyond(condensing) -> None:  # noqa: ANN001
    """With hardly any flow the liquid leaves at the temperature of the air."""
    coil, stream, ends, discharge, flow = condensing
    found = condense(coil, stream, ends, 0.02 * flow, discharge.enthalpy, discharge.temperature)
    assert stream.inlet.dry_bulb == pytest.approx(found.liquid_temperature, abs=0.01)


# The parts ----------------------------------------------------------------------------------------


def test_pressure_loss_goes_with_the_square_of_flow_over_density() -> None:
    """Twice the flow, four times the loss; twice the density, half of it; none without flow."""
    loss = PressureLoss(drop=20e3, mass_flow=0.05, density=30.0)
    assert (80e3, 10e3, 0.0, 20e3) == pytest.approx((loss.at(0.1, 30.0), loss.at(0.05, 60.0), loss.at(0.0, 30.0), loss.at(0.05, 30.0)))


def test_less_air_lowers_its_conductance_by_the_exponent() -> None:
    """A quarter of the air has half of the conductance with the exponent of 0.5; the fan's power stays."""
    coil = demo_machine("R-32").outdoor_coil
    quarter = coil.with_air(0.25)
    assert (0.25 * coil.air_flow, 0.5 * coil.air_conductance, coil.fan_power) == pytest.approx((quarter.air_flow, quarter.air_conductance, quarter.fan_power))
    assert coil == coil.with_air(1.0)


@pytest.mark.parametrize("share", [0.0, -0.5, math.nan, math.inf])
def test_share_of_air_that_cannot_be_is_refused(share: float) -> None:
    """Without air there is no coil."""
    with pytest.raises(LimitError, match="outdoor coil: share of the air flow"):
        demo_machine("R-32").outdoor_coil.with_air(share)


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("air_flow", 0.0, "indoor coil: air flow in m³/s of 0"), ("air_conductance", -1.0, "air-side conductance"),
        ("boiling_conductance", math.nan, "boiling conductance"), ("condensing_conductance", 0.0, "condensing conductance"),
        ("liquid_conductance", math.inf, "liquid conductance"), ("vapour_conductance", 0.0, "vapour conductance"), ("volume", 0.0, "volume of the coil"),
        ("fan_power", -1.0, "fan power"), ("air_exponent", 1.1, "exponent of the air-side conductance"), ("place", "cellar", "a coil at 'cellar' is not known"),
    ],
)  # fmt: skip
def test_coil_that_cannot_be_is_refused(field: str, value, words: str) -> None:  # noqa: ANN001
    """Each size is checked, and the refusal names the coil and the quantity."""
    with pytest.raises(LimitError, match=words):
        replace(demo_machine("R-32").indoor_coil, **{field: value})


@pytest.mark.parametrize("field", ["drop", "mass_flow", "density"])
def test_pressure_loss_that_cannot_be_is_refused(field: str) -> None:
    """A negative figure is refused by name."""
    with pytest.raises(LimitError, match="pressure loss"):
        replace(PressureLoss(drop=20e3, mass_flow=0.05, density=30.0), **{field: -1.0})
