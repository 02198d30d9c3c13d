"""What a metering device lets through (hpteach/machine/metering.py)."""

from __future__ import annotations

import math

import pytest

from hpteach.errors import LimitError, UnknownNameError
from hpteach.fluids import refrigerant
from hpteach.machine.metering import Metering

ORIFICE = Metering(kind="fixed orifice", opening=1.2e-6)
VALVE = Metering(kind="thermostatic valve", opening=2e-6, opens_at=2.0, fully_open_at=8.0)
NAMES = ["R-32", "R-410A", "R-454B", "R-407C", "R-290"]
HIGH = 318.15
"""K, bubble temperature of the liquid line's pressure here."""


def passed(name: str, subcooling: float, outlet: float, device: Metering = ORIFICE, loss: float = 0.0) -> float:
    fluid = refrigerant(name)
    pressure = fluid.bubble_pressure(HIGH)
    return device.passes(fluid, fluid.subcooled(pressure, subcooling), pressure - loss, outlet)


@pytest.mark.parametrize("name", NAMES)
def test_flow_is_bernoullis_as_long_as_nothing_flashes(name: str) -> None:
    """Above the bubble pressure of the liquid: opening times the root of twice density and fall (any textbook)."""
    fluid = refrigerant(name)
    high = fluid.bubble_pressure(HIGH)
    liquid = fluid.subcooled(high, 15.0)
    low = 0.5 * (high + fluid.bubble_pressure(liquid.temperature))
    assert 1.2e-6 * math.sqrt(2.0 * liquid.density * (high - low)) == pytest.approx(ORIFICE.passes(fluid, liquid, high, low), rel=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_flow_chokes_below_the_throats_pressure(name: str) -> None:
    """Lowering the pressure behind the device adds flow down to 0.8 of the flashing pressure, continuously, and none from there on."""
    fluid = refrigerant(name)
    choking = 0.8 * fluid.bubble_pressure(HIGH - 5.0)
    choked = passed(name, 5.0, 0.5 * choking)
    assert choked == passed(name, 5.0, 0.999 * choking)
    assert choked == pytest.approx(passed(name, 5.0, choking * (1.0 + 1e-9)), rel=1e-8)
    assert passed(name, 5.0, 1.05 * choking) < choked


@pytest.mark.parametrize("name", NAMES)
def test_more_subcooling_passes_more(name: str) -> None:
    """Colder liquid flashes later and is denser."""
    flows = [passed(name, subcooling, 5e5) for subcooling in (0.0, 2.0, 5.0, 10.0, 20.0)]
    assert all(later > earlier for earlier, later in zip(flows, flows[1:]))


@pytest.mark.parametrize("name", NAMES)
def test_flash_gas_throttles_and_begins_without_a_jump(name: str) -> None:
    """Vapour in the liquid line lowers the flow by more than its share, beginning from that of saturated liquid."""
    fluid = refrigerant(name)
    high = fluid.bubble_pressure(HIGH)
    flows = [ORIFICE.passes(fluid, fluid.state_px(high, quality), high, 5e5) for quality in (0.0, 1e-7, 0.02, 0.05, 0.1, 0.3)]
    assert flows[0] == pytest.approx(passed(name, 0.0, 5e5), rel=1e-6)
    assert flows[0] == pytest.approx(flows[1], rel=1e-5)
    assert all(later < earlier for earlier, later in zip(flows, flows[1:]))
    assert flows[4] < 0.9 * flows[0]


def test_loss_in_the_liquid_line_lowers_the_flow() -> None:
    """What friction takes is not there at the device, and beyond the flashing pressure the throat goes down with it."""
    flows = [passed("R-32", 5.0, 5e5, loss=loss) for loss in (0.0, 1e5, 2e5, 4e5, 8e5)]
    assert all(later < earlier for earlier, later in zip(flows, flows[1:]))


@pytest.mark.parametrize("outlet", [1.0, 1.2])
def test_nothing_passes_where_the_pressure_does_not_fall(outlet: float) -> None:
    """With the same or a higher pressure behind it the flow is zero, not negative."""
    assert passed("R-32", 5.0, outlet * refrigerant("R-32").bubble_pressure(HIGH)) == 0.0


def test_flow_goes_with_the_opening() -> None:
    """Twice the area lets through twice as much."""
    twice = Metering(kind="fixed orifice", opening=2.4e-6)
    assert 2.0 * passed("R-32", 5.0, 9e5) == pytest.approx(passed("R-32", 5.0, 9e5, twice), rel=1e-12)


@pytest.mark.parametrize(("superheat", "share"), [(2.0, 0.0), (3.5, 0.25), (5.0, 0.5), (8.0, 1.0), (8.1, 1.0), (40.0, 1.0), (0.0, -1.0 / 3.0)])
def test_valve_opens_on_a_straight_line_over_its_band(superheat: float, share: float) -> None:
    """Closed at the lower end, open at the upper, no further than that; below the band the line goes on for the search."""
    assert share == pytest.approx(VALVE.share_open(superheat), abs=1e-12)


@pytest.mark.parametrize("superheat", [-20.0, 0.0, 30.0])
def test_orifice_is_always_open(superheat: float) -> None:
    """It knows nothing of superheat."""
    assert ORIFICE.share_open(superheat) == 1.0
    assert (False, True) == (ORIFICE.holds_superheat, VALVE.holds_superheat)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"kind": "fixed orifice", "opening": 0.0}, "opening of the fixed orifice in mm² of 0 cannot be: use a number above 0, such as 1.5"),
        ({"kind": "fixed orifice", "opening": math.nan}, "opening of the fixed orifice"),
        ({"kind": "fixed orifice", "opening": 1e-6, "opens_at": 2.0}, "holds no superheat"),
        ({"kind": "fixed orifice", "opening": 1e-6, "fully_open_at": 8.0}, "holds no superheat"),
        ({"kind": "electronic valve", "opening": 1e-6}, "superheat at which the electronic valve opens"),
        ({"kind": "electronic valve", "opening": 1e-6, "opens_at": 2.0}, "fully open"),
        ({"kind": "thermostatic valve", "opening": 1e-6, "opens_at": 8.0, "fully_open_at": 8.0}, "above 8, at which it opens"),
        ({"kind": "thermostatic valve", "opening": 1e-6, "opens_at": -1.0, "fully_open_at": 8.0}, "from 0 to 30"),
        ({"kind": "thermostatic valve", "opening": 1e-6, "opens_at": 2.0, "fully_open_at": 41.0}, "up to 40"),
    ],
)
def test_device_that_cannot_be_is_refused(given: dict, words: str) -> None:
    """The refusal names the quantity and the device."""
    with pytest.raises(LimitError, match=words):
        Metering(**given)


def test_unknown_kind_offers_the_nearest() -> None:
    """A kind that is in no list is refused with the nearest name."""
    with pytest.raises(UnknownNameError, match="did you mean fixed orifice"):
        Metering(kind="fixed orifce", opening=1e-6)
