"""The reversible circuit: what is joined to what, and which way the refrigerant flows.

What lives here: components with ports, the reversing valve's position, metering
direction, check valves, fittings, the walk that finds the path, and what lines felt by
hand tell of the valve.
What does not: any thermodynamics, and any drawing.

    outdoors                                              indoors

    compressor --discharge--> reversing valve <--vapour line--> indoor coil
        ^                      |        |                           |
        +------suction---------+    outdoor coil                    |
                                        |                           |
                        outdoor metering device        indoor metering device
                        | outdoor check valve |        | indoor check valve |
                                        |                           |
                                        +-------liquid line---------+

*Places stay, roles move*: the indoor coil and the outdoor coil are places, condenser
and evaporator are roles.  State points are numbered from the compressor's suction in
flow order, with the same numbers in both modes; only the place changes.

    1   compressor suction            2   compressor discharge
    2a  condenser, first liquid (dew) 2b  condenser, last vapour (bubble)
    3   leaving the condenser         4   entering the evaporator
    4a  evaporator, last liquid (dew)
"""

from hpteach.circuit.assembly import FITTINGS, Circuit, reversible_circuit
from hpteach.circuit.feel import CAUTION, FEELS, LINES, Felt, position_by_feel
from hpteach.circuit.parts import (
    COMPRESSOR,
    INDOOR_COIL,
    LIQUID_LINE,
    OUTDOOR_COIL,
    REVERSING_VALVE,
    VAPOUR_LINE,
    CheckValve,
    Fitting,
    MeteringDevice,
    MeteringLayout,
    Passage,
    Port,
    ReversingValve,
    ValvePosition,
)
from hpteach.circuit.walk import Flow, Metering, Step, flow

__all__ = [
    "CAUTION",
    "COMPRESSOR",
    "FEELS",
    "FITTINGS",
    "INDOOR_COIL",
    "LINES",
    "LIQUID_LINE",
    "OUTDOOR_COIL",
    "REVERSING_VALVE",
    "VAPOUR_LINE",
    "CheckValve",
    "Circuit",
    "Felt",
    "Fitting",
    "Flow",
    "Metering",
    "MeteringDevice",
    "MeteringLayout",
    "Passage",
    "Port",
    "ReversingValve",
    "Step",
    "ValvePosition",
    "flow",
    "position_by_feel",
    "reversible_circuit",
]
