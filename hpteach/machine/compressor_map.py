"""The compressor map: mass flow and power of a compressor that was measured, as ten coefficients each.

What lives here: `CompressorMap`, and `map_of`, which fits one to any compressor.
What does not: the compressor known by its swept volume (compressor).

A map holds for one refrigerant, one speed, one superheat and a range of saturated temperatures.
Another superheat is corrected for; anything else is refused.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from hpteach.errors import InputError, LimitError, Measure
from hpteach.fluids import Refrigerant, State, listing
from hpteach.machine.compressor import Compression, DisplacementCompressor, ideal_work, pressure_ratio, require, require_heat_loss

FLOW_SHARE = 0.75
"""By how much of the change in density the mass flow follows when the superheat changes (Dabiri & Rice; from memory, not seen here)."""

ICE_POINT = 273.15
"""K; coefficients of a map count from here, as they take their temperatures in degrees Celsius."""

_FEWEST_TEMPERATURES = 4
"""A polynomial of the third degree needs as many of either."""

_ROUND_TRIP = 1e-6
"""K; a temperature comes back from its pressure with rounding, and at the very end of a range that is no reason to refuse."""


def polynomial_terms(suction: float, discharge: float) -> tuple[float, ...]:
    """The ten terms that the coefficients C1 to C10 multiply, for two dew temperatures in degrees Celsius.

        1, S, D, S2, S D, D2, S3, D S2, S D2, D3

    Source: AHRI 540, equation 1; EN 12900 uses the same (the form seen in a public copy that quotes it, the standard not opened).

    >>> polynomial_terms(2.0, 10.0)
    (1.0, 2.0, 10.0, 4.0, 20.0, 100.0, 8.0, 40.0, 200.0, 1000.0)
    """
    s, d = suction, discharge
    return (1.0, s, d, s * s, s * d, d * d, s**3, d * s * s, s * d * d, d**3)


@dataclass(frozen=True, kw_only=True)
class CompressorMap:
    """A measured compressor: ten coefficients for mass flow (kg/s) and ten for power (W) over two dew temperatures in degrees Celsius.

    `map_superheat` (K) is the superheat at which it was measured, the same all over the map.  `heat_loss` is the share of the power
    that the shell gives to the air, 0 to 0.5.  `suction_range` and `discharge_range` are the lowest and the highest dew temperature (K)
    that were measured; outside them a polynomial tells nothing.  `superheat_correction` is the share of a change in suction density
    that the mass flow follows.  Raises `LimitError` for a field that cannot be, `UnknownNameError` for the refrigerant.

    >>> from hpteach.fluids import refrigerant
    >>> compressor_map = CompressorMap(
    ...     refrigerant="R-410A", mass_flow_coefficients=(0.05, 0.0017, -0.00008, *[0.0] * 7), power_coefficients=(800.0, 5.0, 30.0, *[0.0] * 7),
    ...     map_superheat=11.0, heat_loss=0.05, suction_range=(253.15, 288.15), discharge_range=(293.15, 333.15))
    >>> r410a = refrigerant("R-410A")
    >>> compression = compressor_map.run(r410a, r410a.superheated(r410a.dew_pressure(280.15), 11.0), r410a.dew_pressure(318.15))
    >>> round(compression.mass_flow, 4), round(compression.power)
    (0.0583, 2185)
    """

    refrigerant: str
    mass_flow_coefficients: tuple[float, ...]
    power_coefficients: tuple[float, ...]
    map_superheat: float
    heat_loss: float
    suction_range: tuple[float, float]
    discharge_range: tuple[float, float]
    superheat_correction: float = FLOW_SHARE

    def __post_init__(self) -> None:
        lowest = listing(self.refrigerant).lowest_temperature
        for quantity, coefficients in (("mass flow", self.mass_flow_coefficients), ("power", self.power_coefficients)):
            if len(coefficients) != 10:
                raise LimitError(f"{quantity} of a compressor map has {len(coefficients)} coefficients: give ten, C1 to C10")
            for number, coefficient in enumerate(coefficients, 1):
                require(coefficient, f"coefficient C{number} of the {quantity}", "that is finite")
        require(self.map_superheat, "superheat of the map in K", "of 0 or more, such as 11.1", least=0.0)
        require_heat_loss(self.heat_loss)
        require(self.superheat_correction, "superheat correction", f"from 0 to 1, such as {FLOW_SHARE:g}", least=0.0, most=1.0)
        _require_range(self.suction_range, "suction", lowest)
        _require_range(self.discharge_range, "discharge", lowest)
        if not self.discharge_range[1] > self.suction_range[0]:
            raise LimitError(
                "highest saturated condensing temperature of the map, {discharge}, is not above its lowest saturated suction temperature, "
                "{suction}: see whether the two ranges are exchanged",
                discharge=Measure(self.discharge_range[1], "temperature"),
                suction=Measure(self.suction_range[0], "temperature"),
            )

    @property
    def least_speed_ratio(self) -> float:
        """1: a map is measured at one speed."""
        return 1.0

    @property
    def most_speed_ratio(self) -> float:
        """1: a map is measured at one speed."""
        return 1.0

    def intake(self, refrigerant: Refrigerant, suction: State, discharge_pressure: float, speed_ratio: float = 1.0) -> float:
        """The mass flow alone (kg/s), as `run` has it, without the work."""
        self._require_refrigerant(refrigerant)
        require(speed_ratio, "speed ratio", "of 1, as a compressor map holds for one speed", least=1.0, most=1.0)
        map_flow, _ = self._at(refrigerant, suction.pressure, discharge_pressure)
        map_suction = refrigerant.superheated(suction.pressure, self.map_superheat)
        return map_flow * (1.0 + self.superheat_correction * (suction.density / map_suction.density - 1.0))

    def run(self, refrigerant: Refrigerant, suction: State, discharge_pressure: float, speed_ratio: float = 1.0) -> Compression:
        """What the compressor does with a suction state against a discharge pressure (Pa, absolute).

            mass flow = map mass flow (1 + superheat_correction (suction density / map density - 1))
            power = map power (mass flow / map mass flow) (ideal work / map ideal work)
            discharge enthalpy = suction enthalpy + power (1 - heat_loss) / mass flow

        The map density and the map ideal work are those of vapour at the suction pressure with the superheat of the map.  So the
        isentropic efficiency is that of the map.  A wet suction state is taken too, which goes beyond the source.  Raises `InputError` for
        another refrigerant, `LimitError` outside the map, at another speed, and where the coefficients give what no compressor does.

        Source: Dabiri & Rice, ASHRAE Transactions 87 (2), 1981, repeated in an appendix of AHRI 540 (both from memory, not seen here).

        >>> from hpteach.fluids import refrigerant
        >>> flat = CompressorMap(refrigerant="R-32", mass_flow_coefficients=(0.05, *[0.0] * 9), power_coefficients=(3000.0, *[0.0] * 9),
        ...                      map_superheat=11.0, heat_loss=0.0, suction_range=(263.15, 288.15), discharge_range=(303.15, 333.15))
        >>> r32 = refrigerant("R-32")
        >>> low, high = r32.dew_pressure(280.15), r32.dew_pressure(318.15)
        >>> [round(flat.run(r32, r32.superheated(low, superheat), high).mass_flow, 4) for superheat in (5.0, 11.0, 20.0)]
        [0.0515, 0.05, 0.0481]
        """
        self._require_refrigerant(refrigerant)
        require(speed_ratio, "speed ratio", "of 1, as a compressor map holds for one speed", least=1.0, most=1.0)
        pressure_ratio(suction, discharge_pressure)
        map_flow, map_power = self._at(refrigerant, suction.pressure, discharge_pressure)
        map_suction = refrigerant.superheated(suction.pressure, self.map_superheat)
        map_work = ideal_work(refrigerant, map_suction, discharge_pressure)
        isentropic = map_flow * map_work / map_power
        if isentropic > 1.0:
            raise LimitError(
                f"coefficients of the compressor map give an isentropic efficiency of {isentropic:.4g}, above 1: "
                "see whether they are for mass flow in kg/s, power in W and temperatures in degrees Celsius, and for this refrigerant"
            )
        work = ideal_work(refrigerant, suction, discharge_pressure)
        mass_flow = map_flow * (1.0 + self.superheat_correction * (suction.density / map_suction.density - 1.0))
        power = map_power * (mass_flow / map_flow) * (work / map_work)
        return Compression(
            mass_flow=mass_flow,
            power=power,
            discharge_enthalpy=suction.enthalpy + power * (1.0 - self.heat_loss) / mass_flow,
            isentropic_efficiency=isentropic,
            volumetric_efficiency=None,
            heat_loss=power * self.heat_loss,
        )

    def _at(self, refrigerant: Refrigerant, suction_pressure: float, discharge_pressure: float) -> tuple[float, float]:
        """Mass flow and power of the map itself, at its own superheat."""
        evaporating = _dew(refrigerant, suction_pressure, "suction", self.suction_range)
        condensing = _dew(refrigerant, discharge_pressure, "discharge", self.discharge_range)
        terms = polynomial_terms(evaporating - ICE_POINT, condensing - ICE_POINT)
        found = {}
        for quantity, coefficients in (("mass flow", self.mass_flow_coefficients), ("power", self.power_coefficients)):
            found[quantity] = sum(coefficient * term for coefficient, term in zip(coefficients, terms, strict=True))
            if not found[quantity] > 0.0:
                raise LimitError(
                    f"coefficients of the compressor map give a {quantity} of {{found}}, not above 0, at {{evaporating}} saturated suction "
                    "and {condensing} saturated condensing temperature: see whether they are in their order, C1 to C10, or narrow the range",
                    found=Measure(found[quantity], quantity),
                    evaporating=Measure(evaporating, "temperature"),
                    condensing=Measure(condensing, "temperature"),
                )
        return found["mass flow"], found["power"]

    def _require_refrigerant(self, refrigerant: Refrigerant) -> None:
        name = listing(self.refrigerant).name
        if refrigerant.name != name:
            raise InputError(f"compressor map is for {name} and tells nothing of {refrigerant.name}: use {name}, or the map for {refrigerant.name}")


def map_of(
    compressor: DisplacementCompressor | CompressorMap,
    refrigerant: Refrigerant,
    suction_temperatures: Iterable[float],
    discharge_temperatures: Iterable[float],
    map_superheat: float,
) -> CompressorMap:
    """The map of a compressor at its nominal speed, fitted by least squares of the relative deviations where each suction meets each discharge temperature.

    Both are dew temperatures (K), at least four different ones each; map_superheat is in K.  The range of the map is that of the
    temperatures.  Raises `LimitError` for too few of them, and where the compressor refuses one of the pairs.

    >>> from hpteach.fluids import refrigerant
    >>> compressor = DisplacementCompressor(swept_volume=33e-6, speed=48.0, volumetric_best=0.97, volumetric_fall=0.02,
    ...                                     isentropic_best=0.7, isentropic_fall=0.2, best_pressure_ratio=2.6, heat_loss=0.05)
    >>> fitted = map_of(compressor, refrigerant("R-32"), (258.15, 268.15, 278.15, 288.15), (298.15, 308.15, 318.15, 328.15), 11.0)
    >>> len(fitted.mass_flow_coefficients), fitted.suction_range
    (10, (258.15, 288.15))
    """
    suctions, discharges = sorted(set(suction_temperatures)), sorted(set(discharge_temperatures))
    for which, temperatures in (("suction", suctions), ("discharge", discharges)):
        if len(temperatures) < _FEWEST_TEMPERATURES:
            raise LimitError(
                f"{which} temperatures for a compressor map are {len(temperatures)} different ones: "
                f"give {_FEWEST_TEMPERATURES} or more, as its polynomial is of the third degree"
            )
    terms, found = [], []
    for evaporating in suctions:
        suction = refrigerant.superheated(refrigerant.dew_pressure(evaporating), map_superheat)
        for condensing in discharges:
            compression = compressor.run(refrigerant, suction, refrigerant.dew_pressure(condensing))
            terms.append(polynomial_terms(evaporating - ICE_POINT, condensing - ICE_POINT))
            found.append((compression.mass_flow, compression.power))
    mass_flow_coefficients, power_coefficients = (_fit(np.array(terms), np.array(values)) for values in zip(*found, strict=True))
    return CompressorMap(
        refrigerant=refrigerant.name,
        mass_flow_coefficients=mass_flow_coefficients,
        power_coefficients=power_coefficients,
        map_superheat=map_superheat,
        heat_loss=compressor.heat_loss,
        suction_range=(suctions[0], suctions[-1]),
        discharge_range=(discharges[0], discharges[-1]),
    )


def _fit(terms: np.ndarray, values: np.ndarray) -> tuple[float, ...]:
    """The coefficients with the least squares of the relative deviations, so that small values are met as well as large ones."""
    relative = terms / values[:, None]
    sizes = np.abs(relative).max(axis=0)  # of one size, the terms lose no digits to each other
    return tuple((np.linalg.lstsq(relative / sizes, np.ones(len(values)), rcond=None)[0] / sizes).tolist())


def _require_range(ends: tuple[float, float], which: str, lowest: float) -> None:
    if len(ends) != 2:
        raise LimitError(f"{which} range of the compressor map has {len(ends)} ends: give the lowest and the highest dew temperature")
    for end in ends:
        require(end, f"{which} range of the compressor map in K", "that is a dew temperature in kelvin")
    if not lowest <= ends[0] < ends[1]:
        raise LimitError(
            f"{which} range of the compressor map from {{low}} to {{high}} cannot be: "
            "give the lower dew temperature first, both in kelvin and from {lowest} on",
            low=Measure(ends[0], "temperature"),
            high=Measure(ends[1], "temperature"),
            lowest=Measure(lowest, "temperature", "least"),
        )


def _dew(refrigerant: Refrigerant, pressure: float, which: str, ends: tuple[float, float]) -> float:
    quantity = {"suction": "saturated suction temperature", "discharge": "saturated condensing temperature"}[which]
    try:
        temperature = refrigerant.dew_temperature(pressure)
    except LimitError as error:
        raise LimitError(f"{which} of the compressor: {error.template}", **error.measures) from None
    if not ends[0] - _ROUND_TRIP <= temperature <= ends[1] + _ROUND_TRIP:
        raise LimitError(
            f"{quantity} of {{given}} is outside the compressor map: use {{least}} to {{most}}, or a map that reaches further",
            given=Measure(temperature, "temperature"),
            least=Measure(ends[0], "temperature", "least"),
            most=Measure(ends[1], "temperature", "most"),
        )
    return temperature
