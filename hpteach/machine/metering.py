"""The metering device: what it lets through, and what it holds.

What lives here: `Metering`, a valve that holds superheat until it is fully open, or a fixed orifice.
What does not: which of a machine's two devices works (circuit), the balance.

    mass flow = share open x opening x sqrt(2 density (p_in - p_throat)),   p_throat = max(p_out, 0.8 p_bubble(T_in))
    share open = (superheat - opens_at) / (fully_open_at - opens_at), 1 from there on; 1 for an orifice

A valve thus holds superheat within its band: little at a small flow, `fully_open_at` at the largest
that it lets through, and no more than that when it is fully open.  `opening` (m2) is the whole area with its discharge coefficient.  Liquid flashes as soon as its pressure
falls to the bubble pressure, and the vapour chokes the throat; the density is that of what enters,
so flash gas in the liquid line throttles strongly.  The form is Bernoulli's; the figure of 0.8 is
common practice, no source: a capillary or a short tube has its own, measured by its maker.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from hpteach.errors import LimitError, UnknownNameError
from hpteach.fluids import Refrigerant, State
from hpteach.machine.compressor import require

THERMOSTATIC = "thermostatic valve"
ELECTRONIC = "electronic valve"
ORIFICE = "fixed orifice"
KINDS = (THERMOSTATIC, ELECTRONIC, ORIFICE)

_CHOKING = 0.8


@dataclass(frozen=True, kw_only=True)
class Metering:
    """A metering device: its kind, its whole opening (m2, discharge coefficient included), and a valve's band of superheat (K).

    A fixed orifice has no band.  Raises `UnknownNameError` for another kind, `LimitError` for sizes that cannot be.

    >>> Metering(kind="fixed orifice", opening=1.2e-6).holds_superheat
    False
    """

    kind: str
    opening: float
    opens_at: float | None = None
    fully_open_at: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise UnknownNameError.among("kind of metering device", self.kind, KINDS)
        opening = 1e6 * self.opening if isinstance(self.opening, (int, float)) else self.opening  # said in mm², as files have it
        require(opening, f"opening of the {self.kind} in mm²", "above 0, such as 1.5", above=0.0)
        if not self.holds_superheat:
            if self.opens_at is not None or self.fully_open_at is not None:
                raise LimitError(f"a {ORIFICE} holds no superheat: leave its band of superheat out, or name a valve")
            return
        band = (math.nan if value is None else value for value in (self.opens_at, self.fully_open_at))
        low, high = band
        require(low, f"superheat at which the {self.kind} opens, in K", "from 0 to 30", least=0.0, most=30.0)
        require(high, f"superheat at which the {self.kind} is fully open, in K", f"above {low:g}, at which it opens, and up to 40", above=low, most=40.0)

    @property
    def holds_superheat(self) -> bool:
        """Whether it is a valve that holds superheat."""
        return self.kind != ORIFICE

    def share_open(self, superheat: float) -> float:
        """How far it is open at a superheat (K): 0 where a valve opens, 1 where it is fully open and for an orifice.

        Below the superheat at which it opens the straight line goes on, into figures that no valve can have.

        >>> Metering(kind="thermostatic valve", opening=2e-6, opens_at=2.0, fully_open_at=8.0).share_open(5.0)
        0.5
        """
        if not self.holds_superheat:
            return 1.0
        return min(1.0, (superheat - self.opens_at) / (self.fully_open_at - self.opens_at))

    def passes(self, refrigerant: Refrigerant, entering: State, inlet_pressure: float, outlet_pressure: float) -> float:
        """What passes when it is fully open (kg/s); 0 where the pressure does not fall.

        `entering` is the state in the liquid line, `inlet_pressure` (Pa) what is left of its pressure at the device.

        >>> from hpteach.fluids import refrigerant
        >>> r410a = refrigerant("R-410A")
        >>> device = Metering(kind="fixed orifice", opening=1.2e-6)
        >>> round(device.passes(r410a, r410a.subcooled(27e5, 5.0), 27e5, 9e5), 4)
        0.0471
        """
        flashing = entering.pressure if entering.quality is not None else refrigerant.bubble_pressure(entering.temperature)
        throat = max(outlet_pressure, _CHOKING * min(flashing, inlet_pressure))
        fall = inlet_pressure - throat
        return self.opening * math.sqrt(2.0 * entering.density * fall) if fall > 0.0 else 0.0
