"""A blend at one pressure, with the temperature of one line: what counts from bubble, and what from dew.

What lives here: `GlideReading`.  What does not: the panel (glide), saturation (fluids).
"""

from __future__ import annotations

from dataclasses import dataclass

from hpteach.fluids import Refrigerant

SUCTION, LIQUID = "suction line", "liquid line"
SIDES = (SUCTION, LIQUID)


@dataclass(frozen=True)
class GlideReading:
    """A refrigerant at one pressure (Pa) with the temperature (K) measured on one line; `side` is one of `SIDES`.

    `shares` (kg/kg of vapour) and `temperatures` (K) follow the coil from bubble to dew.
    """

    fluid: Refrigerant
    pressure: float
    line_temperature: float
    side: str
    shares: tuple[float, ...]
    temperatures: tuple[float, ...]

    @property
    def bubble(self) -> float:
        """The bubble temperature (K)."""
        return self.temperatures[0]

    @property
    def dew(self) -> float:
        """The dew temperature (K)."""
        return self.temperatures[-1]

    @property
    def glide(self) -> float:
        """Dew minus bubble temperature (K)."""
        return self.dew - self.bubble

    @property
    def right(self) -> float:
        """Superheat from dew, or subcooling from bubble (K); zero or less where the line has none."""
        return self.line_temperature - self.dew if self.side == SUCTION else self.bubble - self.line_temperature

    @property
    def wrong(self) -> float:
        """The same from the other column (K): larger by the glide."""
        return self.right + self.glide
