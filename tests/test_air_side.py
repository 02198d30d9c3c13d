"""The air side of a coil, dry, wet and frosting, against textbooks and a march through the depth of the coil (hpteach/machine/air_side.py)."""

from __future__ import annotations

import math

import pytest

from hpteach.fluids import moist_air, saturated_air
from hpteach.machine.air_side import FUSION, AirStream, air_with, frozen_share

CONDUCTANCES = [(950.0, 3200.0), (1900.0, 4500.0), (600.0, 8000.0), (2500.0, 1500.0)]
WATER = 4190.0  # J/(kg K) of liquid water


def stream(celsius: float, humidity: float, conductance: float = 950.0, flow: float = 0.56) -> AirStream:
    return AirStream(moist_air(celsius + 273.15, relative_humidity=humidity), flow, conductance)


def marched(air: AirStream, temperature: float, conductance: float, *, elements: int = 800) -> float:
    """The heat of a wet coil, element by element through its depth: in each the surface lies where air and refrigerant side pass the same heat."""
    saturated = saturated_air(air.inlet.pressure)
    enthalpy, humidity, heat = air.inlet.enthalpy, air.inlet.humidity_ratio, 0.0
    by_enthalpy = air.conductance / air.inlet.specific_heat / elements
    for _ in range(elements):
        low, high = temperature, air.inlet.dry_bulb

        def passes(surface: float) -> float:
            fusion = FUSION * frozen_share(surface)
            return by_enthalpy * (enthalpy - saturated.enthalpy(surface) + fusion * (humidity - saturated.humidity_ratio(surface)))

        for _ in range(40):
            surface = 0.5 * (low + high)
            low, high = (surface, high) if passes(surface) > conductance / elements * (surface - temperature) else (low, surface)
        bit = conductance / elements * (surface - temperature)
        fusion = FUSION * frozen_share(surface)
        dried = by_enthalpy * (humidity - saturated.humidity_ratio(surface)) / air.dry_flow
        heat += bit
        enthalpy -= bit / air.dry_flow - fusion * dried
        humidity -= dried
    return heat


# Dry ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("air_side", "refrigerant_side"), CONDUCTANCES)
def test_dry_heat_is_that_of_the_textbook(air_side: float, refrigerant_side: float) -> None:
    """One side at one temperature: effectiveness 1 - exp(-NTU), Incropera & DeWitt table 11.4 (C_r = 0; from memory, not seen here)."""
    air = stream(20.0, 0.0, air_side)
    units = 1.0 / (1.0 / air_side + 1.0 / refrigerant_side) / air.capacity_flow
    met = air.meets(268.15, refrigerant_side)
    assert air.capacity_flow * (1.0 - math.exp(-units)) * 25.0 == pytest.approx(met.heat, rel=1e-12)
    assert not met.wet and met.frozen_share == 0.0


def test_air_colder_than_the_coil_takes_heat_and_stays_dry() -> None:
    """The heat is negative, in proportion to the difference, and no water moves."""
    air = stream(20.0, 0.95)
    near, far = air.meets(303.15, 3000.0), air.meets(313.15, 3000.0)
    assert 2.0 * near.heat == pytest.approx(far.heat, rel=1e-12)
    assert near.heat < 0.0 and not near.wet


# Wet ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("air_side", "refrigerant_side"), CONDUCTANCES)
@pytest.mark.parametrize(("celsius", "humidity", "boiling"), [(27.0, 0.47, 7.0), (27.0, 0.8, 10.0), (20.0, 0.6, 3.0), (32.0, 0.9, 12.0)])
def test_wet_heat_is_that_of_a_march(air_side: float, refrigerant_side: float, celsius: float, humidity: float, boiling: float) -> None:
    """One straight line for the saturation curve gives the heat of 800 elements, each with its own surface, within 1.5 %."""
    air = stream(celsius, humidity, air_side)
    met = air.meets(boiling + 273.15, refrigerant_side)
    assert met.wet
    assert marched(air, boiling + 273.15, refrigerant_side) == pytest.approx(met.heat, rel=0.015)


@pytest.mark.parametrize(("celsius", "humidity", "boiling"), [(2.0, 0.84, -8.0), (-7.0, 0.75, -15.0), (-15.0, 0.9, -22.0)])
def test_frosting_heat_is_that_of_a_march(celsius: float, humidity: float, boiling: float) -> None:
    """The same where all of the water freezes and gives its heat of fusion."""
    air = stream(celsius, humidity, 1900.0, 1.3)
    met = air.meets(boiling + 273.15, 4500.0)
    assert met.wet and met.frozen_share == 1.0
    assert marched(air, boiling + 273.15, 4500.0) == pytest.approx(met.heat, rel=0.015)


def test_drying_air_ends_at_the_dry_coil() -> None:
    """With less and less moisture the heat of a wet coil falls to that of a dry one and no further."""
    dry = stream(27.0, 0.0)
    heats = [stream(27.0, 0.01 * percent).meets(285.15, 3200.0) for percent in range(100, -1, -5)]
    assert all(later.heat <= earlier.heat * 1.002 for earlier, later in zip(heats, heats[1:]))
    assert heats[0].wet and not heats[-1].wet
    assert dry.meets(285.15, 3200.0).heat == heats[-1].heat


def test_water_begins_without_a_jump() -> None:
    """Where the coil turns wet, the water on it grows from nothing, in steps no larger than those of the humidity."""
    removed = []
    for step in range(300):
        air = stream(27.0, 0.25 + 0.001 * step)
        met = air.meets(283.15, 3200.0)
        removed.append(air.inlet.humidity_ratio - air.leaving(met.heat, 1.0, met).humidity_ratio)
    assert removed[0] == 0.0 and removed[-1] > 1e-3
    per_step = stream(27.0, 0.251).inlet.humidity_ratio - stream(27.0, 0.250).inlet.humidity_ratio
    assert max(later - earlier for earlier, later in zip(removed, removed[1:])) < 3.0 * per_step


def test_heat_rises_steadily_through_freezing() -> None:
    """A colder refrigerant always takes more, also where the surface passes the freezing point."""
    air = stream(4.0, 0.9, 1900.0, 1.3)
    heats = [air.meets(273.15 + 3.0 - 0.05 * step, 4500.0).heat for step in range(200)]
    assert all(later > earlier for earlier, later in zip(heats, heats[1:]))


@pytest.mark.parametrize(("celsius", "share"), [(0.5, 0.0), (0.25, 0.25), (0.0, 0.5), (-0.5, 1.0), (-20.0, 1.0), (20.0, 0.0)])
def test_share_that_freezes_is_a_straight_line_around_freezing(celsius: float, share: float) -> None:
    """Nothing freezes on a surface above 0.5 °C, everything below -0.5 °C."""
    assert share == pytest.approx(frozen_share(celsius + 273.15), abs=1e-12)


# The leaving air ------------------------------------------------------------------------


@pytest.mark.parametrize("humidity", [0.0, 0.2, 0.4, 0.6, 0.8, 1.0])
@pytest.mark.parametrize(("celsius", "boiling"), [(27.0, 5.0), (27.0, -8.0), (2.0, -6.0), (0.5, -0.8), (-15.0, -22.0), (32.0, 20.0)])
def test_leaving_air_is_possible_and_closes_the_energies(celsius: float, boiling: float, humidity: float) -> None:
    """It holds no more water than came and than saturated air does, is no warmer, and its enthalpy has lost just the heat, less the fusion."""
    air = stream(celsius, humidity)
    met = air.meets(boiling + 273.15, 3200.0)
    leaving = air.leaving(met.heat, 1.0, met)
    water = air.dry_flow * (air.inlet.humidity_ratio - leaving.humidity_ratio)
    assert water >= 0.0
    assert leaving.dry_bulb < air.inlet.dry_bulb
    assert leaving.humidity_ratio <= saturated_air().humidity_ratio(leaving.dry_bulb) * (1.0 + 1e-5)
    lost = air.dry_flow * (air.inlet.enthalpy - leaving.enthalpy) + FUSION * met.frozen_share * water
    assert met.heat == pytest.approx(lost, rel=1e-6)


@pytest.mark.parametrize(("celsius", "humidity", "boiling"), [(27.0, 0.47, 7.0), (32.0, 0.9, 12.0), (20.0, 0.9, 3.0)])
def test_what_the_water_carries_away_is_small(celsius: float, humidity: float, boiling: float) -> None:
    """The liquid's own enthalpy, from 0 °C to the leaving air, is left out: less than its share of the heat of evaporation, as no more than all heat is latent."""
    air = stream(celsius, humidity)
    met = air.meets(boiling + 273.15, 3200.0)
    leaving = air.leaving(met.heat, 1.0, met)
    water = air.dry_flow * (air.inlet.humidity_ratio - leaving.humidity_ratio)
    celsius_out = leaving.dry_bulb - 273.15
    assert 0.0 < water * WATER * celsius_out < WATER * celsius_out / 2.45e6 * met.heat


def test_part_of_a_coil_leaves_the_same_air() -> None:
    """A share of the coil that takes the same share of the heat has the same air behind it."""
    air = stream(27.0, 0.5)
    met = air.meets(280.15, 3200.0)
    whole, part = air.leaving(met.heat, 1.0, met), air.leaving(0.3 * met.heat, 0.3, met)
    assert whole.dry_bulb == pytest.approx(part.dry_bulb, abs=1e-9)
    assert whole.humidity_ratio == pytest.approx(part.humidity_ratio, rel=1e-9)


@pytest.mark.parametrize("celsius", [-40.0, -10.0, 0.0, 15.0, 40.0, 58.0])
@pytest.mark.parametrize("humidity", [0.0, 0.3, 0.99])
@pytest.mark.parametrize("pressure", [80e3, 101325.0])
def test_air_is_found_again_by_its_enthalpy(celsius: float, humidity: float, pressure: float) -> None:
    """Air made of an enthalpy and a humidity ratio is the air that had them, to a ten-thousandth of a kelvin."""
    given = moist_air(celsius + 273.15, relative_humidity=humidity, pressure=pressure)
    found = air_with(given.enthalpy, given.humidity_ratio, pressure)
    assert given.dry_bulb == pytest.approx(found.dry_bulb, abs=1e-4)
    assert given.humidity_ratio == found.humidity_ratio


@pytest.mark.parametrize("fusion", [0.0, FUSION])
def test_fog_clears_to_saturated_air_of_the_same_enthalpy(fusion: float) -> None:
    """Where warm wet air and cold air mix to fog, saturated air is left, and the fusion of what drops out counts."""
    warm, cold = moist_air(298.15, relative_humidity=1.0), moist_air(265.15, relative_humidity=1.0)
    enthalpy, humidity = 0.5 * (warm.enthalpy + cold.enthalpy), 0.5 * (warm.humidity_ratio + cold.humidity_ratio)
    found = air_with(enthalpy, humidity, warm.pressure, fusion=fusion)
    assert found.humidity_ratio < humidity
    assert found.relative_humidity == pytest.approx(1.0, abs=2e-5)
    assert enthalpy + fusion * humidity == pytest.approx(found.enthalpy + fusion * found.humidity_ratio, rel=1e-6)
