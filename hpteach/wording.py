"""Results said in sentences, for a learner to read and for those who cannot see the picture.

What lives here: a flow and a cycle in words.  What does not: tables (readouts), drawing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from hpteach.circuit import LIQUID_LINE, Flow, MeteringLayout
from hpteach.units import show

if TYPE_CHECKING:  # a flow is said without loading the property library
    from hpteach.cycle import Cycle


def flow_in_words(flow: Flow) -> tuple[str, ...]:
    """Who condenses, who evaporates, which check valve opens, which device meters and which passes freely.

    >>> from hpteach.circuit import ValvePosition, flow, reversible_circuit
    >>> flow_in_words(flow(reversible_circuit(), ValvePosition.HEATING))[0]
    'The valve stands in heating: the indoor coil condenses and the outdoor coil evaporates.'
    """
    if flow.condenser is None:
        return (f"The valve stands {_standing(flow)}: there is no condenser and no evaporator.", *flow.remarks)
    sentences = [
        f"The valve stands {_standing(flow)}: the {flow.condenser} condenses and the {flow.evaporator} evaporates.",
        f"The {flow.metering.working} meters {flow.metering.flow}.",
    ]
    met = [step.component for step in flow.path]
    if flow.metering_layout is not MeteringLayout.EACH_COIL and met.index(flow.metering.working) < met.index(LIQUID_LINE):
        sentences.append(f"It meters before the {LIQUID_LINE}, which therefore carries the metered mixture of liquid and vapour to the {flow.evaporator}.")
    for where, state in flow.check_valves.items():
        if state == "open":
            sentences.append(f"The {where} check valve is open, so the liquid goes round the {where} metering device.")
        elif state == "closed":
            leaks = f"{where} check valve" in flow.leaks
            sentences.append(f"The {where} check valve {'should be shut and leaks' if leaks else 'is shut'}.")
    for device in flow.passed_freely:
        lifted = device in (flow.metering.bypassed or "").split(" and ")
        sentences.append(f"The {device} is lifted off its seat and passes the liquid freely." if lifted else f"The {device} passes the liquid freely.")
    return (*sentences, *flow.remarks)


def cycle_in_words(cycle: Cycle, system: str = "SI") -> tuple[str, ...]:
    """The path from point 1 round to point 1, with what each part does to one kilogram.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> conditions = Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15, 5.0, 5.0, 0.7)
    >>> cycle_in_words(solve(refrigerant("R-410A"), conditions))[0]
    '1: superheated vapour enters the compressor at 12.0 °C and 9.93 bar.'
    """
    one, two, three, four = (cycle.point(number) for number in (1, 2, 3, 4))

    def at(point) -> str:  # noqa: ANN001
        return f"{show(point.temperature, 'temperature', system)} and {show(point.pressure, 'pressure', system)}"

    def energy(value: float) -> str:
        # Said of one kilogram or pound, so the unit is that of the energy alone.
        return show(value, "specific energy", system).replace("/kg", "").replace("/lb", "")

    kilogram = "pound" if system == "IP" else "kilogram"
    mode = cycle.flow.valve_position.value
    useful = cycle.cop_heating if mode == "heating" else cycle.cop_cooling
    from hpteach.fluids.state import MIXTURE

    inlet = (
        f"a mixture with {100 * cycle.flash_gas:.0f} % of vapour by mass" if four.phase == MIXTURE else four.phase
    )
    sentences = [
        f"1: {one.phase} enters the compressor at {at(one)}.",
        f"2: {two.phase} leaves it at {at(two)}; the pressure is {cycle.pressure_ratio:.2f} times as high.",
        f"3: {three.phase} leaves the {cycle.flow.condenser} at {at(three)}.",
        f"4: {inlet} enters the {cycle.flow.evaporator} at {at(four)}.",
        f"For each {kilogram} of refrigerant, {energy(cycle.refrigerating_effect)} come in at the {cycle.flow.evaporator}, "
        f"{energy(cycle.specific_work)} as work at the compressor, and {energy(cycle.heat_rejected)} go out at the {cycle.flow.condenser}.",
        f"The COP in {mode} is {useful:.2f}.",
    ]
    caution = wet_discharge_caution(cycle)
    return (*sentences, caution) if caution else tuple(sentences)


def wet_discharge_caution(cycle: Cycle) -> str | None:
    """What to mind where the compression ends inside the dome, or None where it ends dry.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> wet_discharge_caution(solve(refrigerant("R-1234yf"), Conditions(ValvePosition.COOLING, "indoor coil", 273.15, 318.15)))
    'Caution: the discharge is wet. Liquid in a compressor breaks it; this cycle is only for the chart.'
    """
    if cycle.point("2").quality is None:
        return None
    return "Caution: the discharge is wet. Liquid in a compressor breaks it; this cycle is only for the chart."


def _standing(flow: Flow) -> str:
    return f"in {flow.valve_position.value}" if flow.valve_position.value != "between" else "between its seats"
