"""A heat pump in weather: the machine whose pressures settle by themselves.

What lives here: the compressor, the coils, what balances them, frost and the season.
What does not: the cycle at given pressures (cycle), air and refrigerant as substances (fluids), drawing.
"""

from hpteach.machine.balance import operate
from hpteach.machine.compressor import Compression, DisplacementCompressor
from hpteach.machine.compressor_map import CompressorMap, map_of
from hpteach.machine.machine import Machine
from hpteach.machine.machine_files import DEMO_MACHINES, demo_machine, machine_text, read_machine
from hpteach.machine.operation import Operation

__all__ = [
    "DEMO_MACHINES", "Compression", "CompressorMap", "DisplacementCompressor", "Machine", "Operation", "demo_machine", "machine_text", "map_of", "operate",
    "read_machine",
]  # fmt: skip
