"""The pressure-temperature chart: at which pressure a fluid boils at each temperature.

What lives here: the saturation lines of one fluid or two on given Axes, and the marks that
move on them.  What does not: cycles (chart), controls and sentences (panels).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import FuncFormatter, LogLocator, MultipleLocator, NullFormatter

from hpteach.diagrams.sheet import fitting_title, key_below
from hpteach.diagrams.style import SCREEN, Look, Style
from hpteach.errors import HpteachError, InputError
from hpteach.fluids import Refrigerant
from hpteach.units import STANDARD_ATMOSPHERE, atmosphere_at, show, shown_number, unit_shown

COLDEST, HOTTEST = 213.15, 353.15
"""K (-60 °C and 80 °C): below the boiling points in free air, above the condensing temperatures of the lessons."""

_PAST_BOILING = 10.0
"""K above the boiling point in free air to which a line reaches at least, as that of water."""

_WINDOW = (158.15, 418.15)  # K (-115 and 145 °C): room for labels on both sides
_ROOM = (0.33, 0.27)  # of the span of the lines, left free below and above them for labels
_POINTS = 41
_APART = 15.0  # points between the names of lines that end close together
_ASIDE = 57.0  # points by which such names stand aside, for the label of a mark near the end
_CLOSE = 60.0  # points between two ends that count as close
_WIDE = 1e3  # highest over lowest pressure from which a chart has few numbers on its axis
_ROOM_OF_NUMBER = 2.6  # of its size: what a number on the axis needs
_SHEER = 0.85  # how much of what lies below a label its paper hides

VISIBLE_GLIDE = 0.5
"""K at the pressure of the air; with less, dew line and bubble line are one line to the eye."""

_DEW_STYLES = ("-", "-.")
_BUBBLE_STYLE = "--"


@dataclass(frozen=True)
class SaturationLine:
    """One line of a fluid: where dew forms, where bubbles form, or both where they are one line.

    `side` is "dew", "bubble" or "both".  As everywhere in the collection, a single pressure at
    a temperature is the dew pressure, and a single boiling point is that of the liquid.
    """

    fluid: Refrigerant
    side: str

    @property
    def name(self) -> str:
        """What stands beside the line."""
        return self.fluid.name if self.side == "both" else f"{self.fluid.name}, {self.side} line"

    def pressure(self, temperature: float) -> float:
        """The pressure (Pa) on the line at T (K); raises `LimitError` off the dome."""
        return (self.fluid.bubble_pressure if self.side == "bubble" else self.fluid.dew_pressure)(temperature)

    def boiling_temperature(self, pressure: float) -> float:
        """The temperature (K) on the line at p (Pa); raises `LimitError` off the dome."""
        return (self.fluid.dew_temperature if self.side == "dew" else self.fluid.bubble_temperature)(pressure)

    def read(self, temperature: float, atmosphere: float) -> LineReading:
        """What the line says at T (K) and for the air's pressure (Pa); what it cannot say is refused in the reading.

        >>> from hpteach.fluids import water
        >>> reading = SaturationLine(water(), "both").read(263.15, 101325.0)
        >>> reading.pressure is None, round(reading.boiling - 273.15, 2), len(reading.refusals)
        (True, 99.97, 1)
        """
        refusals: list[HpteachError] = []

        def tried(ask: Callable[[float], float], at: float) -> float | None:
            try:
                return ask(at)
            except HpteachError as error:
                refusals.append(error)
                return None

        return LineReading(self, tried(self.pressure, temperature), tried(self.boiling_temperature, atmosphere), tuple(refusals))


@dataclass(frozen=True)
class LineReading:
    """Pressure (Pa) at the chosen temperature and boiling temperature (K) in free air; None where it was refused."""

    line: SaturationLine
    pressure: float | None
    boiling: float | None
    refusals: tuple[HpteachError, ...]


def saturation_lines(fluid: Refrigerant) -> tuple[SaturationLine, ...]:
    """The lines to draw of a fluid: one, or dew and bubble where they differ visibly.

    >>> from hpteach.fluids import refrigerant
    >>> [line.name for line in saturation_lines(refrigerant("R-410A"))]
    ['R-410A']
    """
    if fluid.listing.model == "pure" or fluid.glide(STANDARD_ATMOSPHERE) < VISIBLE_GLIDE:
        return (SaturationLine(fluid, "both"),)
    return tuple(SaturationLine(fluid, side) for side in ("dew", "bubble"))


class PressureTemperatureChart:
    """Saturation pressure (logarithmic, absolute) over temperature, of one fluid or two.

    Each line has a style of its own and its name at its end; the bubble line of a blend is
    dashed.  Raises `InputError` for none or more than two fluids.

    >>> from matplotlib.figure import Figure
    >>> from hpteach.fluids import refrigerant, water
    >>> chart = PressureTemperatureChart(Figure().add_subplot(), [refrigerant("R-32"), water()])
    >>> chart.axes.get_ylabel()
    'absolute pressure p, bar'
    """

    def __init__(self, axes: Axes, fluids: Sequence[Refrigerant], *, system: str = "SI", style: Style = SCREEN) -> None:
        if not 1 <= len(fluids) <= len(_DEW_STYLES):
            raise InputError(f"a pressure-temperature chart of {len(fluids)} fluids cannot be drawn: give one or two")
        self.axes, self.system, self.style = axes, system, style
        self.lines = tuple(saturation_lines(fluid) for fluid in fluids)
        self._frame(" and ".join(fluid.name for fluid in fluids))
        curves = [(line, index, self._curve(line)) for index, lines in enumerate(self.lines) for line in lines]
        thin_air = self.place(COLDEST, 0.6 * STANDARD_ATMOSPHERE)[1]  # that of 4000 m, also where nothing boils in it
        pressures = np.concatenate([[thin_air], *(curve[1] for _, _, curve in curves)])
        span = pressures.max() / pressures.min()
        axes.set_ylim(pressures.min() / span ** _ROOM[0], pressures.max() * span ** _ROOM[1])
        # Water beside a refrigerant spans so many decades that there is room for their numbers only.
        axes.yaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0) if span < _WIDE else (1.0,)))
        for line, index, curve in curves:
            style_of_line, weight = (_BUBBLE_STYLE, 0.7) if line.side == "bubble" else (_DEW_STYLES[index], 1.1)
            axes.add_line(
                Line2D(*curve, color=self.look(index).colour, linestyle=style_of_line, linewidth=weight * style.dome_weight, label=line.name, zorder=2.5)
            )
        # A bubble line lies beside its dew line, dashed; the key names it.
        self._name_lines([(line.fluid.name, index, curve[0][-1], curve[1][-1]) for line, index, curve in curves if line.side != "bubble"])
        self._key()

    def look(self, index: int) -> Look:
        """Colour and marker of the first fluid or the second."""
        return replace(self.style.looks[index], line_style=_DEW_STYLES[index])

    def add_marks(self) -> PressureTemperatureMarks:
        """The marks of a chosen temperature and altitude, to be moved by their `show`."""
        return PressureTemperatureMarks(self)

    def place(self, temperature: Any, pressure: Any) -> tuple[Any, Any]:
        """Where T (K) and p (Pa) stand on this chart, in shown numbers."""
        return shown_number(temperature, "temperature", self.system), shown_number(pressure, "pressure", self.system)

    def _frame(self, names: str) -> None:
        axes, style, system = self.axes, self.style, self.system
        axes.set_facecolor(style.paper)
        fitting_title(axes, [f"{names}: boiling temperature and pressure", f"{names}: boiling point", names], style.title_size, style)
        axes.set_xlabel(f"boiling temperature T, {unit_shown('temperature', system).label}", fontsize=style.label_size, color=style.ink)
        axes.set_ylabel(f"absolute pressure p, {unit_shown('pressure', system).label}", fontsize=style.label_size, color=style.ink)
        axes.tick_params(labelsize=style.tick_size, colors=style.ink)
        axes.set_yscale("log")
        axes.set_xlim(*(shown_number(end, "temperature", system) for end in _WINDOW))
        step = 40.0 if system == "IP" else 20.0
        crowded = abs(np.diff(axes.get_xlim())[0]) / step * _ROOM_OF_NUMBER * style.tick_size > axes.bbox.width * 72.0 / axes.figure.dpi
        axes.xaxis.set_major_locator(MultipleLocator(2.0 * step if crowded else step))
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
        axes.yaxis.set_minor_formatter(NullFormatter())
        axes.grid(True, which="major", color="#d8d8d8", linewidth=0.6, zorder=0.5)

    def _curve(self, line: SaturationLine) -> tuple[np.ndarray, np.ndarray]:
        fluid = line.fluid
        coldest = max(fluid.lowest_temperature, COLDEST)
        hottest = HOTTEST
        if fluid.lowest_saturation_pressure <= STANDARD_ATMOSPHERE:
            hottest = max(hottest, line.boiling_temperature(STANDARD_ATMOSPHERE) + _PAST_BOILING)
        temperatures = np.linspace(coldest, min(hottest, fluid.highest_saturation_temperature), _POINTS)
        return self.place(temperatures, np.array([line.pressure(float(t)) for t in temperatures]))

    def _name_lines(self, ends: list[tuple[str, int, float, float]]) -> None:
        """Each fluid's name right of the end of its line, aside and moved up where another ends close by."""
        places = self.axes.transData.transform([end[2:] for end in ends]) * 72.0 / self.axes.figure.dpi
        highest = -np.inf
        for place, (name, index, x, y) in sorted(zip(places.tolist(), ends), key=lambda pair: pair[0][1]):
            close = sum(max(abs(np.subtract(place, other))) < _CLOSE for other in places) > 1
            highest = max(place[1], highest + _APART)
            colour = self.look(index).colour
            self.axes.annotate(
                name, (x, y), xytext=(_ASIDE if close else 8.0, highest - place[1]), textcoords="offset points", va="center", ha="left",
                fontsize=self.style.tick_size, fontweight="bold", color=colour, zorder=3,
                arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 0.8} if close else None,
            )  # fmt: skip

    def _key(self) -> None:
        """The meaning of the marks and of a dashed line, under the chart."""
        ink, size = {"color": self.style.ink}, {"markersize": 8.0, "linestyle": "none"}
        handles = [Line2D([], [], **ink, **size, marker=mark, label=text) for mark, text in (("o", "at the chosen temperature"), ("v", "boiling in free air"))]
        if any(line.side == "bubble" for lines in self.lines for line in lines):
            handles.append(Line2D([], [], **ink, linestyle=_BUBBLE_STYLE, label="bubble line"))
        key_below(self.axes, handles, self.style, size=self.style.isoline_size + 1.0)


class PressureTemperatureMarks:
    """The artists of one reading: the air's pressure, and for each fluid its pressure at the chosen temperature and its boiling point in free air.

    All stand with their numbers.

    They are made for a live picture on an Agg canvas: every one is animated.
    """

    def __init__(self, chart: PressureTemperatureChart) -> None:
        self.chart = chart
        ink = chart.style.ink
        self._guide = _moving_line(chart, color=ink, linewidth=0.9, linestyle=":", zorder=2.2)
        self._air = _moving_line(chart, color=ink, linewidth=1.5, linestyle=(0, (9, 3)), zorder=2.3)
        self._air_label = MovingLabel(chart.axes, ink, chart.style, align=(1.0, 0.0), offset=(-4.0, 3.0))
        self._marks = [_FluidMarks(chart, index) for index in range(len(chart.lines))]

    @property
    def artists(self) -> list[Artist]:
        """Everything that is to be drawn, lowest first."""
        found = [self._guide, self._air, *(artist for marks in self._marks for artist in marks.lines)]
        found += [self._air_label, *(artist for marks in self._marks for artist in marks.labels)]
        return [artist for artist in found if artist.get_visible()]

    def show(self, temperature: float, altitude: float, readings: Sequence[LineReading]) -> None:
        """Move to a temperature (K) and an altitude (m); `readings` are those of the chart's lines there."""
        chart, system = self.chart, self.chart.system
        atmosphere = atmosphere_at(altitude)
        (left, right), (low, high) = chart.axes.get_xlim(), chart.axes.get_ylim()
        x, air = chart.place(temperature, atmosphere)
        self._guide.set_data([x, x], [low, high])
        self._air.set_data([left, right], [air, air])
        said = [f"air at {show(altitude, 'length', system)}: {shown_pressure(atmosphere, system)}", "a gauge shows 0"]
        if chart.style.isoline_size <= SCREEN.isoline_size:  # larger type has no room for one row
            said = [", ".join(said)]
        own = [[reading for reading in readings if reading.line in lines] for lines in chart.lines]
        boiling = [sorted(reading.boiling for reading in of_fluid if reading.boiling is not None) for of_fluid in own]
        for marks, of_fluid, boils in zip(self._marks, own, boiling):
            colder = any(other and boils and other[0] < boils[0] for other in boiling)
            marks.show(temperature, atmosphere, of_fluid, boils, right=colder)
        # At the right end, or left of the mark of what boils there, as water does.
        warmest = max((t for boils in boiling for t in boils), default=COLDEST)
        self._air_label.show((chart.place(warmest - 5.0, atmosphere)[0] if warmest > 0.5 * sum(_WINDOW) else right, air), said)


class _FluidMarks:
    """What is marked of one fluid: pressures of the first stand left of their mark, of the second right, so that they never meet."""

    def __init__(self, chart: PressureTemperatureChart, index: int) -> None:
        self.chart = chart
        look, style = chart.look(index), chart.style
        colour = {"color": look.colour}
        shape = {**colour, "markerfacecolor": "none" if look.hollow else look.colour, "linestyle": "none", "markeredgewidth": 1.6, "zorder": 5}
        self._drops = _moving_line(chart, **colour, linewidth=1.0, linestyle=":", zorder=2.2)
        self._points = _moving_line(chart, marker=look.marker, markersize=look.marker_size, **shape)
        self._boiling = _moving_line(chart, marker="v", markersize=look.marker_size + (0.0 if look.hollow else 1.0), **shape)
        align, offset = ((0.0, 1.0), (9.0, -7.0)) if index else ((1.0, 0.0), (-9.0, 7.0))
        self._pressures = MovingLabel(chart.axes, look.colour, style, align=align, offset=offset)
        self._temperatures = MovingLabel(chart.axes, look.colour, style, align=(1.0, 0.0), offset=(-4.0, 4.0))

    @property
    def lines(self) -> list[Line2D]:
        """Drop lines and markers."""
        return [self._drops, self._boiling, self._points]

    @property
    def labels(self) -> list[MovingLabel]:
        """The numbers."""
        return [self._temperatures, self._pressures]

    def show(self, temperature: float, atmosphere: float, own: Sequence[LineReading], boiling: Sequence[float], *, right: bool) -> None:
        """Move to the readings of this fluid's lines; what they could not say is left out.  The boiling
        point is written `right` of its drop line for the fluid that boils warmer, else left."""
        chart, system = self.chart, self.chart.system
        bottom = chart.axes.get_ylim()[0]
        for artist in (*self.lines, *self.labels):
            artist.set_visible(False)
        pressures = [reading.pressure for reading in own if reading.pressure is not None]
        if pressures:
            self._points.set_data(*zip(*(chart.place(temperature, pressure) for pressure in pressures)))
            self._points.set_visible(True)
            name = own[0].line.fluid.name + ("" if own[0].line.side == "both" else ", dew")
            gauge = show(pressures[0], "gauge pressure", system, atmosphere=atmosphere)
            self._pressures.show(chart.place(temperature, pressures[0]), [name, shown_pressure(pressures[0], system), gauge])
        if boiling:
            places = [chart.place(t, atmosphere) for t in boiling]
            self._boiling.set_data(*zip(*places))
            self._drops.set_data(*zip(*(corner for x, y in places for corner in ((x, bottom), (x, y), (np.nan, y)))))
            self._boiling.set_visible(True)
            self._drops.set_visible(True)
            shown = [show(t, "temperature", system) for t in boiling]
            self._temperatures.align, self._temperatures.offset = ((0.0, 0.0), (4.0, 4.0)) if right else ((1.0, 0.0), (-4.0, 4.0))
            said = shown[0] if len(shown) == 1 else f"{shown[0].partition(' ')[0]} to {shown[-1]}"
            self._temperatures.show((places[-1 if right else 0][0], bottom), [said])


class MovingLabel(Artist):
    """Rows of text that differ at each move, for Agg canvases: every character is rendered once, then set down as pixels.

    `align` is the place in the label, (0, 0) its left bottom corner and (1, 1) its right top
    corner, that stands `offset` points from the data position.  Laying out ordinary text at each move would cost
    more than all the rest of the picture.

    >>> from matplotlib.figure import Figure
    >>> label = MovingLabel(Figure().add_subplot(), "#000000", SCREEN, align=(0.0, 1.0), offset=(8.0, -8.0))
    >>> label.show((0.5, 0.5), ["5.73 bar", "4.71 bar g"])
    >>> label.rows
    ('5.73 bar', '4.71 bar g')
    """

    def __init__(self, axes: Axes, colour: str, style: Style, *, align: tuple[float, float], offset: tuple[float, float]) -> None:
        super().__init__()
        self.rows: tuple[str, ...] = ()
        self._place = (0.0, 0.0)
        self.align, self.offset = align, offset
        self._ink, self._paper = (255.0 * np.array(to_rgb(name)) for name in (colour, style.paper))
        self._glyphs: dict[str, np.ndarray] = {}
        self._drawn: tuple[tuple[str, ...], np.ndarray] | None = None
        axes.add_artist(self)
        self.set_animated(True)
        self.set_zorder(6.0)
        self._canvas = FigureCanvasAgg(Figure(figsize=(1.0, 0.5), dpi=self.figure.dpi, facecolor="none"))
        self._text = self._canvas.figure.text(0.3, 0.4, "", fontsize=style.isoline_size + 1.0, color="black")

    def show(self, place: tuple[float, float], rows: Sequence[str]) -> None:
        """Stand at a data position and say these rows."""
        self._place, self.rows = place, tuple(rows)
        self.set_visible(True)

    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top in pixels of the figure."""
        height, width = self._pixels().shape[:2]
        corner = self.axes.transData.transform(self._place) + np.array(self.offset) * self.figure.dpi / 72.0
        left, bottom = np.round(corner - np.multiply(self.align, (width, height)))
        return left, bottom, left + width, bottom + height

    def draw(self, renderer: Any) -> None:
        """Set the pixels down."""
        if self.get_visible() and self.rows:
            left, bottom, _, _ = self.box()
            graphics = renderer.new_gc()
            renderer.draw_image(graphics, left, bottom, self._pixels())
            graphics.restore()

    def _pixels(self) -> np.ndarray:
        if self._drawn is None or self._drawn[0] != self.rows:
            self._drawn = (self.rows, self._composed())
        return self._drawn[1]

    def _composed(self) -> np.ndarray:
        """The rows as an RGBA array, first row at the bottom: ink on paper that lets a little through."""
        strips = [np.hstack([self._glyph(character) for character in row]) for row in self.rows]
        width = max(strip.shape[1] for strip in strips)
        spare = [width - strip.shape[1] for strip in strips]
        before = [round(self.align[0] * room) for room in spare]
        covered = np.vstack([np.pad(strip, ((0, 0), (left, room - left))) for strip, left, room in zip(strips, before, spare)])[::-1, :, None]
        pixels = np.concatenate([covered * self._ink + (1.0 - covered) * self._paper, 255.0 * (_SHEER + (1.0 - _SHEER) * covered)], axis=2)
        return np.ascontiguousarray(pixels.astype(np.uint8))

    def _glyph(self, character: str) -> np.ndarray:
        """How much of each pixel a character covers, as wide as it moves the next one on."""
        if character not in self._glyphs:
            self._text.set_text(character)
            self._canvas.draw()
            measure = self._canvas.get_renderer().get_text_width_height_descent
            font = self._text.get_fontproperties()
            wide = round(measure(f"0{character}0", font, False)[0] - measure("00", font, False)[0])
            shown = np.asarray(self._canvas.buffer_rgba())[..., 3] / 255.0
            line = round(1.25 * self._text.get_fontsize() * self.figure.dpi / 72.0)
            left, bottom = round(0.3 * shown.shape[1]), round(0.6 * shown.shape[0] + 0.25 * line)
            self._glyphs[character] = shown[bottom - line : bottom, left : left + wide].copy()
        return self._glyphs[character]


def shown_pressure(pressure: float, system: str = "SI") -> str:
    """An absolute pressure (Pa) as text, with one decimal more where it is a small part of the air's.

    >>> shown_pressure(2339.0), shown_pressure(573e3)
    ('0.023 bar', '5.73 bar')
    """
    decimals = unit_shown("pressure", system).decimals + (pressure < 0.1 * STANDARD_ATMOSPHERE)
    return show(pressure, "pressure", system, decimals=decimals)


def _moving_line(chart: PressureTemperatureChart, **how: Any) -> Line2D:
    return chart.axes.add_line(Line2D([], [], animated=True, **how))
