"""Openings and pressures amiss inside the circuit, against sums by hand (hpteach/machine/defects.py)."""

from __future__ import annotations

import math

import pytest

from hpteach.errors import LimitError
from hpteach.machine.defects import Defects

# Gap m2, discharge density kg/m3, discharge and suction pressure Pa, flow kg/s: sqrt(2 density fall) by hand, fall = p2 - max(p1, 0.55 p2).
LEAKS = [
    ("not choked", 1e-6, 90.0, 27e5, 20e5, 0.011225),  # fall 7 bar: sqrt(1.26e8) = 11225
    ("choked", 1e-6, 90.0, 27e5, 9e5, 0.014789),  # fall 27 - 14.85 = 12.15 bar: sqrt(2.187e8) = 14789
    ("choked all the more", 1e-6, 90.0, 27e5, 1e5, 0.014789),
    ("twice the gap", 2e-6, 90.0, 27e5, 9e5, 0.029577),
    ("pressures equal", 1e-6, 90.0, 27e5, 27e5, 0.0),
    ("suction above discharge", 1e-6, 90.0, 9e5, 27e5, 0.0),
    ("no gap", 0.0, 90.0, 27e5, 9e5, 0.0),
]


@pytest.mark.parametrize(("case", "gap", "density", "high", "low", "expected"), LEAKS, ids=[row[0] for row in LEAKS])
def test_leak_is_that_of_an_opening(case: str, gap: float, density: float, high: float, low: float, expected: float) -> None:
    """What passes a gap is Bernoulli's flow down to 0.55 of the discharge pressure and no more below it."""
    assert expected == pytest.approx(Defects(spool_gap=gap).leak(density, high, low), abs=6e-7), case


def test_leak_begins_to_choke_at_the_critical_ratio() -> None:
    """Just above 0.55 of the discharge pressure the suction still counts, just below it no longer does."""
    gap = Defects(spool_gap=1e-6)
    assert gap.leak(90.0, 27e5, 0.56 * 27e5) < gap.leak(90.0, 27e5, 0.55 * 27e5) == gap.leak(90.0, 27e5, 0.54 * 27e5)


@pytest.mark.parametrize("exponent", [1.1, 1.2, 1.3])
def test_gap_is_smaller_than_a_nozzle_that_passes_as_much(exponent: float) -> None:
    """The density is that of the discharge, so a gap passes 1.42 to 1.51 times what an ideal nozzle as large does (perfect gas, any textbook): it is an effective gap."""
    nozzle = math.sqrt(exponent) * (2.0 / (exponent + 1.0)) ** ((exponent + 1.0) / (2.0 * (exponent - 1.0)))
    ours = Defects(spool_gap=1.0).leak(1.0, 1.0, 0.0)
    assert 1.42 < ours / nozzle < 1.51


def test_critical_ratio_is_that_of_vapours() -> None:
    """A perfect gas chokes at (2 / (k + 1))^(k / (k - 1)): 0.585 to 0.546 for k from 1.1 to 1.3, and 0.55 lies among them."""
    first, last = ((2.0 / (k + 1.0)) ** (k / (k - 1.0)) for k in (1.3, 1.1))
    assert first < 0.55 < last


def test_loss_is_that_of_an_opening() -> None:
    """0.05 kg/s of 1000 kg/m3 through 2 mm2 loses (25000)^2 / 2000 = 3.125 bar; without a narrow place nothing is lost."""
    assert (312500.0, 0.0) == (pytest.approx(Defects(narrow=2e-6).loss(0.05, 1000.0)), Defects().loss(0.05, 1000.0))


@pytest.mark.parametrize(
    ("field", "value", "word"),
    [("spool_gap", -1e-6, "spool"), ("foreign_gas", -1.0, "foreign gas"), ("bypass", math.nan, "bypass"), ("narrow", 0.0, "liquid line"), ("stuck_at", 3.5, "stuck"), ("stuck_at", -0.1, "stuck")],
)
def test_size_that_cannot_be_is_refused(field: str, value: float, word: str) -> None:
    """The refusal names the part."""
    with pytest.raises(LimitError, match=word):
        Defects(**{field: value})


@pytest.mark.parametrize("field", ["spool_gap", "foreign_gas", "bypass", "narrow", "stuck_at"])
def test_any_defect_is_not_sound(field: str) -> None:
    """A circuit is sound only where none of the five is amiss."""
    assert (True, False) == (Defects().sound, Defects(**{field: 1e-6}).sound)
