"""The catalogue's entries beside what the property library holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hpteach.errors import DataError
from hpteach.fluids import Refrigerant, catalogue, listing


@pytest.mark.parametrize("name", catalogue())
def test_every_entry_of_the_catalogue_agrees(name: str) -> None:
    """Each listing is the fluid or mixture of its library name."""
    assert name == Refrigerant(listing(name)).name


@pytest.mark.parametrize(
    ("name", "wrong", "key"),
    [
        ("R-32", {"library_name": "R134a"}, "library_name"),
        ("R-32", {"library_name": "R454B.mix"}, "model"),
        ("R-454B", {"library_name": "R32"}, "model"),
        ("R-454B", {"composition": {"R-32": 0.5, "R-1234yf": 0.5}}, "composition"),
        ("R-454B", {"composition": {"R-32": 0.689, "R-125": 0.311}}, "composition"),
        ("R-454B", {"critical_temperature": 300.0}, "critical.temperature"),
        ("R-454B", {"critical_temperature": 451.0}, "critical.temperature"),
        ("R-454B", {"lowest_temperature": 20.0}, "lowest_temperature"),
        ("R-454B", {"lowest_temperature": 400.0}, "lowest_temperature"),
        ("R-32", {"lowest_temperature": 5.0}, "lowest_temperature"),
        ("R-32", {"lowest_temperature": 500.0}, "lowest_temperature"),
        ("R-32", {"sublimation_temperature": 200.0}, "sublimation"),
        ("R-744", {"sublimation_temperature": None}, "sublimation"),
    ],
)
def test_contradictory_entry_is_refused_by_name_and_key(name: str, wrong: dict, key: str) -> None:
    """An entry that means another fluid, mixture or point is refused when it is first used."""
    with pytest.raises(DataError, match=f"^{name}.{key}"):
        Refrigerant(replace(listing(name), **wrong))
