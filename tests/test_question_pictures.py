"""The pictures of a question: which there is to draw, and that it shows what the question holds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from hpteach.cycle import Cycle
from hpteach.diagrams import SCREEN
from hpteach.errors import InputError
from hpteach.question_pictures import Picture, asked_picture, save_picture, solution_picture
from hpteach.questions import Variant, deal, read_bank
from hpteach.units import shown_number

BANK = read_bank()


def dealt(question: str, seed: int = 5, system: str = "SI") -> Variant:
    """A question of the bank."""
    return deal(BANK.question(question), seed, system)


def drawn(picture: Picture) -> Figure:
    """The picture on a figure of its size."""
    figure = Figure(figsize=tuple(side / 100.0 for side in picture.size), dpi=100)
    picture.draw(figure, SCREEN)
    return figure


def has_point(axes, x: float, y: float, *, alone: bool = False) -> bool:  # noqa: ANN001
    """Whether a line of the picture has a point there; or a mark that is one point `alone`."""
    points = np.concatenate([line.get_xydata() for line in axes.lines if len(line.get_xydata()) == 1 or len(line.get_xydata()) and not alone])
    return bool(np.any(np.all(np.isclose(points, (x, y), rtol=1e-9), axis=1)))


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("question", ["cooling-cop", "specific-work-from-chart", "table-in-heating", "discharge-above-condensing"])
def test_a_cycle_stands_on_its_chart(question: str, system: str) -> None:
    """All four corners of the question's cycle are drawn, in the units of the question."""
    variant = dealt(question, system=system)
    axes = drawn(solution_picture(variant)).axes[0]
    for label in "1234":
        point = variant.cycle.point(label)
        assert has_point(axes, shown_number(point.enthalpy, "specific energy", system), shown_number(point.pressure, "pressure", system))


def test_a_question_of_entropy_has_the_chart_of_its_topic() -> None:
    """Where the topic is a chart, that one is drawn."""
    axes = drawn(solution_picture(dealt("real-work-from-efficiency"))).axes[0]
    assert "entropy" in axes.get_xlabel() and "temperature" in axes.get_ylabel()


@pytest.mark.parametrize(
    ("question", "names"),
    [("predict-perfect-compressor", "efficiency 1.000"), ("predict-colder-outdoors", "evaporating"), ("mass-flow-in-the-cold", "outdoors"), ("predict-suction-volume", "R-")],
)
def test_what_is_compared_is_thinner_and_named(question: str, names: str) -> None:
    """Two cycles, each with its name in the legend; the second dashed, thinner and without numbers."""
    variant = dealt(question)
    picture = solution_picture(variant)
    axes = drawn(picture).axes[0]
    legend = next(child for child in axes.get_children() if hasattr(child, "get_texts") and child is not axes.get_legend())
    assert names in [text.get_text() for text in legend.get_texts()][1] and "Thin and dashed, to compare" in picture.caption
    first, second = [next(line for line in axes.lines if line.get_label() == text.get_text()) for text in legend.get_texts()]
    assert second.get_linewidth() < first.get_linewidth() and "--" == second.get_linestyle()


def test_a_fault_stands_beside_the_healthy_machine() -> None:
    """The faulty cycle is the heavy one, by the words of the fault."""
    variant = dealt("split-at-a-dirty-coil")
    picture = solution_picture(variant)
    assert variant.fault.kind.words in picture.caption and picture.caption.endswith("to compare: healthy.")
    healthy: Cycle = variant.weather.cycle
    point = healthy.point("2")
    assert has_point(drawn(picture).axes[0], shown_number(point.enthalpy, "specific energy", "SI"), shown_number(point.pressure, "pressure", "SI"))


@pytest.mark.parametrize("question", ["gauge-at-altitude", "boiling-from-gauge", "predict-boiling-in-free-air", "foreign-gas-at-rest"])
def test_a_question_of_boiling_points_shows_them_and_no_cycle(question: str) -> None:
    """Saturation pressure over temperature, with the point that the question states; the condensing side that it does not name is left out."""
    variant = dealt(question)
    axes = drawn(solution_picture(variant)).axes[0]
    assert "boiling temperature" in axes.get_xlabel()
    low = variant.cycle.conditions.saturated_suction_temperature
    assert has_point(axes, shown_number(low, "temperature", "SI"), shown_number(variant.cycle.point(1).pressure, "pressure", "SI"), alone=True)
    high = variant.cycle.conditions.saturated_condensing_temperature
    stated = has_point(axes, shown_number(high, "temperature", "SI"), shown_number(variant.cycle.point(2).pressure, "pressure", "SI"), alone=True)
    assert stated is (question == "predict-boiling-in-free-air")


@pytest.mark.parametrize("seed", range(1, 9))
def test_no_label_of_a_boiling_point_covers_another(seed: int) -> None:
    """Up to four labels stand clear of each other."""
    axes = drawn(solution_picture(dealt("predict-boiling-in-free-air", seed, "IP"))).axes[0]
    boxes = [text.get_window_extent() for text in axes.texts if "°F" in text.get_text()]
    assert 4 == len(boxes)
    assert not any(one.overlaps(other) for index, one in enumerate(boxes) for other in boxes[:index])


@pytest.mark.parametrize("question", ["heat-and-its-split", "sensible-heat-of-the-air", "two-thermometers", "which-air-holds-more-water"])
def test_air_is_drawn_on_the_air_chart(question: str) -> None:
    """The air of the question has its place on the chart, and the key names no mark that is not there."""
    variant = dealt(question)
    axes = drawn(solution_picture(variant)).axes[0]
    entering = variant.air.entering
    assert has_point(axes, shown_number(entering.dry_bulb, "temperature", "SI"), shown_number(entering.humidity_ratio, "humidity ratio", "SI"))
    keys = {"two-thermometers": ["the air"], "which-air-holds-more-water": ["the air", "the other air"], "sensible-heat-of-the-air": ["air in", "air out"]}
    assert keys.get(question, ["air in", "air out", "surface", "dew point"]) == [text.get_text() for text in axes.get_legend().get_texts()]


def test_a_circuit_alone_is_drawn_as_it_stands() -> None:
    """The drawing says what the valve of the question does."""
    variant = dealt("valve-that-does-not-follow")
    words = [text.get_text() for text in drawn(solution_picture(variant)).axes[0].texts]
    assert "reversing valve" in words
    assert any(f"stands in {variant.flow.valve_position.value}" in sentence for sentence in solution_picture(variant).sentences)


@pytest.mark.parametrize("question", ["read-a-gauge", "break-even-cop", "charging-a-blend", "charge-in-a-room"])
def test_where_there_is_nothing_to_draw_there_is_no_picture(question: str) -> None:
    """A question of numbers or words alone has a solution in words."""
    assert solution_picture(dealt(question)) is None


@pytest.mark.parametrize("question", sorted(BANK.questions))
def test_every_question_can_be_drawn_or_has_nothing_to_draw(question: str) -> None:
    """Whatever is dealt, the picture comes with a caption and the same in sentences."""
    variant = dealt(question, 3)
    picture = solution_picture(variant)
    assert picture is not None or not (variant.cycle or variant.weather)
    if picture is not None:
        assert picture.caption.endswith(".") and picture.sentences and all(sentence.endswith(".") for sentence in picture.sentences)


CHARTED = sorted(question.id for question in BANK.questions.values() if any(part.read_from for part in question.parts))


@pytest.mark.parametrize("question", CHARTED)
def test_the_chart_to_read_is_that_of_the_question(question: str) -> None:
    """Its axes are those of its kind, and no text on it is a number of the answer."""
    variant = dealt(question)
    axes = drawn(asked_picture(variant)).axes[0]
    assert variant.chart.refrigerant in axes.get_title(loc="left")
    texts = {text.get_text() for text in axes.texts}
    answers = {part.solution.rsplit("= ", 1)[-1].rstrip(".") for part in variant.parts}
    assert not texts & answers


def test_a_chart_to_read_is_written_to_a_file(tmp_path: Path) -> None:
    """The chart of the question, and with `solution` the picture of what was asked."""
    variant = dealt(CHARTED[0])
    asked, solved = save_picture(variant, tmp_path / "asked.svg"), save_picture(variant, tmp_path / "solved.svg", solution=True)
    assert asked.read_bytes() != solved.read_bytes() and b"<svg" in solved.read_bytes()


@pytest.mark.parametrize(("question", "solution", "said"), [("cooling-cop", False, "without a chart"), ("read-a-gauge", True, "nothing to draw")])
def test_what_cannot_be_written_is_refused(question: str, solution: bool, said: str, tmp_path: Path) -> None:
    """The sentence says which option to leave out."""
    with pytest.raises(InputError, match=said):
        save_picture(dealt(question), tmp_path / "chart.svg", solution=solution)


def test_a_picture_with_moving_marks_has_them_in_its_file(tmp_path: Path) -> None:
    """What moves on a screen is drawn on paper too: the air's way past the coil makes the file larger."""
    with_marks = save_picture(dealt("heat-and-its-split"), tmp_path / "air.svg", solution=True).read_text("utf-8")
    assert "stroke-dasharray" in with_marks and len(with_marks) > 20_000
