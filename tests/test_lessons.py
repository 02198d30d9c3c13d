"""The lessons as files: their make, what they store, and the names that they use."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path

import pytest

import hpteach.panels
from hpteach.assessment.rounds import LAST_BOX, interval
from hpteach.questions import read_bank

FOLDER = Path(__file__).parents[1] / "notebooks"
NOTEBOOKS = sorted(FOLDER.rglob("*.ipynb"))
LESSONS = [path for path in NOTEBOOKS if path.stem[:2].isdigit() and path.parent == FOLDER]
NAMES = [path.stem for path in LESSONS]
STANDING = FOLDER / "where-i-stand.ipynb"
EXAM = FOLDER / "16-mock-exam.ipynb"
TAUGHT = [path for path in LESSONS if path != EXAM]
EACH = pytest.mark.parametrize("path", NOTEBOOKS, ids=[path.stem for path in NOTEBOOKS])
LESSON = pytest.mark.parametrize("path", LESSONS, ids=NAMES)


def cells(path: Path, kind: str) -> list[str]:
    """The sources of a lesson's cells of one kind."""
    return ["".join(cell["source"]) for cell in json.loads(path.read_text("utf-8"))["cells"] if cell["cell_type"] == kind]


@EACH
def test_a_lesson_stores_no_output_and_no_widget_state(path: Path) -> None:
    """A committed lesson carries neither outputs, nor counts, nor widget state."""
    lesson = json.loads(path.read_text("utf-8"))
    assert "widgets" not in lesson["metadata"]
    for cell in lesson["cells"]:
        if cell["cell_type"] == "code":
            assert ([], None) == (cell["outputs"], cell["execution_count"])


@EACH
def test_a_code_cell_is_one_import_and_one_call(path: Path) -> None:
    """Every code cell is one import from the library and one call, folded away from the reader."""
    lesson = json.loads(path.read_text("utf-8"))
    for cell in lesson["cells"]:
        if cell["cell_type"] == "code":
            body = ast.parse("".join(cell["source"])).body
            assert [ast.ImportFrom, ast.Expr] == [type(statement) for statement in body]
            assert body[0].module.startswith("hpteach") and isinstance(body[1].value, ast.Call)
            assert cell["metadata"]["jupyter"]["source_hidden"] is True


def text_of(path: Path) -> str:
    """All prose of a notebook."""
    return "\n".join(cells(path, "markdown"))


@LESSON
def test_a_lesson_says_what_it_needs_gives_and_leads_to(path: Path) -> None:
    """Every lesson names what to know before, minutes, objectives, how to begin, a summary card, cautions and what is next (test_lesson_parts looks at each)."""
    text = text_of(path)
    for said in ("**You need:**", "**Time:**", "After this lesson you can", "Run All Cells", "Summary card", "**Next:**", "(invented)"):
        assert said in text, said
    assert re.search(r"\*\*Caution\.|Before you touch a real machine", text)
    assert "local codes" in text


@LESSON
def test_a_lesson_asks_before_it_shows_and_checks_at_the_end(path: Path) -> None:
    """Predictions come first, explorers only through them; an exercise of its own closes the lesson (the mock exam that of it), with only the
    summary, cautions and the next lesson after it."""
    lesson = json.loads(path.read_text("utf-8"))["cells"]
    code = [index for index, cell in enumerate(lesson) if cell["cell_type"] == "code"]
    calls = [ast.parse("".join(lesson[index]["source"])).body[1].value.func.id for index in code]
    assert ("MockExam" if path == EXAM else "Exercise") == calls[-1] and "Prediction" in calls[:-1]
    assert "CycleExplorer" not in calls
    after = lesson[code[-1] + 1 :]
    assert 1 == len(after) and "".join(after[0]["source"]).startswith("## Summary card")


@pytest.mark.parametrize("path", LESSONS[1:], ids=NAMES[1:])
def test_what_gives_a_prediction_away_is_folded(path: Path) -> None:
    """Text after a prediction that tells its answer is folded until the learner opens it."""
    for source in cells(path, "markdown")[2:]:
        for heading in ("## Walk round", "## Follow the ref", "## Places stay", "## Summary card"):
            if heading in source:
                assert re.search(rf"{heading}[^\n]*\n\n<details>", source), heading
        assert source.count("<details>") == source.count("</details>")


def test_the_page_of_ones_own_shows_and_practises() -> None:
    """One page beside the lessons shows where the learner stands, then practises; it says what is kept and where, and cautions."""
    calls = [ast.parse(source).body[1].value.func.id for source in cells(STANDING, "code")]
    assert ["WhereIStand", "Practice"] == calls
    text = "\n".join(cells(STANDING, "markdown"))
    for said in ("**You need:**", "**Time:**", "With this page you can", "Run All Cells", "are invented", "in one file on this machine, and nowhere else", "**Caution.**", "local codes"):
        assert said in text, said
    assert f"rests longer each time: {', '.join(str(interval(box).days) for box in range(1, LAST_BOX))}, then {interval(LAST_BOX).days} days" in text


@EACH
def test_every_name_in_a_lesson_exists(path: Path) -> None:
    """Panels, questions and the next lesson's file named in a lesson are there."""
    questions = read_bank().questions
    for source in cells(path, "code"):
        for call in [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]:
            if isinstance(call.func, ast.Name):
                assert call.func.id in hpteach.panels.__all__
                if call.func.id in ("Exercise", "Prediction"):
                    assert call.args[0].value in questions
    for name in re.findall(r"[\w-]+\.ipynb", "\n".join(cells(path, "markdown"))):
        assert (path.parent / name).is_file(), name


@pytest.mark.parametrize("path", TAUGHT, ids=[path.stem for path in TAUGHT])
def test_every_exercise_of_a_lesson_foresees_two_mistakes(path: Path) -> None:
    """The exercise that closes a lesson knows at least two ways of going wrong."""
    name = re.search(r'Exercise\("([\w-]+)"', cells(path, "code")[-1])[1]
    from hpteach.questions import deal

    variant = deal(read_bank().question(name), 1)
    assert 2 <= len({mistake.id for part in variant.parts for mistake in part.mistakes})


def test_the_figures_in_the_prose_are_true() -> None:
    """Figures that lesson 00 and 06 state in prose: 7 °C is 44.6 °F, 12 °C is 53.6 °F, 5 K is 9 °F, air is 1.013 bar or 14.7 psi."""
    from hpteach.units import STANDARD_ATMOSPHERE, show

    start = "\n".join(cells(FOLDER / "00-start-here.ipynb", "markdown"))
    for figure in (show(280.15, "temperature", "IP"), show(285.15, "temperature", "IP"), "9 °F"):
        assert figure in start, figure
    assert "9.0 °F" == show(5.0, "temperature difference", "IP")
    assert f"{STANDARD_ATMOSPHERE / 1e5:.3f} bar (14.7 psia)" in start
    assert "14.7 psia" == show(STANDARD_ATMOSPHERE, "pressure", "IP")


def test_the_panel_of_lesson_00_shows_what_its_text_says() -> None:
    """R-134a at 20 °C has the absolute and the gauge pressure that lesson 00 states, in both systems."""
    from hpteach.fluids import refrigerant
    from hpteach.units import show

    pressure, text = refrigerant("R-134a").bubble_pressure(293.15), text_of(LESSONS[0])
    for kind in ("pressure", "gauge pressure"):
        assert f"{show(pressure, kind)} ({show(pressure, kind, 'IP')})" in text


def test_cooling_falls_with_the_suction_pressure() -> None:
    """Lesson 05 says that the same compressor cools less at a lower suction: true of every set of its prediction."""
    from hpteach.questions import deal

    question = read_bank().question("predict-evaporating-lower")
    for seed in range(40):
        variant = deal(question, seed)
        before, after = (
            cycle.refrigerating_effect * cycle.point(1).density for cycle in (variant.cycle, variant.other)
        )
        assert after < before and variant.other.cop_cooling < variant.cycle.cop_cooling


def test_the_impossible_pair_of_lesson_03_is_refused() -> None:
    """Lesson 03 sends both sliders to a pair that the panel refuses, in SI and in IP."""
    from hpteach.panels import CycleExplorer

    for units, condensing, suction in (("SI", 20.0, 25.0), ("IP", 68.0, 77.0)):
        view = CycleExplorer(refrigerant="R-134a", units=units)
        view.controls["saturated_condensing_temperature"].value = condensing
        view.controls["saturated_suction_temperature"].value = suction
        assert "not above" in view.refusal


def rows(path: Path, first: str) -> set[tuple[str, ...]]:
    """The rows of the tables in a lesson whose first cell is `first`, in words."""
    lines = [line for source in cells(path, "markdown") for line in source.splitlines() if line.startswith(f"| {first} |")]
    return {tuple(cell.strip() for cell in line.strip("|").split("|")) for line in lines}


@pytest.mark.parametrize("position", ["heating", "cooling"])
def test_the_tables_of_lessons_02_and_07_are_what_the_flow_says(position: str) -> None:
    """Roles in lesson 02, devices and check valves in lesson 07, are those of the circuit with a device at each coil."""
    from hpteach.circuit import flow, reversible_circuit

    found = flow(reversible_circuit(), position)
    open_at = next(where for where, state in found.check_valves.items() if state == "open")
    bypassed, working = found.metering.bypassed.split()[0], found.metering.working.split()[0]
    assert (position, found.condenser, found.evaporator) in rows(FOLDER / "02-who-is-who.ipynb", position)
    assert {(position, open_at, bypassed, working)} == rows(FOLDER / "07-metering-direction.ipynb", position)


@pytest.mark.parametrize(("where", "layout"), [("outdoors", "outdoor"), ("indoors", "indoor")])
def test_the_liquid_line_of_lesson_07_holds_what_the_flow_says(where: str, layout: str) -> None:
    """What the liquid line holds with a single device, in cooling and in heating."""
    from hpteach.circuit import MeteringLayout, ValvePosition
    from hpteach.questions.paths import StatedCircuit, flags, flow_of

    def held(position: ValvePosition) -> str:
        liquid = flags(flow_of(StatedCircuit(position, MeteringLayout(layout))))["liquid_line_liquid"]
        return "liquid at high pressure" if liquid else "mixture at low pressure"

    assert {(where, held(ValvePosition.COOLING), held(ValvePosition.HEATING))} == rows(FOLDER / "07-metering-direction.ipynb", where)


@pytest.mark.parametrize("name", ["02-who-is-who", "07-metering-direction"])
def test_the_changeover_is_shown_once_and_asks_first(name: str) -> None:
    """The lessons about roles and metering call the changeover once, and it asks before it shows."""
    calls = [source for source in cells(FOLDER / f"{name}.ipynb", "code") if "Changeover(" in source]
    assert 1 == len(calls) and "predict=True" in calls[0]


@pytest.mark.parametrize(("efficiency", "figure"), [(0.7, "4.05"), (1.0, "5.78")])
def test_the_cops_of_lesson_04_are_computed(efficiency: float, figure: str) -> None:
    """Lesson 04 states the COP in cooling of R-410A between 7 °C and 45 °C, with 5 K of superheat and of subcooling."""
    from hpteach.circuit import ValvePosition, flow, reversible_circuit
    from hpteach.cycle import conditions_for, solve
    from hpteach.fluids import refrigerant

    conditions = conditions_for(
        flow(reversible_circuit(), ValvePosition.COOLING),
        saturated_suction_temperature=280.15,
        saturated_condensing_temperature=318.15,
        superheat=5.0,
        subcooling=5.0,
        isentropic_efficiency=efficiency,
    )
    assert figure == f"{solve(refrigerant('R-410A'), conditions).cop_cooling:.2f}"
    assert re.search(rf"{figure} at (an isentropic efficiency of )?{efficiency:g}[ ,.]", "\n".join(cells(FOLDER / "04-temperature-and-entropy.ipynb", "markdown")))


def test_the_carnot_limit_of_lesson_04_is_that_of_its_temperatures() -> None:
    """The limit that lesson 04 works out, right and in degrees Celsius by mistake, follows from 7 °C and 45 °C."""
    from hpteach.units import show

    text = "\n".join(cells(FOLDER / "04-temperature-and-entropy.ipynb", "markdown"))
    cold, hot = 280.15, 318.15
    assert f"{cold:g} / {hot - cold:g} = {cold / (hot - cold):.2f}" in text
    assert f"With 7 instead of {cold:g} it would be {7 / 38:.2f}" in text
    assert f"7 °C ({show(cold, 'temperature', 'IP')}) and condensing at 45 °C ({show(hot, 'temperature', 'IP')})" in text


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize(("name", "cop"), [("carnot-limit-cooling", "cop_cooling"), ("carnot-limit-heating", "cop_heating")])
def test_no_dealt_cycle_passes_the_carnot_limit(name: str, cop: str, system: str) -> None:
    """In every set of both questions the limit that is asked for lies above the COP of the cycle."""
    from hpteach.questions import deal

    for seed in range(20):
        variant = deal(read_bank().question(name), seed, system)
        assert getattr(variant.cycle, cop) < variant.parts[0].answer


def both(value: float, kind: str) -> str:
    """A quantity as a lesson prints it for both shores."""
    from hpteach.units import show

    return f"{show(value, kind)} ({show(value, kind, 'IP')})"


def test_the_words_for_moist_air_of_lesson_10_are_of_one_air() -> None:
    """Wet bulb, dew point and humidity ratio in lesson 10 belong to air of 26 °C and 50 %."""
    from hpteach.fluids import moist_air

    air, path = moist_air(299.15, relative_humidity=0.5), FOLDER / "10-the-air-side.ipynb"
    for word, value in (("**dry bulb**", air.dry_bulb), ("**wet bulb**", air.wet_bulb), ("**dew point**", air.dew_point)):
        assert [both(value, "temperature")] == [row[2] for row in rows(path, word)]
    assert f"{1000.0 * air.humidity_ratio:.2f} g of water" in "\n".join(cells(path, "markdown"))


@pytest.mark.parametrize(("surface", "state"), [(291.15, "dry"), (283.15, "wet")])
def test_the_coil_of_lesson_10_is_computed(surface: float, state: str) -> None:
    """Heat, its parts and the water of the two coils in lesson 10 are those of the panel."""
    from hpteach.fluids import moist_air
    from hpteach.machine.air_at_coil import air_at_coil
    from hpteach.panels.air_side_panel import BYPASS

    found = air_at_coil(moist_air(299.15, relative_humidity=0.5), surface, 2000.0 / 3600.0, bypass=BYPASS)
    first = f"{both(surface, 'temperature')}, {state}"
    water = both(found.water, "water flow").replace("/h", "")
    heats = (both(value, "power") for value in (found.heat, found.sensible, found.latent))
    assert {(first, *heats, f"{found.sensible_heat_ratio:.2f}", water)} == rows(FOLDER / "10-the-air-side.ipynb", first)


@pytest.mark.parametrize(("first", "share"), [("all of it", 1.0), ("0.6 of it", 0.6)])
def test_less_air_in_lesson_10_is_computed(first: str, share: float) -> None:
    """What less air does to the bench unit in lesson 10 is what the machine does."""
    from hpteach.circuit import ValvePosition
    from hpteach.fluids import moist_air
    from hpteach.questions.weather import Weather

    airs = moist_air(308.15, relative_humidity=0.4), moist_air(299.15, relative_humidity=0.5)
    weather = Weather("R-32", ValvePosition.COOLING, *airs, indoor_air_share=share)
    found = weather.found() | weather.derived(weather.found())
    temperatures = (both(found[name], "temperature") for name in ("saturated_suction_temperature", "indoor_surface", "supply_temperature"))
    heats = (both(found[name], "power") for name in ("capacity", "sensible", "latent"))
    assert {(first, *temperatures, *heats)} == rows(FOLDER / "10-the-air-side.ipynb", first)


@pytest.mark.parametrize(("first", "outdoors"), [("15 °C (59 °F)", 15), ("7 °C (44.6 °F)", 7), ("0 °C (32 °F)", 0), ("-7 °C (19.4 °F)", -7), ("-15 °C (5 °F)", -15)])
def test_the_weather_of_lesson_11_is_computed(first: str, outdoors: float) -> None:
    """What the outdoor temperature does to the bench unit in lesson 11 is what the machine does."""
    from hpteach.circuit import ValvePosition
    from hpteach.fluids import moist_air
    from hpteach.questions.weather import Weather

    airs = moist_air(273.15 + outdoors, relative_humidity=0.8), moist_air(293.15, relative_humidity=0.4)
    weather = Weather("R-32", ValvePosition.HEATING, *airs)
    found = weather.found() | weather.derived(weather.found())
    expected = (
        both(found["saturated_suction_temperature"], "temperature"), both(found["suction_density"], "density"), both(found["mass_flow"], "mass flow"),
        f"{found['pressure_ratio']:.2f}", both(found["capacity"], "power"), f"{found['cop']:.2f}", both(found["supply_temperature"], "temperature"),
    )  # fmt: skip
    assert {(first, *expected)} == rows(FOLDER / "11-outdoor-temperature.ipynb", first)


def test_the_limit_of_lesson_11_lies_where_it_says() -> None:
    """The discharge of the bench unit for R-32 is within its limit at -15 °C and beyond it at -20 °C, by the figures of lesson 11; that of R-290 is cooler."""
    from hpteach.circuit import ValvePosition
    from hpteach.fluids import moist_air
    from hpteach.machine import demo_machine, operate

    text = "\n".join(cells(FOLDER / "11-outdoor-temperature.ipynb", "markdown"))
    room = moist_air(293.15, relative_humidity=0.4)
    hot = [operate(demo_machine("R-32"), ValvePosition.HEATING, moist_air(273.15 + one, relative_humidity=0.8), room).discharge_temperature for one in (-15.0, -20.0)]
    limit = demo_machine("R-32").limits.discharge_temperature
    assert hot[0] < limit < hot[1] and "130 °C (266 °F)" in text and 403.15 == limit
    assert both(hot[0], "temperature") in text and both(hot[1], "temperature") in text
    cool = operate(demo_machine("R-290"), ValvePosition.HEATING, moist_air(258.15, relative_humidity=0.8), room)
    assert cool.discharge_temperature < hot[0] - 30.0
