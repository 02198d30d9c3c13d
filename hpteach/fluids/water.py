"""Water, to stand beside the refrigerants where boiling is explained.

What lives here: `water`.  What does not: moist air.  Water is no refrigerant of the
catalogue: nobody fills a heat pump of these lessons with it.
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType

from hpteach.fluids.catalogue import Listing
from hpteach.fluids.refrigerant import Refrigerant


@cache
def water() -> Refrigerant:
    """Saturation and states of water, from 0.01 C; h and s count from the liquid at 101.325 kPa.

    Source: IAPWS-95, Wagner & Pruss, J. Phys. Chem. Ref. Data 31 (2002) 387-535.

    >>> round(water().bubble_temperature(101325.0) - 273.15, 2)
    99.97
    """
    equation = "IAPWS-95, Wagner & Pruss, J. Phys. Chem. Ref. Data 31 (2002) 387-535"
    listing = Listing(
        name="water",
        model="pure",
        library_name="Water",
        composition=MappingProxyType({"water": 1.0}),
        safety_class="",
        gwp=MappingProxyType({}),
        lowest_temperature=273.16,
        equation=equation,
        sources=MappingProxyType({"lowest_temperature": equation}),
    )
    return Refrigerant(listing, "nbp")
