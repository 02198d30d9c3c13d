"""Charts as figures and as files: for the screen, for paper, blank (hpteach/diagrams/saving.py)."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.legend import Legend
from PIL import Image

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.diagrams import CHARTS, chart_figure, save_chart
from hpteach.diagrams.saving import ENDINGS, NAME_AND_DATE
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import catalogue, refrigerant

HEATING = Conditions(ValvePosition.HEATING, "outdoor coil", 273.15, 318.15, 5.0, 5.0, 0.7)
COOLING = replace(HEATING, valve_position=ValvePosition.COOLING, meters_towards="indoor coil")
R410A, R32 = refrigerant("R-410A"), refrigerant("R-32")
CYCLE = solve(R410A, HEATING)

# (what is drawn beside the refrigerant: cycles and options)
SHEETS = {
    "one cycle": ([CYCLE], {"paper": True}),
    "two cycles": ([CYCLE, solve(R410A, COOLING)], {"paper": True}),
    "energies": ([CYCLE], {"paper": True, "energies": True}),
    "beside": ([CYCLE, solve(R32, HEATING)], {"paper": True, "beside": R32}),
    "blank": ([], {"blank": True}),
    "blank beside": ([], {"blank": True, "beside": R32, "pressure_unit": "psia"}),
}


def texts(figure) -> list[str]:
    """Every text of a figure."""
    return [text.get_text() for text in figure.findobj(lambda artist: hasattr(artist, "get_text")) if text.get_text()]


@pytest.mark.parametrize(("kind", "sheet"), [*((kind, sheet) for kind in CHARTS for sheet in SHEETS), ("circuit", "one cycle"), ("circuit", "two cycles")])
def test_paper_has_no_colour(kind, sheet, tmp_path) -> None:
    """Every pixel of a chart or circuit for paper is grey, and some are black and most are white."""
    cycles, how = SHEETS[sheet]
    pixels = np.asarray(Image.open(save_chart(kind, R410A, cycles, tmp_path / "sheet.png", **how)).convert("RGB")).astype(int)
    assert 0 == np.ptp(pixels, axis=2).max()
    assert pixels.min() < 40 and np.median(pixels) == 255


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("kind", CHARTS)
def test_paper_is_a_sheet_of_a4(kind, sheet) -> None:
    """A sheet is 297 mm wide and 210 mm high (ISO 216), and nothing stands in the outer 5 mm, which printers leave white."""
    cycles, how = SHEETS[sheet]
    figure = chart_figure(kind, R410A, cycles, **how)
    figure.canvas.draw()
    assert (297.0, 210.0) == pytest.approx(tuple(25.4 * figure.get_size_inches()))
    shades = np.asarray(figure.canvas.buffer_rgba())[..., 0].copy()
    margin = int(5.0 / 25.4 * figure.dpi)
    shades[margin:-margin, margin:-margin] = 255
    assert 255 == shades.min()


@pytest.mark.parametrize(("cycles", "size"), [(1, (297.0, 210.0)), (2, (210.0, 297.0))])
def test_circuit_fills_a_sheet_of_a4(cycles, size) -> None:
    """One circuit lies across a sheet, two stand one below the other on an upright one."""
    figure = chart_figure("circuit", R410A, [CYCLE, solve(R410A, COOLING)][:cycles], paper=True)
    assert size == pytest.approx(tuple(25.4 * figure.get_size_inches()))


@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("name", catalogue())
def test_title_and_margin_of_a_blank_chart_do_not_touch(name, kind) -> None:
    """Every refrigerant's blank chart has its title and, clear of it and of the frame, the line for name and date; and no cycle."""
    figure = chart_figure(kind, refrigerant(name), [], blank=True)
    figure.canvas.draw()
    axes = figure.axes[0]
    title, asked = axes._left_title.get_window_extent(), axes._right_title.get_window_extent()
    assert (NAME_AND_DATE, True) == (axes._right_title.get_text(), name in axes._left_title.get_text())
    assert title.x1 < asked.x0 and asked.y0 > axes.get_window_extent().y1
    assert not {"heating", "cooling", "2a", "4a"} & set(texts(figure))


@pytest.mark.parametrize(("second", "numbers"), [(COOLING, 1), (replace(COOLING, subcooling=8.0), 2)])
def test_cycles_on_each_other_are_numbered_once(second, numbers) -> None:
    """Cooling and heating under the same conditions lie on each other and have one number at each point; other cycles have their own."""
    figure = chart_figure("temperature-entropy", R410A, [CYCLE, solve(R410A, second)], system="IP")  # no isobar has one figure
    figure.canvas.draw()
    assert [numbers] * 4 == [texts(figure).count(number) for number in "1234"]


def test_beside_names_cycles_by_refrigerant() -> None:
    """With a second refrigerant each cycle has its refrigerant's name, and both condense at the same dew temperature."""
    cycles, how = SHEETS["beside"]
    assert {"R-410A heating", "R-32 heating", "R-410A", "R-32"} <= set(texts(chart_figure("temperature-entropy", R410A, cycles, **how)))
    assert cycles[0].conditions == cycles[1].conditions


@pytest.mark.parametrize("paper", [True, False])
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize(("first", "second"), [("R-1234yf", "R-134a"), ("R-454B", "R-452B"), ("R-290", "R-32")])
def test_names_of_cycles_stand_clear_of_the_title(first, second, kind, paper) -> None:
    """With two refrigerants the names of the cycles do not reach into the title."""
    fluids = [refrigerant(name) for name in (first, second)]
    figure = chart_figure(kind, fluids[0], [solve(fluid, HEATING) for fluid in fluids], beside=fluids[1], paper=paper)
    figure.canvas.draw()
    axes = figure.axes[0]
    (names,) = [artist for artist in axes.artists if isinstance(artist, Legend)]
    assert axes._left_title.get_window_extent().x1 < names.get_window_extent().x0


@pytest.mark.parametrize("paper", [True, False])
@pytest.mark.parametrize("kind", CHARTS)
def test_energies_are_drawn_in(kind, paper) -> None:
    """Heat and work stand on the chart with the cycle's own numbers."""
    figure = chart_figure(kind, R410A, [CYCLE], energies=True, paper=paper)
    figure.canvas.draw()  # places and words are chosen then
    said = texts(figure)
    assert [] == [symbol for symbol in ("q_e", "q_c") if not any(text.startswith(f"{symbol} ") for text in said)]
    assert f"q_c {CYCLE.heat_rejected / 1000.0:.1f} kJ/kg" in said


def test_screen_is_as_before() -> None:
    """Without the options a chart keeps its size and has no fine grid."""
    figure = chart_figure("pressure-enthalpy", R410A, [CYCLE])
    assert (8.0, 6.4) == tuple(figure.get_size_inches())
    assert [] == [tick for tick in figure.axes[0].xaxis.get_minor_ticks() if tick.gridline.get_visible()]


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("sheet", ["energies", "blank"])
@pytest.mark.parametrize("kind", CHARTS)
def test_same_chart_is_the_same_file(kind, sheet, ending, tmp_path) -> None:
    """Saving twice gives the same bytes, with no date in them."""
    cycles, how = SHEETS[sheet]
    first, second = (save_chart(kind, R410A, cycles, tmp_path / f"{name}{ending}", **how).read_bytes() for name in ("first", "second"))
    assert first == second
    assert not re.search(rb"CreationDate|dc:date", first)


@pytest.mark.parametrize("sheet", ["two cycles", "energies", "blank"])
@pytest.mark.parametrize("kind", CHARTS)
def test_vector_file_finds_all_its_parts(kind, sheet, tmp_path) -> None:
    """Each part that an SVG refers to is there, and once."""
    cycles, how = SHEETS[sheet]
    svg = save_chart(kind, R410A, cycles, tmp_path / "chart.svg", **how).read_text("utf-8")
    named = re.findall(r'id="([^"]+)"', svg)
    assert len(named) == len(set(named))
    assert set() == set(re.findall(r'(?:href="#|url\(#)([^")]+)', svg)) - set(named)


@pytest.mark.parametrize(
    ("kind", "cycles", "how", "error", "says"),
    [
        ("pressure-enthalpy", [CYCLE], {"blank": True}, InputError, "a blank chart has no cycle"),
        ("pressure-enthalpy", [], {"blank": True, "energies": True}, InputError, "a blank chart has no cycle and no energies"),
        ("pressure-enthalpy", [], {"energies": True}, InputError, "energies are drawn for one cycle on a chart, not for 0"),
        ("temperature-entropy", [CYCLE, CYCLE], {"energies": True}, InputError, "not for 2"),
        ("pressure-enthalpy", [], {"pressure_unit": "psig"}, UnknownNameError, "pressure unit 'psig' is not known; did you mean psia"),
        ("pressure-enthalpy", [], {"beside": R410A}, InputError, "R-410A cannot stand beside itself"),
        ("circuit", [], {"blank": True}, InputError, "a drawing of the circuit cannot be blank"),
        ("circuit", [CYCLE], {"energies": True}, InputError, "a drawing of the circuit"),
        ("circuit", [CYCLE], {"pressure_unit": "kPa"}, InputError, "a drawing of the circuit"),
        ("circuit", [CYCLE], {"beside": R32}, InputError, "a drawing of the circuit"),
    ],
)
def test_what_does_not_go_together_is_refused(kind, cycles, how, error, says) -> None:
    """Each refusal says what is wrong and what would do."""
    with pytest.raises(error, match=re.escape(says)):
        chart_figure(kind, R410A, cycles, **how)
