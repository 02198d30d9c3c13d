"""The pictures of a dealt question: the chart from which it is answered, and what its worked solution shows.

What lives here: `asked_picture`, and `solution_picture`, which chooses what there is to draw: the cycle on a chart, boiling points, air
at a coil, or the circuit.  What does not: their sentences (solution_words), the charts and the drawing themselves (diagrams), a live
picture (panels).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Annotation

from hpteach import solution_words as words
from hpteach.circuit import Flow, reversible_circuit
from hpteach.cycle import Cycle
from hpteach.diagrams import CHARTS, PAPER, Chart, CircuitDrawing, CycleTrace, Look, PressureTemperatureChart, Style, axes_rectangle, fitting_title, row_of_names
from hpteach.diagrams.air_chart import COLDEST, HOTTEST, WETTEST, AirChart
from hpteach.diagrams.reading_chart import PRESSURE_TEMPERATURE, draw_reading_chart, save_reading_chart
from hpteach.diagrams.saving import save_figure
from hpteach.diagrams.sheet import key_below
from hpteach.errors import HpteachError, InputError
from hpteach.fluids import MoistAir, refrigerant
from hpteach.machine.air_at_coil import AirAtCoil, air_at_coil
from hpteach.machine.trouble import trouble
from hpteach.questions import Variant
from hpteach.questions.air import AirAlone
from hpteach.units import STANDARD_ATMOSPHERE, show

CHART_SIZE, CIRCUIT_SIZE, TO_READ_SIZE = (720, 580), (720, 518), (760, 620)
"""Width and height in hundredths of an inch."""

_THIN = 0.45
"""Weight of the cycle to compare with, of that of the question's own."""

_OF_A_CYCLE = frozenset({"superheat", "subcooling", "isentropic_efficiency", "suction_line_temperature", "liquid_line_temperature"})
"""Conditions of which one at least is stated where a question is about a cycle, and not about a boiling point alone."""

_WIDE_NUMBERS = {"SI": 2.55, "IP": 3.4}
"""Width of the widest number on a pressure axis, of its size: in psia it may have four figures."""

_PLACES = ((-10.0, 10.0), (10.0, -14.0), (10.0, 10.0), (-10.0, -14.0), (-10.0, 28.0), (10.0, -32.0))
"""Where the label of a boiling point may stand, in points from it."""

_SAME_AIR = 500.0
"""Pa by which the air of a question may differ from the standard, for which the air chart is drawn."""

_THE_CIRCUIT = "The circuit of this question, drawn from the same object that the answer was worked out with."


@dataclass(frozen=True)
class NamedCycle:
    """A cycle with its name in the legend."""

    cycle: Cycle
    name: str


@dataclass(frozen=True)
class CyclesShown:
    """One cycle, or two to compare, on a chart of a kind: what a picture of them is drawn from."""

    named: tuple[NamedCycle, ...]
    kind: str
    system: str

    @property
    def fluids(self) -> tuple[str, ...]:
        """The refrigerants of the chart, one or two."""
        return tuple(dict.fromkeys(one.cycle.refrigerant for one in self.named))

    def chart(self, figure: Figure, style: Style, *, covering: bool = True) -> Chart:
        """The chart without the cycles; `covering` has its window reach as far as they do."""
        fluid, *others = (refrigerant(name) for name in self.fluids)
        several = len(self.named) > 1
        rectangle = axes_rectangle(figure, style, names=several)
        covered = [one.cycle for one in self.named] if covering else []
        beside = others[0] if others else None
        chart = CHARTS[self.kind](figure.add_axes(rectangle), fluid, system=self.system, style=style, covering=covered, beside=beside)
        if several:
            fitting_title(chart.axes, [f"{fluid.name}: {chart.title}", chart.title.capitalize()], style.title_size, style, above=row_of_names(style))
        return chart

    def traces(self, chart: Chart) -> list[CycleTrace]:
        """The cycles laid over such a chart; the one to compare with is thin and has no numbers."""
        traces = [chart.add_cycle(one.cycle, label=one.name, look=look, numbered=not look) for look, one in enumerate(self.named)]
        for trace in traces[1:]:
            trace.artists[0].set_linewidth(_THIN * chart.style.cycle_weight)
            trace.handle.set_linewidth(_THIN * chart.style.cycle_weight)
        return traces


@dataclass(frozen=True)
class Picture:
    """What can be drawn on a figure of a size: a line that says what is which, the same in sentences, and the drawing itself.

    `draw` takes the figure and a style, and gives the artists that are to be laid over the still ones.  `cycles` are what is drawn, where
    it is cycles on a chart: whoever draws many of them needs each chart only once.
    """

    size: tuple[int, int]
    caption: str
    sentences: tuple[str, ...]
    draw: Callable[[Figure, Style], Sequence[Artist]]
    cycles: CyclesShown | None = None


def asked_picture(variant: Variant) -> Picture | None:
    """The chart from which a question is answered, without any number of the answer; None where it is answered without one.

    >>> from hpteach.questions import deal, read_bank
    >>> asked_picture(deal(read_bank().question("cooling-cop"), 1)) is None
    True
    """
    asked = variant.chart
    if asked is None:
        return None

    def draw(figure: Figure, style: Style) -> Sequence[Artist]:
        axes = figure.add_axes(axes_rectangle(figure, style))
        draw_reading_chart(axes, asked.kind, refrigerant(asked.refrigerant), asked.cycle, asked.marked, system=variant.system, style=style)
        return ()

    return Picture(TO_READ_SIZE, words.asked_chart_in_words(variant), (), draw)


def solution_picture(variant: Variant) -> Picture | None:
    """The picture of a dealt question's solution, in its units; None where there is nothing to draw.

    Raises the refusals of a machine whose fault keeps it from running.

    >>> from hpteach.questions import deal, read_bank
    >>> solution_picture(deal(read_bank().question("order-the-circuit"), 1)).caption
    'The circuit of this question, drawn from the same object that the answer was worked out with.'
    >>> solution_picture(deal(read_bank().question("read-a-gauge"), 1)) is None
    True
    """
    about_a_cycle = bool(_OF_A_CYCLE & set(variant.question.scenario))
    read_from = variant.chart.kind if variant.chart else ""
    if variant.cycle is not None and (read_from == PRESSURE_TEMPERATURE or not about_a_cycle and read_from not in CHARTS):
        return _boiling(variant)
    if variant.cycle is not None or variant.weather is not None:
        return _cycles(variant, read_from if read_from in CHARTS else "")
    if variant.air is not None:
        return _air(variant, variant.air)
    if variant.flow is not None and variant.question.has_circuit_alone:
        return Picture(CIRCUIT_SIZE, _THE_CIRCUIT, tuple(words.circuit_in_words(variant.flow)), partial(_draw_circuit, variant.flow, variant.system))
    return None


def save_picture(variant: Variant, path: Path, *, solution: bool = False) -> Path:
    """Write the chart of a question, or the picture of its solution, to a file (.svg, .png or .pdf) in black on white; returns the path.

    Raises `InputError` where there is no such picture or the file cannot be written.
    """
    id = variant.question.id
    if not solution:
        if variant.chart is None:
            raise InputError(f"question {id} is answered without a chart: leave --chart out, or add --key for the picture of its solution")
        asked = variant.chart
        return save_reading_chart(asked.kind, refrigerant(asked.refrigerant), asked.cycle, asked.marked, path, variant.system)
    picture = solution_picture(variant)
    if picture is None:
        raise InputError(f"there is nothing to draw of the solution of {id}: leave --chart out")
    figure = Figure(figsize=tuple(side / 80.0 for side in picture.size), dpi=150)
    FigureCanvasAgg(figure)
    for artist in picture.draw(figure, PAPER):
        artist.set_animated(False)
    return save_figure(figure, path)


# Cycles ---------------------------------------------------------------------------------------


def _cycles(variant: Variant, kind: str) -> Picture:
    """The question's cycle on the chart that is read, else on that of its topic, else over the enthalpy."""
    named = _named_cycles(variant)
    kind = kind or (variant.question.topic if variant.question.topic in CHARTS else "pressure-enthalpy")
    shown = f"{kind.capitalize()} chart of {named[0].cycle.refrigerant} with the cycle of this question"
    several = len(named) > 1
    caption = f"{shown}: {named[0].name}. Thin and dashed, to compare: {named[1].name}." if several else f"{shown}."
    sentences = [said for one in named for said in words.points_in_words(one.cycle, kind, variant.system, name=one.name if several else "")]
    cycles = CyclesShown(named, kind, variant.system)
    return Picture(CHART_SIZE, caption, tuple(sentences), partial(_draw_cycles, cycles), cycles)


def _draw_cycles(shown: CyclesShown, figure: Figure, style: Style) -> Sequence[Artist]:
    chart = shown.chart(figure, style)
    traces = shown.traces(chart)
    if len(traces) > 1:
        chart.name_cycles(traces)
    return ()


def _named_cycles(variant: Variant) -> tuple[NamedCycle, ...]:
    """The cycle of the question, and the one to compare it with where there is one that differs."""
    if variant.weather is None:
        pair = (variant.cycle, variant.other)
    elif variant.fault is not None:
        at_work = variant.weather
        found = trouble(at_work.machine, at_work.valve_position, at_work.outdoor, at_work.indoor, [variant.fault], speed_ratio=at_work.speed_ratio)
        return NamedCycle(found.found.cycle, variant.fault.kind.words), NamedCycle(found.healthy.cycle, "healthy")
    else:
        pair = (variant.weather.cycle, variant.other_weather and variant.other_weather.cycle)
    first, second = pair
    if second is None or second.points == first.points:
        return (NamedCycle(first, "the cycle"),)
    return tuple(NamedCycle(cycle, name) for cycle, name in zip(pair, words.names_to_compare(variant)))


# Boiling points -------------------------------------------------------------------------------


def _boiling(variant: Variant) -> Picture:
    """What boils at which pressure; the high side too where the question states it with a drawn number."""
    marked = words.boiling_points(variant)
    fluids = list(dict.fromkeys(point.fluid for point in marked))
    caption = f"Boiling temperature and absolute pressure of {' and '.join(fluids)}, with what this question speaks of."
    return Picture(CHART_SIZE, caption, tuple(words.boiling_in_words(variant, marked)), partial(_draw_boiling, variant, marked, fluids))


def _draw_boiling(variant: Variant, marked: Sequence[words.BoilingPoint], fluids: Sequence[str], figure: Figure, style: Style) -> Sequence[Artist]:
    system = variant.system
    rectangle = axes_rectangle(figure, style, widest=_WIDE_NUMBERS[system])
    chart = PressureTemperatureChart(figure.add_axes(rectangle), [refrigerant(name) for name in fluids], system=system, style=style)
    axes, (left, right), (low, _) = chart.axes, chart.axes.get_xlim(), chart.axes.get_ylim()
    air = chart.place(0.0, variant.atmosphere)[1]
    axes.plot([left, right], [air, air], color=style.ink, linewidth=1.2, linestyle=(0, (9, 3)), zorder=2.2)
    labels = [_label(axes, (right, air), "pressure of the air: a gauge shows 0", [], style.ink, style, places=((-4.0, 9.0),), box=False)]
    for point in marked:
        look = chart.look(fluids.index(point.fluid))
        x, y = chart.place(point.temperature, point.pressure)
        axes.plot([x, x, left], [low, y, y], color=look.colour, linewidth=1.0, linestyle=":", zorder=2.3)
        axes.plot([x], [y], color=look.colour, marker=look.marker, markersize=look.marker_size, markerfacecolor=_filling(look), zorder=5)
        said = f"{point.fluid}: {show(point.temperature, 'temperature', system)}, {show(point.pressure, 'pressure', system)}"
        labels.append(_label(axes, (x, y), said, labels, look.colour, style))
    axes.get_legend().remove()
    looks = [chart.look(index) for index in range(len(fluids))]
    handles = [
        Line2D([], [], color=look.colour, linestyle="none", marker=look.marker, markerfacecolor=_filling(look), label=f"{name} in this question")
        for look, name in zip(looks, fluids)
    ]
    key_below(axes, handles, style, size=style.isoline_size + 1.0)
    return ()


# Air ------------------------------------------------------------------------------------------


def _air(variant: Variant, stated: AirAlone) -> Picture | None:
    """The air before the coil, and what becomes of it where the question says so; None where it lies beyond the chart."""
    surface = stated.surface_temperature
    passing = None if surface is None else air_at_coil(stated.entering, surface, stated.air_flow or 1.0, bypass=stated.bypass)
    leaving = passing.leaving if passing else stated.leaving
    other = variant.other_air and variant.other_air.entering
    if not all(_on_chart(one) for one in (stated.entering, leaving, other) if one is not None) or not (surface is None or COLDEST <= surface <= HOTTEST):
        return None
    way = "The dotted line leads to the dew point." if passing is None else "The air on its way past the coil, the surface of the coil and the dew point."
    caption = f"Moist air: the water in it over its dry-bulb temperature. {way}"
    sentences = tuple(words.air_in_words(stated, leaving, other, variant.system))
    if passing is not None:
        return Picture(CHART_SIZE, caption, sentences, partial(_draw_passing, passing, surface, variant.system))
    airs = [(stated.entering, "the air" if leaving is None else "air in"), *((one, name) for one, name in ((leaving, "air out"), (other, "the other air")) if one)]
    return Picture(CHART_SIZE, caption, sentences, partial(_draw_airs, airs, variant.system))


def _draw_passing(passing: AirAtCoil, surface: float, system: str, figure: Figure, style: Style) -> Sequence[Artist]:
    marks = AirChart(figure.add_axes(axes_rectangle(figure, style)), system=system, style=style).add_marks()
    marks.show(passing, surface, passing.entering.dew_point)
    return marks.artists


def _draw_airs(airs: Sequence[tuple[MoistAir, str]], system: str, figure: Figure, style: Style) -> Sequence[Artist]:
    chart = AirChart(figure.add_axes(axes_rectangle(figure, style)), system=system, style=style)
    fitting_title(chart.axes, ["moist air"], style.title_size, style)
    key_below(chart.axes, [_mark_air(chart, air, look, name) for look, (air, name) in enumerate(airs)], style)
    return ()


def _on_chart(air: MoistAir) -> bool:
    return COLDEST <= air.dry_bulb <= HOTTEST and air.humidity_ratio <= WETTEST and abs(air.pressure - STANDARD_ATMOSPHERE) <= _SAME_AIR


def _mark_air(chart: AirChart, air: MoistAir, look: int, name: str) -> Line2D:
    """One air with a dotted line to its dew point; gives its entry for the key."""
    one = chart.style.looks[look]
    how = {"color": one.colour, "marker": one.marker, "markersize": 1.2 * one.marker_size, "markerfacecolor": _filling(one)}
    place = chart.place(air.dry_bulb, air.humidity_ratio)
    try:
        dew = chart.place(max(air.dew_point, COLDEST), air.humidity_ratio)
    except HpteachError:  # so dry that it has none
        dew = place
    chart.axes.plot(*zip(place, dew), color=one.colour, linewidth=1.4, linestyle=":", zorder=2.4)
    (mark,) = chart.axes.plot(*place, linestyle="none", label=name, zorder=3.6, **how)
    return mark


# Circuit --------------------------------------------------------------------------------------


def _draw_circuit(flow: Flow, system: str, figure: Figure, style: Style) -> Sequence[Artist]:
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    CircuitDrawing(axes, reversible_circuit(flow.metering_layout), system=system, style=style).show(flow)
    return ()


# What all share -------------------------------------------------------------------------------


def _filling(look: Look) -> str:
    return "none" if look.hollow else look.colour


def _label(
    axes: Axes, place: tuple[float, float], text: str, others: Sequence[Annotation], colour: str, style: Style, *,
    places: Sequence[tuple[float, float]] = _PLACES, box: bool = True,
) -> Annotation:  # fmt: skip
    """A text beside a place: at the first of some offsets in points where it covers no other and stays inside, else at the first."""
    frame = {"boxstyle": "round,pad=0.2", "facecolor": style.paper, "edgecolor": colour, "linewidth": 0.8, "alpha": 0.9} if box else None
    label = axes.annotate(text, place, xytext=places[0], textcoords="offset points", va="center", fontsize=style.isoline_size + 1.0, color=colour, zorder=6, bbox=frame)
    taken, inside = [other.get_window_extent().padded(4.0) for other in others], axes.bbox
    for offset in (*places, places[0]):
        label.set_ha("right" if offset[0] < 0.0 else "left")
        label.xyann = offset
        extent = label.get_window_extent()
        if inside.containsx(extent.x0) and inside.containsx(extent.x1) and not any(extent.overlaps(one) for one in taken):
            break
    return label
