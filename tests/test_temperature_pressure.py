"""The panel of boiling point and pressure, driven by its controls; the figures of the lesson that it serves."""

from __future__ import annotations

import json
import re
import threading
from pathlib import Path

import pytest

from hpteach.errors import HpteachError
from hpteach.fluids import catalogue, refrigerant, water
from hpteach.panels import TemperaturePressure
from hpteach.questions import deal, read_bank
from hpteach.units import STANDARD_ATMOSPHERE, atmosphere_at, read, show

LESSON = Path(__file__).parents[1] / "notebooks" / "01-boiling-point-and-pressure.ipynb"
PREDICTIONS = ("predict-boiling-in-free-air", "predict-altitude-gauge")


def picture(view: TemperaturePressure) -> bytes:
    """What the image widget shows."""
    return bytes(view._picture.image.value)


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("name", catalogue())
def test_the_panel_shows_the_saturation_of_the_fluid(name: str, system: str) -> None:
    """Table and words hold the library's pressure, what a gauge shows of it up there, and the boiling point in that air."""
    view = TemperaturePressure(refrigerant=name, compare_with="none", temperature="-10C", altitude="500m", units=system)
    fluid, air = refrigerant(name), atmosphere_at(500.0)
    pressure = fluid.dew_pressure(263.15)
    expected = [show(pressure, "pressure", system), show(pressure, "gauge pressure", system, atmosphere=air)]
    if fluid.lowest_saturation_pressure < air:
        expected.append(show(fluid.bubble_temperature(air), "temperature", system))
    for figure in expected:
        assert figure in view.table.value and figure in view.reading.value
    assert f"the air {show(500.0, 'length', system)} above sea level presses with {show(air, 'pressure', system)}" in view.table.value


def test_the_words_of_one_state() -> None:
    """R-410A at -10 °C and 500 m: the sentence, figure by figure."""
    view = TemperaturePressure(temperature="-10C", altitude="500m", compare_with="none")
    expected = (
        "At -10.0 °C R-410A boils at an absolute pressure of 5.73 bar, which a gauge at 500 m shows as 4.77 bar g. "
        "In free air it would boil at -52.6 °C."
    )
    assert expected in view.reading.value
    assert "A coil in which R-410A boils at -10.0 °C takes up heat only from something warmer than -10.0 °C" in view.reading.value


def test_the_words_of_a_blend_name_both_ends_of_boiling() -> None:
    """A blend with glide begins to boil and ends at two pressures, and at two temperatures in free air."""
    view = TemperaturePressure(refrigerant="R-407C", compare_with="none")
    blend = refrigerant("R-407C")
    for kind, values in (
        ("pressure", (blend.bubble_pressure(293.15), blend.dew_pressure(293.15))),
        ("temperature", (blend.bubble_temperature(STANDARD_ATMOSPHERE), blend.dew_temperature(STANDARD_ATMOSPHERE))),
    ):
        for value in values:
            assert show(value, kind) in view.reading.value and show(value, kind) in view.table.value
    assert "begins to boil" in view.reading.value and "dew line" in view.table.value
    assert "A coil in which" not in view.reading.value


@pytest.mark.parametrize(
    ("control", "value"),
    [("refrigerant", "R-134a"), ("compare_with", "R-32"), ("compare_with", "none"), ("temperature", 5.0), ("altitude", 1500.0), ("units", "IP")],
)
def test_every_control_moves_picture_table_and_reading(control: str, value: object) -> None:
    """A change of one control changes the picture, the table and the words, and draws once."""
    view = TemperaturePressure()
    before, drawn = [picture(view), view.table.value, view.reading.value], []
    view._picture.image.observe(drawn.append, "patch")
    view.controls[control].value = value
    assert view.refusal is None
    assert [True] * 3 == [old != new for old, new in zip(before, [picture(view), view.table.value, view.reading.value])]
    assert 1 == len(drawn)


def test_altitude_leaves_absolute_pressure_alone() -> None:
    """Uphill the gauge shows more of the same absolute pressure, by as much as the air presses less, and boiling points fall."""
    view = TemperaturePressure()
    low = view.readings
    view.controls["altitude"].value = 2000.0
    for before, after in zip(low, view.readings):
        assert before.pressure == after.pressure and before.boiling > after.boiling
    more = (low[0].pressure - atmosphere_at(2000.0)) - (low[0].pressure - atmosphere_at(0.0))
    assert STANDARD_ATMOSPHERE - atmosphere_at(2000.0) == pytest.approx(more)


def test_water_below_its_triple_point_is_left_out() -> None:
    """Below 0.01 °C the refrigerant goes on; of water only the boiling point in free air remains, and the status line says so."""
    view = TemperaturePressure(temperature="-10C")
    assert view.refusal is None and "water cannot be saturated at -10.0 °C" in view.status.value
    assert "5.73 bar" in view.table.value and "100.0 °C" in view.table.value and "-10.0 °C water boils" not in view.reading.value
    view.controls["temperature"].value = 10.0
    assert "water cannot" not in view.status.value and "10.0 °C water boils" in view.reading.value


def test_below_the_air_a_leak_lets_air_in() -> None:
    """Where the pressure is below that of the air the words say so; above it they do not."""
    view = TemperaturePressure(refrigerant="R-134a", compare_with="none", temperature="-40C")
    assert "-0.50 bar g" in view.reading.value and "air would come in" in view.reading.value
    view.controls["temperature"].value = -20.0
    assert "air would come in" not in view.reading.value


def test_what_never_boils_in_free_air_is_said() -> None:
    """R-744 has no boiling point at the pressure of the air; the panel shows the rest."""
    view = TemperaturePressure(refrigerant="R-744", compare_with="none", temperature="0C")
    assert view.refusal is None and "R-744 cannot be saturated at 1.01 bar" in view.status.value
    assert "would not boil" in view.reading.value and "34.85 bar" in view.table.value


def test_the_slider_ends_where_the_refrigerant_does() -> None:
    """The temperature slider reaches from the coldest to the hottest saturation of the refrigerant, within that of the lessons."""
    for name, expected in (("R-134a", (-60.0, 80.0)), ("R-410A", (-60.0, 70.0)), ("R-744", (-55.0, 30.0))):
        slider = TemperaturePressure(refrigerant=name).controls["temperature"]
        assert expected == (slider.min, slider.max)
    slider = TemperaturePressure(refrigerant="R-410A", units="IP").controls["temperature"]
    assert (-76.0, 158.0) == (slider.min, slider.max)


def test_a_refrigerant_that_cannot_is_refused_and_can_be_mended() -> None:
    """From R-134a at 75 °C to R-410A: the temperature is not moved but refused, the picture fades, and a lower one brings it back."""
    view = TemperaturePressure(refrigerant="R-134a", temperature="75C", compare_with="none")
    good = picture(view)
    view.controls["refrigerant"].value = "R-410A"
    assert 75.0 == view.controls["temperature"].value
    assert "R-410A cannot be saturated at 75.0 °C" in view.refusal and view.refusal in view.status.value
    assert good != picture(view) and "hpteach-faded" in view.table._dom_classes
    view.controls["temperature"].value = 60.0
    assert view.refusal is None and "hpteach-faded" not in view.table._dom_classes and 70.0 == view.controls["temperature"].max


def test_a_fluid_set_beside_itself_is_drawn_once() -> None:
    """Comparing a refrigerant with itself shows one line and says what to change."""
    view = TemperaturePressure(compare_with="R-410A")
    assert 1 == len(view.readings) and "beside itself" in view.status.value


def test_turning_the_units_keeps_every_state() -> None:
    """SI to IP and back leaves the controls as they were, also at the ends of the sliders."""
    for temperature, altitude in (("-60C", "0m"), ("70C", "3048m"), ("7.5C", "1250m")):
        view = TemperaturePressure(temperature=temperature, altitude=altitude, compare_with="none")
        values, pressure = {name: control.value for name, control in view.controls.items()}, view.readings[0].pressure
        view.controls["units"].value = "IP"
        assert view.readings[0].pressure == pytest.approx(pressure, rel=1e-9) and "psig" in view.reading.value
        view.controls["units"].value = "SI"
        assert values == {name: control.value for name, control in view.controls.items()}
    assert 10000.0 == pytest.approx(TemperaturePressure(altitude="10000ft", units="IP").controls["altitude"].value)


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("name", PREDICTIONS)
def test_the_panel_opens_at_the_question(name: str, system: str) -> None:
    """After a prediction the panel stands at the question's refrigerants, warmth and air, and shows the answer's figures."""
    for seed in range(6):
        variant = deal(read_bank().question(name), seed, system)
        view = TemperaturePressure.for_question(variant)
        assert view.refusal is None and system == view.system
        assert variant.cycle.refrigerant == view.controls["refrigerant"].value
        assert (variant.other.refrigerant if variant.other else "water") == view.controls["compare_with"].value
        assert atmosphere_at(view._base("altitude", "length")) == pytest.approx(variant.atmosphere)
        shown = re.findall(r"-?[\d.]+ (?:bar g|psig)", variant.prompt + variant.parts[0].solution)
        assert shown and all(figure in view.table.value for figure in shown)


def test_a_question_without_refrigerant_or_in_other_air_is_refused() -> None:
    """What the panel cannot stand at is refused in a sentence."""
    from dataclasses import replace

    with pytest.raises(HpteachError, match="no refrigerant"):
        TemperaturePressure.for_question(deal(read_bank().question("read-a-gauge"), 1))
    variant = deal(read_bank().question("predict-altitude-gauge"), 1)
    with pytest.raises(HpteachError, match="altitude slider"):
        TemperaturePressure.for_question(replace(variant, atmosphere=60e3))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"refrigerant": "R-11"}, "refrigerant 'R-11'"),
        ({"refrigerant": "water"}, "refrigerant 'water'"),
        ({"compare_with": "steam"}, "fluid to compare with 'steam'"),
        ({"temperature": "-70C"}, "temperature of -70 °C is outside the panel"),
        ({"temperature": "10"}, "temperature"),
        ({"altitude": "4000m"}, "altitude of 4000 m is outside the panel"),
        ({"altitude": "10bar"}, "length"),
        ({"units": "CGS"}, "unit system"),
    ],
)
def test_a_panel_that_cannot_start_is_refused(words: dict, said: str) -> None:
    """A start that the panel cannot show is refused, naming what to change."""
    with pytest.raises(HpteachError, match=re.escape(said)):
        TemperaturePressure(**words)


def test_cautions_stand_beside_pressures() -> None:
    """The panel says what a vessel at rest stands at and who puts gauges on; a flammable refrigerant brings its own caution."""
    view = TemperaturePressure(refrigerant="R-290", compare_with="none", temperature="50C")
    assert f"at rest that is at 50.0 °C and holds liquid stands at {show(refrigerant('R-290').dew_pressure(323.15), 'gauge pressure')}" in view.reading.value
    assert "local codes" in view.reading.value and "A3" in view.reading.value


def test_two_hands_on_two_sliders_leave_one_whole_state() -> None:
    """With two threads moving two sliders, the last words are those of the last controls."""
    view = TemperaturePressure()

    def drag(control: str, values: list[float]) -> None:
        for value in values * 4:
            view.controls[control].value = value

    threads = [threading.Thread(target=drag, args=move) for move in (("temperature", [2.0, 4.0, 6.0]), ("altitude", [300.0, 600.0, 900.0]))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    fresh = TemperaturePressure(temperature="6C", altitude="900m")
    assert (fresh.table.value, fresh.reading.value) == (view.table.value, view.reading.value)


# The figures of lesson 01 -------------------------------------------------------------

R410A, R134A, R32, SEA = refrigerant("R-410A"), refrigerant("R-134a"), refrigerant("R-32"), STANDARD_ATMOSPHERE


def both(value: float, kind: str, *, decimals: tuple[int | None, int | None] = (None, None), atmosphere: float = SEA) -> str:
    """A quantity as the lesson writes it: SI, then IP in brackets, with a real minus and no needless .0."""
    texts = [show(value, kind, system, atmosphere=atmosphere, decimals=places) for system, places in zip(("SI", "IP"), decimals)]
    return f"{texts[0]} ({texts[1]})".replace("-", "−")


def cells_said() -> str:
    return "\n".join("".join(cell["source"]) for cell in json.loads(LESSON.read_text("utf-8"))["cells"] if cell["cell_type"] == "markdown")


def rows() -> list[str]:
    """The rows of the lesson's tables."""
    return [line for line in cells_said().splitlines() if line.startswith("| ")]


def test_water_boils_colder_at_the_hut() -> None:
    """Lesson 01: at 2000 m, 6560 ft, water boils at 93 °C, 200 °F; at sea level at 100 °C, 212 °F."""
    text, boiling = cells_said(), water().bubble_temperature(atmosphere_at(2000.0))
    assert "2000 m (6560 ft)" in text and 6560.0 == pytest.approx(2000.0 / 0.3048, abs=5.0)
    assert both(boiling, "temperature", decimals=(0, 0)) in text
    assert both(water().bubble_temperature(SEA), "temperature", decimals=(0, 0)) in text


def test_the_first_table_of_the_lesson_is_true() -> None:
    """Lesson 01: water and R-410A at sea level, in free air and at 20 °C."""
    of_water, of_r410a = (next(row for row in rows() if row.startswith(f"| {name} |")) for name in ("water", "R-410A"))
    warm = water().dew_pressure(293.15)
    assert both(warm, "pressure", decimals=(3, 2)) in of_water and warm < 0.05 * SEA
    assert both(R410A.bubble_temperature(SEA), "temperature") in of_r410a
    for kind in ("pressure", "gauge pressure"):
        assert both(R410A.dew_pressure(293.15), kind) in of_r410a
    assert "68.0 °F" == show(293.15, "temperature", "IP")


@pytest.mark.parametrize(("begins", "altitude"), [("| 0 |", 0.0), ("| 1600 m (5250 ft) |", 1600.0)])
def test_the_table_of_altitudes_is_true(begins: str, altitude: float) -> None:
    """Lesson 01: air, gauge and two boiling points at sea level and at 1600 m."""
    row, air = next(row for row in rows() if row.startswith(begins)), atmosphere_at(altitude)
    assert both(air, "pressure") in row
    assert both(R410A.dew_pressure(293.15), "gauge pressure", atmosphere=air) in row
    assert both(R410A.bubble_temperature(air), "temperature") in row and both(water().bubble_temperature(air), "temperature") in row
    assert 5250.0 == pytest.approx(1600.0 / 0.3048, abs=5.0)


def test_one_reading_at_two_altitudes() -> None:
    """Lesson 01: 2 bar g on R-134a boils at 0.8 °C at sea level, above freezing, and at -0.9 °C at 1600 m, below it."""
    text = cells_said()
    found = [R134A.dew_temperature(read("2barg", "pressure", atmosphere=atmosphere_at(z))) for z in (0.0, 1600.0)]
    assert found[0] > 273.15 > found[1] and "2 bar g (29 psig)" in text and "29 psig" == show(2e5 + SEA, "gauge pressure", "IP", decimals=0)
    for temperature in found:
        assert both(temperature, "temperature") in text


@pytest.mark.parametrize(("celsius", "says"), [(-18.0, "**into**"), (-10.0, "not at all"), (0.0, "**out**")])
def test_the_table_of_heat_is_true(celsius: float, says: str) -> None:
    """Lesson 01: at each pressure R-410A boils at the stated temperature, and heat flows from the warmer to the colder."""
    temperature, air = celsius + 273.15, 263.15
    (row,) = [row for row in rows() if says in row]
    assert both(R410A.dew_pressure(temperature), "pressure") in row
    assert f"{celsius:.0f} °C".replace("-", "−") in row and "−10 °C (14 °F)" in row
    assert {"**into**": temperature < air, "not at all": temperature == air, "**out**": temperature > air}[says]


def test_a_coil_of_water_is_a_deep_vacuum() -> None:
    """Lesson 01: R-410A at -18 °C stands at 3.29 bar g, water just above freezing at 0.006 bar."""
    text = cells_said()
    assert both(R410A.dew_pressure(255.15), "gauge pressure") in text
    assert both(water().lowest_saturation_pressure, "pressure", decimals=(3, 2)) in text


def test_the_saying_about_r410a_and_its_size() -> None:
    """Lesson 01: -48 °C is said (common practice, no source); the equation says 3.4 K less, which 0.5 % of pressure
    (0.1 K) does not explain, and R-125 boils at -48.1 °C by its own equation."""
    from CoolProp.CoolProp import PropsSI

    text, boiling = cells_said(), R410A.bubble_temperature(SEA)
    assert "−48 °C (−55 °F)" in text and "common practice, no source" in text
    assert 3.4 == pytest.approx(225.15 - boiling, abs=0.05) and "3.4 K (6 °F)" in text and 6 == round(1.8 * 3.4)
    assert both(boiling, "temperature") in text and both(R32.bubble_temperature(SEA), "temperature") in text
    assert both(PropsSI("T", "P", SEA, "Q", 0, "R125"), "temperature") in text
    uncertain = R410A.bubble_temperature(1.005 * SEA) - boiling
    assert both(uncertain, "temperature difference") in text
    (constant,) = [mistake for mistake in read_bank().question("r410a-boiling-point").parts[0].mistakes if mistake.id == "boiling_point_of_sea_level"]
    assert R410A.dew_temperature(SEA) == pytest.approx(float(constant.value.text), abs=0.01)
