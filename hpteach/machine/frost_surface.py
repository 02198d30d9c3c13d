"""What of an outdoor coil frost cares for: surface, fin gap, and the metal to be warmed.

What lives here: `FrostSurface`.  What does not: growth and defrost (frost).
"""

from __future__ import annotations

from dataclasses import dataclass

from hpteach.machine.compressor import require


@dataclass(frozen=True, kw_only=True)
class FrostSurface:
    """Finned surface (m2), free gap between fins (m), heat held by the metal (J/K), and the frost's own density (kg/m3) and conductivity (W/(m K)).

    `coil_share` is the share of the fan's pressure that the clean coil takes.  The usual density and conductivity of frost are common
    practice, no source; no frost is denser than ice, 917 kg/m3 at 0 C (from memory).

    >>> FrostSurface(area=28.0, gap=1.6e-3, metal_heat=9e3).density
    250.0
    """

    area: float
    gap: float
    metal_heat: float
    density: float = 250.0
    conductivity: float = 0.2
    coil_share: float = 0.5

    def __post_init__(self) -> None:
        require(self.area, "finned surface in m²", "above 0", above=0.0)
        require(self.gap, "gap between fins in m", "above 0", above=0.0)
        require(self.metal_heat, "heat held by the metal in J/K", "of 0 or more", least=0.0)
        require(self.density, "density of frost in kg/m³", "above 0 and up to 917, that of ice", above=0.0, most=917.0)
        require(self.conductivity, "conductivity of frost in W/(m K)", "above 0", above=0.0)
        require(self.coil_share, "share of the fan's pressure that the clean coil takes", "from 0 to 1", least=0.0, most=1.0)
