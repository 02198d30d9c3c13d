"""The panel for gauges and clamp probes, its questions, and the figures that lesson 08 states."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest

from hpteach.circuit import ValvePosition, flow, reversible_circuit
from hpteach.errors import HpteachError, InputError, UnknownNameError
from hpteach.fluids import catalogue, refrigerant
from hpteach.gauge_readouts import GAUGE_CAUTION, NO_DOUBT
from hpteach.gauges import FieldReadings, probe_places, read_gauges
from hpteach.panels import GaugeReading
from hpteach.questions import deal, read_bank
from hpteach.units import STANDARD_ATMOSPHERE, atmosphere_at, read, show, shown_number

LESSON = Path(__file__).parents[1] / "notebooks" / "08-superheat-and-subcooling.ipynb"
QUESTIONS = [question for question in read_bank().questions.values() if question.topic == "gauges"]
READ = ("suction_pressure", "discharge_pressure", "suction_line", "liquid_line", "discharge_line")


def prose() -> str:
    """All text of the lesson."""
    return "\n".join("".join(cell["source"]) for cell in json.loads(LESSON.read_text("utf-8"))["cells"] if cell["cell_type"] == "markdown")


def picture(view: GaugeReading) -> bytes:
    """What the image widget shows."""
    return bytes(view._picture.image.value)


def ids(view: GaugeReading) -> list[str]:
    """The doubts about the present readings."""
    return [doubt.id for doubt in view.findings.doubts]


# The panel ------------------------------------------------------------------------------


@pytest.mark.parametrize(("position", "units"), [("cooling", "SI"), ("heating", "IP")])
@pytest.mark.parametrize("name", catalogue())
def test_the_panel_starts_at_a_sound_machine(name: str, position: str, units: str) -> None:
    """Whatever the refrigerant, the first readings raise no doubt and close a cycle that is drawn."""
    view = GaugeReading(refrigerant=name, valve_position=position, units=units)
    assert (None, []) == (view.refusal, ids(view))
    assert view.cycle is not None and 0.6 < view.findings.isentropic_efficiency < 0.8


def test_the_panel_reads_what_the_library_reads() -> None:
    """Gauge readings count from the air of the altitude, and the findings are those of the library."""
    given = dict(suction_pressure="118psig", discharge_pressure="365psig", suction_line="52F", liquid_line="100F", discharge_line="170F")
    view = GaugeReading(**given, altitude="5000ft", units="IP")
    air = atmosphere_at(read("5000ft", "length"))
    pressures = [read(text, "pressure", atmosphere=air) for text in list(given.values())[:2]]
    lines = [read(text, "temperature") for text in list(given.values())[2:]]
    expected = read_gauges(refrigerant("R-410A"), FieldReadings(ValvePosition.COOLING, *pressures, *lines))
    assert (expected.superheat, expected.subcooling) == pytest.approx((view.findings.superheat, view.findings.subcooling), abs=1e-5)
    assert (118.0, 365.0) == pytest.approx([view.controls[name].value for name in READ[:2]])
    assert f"{1.8 * expected.superheat:.1f} °F" in view.table.value and "118.0 psig" in view.table.value


@pytest.mark.parametrize(
    ("control", "value"),
    [
        ("suction_pressure", 8.0), ("discharge_pressure", 24.0), ("suction_line", 16.0), ("liquid_line", 37.0), ("discharge_line", 80.0),
        ("altitude", 1500.0), ("units", "IP"),
    ],
)  # fmt: skip
def test_every_reading_moves_picture_table_and_words(control: str, value: object) -> None:
    """A change of one reading changes the picture, the table and the words."""
    view = GaugeReading()
    before = [picture(view), view.table.value, view.reading.value]
    view.controls[control].value = value
    assert (None, []) == (view.refusal, ids(view))
    assert [True] * 3 == [old != new for old, new in zip(before, (picture(view), view.table.value, view.reading.value))]


def test_turning_the_valve_moves_the_probes_and_not_the_picture() -> None:
    """In heating the words send the liquid probe to the indoor coil and warn of the vapour line; picture and figures stay."""
    view = GaugeReading()
    before = picture(view)
    view.controls["valve_position"].value = "heating"
    words = unescape(view.places.value)
    assert before == picture(view)
    for said in probe_places(flow(reversible_circuit(), ValvePosition.HEATING)).values():
        assert said in words
    assert probe_places(flow(reversible_circuit(), ValvePosition.COOLING))["liquid line"] not in words


def test_cautions_are_always_there() -> None:
    """Goggles, gloves, trained people and local codes stand in the words, also with doubts."""
    view = GaugeReading(refrigerant="R-290", suction_line="-20C")
    assert GAUGE_CAUTION in unescape(view.reading.value) and "A3" in view.reading.value


@pytest.mark.parametrize(
    ("control", "value", "doubt"),
    [
        ("suction_line", 6.0, "negative_superheat"),
        ("suction_line", 0.0, "suction_line_below_bubble"),
        ("liquid_line", 46.0, "negative_subcooling"),
        ("liquid_line", 50.0, "liquid_line_above_dew"),
        ("discharge_line", 55.0, "efficiency_above_one"),
        ("discharge_line", 30.0, "discharge_line_below_condensing"),
        ("liquid_line", 0.0, "liquid_line_below_evaporating"),
        ("discharge_pressure", 3.0, "gauges_swapped"),
        ("discharge_pressure", 8.9, "at_rest"),
    ],
)
def test_readings_that_close_no_cycle_fade_the_picture_alone(control: str, value: float, doubt: str) -> None:
    """The last picture fades and the status line says why; table and words are those of the readings, and all recovers."""
    view = GaugeReading()
    good, start = picture(view), view.controls[control].value
    view.controls[control].value = value
    assert (None, None) == (view.refusal, view.cycle)
    assert doubt in ids(view) and "Doubt: " in view.reading.value
    assert "close no cycle" in view.status.value and good != picture(view)
    assert "hpteach-faded" not in (*view.table._dom_classes, *view.reading._dom_classes)
    view.controls[control].value = start
    assert good == picture(view) and "close no cycle" not in view.status.value


def test_no_doubt_is_said_to_be_no_proof() -> None:
    """Where the readings raise no doubt the panel sends the reader to the nameplate, and where they do it does not."""
    view = GaugeReading()
    assert NO_DOUBT in unescape(view.reading.value) and "nameplate" in NO_DOUBT
    view.controls["suction_line"].value = 6.0
    assert NO_DOUBT not in unescape(view.reading.value)


def test_a_vacuum_counts_from_the_air_of_the_altitude() -> None:
    """At an altitude the panel's gauge of -0.2 bar g is doubted as below the air there, and one of 0.1 bar g is not."""
    view = GaugeReading(refrigerant="R-134a", altitude="3000m", suction_pressure="-0.2barg")
    assert "suction_below_air" in ids(view)
    view.controls["suction_pressure"].value = 0.1
    assert "suction_below_air" not in ids(view)


def test_a_pressure_above_the_critical_one_is_refused_by_name() -> None:
    """The refusal names the gauge and the limit, everything fades, and recovers."""
    view = GaugeReading(refrigerant="R-134a")
    good = picture(view)
    control = view.controls["discharge_pressure"]
    control.value, start = control.max, control.value
    assert "discharge pressure: R-134a cannot be saturated" in view.refusal and "critical pressure" in view.status.value
    assert "hpteach-faded" in view.table._dom_classes and good != picture(view)
    control.value = start
    assert view.refusal is None and good == picture(view) and "hpteach-faded" not in view.table._dom_classes


def test_the_wrong_refrigerant_keeps_the_readings_and_is_doubted() -> None:
    """Readings of R-410A held against R-134a: the sliders stay, doubts come, the faded chart is that of R-134a; the sound readings bring it back."""
    view = GaugeReading()
    readings = [view.controls[name].value for name in READ]
    view.controls["refrigerant"].value = "R-134a"
    assert readings == [view.controls[name].value for name in READ]
    assert "suction_line_below_bubble" in ids(view) and view.cycle is None
    assert ["R-134a"] == [scene.chart.refrigerant.name for scene in view._kept.kept.values() if scene.chart.axes.get_visible()]
    view.sound.click()
    assert [] == ids(view) and view.cycle.refrigerant == "R-134a"
    assert picture(GaugeReading(refrigerant="R-134a")) == picture(view)


def test_going_back_to_a_chart_shows_it_faded_where_no_cycle_closes() -> None:
    """A chart kept from before is laid down faded, not the one of another refrigerant."""
    view = GaugeReading()
    view.controls["refrigerant"].value = "R-134a"
    view.sound.click()
    view.set({"refrigerant": "R-410A", "suction_line": -40.0})
    first = picture(view)
    fresh = GaugeReading(suction_line="-40C")
    assert view.cycle is None and fresh.cycle is None
    assert picture(fresh) == first


def test_turning_the_units_keeps_every_reading() -> None:
    """SI to IP and back leaves the readings and the controls as they were, also at a slider's end."""
    view = GaugeReading(suction_line="-45C", discharge_line="150C", altitude="3048m", suction_pressure="0.5barg")
    before, values = view.findings.readings, {name: control.value for name, control in view.controls.items()}
    view.controls["units"].value = "IP"
    after = view.findings.readings
    assert (before.suction_pressure, before.discharge_pressure) == pytest.approx((after.suction_pressure, after.discharge_pressure), abs=0.1)
    assert "psig" in view.controls["suction_pressure"].description and "psig" in view.table.value
    view.controls["units"].value = "SI"
    assert values == {name: control.value for name, control in view.controls.items()}


def test_altitude_moves_the_pressures_and_not_the_gauges() -> None:
    """The same gauge readings are lower absolute pressures higher up, and the superheat grows."""
    view = GaugeReading()
    low, reading = view.findings, view.controls["suction_pressure"].value
    view.controls["altitude"].value = 2000.0
    assert reading == view.controls["suction_pressure"].value
    fallen = STANDARD_ATMOSPHERE - atmosphere_at(2000.0)
    assert low.readings.suction_pressure - fallen == pytest.approx(view.findings.readings.suction_pressure, abs=0.01)
    assert view.findings.superheat > low.superheat


@pytest.mark.parametrize(
    ("given", "error", "words"),
    [
        ({"suction_pressure": "60barg"}, InputError, "suction gauge of 60 bar g is outside the panel's -0.5 to 20 bar g"),
        ({"liquid_line": "120C"}, InputError, "liquid line of 120 °C is outside the panel's -25 to 80 °C"),
        ({"altitude": "4000m"}, InputError, "altitude of 4000 m is outside the panel's 0 to 3048 m"),
        ({"valve_position": "between"}, InputError, "name one of the two"),
        ({"valve_position": "sideways"}, UnknownNameError, "sideways"),
        ({"refrigerant": "R-11"}, UnknownNameError, "R-11"),
        ({"units": "CGS"}, UnknownNameError, "CGS"),
        ({"suction_line": "5"}, HpteachError, "has no unit"),
    ],
)
def test_a_start_that_is_not_on_the_panel_is_refused(given: dict, error: type, words: str) -> None:
    """No slider is moved to its end in silence: what it cannot show is refused by name."""
    with pytest.raises(error, match=re.escape(words)):
        GaugeReading(**given)


def test_a_larger_style_draws_anew_and_comes_back() -> None:
    """Larger type gives another picture of the same readings, and the plain one is still the same."""
    view = GaugeReading()
    plain = picture(view)
    view.larger.value = True
    large = picture(view)
    view.larger.value = False
    assert plain != large and plain == picture(view)
    assert 2 == len({style.title_size for _, _, style in view._kept.kept})


def test_what_can_be_predicted_has_the_figures_of_the_findings() -> None:
    """Saturated temperatures, superheat, subcooling and efficiency are told; at rest nothing is."""
    view = GaugeReading()
    assert {"the superheat": "6.0 K", "the subcooling": "4.9 K"}.items() <= {name: told.shown for name, told in view.told().items()}.items()
    view.controls["discharge_pressure"].value = view.controls["suction_pressure"].value
    assert {} == view.told()


def test_a_picture_code_brings_the_readings_back() -> None:
    """The code of one panel sets another to the same readings, with pressures beyond another refrigerant's range too."""
    view = GaugeReading(refrigerant="R-744", valve_position="heating", suction_line="12.5C")
    other = GaugeReading(refrigerant="R-134a")
    other.go_to(view.write_code())
    assert {name: control.value for name, control in view.controls.items()} == {name: control.value for name, control in other.controls.items()}


# The questions --------------------------------------------------------------------------


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("question", [question for question in QUESTIONS if deal(question, 1).cycle is not None], ids=lambda question: question.id)
def test_the_panel_opens_at_the_readings_of_a_question(question, system: str) -> None:
    """The panel shows the cycle of every dealt question of the topic as gauges and probes would, in the learner's units."""
    for seed in range(1, 4):
        variant = deal(question, seed, system)
        view = GaugeReading.for_question(variant)
        assert (system, []) == (view.system, ids(view))
        points = [variant.cycle.point(label) for label in "12132"]
        stated = [shown_number(point.pressure, "gauge pressure", system, atmosphere=variant.atmosphere) for point in points[:2]]
        stated += [shown_number(point.temperature, "temperature", system) for point in points[2:]]
        assert stated == pytest.approx([view.controls[name].value for name in READ], abs=1e-5)
        assert variant.cycle.conditions.valve_position.value == view.controls["valve_position"].value


@pytest.mark.parametrize(("name", "words"), [("predict-gauge", "has no cycle"), ("boiling-from-gauge", "not at sea level")])
def test_a_question_that_the_panel_cannot_show_is_refused(name: str, words: str) -> None:
    """Without a cycle, or in the air of another altitude, the panel says so."""
    question = read_bank().question(name)
    refused = []
    for seed in range(1, 9):
        try:
            GaugeReading.for_question(deal(question, seed))
        except InputError as error:
            refused.append(str(error))
    assert refused and all(words in said for said in refused)


def test_the_superheat_grows_in_every_set_of_its_prediction() -> None:
    """Lesson 08 says that a lower pressure at the same line has more superheat: true of every set."""
    question = read_bank().question("predict-superheat-when-the-pressure-falls")
    for system in ("SI", "IP"):
        for seed in range(30):
            variant = deal(question, seed, system)
            assert variant.other.conditions.superheat > variant.cycle.conditions.superheat > 2.0


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.id)
def test_no_solution_has_two_signs_in_a_row(question, system: str) -> None:
    """A negative number after a minus stands in brackets."""
    for seed in range(40):
        solutions = [part.solution for part in deal(question, seed, system).parts]
        assert [] == [text for text in solutions if re.search(r"[-+−] ?[-−]", text)]


# The lesson -----------------------------------------------------------------------------


def test_the_figures_of_the_lesson_are_those_of_its_panel() -> None:
    """The worked figures are what the panel starts with, in both systems."""
    found, text = GaugeReading().findings, prose()
    readings = found.readings
    figures = [(readings.suction_pressure, "gauge pressure"), (readings.discharge_pressure, "gauge pressure")]
    figures += [(found.saturated_suction_temperature, "temperature"), (found.liquid_bubble_temperature, "temperature")]
    figures += [(readings.suction_line_temperature, "temperature"), (readings.liquid_line_temperature, "temperature")]
    figures += [(found.superheat, "temperature difference"), (found.subcooling, "temperature difference")]
    for value, kind in figures:
        assert f"{show(value, kind)} ({show(value, kind, 'IP')})" in text


@pytest.mark.parametrize("position", ["cooling", "heating"])
def test_the_lines_of_the_lesson_carry_what_the_flow_says(position: str) -> None:
    """The lesson's table of lines is that of the circuit: the vapour line carries discharge gas where the indoor coil condenses."""
    hot = flow(reversible_circuit(), ValvePosition(position)).condenser == "indoor coil"
    column = {"cooling": 1, "heating": 2}[position]
    cells = {row.split(" | ")[0].strip("| "): [cell.strip("| ") for cell in row.split(" | ")] for row in prose().splitlines() if row.startswith("| ") and " gas" in row}
    carried = {"vapour line": hot, "outdoor coil line": not hot, "discharge line": True, "suction line": False}
    assert {line: "discharge gas" if gas else "suction gas" for line, gas in carried.items()} == {line: cells[line][column] for line in carried}


def test_the_discharge_line_that_the_lesson_tries_is_too_cool() -> None:
    """Lesson 08 pulls the discharge line of its panel in heating down to 60 °C (140 °F), which is colder than a perfect compressor leaves it."""
    assert "60 °C (140 °F)" in prose()
    for units, value in (("SI", 60.0), ("IP", 140.0)):
        view = GaugeReading(valve_position="heating", units=units)
        view.controls["discharge_line"].value = value
        assert ["efficiency_above_one"] == ids(view)


@pytest.mark.parametrize("units", ["SI", "IP"])
@pytest.mark.parametrize(("name", "doubted"), [("R-454B", []), ("R-32", ["efficiency_above_one"])])
def test_a_wrong_refrigerant_can_pass_without_a_doubt(name: str, doubted: list[str], units: str) -> None:
    """Lesson 08, its panel in heating, R-410A's readings: R-454B raises no doubt, R-32 only by the discharge probe, and both figures are wrong."""
    view = GaugeReading(valve_position="heating", units=units)
    right = view.findings
    view.controls["refrigerant"].value = name
    assert doubted == ids(view)
    if name == "R-454B":
        assert min(abs(right.superheat - view.findings.superheat), abs(right.subcooling - view.findings.subcooling)) > 1.9
    view.controls["refrigerant"].value = "R-134a"
    assert len(ids(view)) > 2
    assert "With R-454B there is none" in prose() and "with R-32 only the discharge probe tells" in prose() and "no doubt is no proof" in prose()
