"""What can be amiss inside the circuit, as sizes that a trial of the machine reckons with.

What lives here: `Defects`.  What does not: the faults that cause them, and faults that change a part's size only (faults).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from hpteach.machine.compressor import require

_CRITICAL = 0.55
"""Pressure ratio at which gas through a gap reaches the speed of sound and comes no faster (textbook figure for refrigerant vapour, rounded)."""


@dataclass(frozen=True, kw_only=True)
class Defects:
    """Openings (m2, discharge coefficient included), a pressure (Pa) and a share that a sound circuit does not have.

    `spool_gap` lets discharge gas into the suction at the reversing valve; `foreign_gas` is the partial pressure of air in the
    condenser; `bypass` lets liquid past the metering device that works; `narrow` is the only opening that the liquid line has
    left, in series with that device; `stuck_at` is the share of its opening at which that device has stuck.

    >>> Defects().sound, Defects(bypass=1e-6).sound
    (True, False)
    """

    spool_gap: float = 0.0
    foreign_gas: float = 0.0
    bypass: float = 0.0
    narrow: float = math.inf
    stuck_at: float | None = None

    def __post_init__(self) -> None:
        require(self.spool_gap, "gap at the spool in m²", "of 0 or more", least=0.0)
        require(self.foreign_gas, "partial pressure of foreign gas in Pa", "of 0 or more", least=0.0)
        require(self.bypass, "bypass of the metering device in m²", "of 0 or more", least=0.0)
        if self.narrow != math.inf:
            require(self.narrow, "narrowest opening of the liquid line in m²", "above 0", above=0.0)
        if self.stuck_at is not None:
            require(self.stuck_at, "share at which the metering device has stuck", "from 0 to 3", least=0.0, most=3.0)

    @property
    def sound(self) -> bool:
        """Whether nothing is amiss."""
        return self == Defects()

    def leak(self, discharge_density: float, discharge_pressure: float, suction_pressure: float) -> float:
        """Gas that passes the spool (kg/s): opening x sqrt(2 density (p2 - p)), p no less than 0.55 p2 (Bernoulli, choked at the speed of sound).

        >>> round(Defects(spool_gap=1e-6).leak(90.0, 27e5, 9e5), 4)
        0.0148
        """
        throat = max(suction_pressure, _CRITICAL * discharge_pressure)
        return self.spool_gap * math.sqrt(2.0 * discharge_density * max(discharge_pressure - throat, 0.0))

    def loss(self, mass_flow: float, density: float) -> float:
        """Pressure lost in the narrow place (Pa): (m / opening)^2 / (2 density)."""
        return 0.0 if self.narrow == math.inf else (mass_flow / self.narrow) ** 2 / (2.0 * density)
