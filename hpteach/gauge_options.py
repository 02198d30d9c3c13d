"""Field readings from the options of the command line.

What lives here: which option gives which reading, and refusals that begin with the option to blame.
What does not: what readings say (gauges), how it is printed (gauge_readouts, cli).
"""

from __future__ import annotations

from argparse import Namespace
from typing import TYPE_CHECKING

from hpteach import units
from hpteach.circuit import MeteringLayout, ValvePosition
from hpteach.errors import HpteachError
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
    position = read("--valve", args.valve, lambda: ValvePosition.named(plain(args.valve)))
    layout = read("--metering", args.metering, lambda: MeteringLayout.named(plain(args.metering)))
    taken: dict[str, float] = {}
    for option, (quantity, kind) in READINGS.items():
        if (text := given(args, option)) is not None:
            taken[quantity] = read(option, text, lambda: units.read(text, kind, atmosphere=reader.atmosphere))
    try:
        return read_gauges(refrigerant, FieldReadings(position, metering_layout=layout, **taken))
    except HpteachError as error:
        begins = {quantity.replace("_", " "): option for option, (quantity, _) in READINGS.items()}
        begins["with the valve "] = "--valve"
        blamed = [option for words, option in begins.items() if error.template.startswith(words)]
        texts = {option: given(args, option) for option in blamed or READINGS}
        raise about(error, " ".join(f"{option} {text[:60]}" for option, text in texts.items() if text is not None)) from None
