"""Properties of refrigerants: the only room that calls the property library.

What lives here: the catalogue, one face for every refrigerant, lines for charts.
What does not: the cycle, drawing, units at the edge.
"""

from hpteach.fluids.catalogue import Listing, catalogue, listing
from hpteach.fluids.refrigerant import REFERENCES, Refrigerant, refrigerant
from hpteach.fluids.state import State
from hpteach.fluids.water import water

__all__ = ["REFERENCES", "Listing", "Refrigerant", "State", "catalogue", "listing", "refrigerant", "water"]
