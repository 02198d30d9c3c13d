"""The chart of moist air: its lines are those of the air, its marks stand where the air is."""

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.diagrams import PAPER, SCREEN
from hpteach.diagrams.air_chart import COLDEST, HOTTEST, AirChart
from hpteach.fluids import moist_air
from hpteach.machine.air_at_coil import air_at_coil
from hpteach.units import shown_number

ROOM = moist_air(299.15, relative_humidity=0.5)


def chart(system="SI", style=SCREEN):
    figure = Figure(figsize=(6.4, 5.4))
    FigureCanvasAgg(figure)
    return AirChart(figure.add_subplot(), system=system, style=style)


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_lines_are_those_of_the_air(system):
    """The thick line is saturated air, the others a fifth to four fifths of relative humidity, over the same temperatures."""
    drawn = [line.get_xydata() for line in chart(system).axes.lines]
    for line, share in zip(drawn, (1.0, 0.2, 0.4, 0.6, 0.8)):
        assert shown_number(np.array([COLDEST, HOTTEST]), "temperature", system) == pytest.approx(line[[0, -1], 0])
        for index in (5, 30, 55):
            temperature = COLDEST + (HOTTEST - COLDEST) * index / (len(line) - 1)
            expected = shown_number(moist_air(temperature, relative_humidity=share).humidity_ratio, "humidity ratio", system)
            assert expected == pytest.approx(line[index, 1], rel=1e-4)


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("surface", [283.15, 293.15])
def test_marks_stand_where_the_air_is(system, surface):
    """Air in, air out, surface and dew point stand at their temperature and humidity; the dry surface lies on the level of the air."""
    marks = chart(system).add_marks()
    passing = air_at_coil(ROOM, surface, 0.5)
    marks.show(passing, surface, ROOM.dew_point)
    at_surface = moist_air(surface, relative_humidity=1.0).humidity_ratio if surface < ROOM.dew_point else ROOM.humidity_ratio
    expected = [
        (ROOM.dew_point, ROOM.humidity_ratio), (surface, at_surface), (passing.leaving.dry_bulb, passing.leaving.humidity_ratio),
        (ROOM.dry_bulb, ROOM.humidity_ratio),
    ]  # fmt: skip
    places = [tuple(float(one[0]) for one in artist.get_data()) for artist in marks.artists[3:]]
    for (temperature, humidity), place in zip(expected, places, strict=True):
        assert pytest.approx((shown_number(temperature, "temperature", system), shown_number(humidity, "humidity ratio", system)), rel=1e-4) == place
    assert all(artist.get_animated() for artist in marks.artists)


@pytest.mark.parametrize("style", [SCREEN, PAPER, SCREEN.enlarged(1.3, 1.5)])
def test_marks_differ_by_shape_and_not_by_colour_alone(style):
    """In the key and on the chart each mark has a shape of its own."""
    drawn = chart(style=style)
    shapes = [artist.get_marker() for artist in drawn.add_marks().artists[3:]]
    assert len(set(shapes)) == len(shapes)
    legends = drawn.axes.figure.legends or [drawn.axes.get_legend()]
    assert ["air in", "air out", "surface", "dew point"] == [text.get_text() for text in legends[0].get_texts()]
