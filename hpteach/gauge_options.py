"""Field readings from the options of the command line.

What lives here: which option gives which reading, and refusals that begin with the option to blame.
What does not: what readings say (gauges), how it is printed (gauge_readouts, cli).
"""

from __future__ import annotations

import re
from argparse import Namespace
from contextlib import suppress
from typing import TYPE_CHECKING

from hpteach import units
from hpteach.circuit import MeteringLayout, ValvePosition
from hpteach.errors import HpteachError, UnitError, UnknownNameError
from hpteach.gauges import FieldReadings, GaugeFindings, read_gauges
from hpteach.options import Reader, about, given, plain, read

if TYPE_CHECKING:
    from hpteach.fluids import Refrigerant

READINGS = {
    "--suction": ("suction_pressure", "pressure"),
    "--discharge": ("discharge_pressure", "pressure"),
    "--suction-line": ("suction_line_temperature", "temperature"),
    "--liquid-line": ("liquid_line_temperature", "temperature"),
    "--discharge-line": ("discharge_line_temperature", "temperature"),
}
"""Which option gives which reading, and its kind of quantity."""


def findings_of(args: Namespace, reader: Reader, refrigerant: Refrigerant) -> GaugeFindings:
    """What the readings in the options say of a refrigerant; gauge pressures count from the reader's air.

    Raises what `units.read` and `gauges.read_gauges` raise, beginning with the option.

    >>> from hpteach.fluids import refrigerant
    >>> options = Namespace(valve="cooling", metering="each-coil", suction="118psig", discharge="365psig", suction_line="52F", liquid_line="100F")
    >>> round(1.8 * findings_of(options, Reader(print), refrigerant("R-410A")).superheat, 1)
    12.2
    """
    position = read("--valve", args.valve, lambda: _position(plain(args.valve)))
    layout = read("--metering", args.metering, lambda: MeteringLayout.named(plain(args.metering)))
    taken: dict[str, float] = {}
    for option, (quantity, kind) in READINGS.items():
        if (text := given(args, option)) is not None:
            taken[quantity] = read(option, text, lambda: _reading(text, kind, reader.atmosphere))
    try:
        return read_gauges(refrigerant, FieldReadings(position, metering_layout=layout, **taken), atmosphere=reader.atmosphere)
    except HpteachError as error:
        begins = {quantity.replace("_", " "): option for option, (quantity, _) in READINGS.items()}
        begins["with the valve "] = "--valve"
        blamed = [option for words, option in begins.items() if error.template.startswith(words)]
        texts = {option: given(args, option) for option in blamed or READINGS}
        raise about(error, " ".join(f"{option} {text[:60]}" for option, text in texts.items() if text is not None)) from None


def _position(name: str) -> ValvePosition:
    """The position of a valve that is read from; "between" passes here, and `read_gauges` says why it cannot be read."""
    if name not in list(ValvePosition):
        raise UnknownNameError.among("valve position", name, [ValvePosition.HEATING.value, ValvePosition.COOLING.value])
    return ValvePosition.named(name)


def _reading(text: str, kind: str, atmosphere: float) -> float:
    """What `units.read` makes of a text, but for inches of mercury, which a service gauge and a barometer count from opposite ends."""
    found = re.fullmatch(r"\s*([-+\u2012\u2013\u2212]?)\s*([0-9][0-9.,]*|[.,][0-9]+)\s*in[\s.]*hg[\s.]*", text, re.IGNORECASE) if kind == "pressure" else None
    if found is None:
        return units.read(text, kind, atmosphere=atmosphere)
    sign, number = found.groups()
    ways = []
    with suppress(HpteachError):  # no vacuum is deeper than the air
        vacuum = units.read(f"{number}inHg vac", kind, atmosphere=atmosphere)
        ways.append(f"'{number}inHg vac' for a vacuum on a gauge ({units.show(vacuum, kind, 'IP')} here)")
    if sign in ("", "+"):
        ways.append(f"psia for an absolute pressure ({number} inHg are {units.show(units.read(f'{number}inHg', kind), kind, 'IP')})")
    told = " or ".join(ways) or "the vacuum as inHg vac, of less than the air's pressure"
    raise UnitError(f"{text!r} does not say where it counts from, the air downwards or a perfect vacuum upwards: write {told}")
