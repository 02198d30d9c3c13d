"""Air at a cold coil in a panel: controls move tables, words and picture; questions open it."""

import re

import pytest

from hpteach.errors import HpteachError, InputError
from hpteach.panels import AirAtTheCoil
from hpteach.questions import deal, read_bank
from hpteach.units import show

BANK = read_bank()


def plain(html):
    return " ".join(re.sub("<[^>]+>", " ", html).split())


@pytest.mark.parametrize(("surface", "said", "water"), [("10C", "it is wet", True), ("20C", "it stays dry", False)])
def test_words_say_whether_the_coil_is_wet(surface, said, water):
    """Below the dew point the words tell of water, above it they do not."""
    view = AirAtTheCoil(room="26C", humidity="50%", surface=surface)
    assert said in plain(view.reading.value) and water == (view.passing.water > 0.0)
    assert ("run off" in plain(view.reading.value)) == water


@pytest.mark.parametrize("units", ["SI", "IP"])
def test_tables_show_what_was_computed(units):
    """Every figure of both tables is that of the air before and behind the coil, in the reader's units."""
    view = AirAtTheCoil(room="27C", humidity="60%", surface="9C", units=units)
    found = view.passing
    shown = plain(view.table.value) + plain(view.heat_table.value)
    for air in (found.entering, found.leaving):
        for name, kind in (("dry_bulb", "temperature"), ("wet_bulb", "temperature"), ("dew_point", "temperature"), ("relative_humidity",) * 2, ("humidity_ratio",) * 2):
            assert show(getattr(air, name), kind.replace("_", " "), units) in shown
    for name, kind in (("heat", "power"), ("sensible", "power"), ("latent", "power"), ("water", "water flow")):
        assert show(getattr(found, name), kind, units) in shown
    assert f"{found.sensible_heat_ratio:.2f}" in shown


def test_surface_warmer_than_the_air_is_refused_and_the_picture_stays():
    """A surface above the room's air is refused in the status line; the last picture stays, faded."""
    view = AirAtTheCoil(room="20C", surface="10C")
    table = view.table.value
    view.controls["surface"].value = 25.0
    assert "warmer than the air" in view.refusal and table == view.table.value
    assert "hpteach-faded" in view.table._dom_classes
    view.controls["surface"].value = 12.0
    assert view.refusal is None


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("name", ["predict-wet-or-dry-coil", "predict-less-air-flow", "water-on-the-coil", "heat-and-its-split"])
def test_question_opens_the_panel_at_its_air(name, system):
    """The panel of a question has its air and its surface, whichever set of numbers is dealt."""
    for seed in range(12):
        variant = deal(BANK.question(name), seed, system)
        view = AirAtTheCoil.for_question(variant)
        assert view.refusal is None and system == view.system
        stated = variant.air.entering if variant.air else variant.weather.indoor
        assert pytest.approx((stated.dry_bulb, stated.humidity_ratio), rel=1e-6) == (view.passing.entering.dry_bulb, view.passing.entering.humidity_ratio)


@pytest.mark.parametrize("name", ["two-thermometers", "cooling-cop", "predict-supply-air-when-colder"])
def test_question_without_a_cold_coil_is_refused(name):
    """A question that states no surface, and a machine in heating, cannot open it."""
    with pytest.raises(InputError, match="has no air at a cold coil"):
        AirAtTheCoil.for_question(deal(BANK.question(name), 1))


@pytest.mark.parametrize("given", [dict(room="40C"), dict(humidity="95%"), dict(surface="-3C"), dict(air_flow="10m3/h"), dict(units="metric")])
def test_start_beyond_the_sliders_is_refused(given):
    """Numbers that no slider reaches are refused, not moved to its end."""
    with pytest.raises(HpteachError):
        AirAtTheCoil(**given)
