"""The panel for blends with glide, its exercises, and the figures that lesson 09 states."""

from __future__ import annotations

import json
import re
from pathlib import Path

import CoolProp
import pytest
from CoolProp.CoolProp import AbstractState

from hpteach.errors import HpteachError, InputError, UnknownNameError
from hpteach.fluids import catalogue, refrigerant
from hpteach.panels import GlideView
from hpteach.questions import deal, read_bank
from hpteach.units import STANDARD_ATMOSPHERE, read, show, shown_number

LESSON = Path(__file__).parents[1] / "notebooks" / "09-blends-and-glide.ipynb"
BLENDS = [question for question in read_bank().questions.values() if question.topic == "blends"]


def prose() -> str:
    """All text of the lesson."""
    return "\n".join("".join(cell["source"]) for cell in json.loads(LESSON.read_text("utf-8"))["cells"] if cell["cell_type"] == "markdown")


# The panel ------------------------------------------------------------------------------


def test_blends_stand_first_in_the_list() -> None:
    """The list of refrigerants holds the whole catalogue, and begins with the blends that have glide."""
    options = list(GlideView().controls["refrigerant"].options)
    models = [catalogue()[name].model for name in options]
    assert set(catalogue()) == set(options)
    assert ["blend"] * models.count("blend") == models[: models.count("blend")]


@pytest.mark.parametrize("name", ["R-407C", "R-454B", "R-454C", "R-410A", "R-32"])
def test_superheat_counts_from_dew_and_subcooling_from_bubble(name: str) -> None:
    """On the suction line the right count is from dew, on the liquid line from bubble, and the wrong one is larger by the glide."""
    fluid = refrigerant(name)
    for side, pressure in (("suction line", 5e5), ("liquid line", 15e5)):
        bubble, dew = fluid.bubble_temperature(pressure), fluid.dew_temperature(pressure)
        line = dew + 7.0 if side == "suction line" else bubble - 4.0
        view = GlideView(refrigerant=name, side=side, pressure=f"{pressure}Pa", line_temperature=f"{line}K")
        expected = (7.0, line - bubble) if side == "suction line" else (4.0, dew - line)
        assert expected == pytest.approx((view.glide_reading.right, view.glide_reading.wrong), abs=1e-5)
        assert f"{expected[0]:.1f} K" in view.reading.value and f"{expected[0]:.1f} K" in view.table.value
        if dew - bubble > 0.5:
            assert f"would seem to be {expected[1]:.1f} K" in view.reading.value


def test_the_drawn_coil_warms_from_bubble_to_dew() -> None:
    """The drawn temperatures rise with the share of vapour, from the bubble to the dew temperature."""
    view = GlideView(refrigerant="R-454C", pressure="5bar")
    shares, drawn = view._mixture.get_data()
    fluid = refrigerant("R-454C")
    assert (0.0, 1.0) == (shares[0], shares[-1])
    assert sorted(drawn) == list(drawn) and len(set(drawn)) == len(drawn)
    assert (fluid.bubble_temperature(5e5) - 273.15, fluid.dew_temperature(5e5) - 273.15) == pytest.approx((drawn[0], drawn[-1]), abs=1e-6)


def test_one_substance_has_a_flat_line() -> None:
    """R-32 is drawn flat, and the words say that it has no glide."""
    view = GlideView(refrigerant="R-32", pressure="9bar")
    drawn = view._mixture.get_ydata()
    assert max(drawn) - min(drawn) < 1e-6
    assert "no glide" in view.reading.value and "0.0 K" in view.table.value


def test_between_the_columns_there_is_no_count_but_the_wrong_one_shows_some() -> None:
    """With a suction line between bubble and dew the panel says that liquid is left, which the bubble column would hide."""
    view = GlideView(refrigerant="R-407C", pressure="5.5bar", line_temperature="3C")
    assert view.glide_reading.right < 0.0 < view.glide_reading.wrong
    assert "still holds liquid" in view.reading.value and "that is not there" in view.reading.value
    assert "none" in view.table.value
    view = GlideView(refrigerant="R-407C", side="liquid line", pressure="16bar", line_temperature="39C")
    assert "still holds vapour" in view.reading.value and "that is not there" in view.reading.value


def test_a_line_beyond_both_columns_is_questioned() -> None:
    """A suction line colder than bubble cannot be vapour, so that the panel asks which gauge and line were read."""
    assert "liquid only" in GlideView(refrigerant="R-407C", pressure="5.5bar", line_temperature="-20C").reading.value
    assert "vapour only" in GlideView(refrigerant="R-407C", side="liquid line", pressure="16bar", line_temperature="60C").reading.value


@pytest.mark.parametrize(
    ("control", "value"),
    [("refrigerant", "R-454B"), ("side", "liquid line"), ("pressure", 6.2), ("line_temperature", 15.0), ("units", "IP")],
)
def test_every_control_moves_picture_table_and_reading(control: str, value: object) -> None:
    """A change of one control changes the picture, the table and the reading."""
    view = GlideView()
    before = [bytes(view._picture.image.value), view.table.value, view.reading.value]
    view.controls[control].value = value
    after = [bytes(view._picture.image.value), view.table.value, view.reading.value]
    assert view.refusal is None
    assert [True] * 3 == [old != new for old, new in zip(before, after)]


def test_each_line_keeps_its_pressure_and_temperature() -> None:
    """Going to the liquid line and back finds the suction line as it was left."""
    view = GlideView()
    view.set({"pressure": 4.8, "line_temperature": 9.5})
    view.controls["side"].value = "liquid line"
    assert view.controls["pressure"].value > 10.0 and view.glide_reading.right > 0.0
    view.controls["side"].value = "suction line"
    assert (4.8, 9.5) == (view.controls["pressure"].value, view.controls["line_temperature"].value)


@pytest.mark.parametrize("name", catalogue())
def test_both_lines_start_with_a_count_for_every_refrigerant(name: str) -> None:
    """Whatever the refrigerant, either line starts at a state that has superheat or subcooling."""
    for side in ("suction line", "liquid line"):
        view = GlideView(refrigerant=name, side=side)
        assert view.refusal is None and view.glide_reading.right > 0.0


def test_turning_the_units_keeps_the_state() -> None:
    """SI to IP and back leaves pressure, line temperature and controls as they were, also at a slider's end."""
    for pressure in ("5.5bar", "0.5bar"):
        view = GlideView(refrigerant="R-407C", pressure=pressure, line_temperature="-40C")
        before, values = view.glide_reading, {name: control.value for name, control in view.controls.items()}
        view.controls["units"].value = "IP"
        assert before.pressure == pytest.approx(view.glide_reading.pressure, abs=0.01) and "psia" in view.table.value
        view.controls["units"].value = "SI"
        assert values == {name: control.value for name, control in view.controls.items()}


def test_a_pressure_at_an_end_keeps_its_code_in_the_other_units() -> None:
    """The least pressure of SI lies below the round end of IP: turned, it stays, and its code leads back to it."""
    view, other, least = GlideView(pressure="0.5bar"), GlideView(), round(shown_number(0.5e5, "pressure", "IP"), 6)
    view.controls["units"].value = "IP"
    assert least == view.controls["pressure"].value == GlideView(pressure="0.5bar", units="IP").controls["pressure"].value
    other.go_to(view.code.value)
    assert abs(least - other.controls["pressure"].value) <= 0.00005
    view.controls["units"].value = "SI"
    assert (0.5, 0.5, 45.0) == (view.controls["pressure"].value, view.controls["pressure"].min, view.controls["pressure"].max)


def test_going_to_the_other_line_moves_no_number() -> None:
    """The liquid line of R-744 starts at 45 bar, which is beyond the round end of IP: it stays so there, and back in SI."""
    highest = round(shown_number(45e5, "pressure", "IP"), 6)
    for view in (GlideView(refrigerant="R-744", units="IP"), GlideView(refrigerant="R-744")):
        view.controls["side"].value = "liquid line"
        view.controls["units"].value = "IP"
        assert (None, highest) == (view.refusal, view.controls["pressure"].value)
        assert view.code.value
        view.controls["side"].value = "suction line"
        view.controls["side"].value = "liquid line"
        assert highest == view.controls["pressure"].value
        view.controls["units"].value = "SI"
        assert 45.0 == view.controls["pressure"].value == view.controls["pressure"].max


def test_a_pressure_near_the_critical_point_fades_the_picture_and_says_why() -> None:
    """A refused pressure stands in the status line, the last picture fades, and both recover."""
    view = GlideView(refrigerant="R-407C")
    good = bytes(view._picture.image.value)
    view.controls["pressure"].value = 44.0
    assert "R-407C" in view.refusal and good != bytes(view._picture.image.value)
    assert "hpteach-faded" in view.table._dom_classes
    view.controls["pressure"].value = 5.5
    assert view.refusal is None and good == bytes(view._picture.image.value)
    assert "hpteach-faded" not in view.table._dom_classes


def test_what_the_panel_cannot_show_is_refused() -> None:
    """An unknown line and a pressure beyond the slider are refused with what is allowed."""
    with pytest.raises(UnknownNameError, match="suction line"):
        GlideView(side="discharge line")
    with pytest.raises(InputError, match="outside the panel's 0.5 to 45 bar"):
        GlideView(pressure="50bar")
    with pytest.raises(InputError, match="outside the panel's 7.3 to 652.6 psi"):
        GlideView(pressure="653psia", units="IP")
    with pytest.raises(HpteachError, match="has no cycle"):
        GlideView.for_question(deal(read_bank().question("leak-of-a-blend"), 1))


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_the_panel_opens_at_a_question(system: str) -> None:
    """After a prediction the panel stands at its refrigerant, pressure and line, in its units."""
    for id, point, side in (("superheat-of-a-blend", "1", "suction line"), ("subcooling-of-a-blend", "3", "liquid line")):
        variant = deal(read_bank().question(id), 4, system)
        view = GlideView.for_question(variant)
        expected = variant.cycle.point(point)
        assert (variant.cycle.refrigerant, side, system) == (view.glide_reading.fluid.name, view.glide_reading.side, view.system)
        assert expected.pressure == pytest.approx(view.glide_reading.pressure, abs=0.01)
        assert expected.temperature == pytest.approx(view.glide_reading.line_temperature, abs=1e-5)


# The exercises --------------------------------------------------------------------------


def test_the_superheat_exercise_can_be_done_with_the_panel() -> None:
    """Gauge plus air pressure set in the panel gives the answer of the exercise, and its wrong column the foreseen mistake."""
    for seed in range(12):
        variant = deal(read_bank().question("superheat-of-a-blend"), seed)
        part = variant.part("superheat")
        gauge = float(re.search(r"gauge shows ([\d.]+) bar g", variant.prompt)[1])
        line = float(re.search(r"suction line shows (\d+) °C", variant.prompt)[1])
        view = GlideView(refrigerant="R-454C")
        view.set({"pressure": round(gauge + 1.01, 2), "line_temperature": line})
        mistakes = {mistake.id: mistake.value for mistake in part.mistakes}
        assert {"bubble_for_dew", "gauge_read_as_absolute"} <= set(mistakes)
        assert part.answer == pytest.approx(view.glide_reading.right, abs=0.01)
        assert mistakes["bubble_for_dew"] == pytest.approx(view.glide_reading.wrong, abs=0.01)
        view.set({"pressure": gauge})
        assert mistakes["gauge_read_as_absolute"] == pytest.approx(view.glide_reading.right, abs=0.01)


def test_the_subcooling_exercise_counts_from_the_printed_bubble() -> None:
    """The answer is the printed bubble temperature less the printed line; the dew column gives the foreseen mistake."""
    for seed in range(12):
        variant = deal(read_bank().question("subcooling-of-a-blend"), seed)
        part = variant.part("subcooling")
        line, bubble, dew = (float(re.search(rf"{word} ([\d.]+) °C", variant.prompt)[1]) for word in ("line shows", "bubble", "dew"))
        assert bubble - line == pytest.approx(part.answer, abs=1e-6)
        assert {"dew_for_bubble"} <= {mistake.id for mistake in part.mistakes if abs(mistake.value - (dew - line)) < 1e-6}


def test_the_predicted_coil_warms() -> None:
    """In every set of the prediction the blend warms by more than 3 K on its way from the inlet to dew, as its right choice says."""
    names = set()
    for seed in range(20):
        variant = deal(read_bank().question("predict-coil-temperature"), seed)
        names.add(variant.cycle.refrigerant)
        assert variant.cycle.point("4a").temperature - variant.cycle.point("4").temperature > 3.0
        assert "It rises by several degrees." == variant.parts[0].answer
    assert {"R-407C", "R-454C"} == names


def test_one_column_serves_for_the_blend_that_the_exercise_says() -> None:
    """At every drawn temperature the glide of R-410A is below 0.3 K, that of R-407C above 4 K, and that of R-454C above both."""
    for celsius in range(35, 53):
        glides = [refrigerant(name).glide(refrigerant(name).dew_pressure(273.15 + celsius)) for name in ("R-410A", "R-407C", "R-454C")]
        assert glides[0] < 0.3 and 4.0 < glides[1] < glides[2]


@pytest.mark.parametrize("question", BLENDS, ids=lambda question: question.id)
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_every_set_keeps_two_mistakes_apart(question, system: str) -> None:
    """In every set each part keeps at least two mistakes that can be told from the answer and from each other."""
    for seed in range(25):
        for part in deal(question, seed, system).parts:
            assert 2 <= len(part.mistakes)


# The lesson's figures -------------------------------------------------------------------


@pytest.mark.parametrize("name", ["R-410A", "R-454B", "R-407C", "R-454C"])
def test_the_glides_of_the_prose_are_computed_ones(name: str) -> None:
    """Each row of the lesson's table of glides is the library's glide where dew is at 5 °C (41 °F)."""
    fluid = refrigerant(name)
    glide = fluid.glide(fluid.dew_pressure(278.15))
    shown = [show(glide, "temperature difference", system) for system in ("SI", "IP")]
    assert f"| {name} | {shown[0]} ({shown[1]}) |" in prose()
    assert "5 °C (41 °F)" in prose() and 278.15 == pytest.approx(read("41F", "temperature"))


def test_the_glide_at_high_pressure_of_the_prose_is_a_computed_one() -> None:
    """The lesson's glide of R-407C where dew is at 45 °C (113 °F) is the library's."""
    fluid = refrigerant("R-407C")
    glide = fluid.glide(fluid.dew_pressure(318.15))
    assert f"45 °C (113 °F) it is {show(glide, 'temperature difference')} ({show(glide, 'temperature difference', 'IP')})" in prose()
    assert 318.15 == pytest.approx(read("113F", "temperature"))


def test_the_parts_of_r407c_stand_in_the_order_that_the_leak_exercise_says() -> None:
    """Of the parts that the collection lists, R-32 has a higher pressure than R-134a, and R-407C holds most of R-134a."""
    parts = catalogue()["R-407C"].composition
    assert {"R-32", "R-125", "R-134a"} == set(parts) and "R-134a" == max(parts, key=parts.get)
    for temperature in (263.15, 293.15, 313.15):
        assert refrigerant("R-32").dew_pressure(temperature) > refrigerant("R-134a").dew_pressure(temperature) > STANDARD_ATMOSPHERE
    assert ("A2L", "A1") == (catalogue()["R-32"].safety_class, catalogue()["R-407C"].safety_class)


@pytest.mark.parametrize("temperature", [263.15, 293.15])
def test_the_vapour_above_r407c_is_richest_in_what_the_leak_exercise_says(temperature: float) -> None:
    """Source: CoolProp's mixture model (Lemmon & Jacobsen 2004), asked directly: over liquid of R-407C the vapour holds more than
    the liquid's share of R-32, which gains most, and less of R-134a."""
    state = AbstractState("HEOS", "R407C.mix")
    state.update(CoolProp.QT_INPUTS, 0.0, temperature)
    gains = {name: y / x for name, x, y in zip(state.fluid_names(), state.mole_fractions_liquid(), state.mole_fractions_vapor())}
    assert "R32" == max(gains, key=gains.get) and gains["R32"] > 1.2
    assert "R134a" == min(gains, key=gains.get) and gains["R134a"] < 0.8


def test_the_blends_that_the_caution_calls_flammable_are() -> None:
    """The lesson calls R-454B and R-454C mildly flammable, as the catalogue has them."""
    assert "R-454B and R-454C are mildly flammable (A2L)" in prose()
    assert ["A2L", "A2L"] == [catalogue()[name].safety_class for name in ("R-454B", "R-454C")]
