"""One trial of a machine: what follows from a guess, piece by piece (hpteach/machine/trial.py)."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from hpteach.errors import LimitError
from hpteach.machine import demo_machine
from hpteach.machine.charge import mean_density
from hpteach.machine.coils import OffTheCoil
from tests.settling import COOLING, HEATING, air, settled_trial, trials_of, with_charge, with_orifices

WEATHER = [(COOLING, air(35.0, 0.4), air(27.0, 0.47)), (HEATING, air(-8.3, 0.7), air(21.1))]
NAMES = ["R-32", "R-454B"]
CASES = [(name, *conditions) for name in NAMES for conditions in WEATHER]


@pytest.fixture(scope="module", params=CASES, ids=lambda case: f"{case[0]} {case[1].value}")
def case(request):  # noqa: ANN001, ANN201
    name, *conditions = request.param
    return settled_trial(demo_machine(name), *conditions)


def test_all_residuals_are_closed(case) -> None:  # noqa: ANN001
    """Coil, charge and metering agree to a hundred-millionth."""
    _, trial = case
    assert max(abs(trial.evaporator_residual), abs(trial.charge_residual), abs(trial.metering_residual)) < 1e-8


def test_metering_passes_what_the_compressor_takes(case) -> None:  # noqa: ANN001
    """Worked again from the device's own parts: opening, share, density and fall of pressure behind the loss of the liquid line."""
    trials, trial = case
    flow, fluid = trial.compression.mass_flow, trials.refrigerant
    bubble = fluid.saturated_liquid(trial.liquid_pressure)
    inlet = trial.liquid_pressure - trials.machine.liquid_loss.at(flow, bubble.density)
    throat = max(trial.inlet_pressure, 0.8 * min(inlet, fluid.bubble_pressure(trial.liquid.temperature)))
    passes = trials.metering.share_open(trial.superheat) * trials.metering.opening * (2.0 * trial.liquid.density * (inlet - throat)) ** 0.5
    assert flow == pytest.approx(passes, rel=1e-7)


def test_charge_adds_up_zone_by_zone(case) -> None:  # noqa: ANN001
    """Vapour, condensing, liquid, boiling, superheating and the liquid line hold the machine's charge, counted here once more."""
    trials, trial = case
    fluid = trials.refrigerant
    dew, bubble = fluid.saturated_vapour(fluid.dew_pressure(trial.condensing)), fluid.saturated_liquid(trial.liquid_pressure)
    low = fluid.saturated_vapour(trial.outlet.pressure), fluid.saturated_liquid(trial.outlet.pressure)
    quality = (trial.condensed.enthalpy - low[1].enthalpy) / (low[0].enthalpy - low[1].enthalpy)
    density = {
        "vapour": 0.5 * (trial.discharge.density + dew.density), "condensing": mean_density(bubble.density, dew.density, 1.0, 0.0),
        "liquid": 0.5 * (bubble.density + trial.liquid.density), "boiling": mean_density(low[1].density, low[0].density, quality, 1.0),
        "superheating": 0.5 * (low[0].density + trial.outlet.density),
    }  # fmt: skip
    held = trials.machine.liquid_line_volume * trial.liquid.density
    for coil, zones in ((trials.condenser, trial.condensed.zones), (trials.evaporator, trial.boiling)):
        held += coil.volume * sum(zone.share * density[zone.name] for zone in zones)
    assert trials.charge == pytest.approx(held, rel=1e-6)


def test_pressures_fall_along_the_flow_by_the_losses(case) -> None:  # noqa: ANN001
    """Discharge above condenser inlet above outlet; evaporator inlet above outlet above suction; each by its own loss at this flow."""
    trials, trial = case
    fluid, machine, flow = trials.refrigerant, trials.machine, trial.compression.mass_flow
    high = fluid.dew_pressure(trial.condensing)
    dew, low = fluid.saturated_vapour(high), fluid.saturated_vapour(trial.outlet.pressure)
    assert trials.condenser.condensing_loss.at(flow, dew.density) == pytest.approx(high - trial.liquid_pressure, rel=1e-9)
    assert trials.evaporator.boiling_loss.at(flow, low.density) == pytest.approx(trial.inlet_pressure - trial.outlet.pressure, rel=1e-9)
    # Lines to and from the compressor are counted with the flow before their own loss, a hundredth more.
    assert machine.suction_loss.at(flow, trial.outlet.density) == pytest.approx(trial.outlet.pressure - trial.suction.pressure, rel=0.1)
    assert machine.discharge_loss.at(flow, dew.density) == pytest.approx(trial.discharge.pressure - high, rel=0.1)
    assert trial.discharge.pressure > high > trial.liquid_pressure > trial.inlet_pressure > trial.outlet.pressure > trial.suction.pressure


def test_line_keeps_its_heat(case) -> None:  # noqa: ANN001
    """The suction line loses pressure and no enthalpy; the compressor adds what its power leaves."""
    trials, trial = case
    found = trial.compression
    assert trial.outlet.enthalpy == pytest.approx(trial.suction.enthalpy, rel=1e-9)
    assert trial.discharge.enthalpy - trial.suction.enthalpy == pytest.approx((found.power - found.heat_loss) / found.mass_flow, rel=1e-9)


def test_evaporating_temperature_follows_from_what_is_left_to_the_air(case) -> None:  # noqa: ANN001
    """The vapour leaves `below` kelvin under the air, its dew point another superheat lower."""
    trials, trial = case
    assert trials.boiling_air.inlet.dry_bulb == pytest.approx(trial.evaporating + trial.superheat + trial.below, abs=1e-9)
    assert trial.evaporating == pytest.approx(trials.refrigerant.dew_temperature(trial.outlet.pressure), abs=1e-6)


def test_same_guess_gives_the_same_trial(case) -> None:  # noqa: ANN001
    """Nothing is remembered that would change an answer."""
    trials, trial = case
    again = trials.at(trial.below, trial.condensing, trial.superheat)
    assert [getattr(trial, field.name) for field in fields(trial)] == [getattr(again, field.name) for field in fields(again)]


def test_next_to_nothing_below_the_air_is_still_told_apart() -> None:
    """A large coil brings the vapour within a trillionth of a kelvin; each step nearer takes a further piece of coil."""
    trials = trials_of(demo_machine("R-454B"), HEATING, air(-20.0, 0.6), air(20.0))
    shares = [trials.at(below, 303.15, 4.0).boiling[-1].share for below in (1e-3, 1e-6, 1e-9, 1e-12)]
    steps = [later - earlier for earlier, later in zip(shares, shares[1:])]
    assert steps == pytest.approx([steps[0]] * 3, rel=1e-3)
    assert steps[0] > 0.0


@pytest.mark.parametrize("superheat", [-60.0, -10.0, -1e-6])
def test_superheat_below_zero_is_a_wet_outlet(superheat: float) -> None:
    """The outlet then lies in the dome, on its dew temperature or below it, and there is no superheating zone."""
    trials = trials_of(with_orifices(demo_machine("R-32"), 0.9), *WEATHER[0])
    trial = trials.at(15.0, 318.15, superheat)
    assert ["boiling"] == [zone.name for zone in trial.boiling]
    assert 0.0 < trial.outlet.quality < 1.0


def test_residuals_pass_zero_superheat_without_a_jump() -> None:
    """Just wet and just superheated outlets differ by a hair."""
    trials = trials_of(with_orifices(demo_machine("R-32"), 0.9), *WEATHER[0])
    wet, dry = trials.at(15.0, 318.15, -1e-6), trials.at(15.0, 318.15, 1e-6)
    for residual in ("evaporator_residual", "charge_residual", "metering_residual"):
        assert getattr(wet, residual) == pytest.approx(getattr(dry, residual), abs=1e-5)


def test_short_charge_leaves_vapour_and_counts_it() -> None:
    """With 60 % of the charge the condenser ends in the dome and the residuals close all the same."""
    _, trial = settled_trial(with_charge(demo_machine("R-32"), 0.6), *WEATHER[0])
    assert 0.0 < trial.liquid.quality < 0.5
    assert ["vapour", "condensing"] == [zone.name for zone in trial.condensed.zones]
    assert abs(trial.charge_residual) < 1e-8


@pytest.mark.parametrize(("below", "condensing"), [(10.0, 250.0), (10.0, 307.0)])
def test_guess_with_heat_the_wrong_way_is_off_the_coil(below: float, condensing: float) -> None:
    """Condensing below the evaporating pressure or below the air is not possible."""
    with pytest.raises(OffTheCoil):
        trials_of(demo_machine("R-32"), *WEATHER[0]).at(below, condensing, 5.0)


def test_discharge_beyond_the_equation_is_named() -> None:
    """A pressure ratio that makes the vapour too hot for its equation of state is refused as the discharge."""
    trials = trials_of(demo_machine("R-32"), HEATING, air(-25.0, 0.7), air(32.0))
    with pytest.raises(LimitError, match="discharge of the compressor"):
        trials.at(2.0, 323.15, 3.0)


def test_other_air_gives_trials_of_the_same_machine() -> None:
    """Only the air differs; flows and coils stay."""
    trials = trials_of(demo_machine("R-32"), *WEATHER[0])
    other = trials.in_air(air(20.0), air(30.0))
    assert (293.15, 303.15) == (other.boiling_air.inlet.dry_bulb, other.condensing_air.inlet.dry_bulb)
    assert replace(trials.boiling_air, inlet=other.boiling_air.inlet) == other.boiling_air
    assert other.evaporator is trials.evaporator
