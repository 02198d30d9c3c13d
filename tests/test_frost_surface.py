"""What frost cares for on an outdoor coil (hpteach/machine/frost_surface.py)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from hpteach.errors import LimitError
from hpteach.machine.frost_surface import FrostSurface

SURFACE = FrostSurface(area=28.0, gap=1.6e-3, metal_heat=9e3)


def test_usual_frost_stands_in_where_none_is_given() -> None:
    """Density, conductivity and the coil's share of the fan's pressure have usual values."""
    assert (250.0, 0.2, 0.5) == (SURFACE.density, SURFACE.conductivity, SURFACE.coil_share)


@pytest.mark.parametrize("ends", [{"metal_heat": 0.0}, {"density": 917.0}, {"coil_share": 0.0}, {"coil_share": 1.0}])
def test_ends_of_the_ranges_are_allowed(ends: dict[str, float]) -> None:
    """A limit may be used as it is named."""
    assert replace(SURFACE, **ends) != SURFACE


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("area", 0.0, "finned surface in m² of 0"), ("gap", -1e-3, "gap between fins"), ("metal_heat", -1.0, "heat held by the metal"),
        ("density", 918.0, "917, that of ice"), ("density", 0.0, "density of frost"), ("conductivity", 0.0, "conductivity of frost"),
        ("coil_share", 1.01, "share of the fan's pressure"), ("coil_share", -0.01, "share of the fan's pressure"), ("area", math.nan, "finned surface"),
    ],
)  # fmt: skip
def test_surface_that_cannot_be_is_refused(field: str, value: float, words: str) -> None:
    """Each size is checked, and the refusal names it."""
    with pytest.raises(LimitError, match=words):
        replace(SURFACE, **{field: value})
