"""Properties of refrigerants, water and moist air: the only room that calls the property library.

What lives here: the catalogue, one face for every refrigerant, lines for charts, moist air.
What does not: the cycle, drawing, units at the edge.
"""

from hpteach.fluids.catalogue import Listing, catalogue, listing
from hpteach.fluids.humid_air import MoistAir, SaturatedAir, moist_air, saturated_air
from hpteach.fluids.refrigerant import REFERENCES, Refrigerant, refrigerant
from hpteach.fluids.state import State
from hpteach.fluids.water import water

__all__ = [
    "REFERENCES", "Listing", "MoistAir", "Refrigerant", "SaturatedAir", "State", "catalogue", "listing", "moist_air", "refrigerant",
    "saturated_air", "water",
]  # fmt: skip
