"""The picture of a worked solution: the cycle on a chart, boiling points, air at a coil, or the circuit.

What lives here: `picture_of`, which chooses what there is to draw of a dealt question and draws it.
What does not: its sentences (solution_words), the charts and the drawing themselves (diagrams), when it is shown (exercise).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.text import Annotation

from hpteach.circuit import Flow, reversible_circuit
from hpteach.cycle import Cycle
from hpteach.diagrams import CHARTS, SCREEN, CircuitDrawing, PressureTemperatureChart, Style, axes_rectangle, fitting_title, row_of_names
from hpteach.diagrams.air_chart import COLDEST, HOTTEST, WETTEST, AirChart
from hpteach.diagrams.sheet import key_below
from hpteach.errors import HpteachError
from hpteach.fluids import MoistAir, refrigerant
from hpteach.live import LiveFigure
from hpteach.machine.air_at_coil import air_at_coil
from hpteach.machine.trouble import trouble
from hpteach.panels import solution_words as words
from hpteach.questions import Variant
from hpteach.questions.air import AirAlone
from hpteach.units import STANDARD_ATMOSPHERE, show

_CHART_SIZE, _CIRCUIT_SIZE = (720, 580), (720, 518)
_SCALE = 1.1
_THIN = 0.45
"""Weight of the cycle to compare with, of that of the question's own."""

_OF_A_CYCLE = frozenset({"superheat", "subcooling", "isentropic_efficiency", "suction_line_temperature", "liquid_line_temperature"})
"""Conditions of which one at least is stated where a question is about a cycle, and not about a boiling point alone."""

_PLACES = ((-10.0, 10.0), (10.0, -14.0), (10.0, 10.0), (-10.0, -14.0), (-10.0, 28.0), (10.0, -32.0))
"""Where the label of a boiling point may stand, in points from it."""

_SAME_AIR = 500.0
"""Pa by which the air of a question may differ from the standard, for which the air chart is drawn."""


@dataclass(frozen=True)
class SolutionPicture:
    """A drawn picture, a line that says what is which, and the same in sentences."""

    live: LiveFigure
    caption: str
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class _Named:
    """A cycle with its name in the legend."""

    cycle: Cycle
    name: str


def picture_of(variant: Variant, style: Style = SCREEN) -> SolutionPicture | None:
    """The picture of a dealt question's solution, in its units; None where there is nothing to draw.

    Raises the refusals of a machine whose fault keeps it from running.

    >>> from hpteach.questions import deal, read_bank
    >>> picture_of(deal(read_bank().question("order-the-circuit"), 1)).caption
    'The circuit of this question, drawn from the same object that the answer was worked out with.'
    >>> picture_of(deal(read_bank().question("read-a-gauge"), 1)) is None
    True
    """
    scenario = variant.question.scenario
    if variant.cycle is not None and not _OF_A_CYCLE & set(scenario):
        return _boiling(variant, style)
    if variant.cycle is not None or variant.weather is not None:
        return _cycles(variant, style)
    if variant.air is not None:
        return _air(variant, variant.air, style)
    if variant.flow is not None and variant.question.has_circuit_alone:
        return _circuit(variant, variant.flow, style)
    return None


# Cycles ---------------------------------------------------------------------------------------


def _cycles(variant: Variant, style: Style) -> SolutionPicture:
    named = _named_cycles(variant)
    kind = variant.question.topic if variant.question.topic in CHARTS else "pressure-enthalpy"
    live = _figure(*_CHART_SIZE)
    figure, system = live.figure, variant.system
    fluid, *others = (refrigerant(one.cycle.refrigerant) for one in named)
    beside = next((other for other in others if other.name != fluid.name), None)
    several = len(named) > 1
    chart = CHARTS[kind](
        figure.add_axes(axes_rectangle(figure, style, names=several)), fluid, system=system, style=style,
        covering=[one.cycle for one in named], beside=beside,
    )  # fmt: skip
    traces = [chart.add_cycle(one.cycle, label=one.name, look=look, numbered=not look) for look, one in enumerate(named)]
    for trace in traces[1:]:
        trace.artists[0].set_linewidth(_THIN * style.cycle_weight)
        trace.handle.set_linewidth(_THIN * style.cycle_weight)
    if several:
        fitting_title(chart.axes, [f"{fluid.name}: {chart.title}", chart.title.capitalize()], style.title_size, style, above=row_of_names(style))
        chart.name_cycles(traces)
    shown = f"{kind.capitalize()} chart of {fluid.name} with the cycle of this question"
    caption = f"{shown}: {named[0].name}. Thin and dashed, to compare: {named[1].name}." if several else f"{shown}."
    sentences = [sentence for one in named for sentence in words.points_in_words(one.cycle, kind, system, name=one.name if several else "")]
    return _drawn(live, caption, sentences)


def _named_cycles(variant: Variant) -> list[_Named]:
    """The cycle of the question, and the one to compare it with where there is one that differs."""
    if variant.weather is None:
        pair = (variant.cycle, variant.other)
    elif variant.fault is not None:
        at_work = variant.weather
        found = trouble(at_work.machine, at_work.valve_position, at_work.outdoor, at_work.indoor, [variant.fault], speed_ratio=at_work.speed_ratio)
        return [_Named(found.found.cycle, variant.fault.kind.words), _Named(found.healthy.cycle, "healthy")]
    else:
        pair = (variant.weather.cycle, variant.other_weather and variant.other_weather.cycle)
    first, second = pair
    if second is None or second.points == first.points:
        return [_Named(first, "the cycle")]
    return [_Named(cycle, name) for cycle, name in zip(pair, words.names_to_compare(variant))]


# Boiling points -------------------------------------------------------------------------------


def _boiling(variant: Variant, style: Style) -> SolutionPicture:
    """What boils at which pressure; the high side too where the question states it with a drawn number."""
    marked = words.boiling_points(variant)
    fluids = list(dict.fromkeys(point.fluid for point in marked))
    live = _figure(*_CHART_SIZE)
    figure, system = live.figure, variant.system
    chart = PressureTemperatureChart(figure.add_axes(axes_rectangle(figure, style)), [refrigerant(name) for name in fluids], system=system, style=style)
    axes, (left, right), (low, _) = chart.axes, chart.axes.get_xlim(), chart.axes.get_ylim()
    air = chart.place(0.0, variant.atmosphere)[1]
    axes.plot([left, right], [air, air], color=style.ink, linewidth=1.2, linestyle=(0, (9, 3)), zorder=2.2)
    labels = [_label(axes, (right, air), "pressure of the air: a gauge shows 0", [], style.ink, style, places=((-4.0, 9.0),), box=False)]
    for point in marked:
        look = chart.look(fluids.index(point.fluid))
        x, y = chart.place(point.temperature, point.pressure)
        axes.plot([x, x, left], [low, y, y], color=look.colour, linewidth=1.0, linestyle=":", zorder=2.3)
        axes.plot([x], [y], color=look.colour, marker=look.marker, markersize=look.marker_size, markerfacecolor="none" if look.hollow else look.colour, zorder=5)
        said = f"{point.fluid}: {show(point.temperature, 'temperature', system)}, {show(point.pressure, 'pressure', system)}"
        labels.append(_label(axes, (x, y), said, labels, look.colour, style))
    chart.axes.get_legend().remove()
    handles = [Line2D([], [], color=chart.look(i).colour, linestyle="none", marker=chart.look(i).marker, label=f"{name} in this question") for i, name in enumerate(fluids)]
    key_below(axes, handles, style, size=style.isoline_size + 1.0)
    caption = f"Boiling temperature and absolute pressure of {' and '.join(fluids)}, with what this question speaks of."
    return _drawn(live, caption, words.boiling_in_words(variant, marked))


# Air ------------------------------------------------------------------------------------------


def _air(variant: Variant, stated: AirAlone, style: Style) -> SolutionPicture | None:
    """The air before the coil, and what becomes of it where the question says so; None where it lies beyond the chart."""
    surface, leaving = stated.surface_temperature, stated.leaving
    passing = None if surface is None else air_at_coil(stated.entering, surface, stated.air_flow or 1.0, bypass=stated.bypass)
    leaving = leaving or (passing and passing.leaving)
    other = getattr(variant, "other_air", None)
    airs = [one for one in (stated.entering, leaving, other and other.entering) if one is not None]
    if not all(_on_chart(one) for one in airs) or not (surface is None or COLDEST <= surface <= HOTTEST):
        return None
    live = _figure(*_CHART_SIZE)
    chart = AirChart(live.figure.add_axes(axes_rectangle(live.figure, style)), system=variant.system, style=style)
    caption = "Moist air: the water in it over its dry-bulb temperature."
    sentences = words.air_in_words(stated, leaving, other and other.entering, variant.system)
    if passing is not None:
        marks = chart.add_marks()
        marks.show(passing, surface, stated.entering.dew_point)
        return _drawn(live, f"{caption} The air on its way past the coil, the surface of the coil and the dew point.", sentences, marks.artists)
    fitting_title(chart.axes, ["moist air"], style.title_size, style)
    used = [_mark_air(chart, stated.entering, 0, "the air" if leaving is None else "air in", style)]
    for second, name in ((leaving, "air out"), (other and other.entering, "the other air")):
        if second is not None:
            used.append(_mark_air(chart, second, 1, name, style))
    key_below(chart.axes, used, style)
    return _drawn(live, f"{caption} The dotted line leads to the dew point.", sentences)


def _on_chart(air: MoistAir) -> bool:
    return COLDEST <= air.dry_bulb <= HOTTEST and air.humidity_ratio <= WETTEST and abs(air.pressure - STANDARD_ATMOSPHERE) <= _SAME_AIR


def _mark_air(chart: AirChart, air: MoistAir, look: int, name: str, style: Style) -> Line2D:
    """One air with a dotted line to its dew point; gives its entry for the key."""
    one = style.looks[look]
    how = {"color": one.colour, "marker": one.marker, "markersize": 1.2 * one.marker_size, "markerfacecolor": "none" if one.hollow else one.colour}
    place = chart.place(air.dry_bulb, air.humidity_ratio)
    try:
        dew = chart.place(max(air.dew_point, COLDEST), air.humidity_ratio)
    except HpteachError:  # so dry that it has none
        dew = place
    chart.axes.plot(*zip(place, dew), color=one.colour, linewidth=1.4, linestyle=":", zorder=2.4)
    (mark,) = chart.axes.plot(*place, linestyle="none", label=name, zorder=3.6, **how)
    return mark


# Circuit --------------------------------------------------------------------------------------


def _circuit(variant: Variant, flow: Flow, style: Style) -> SolutionPicture:
    live = _figure(*_CIRCUIT_SIZE)
    live.image.add_class("hpteach-circuit")
    CircuitDrawing(live.figure.add_axes((0.0, 0.0, 1.0, 1.0)), reversible_circuit(flow.metering_layout), system=variant.system, style=style).show(flow)
    return _drawn(live, "The circuit of this question, drawn from the same object that the answer was worked out with.", words.circuit_in_words(flow))


# What all share -------------------------------------------------------------------------------


def _figure(width: int, height: int) -> LiveFigure:
    return LiveFigure(width, height, scale=_SCALE)


def _drawn(live: LiveFigure, caption: str, sentences: Sequence[str], moving: Sequence = ()) -> SolutionPicture:
    live.image.words = f"{caption} The sentences below it tell the same."
    live.keep()
    live.draw(moving)
    live.image.observe(lambda change: live.sharpen(change["new"]), "density")
    return SolutionPicture(live, caption, tuple(sentences))


def _label(
    axes: Axes, place: tuple[float, float], text: str, others: Sequence[Annotation], colour: str, style: Style, *,
    places: Sequence[tuple[float, float]] = _PLACES, box: bool = True,
) -> Annotation:  # fmt: skip
    """A text beside a place: at the first of some offsets in points where it covers no other and stays inside, else at the first."""
    frame = {"boxstyle": "round,pad=0.2", "facecolor": style.paper, "edgecolor": colour, "linewidth": 0.8, "alpha": 0.9} if box else None
    label = axes.annotate(text, place, textcoords="offset points", va="center", fontsize=style.isoline_size + 1.0, color=colour, zorder=6, bbox=frame)
    taken, inside = [other.get_window_extent().padded(4.0) for other in others], axes.bbox
    for offset in (*places, places[0]):
        label.set_ha("right" if offset[0] < 0.0 else "left")
        label.xyann = offset
        extent = label.get_window_extent()
        if inside.containsx(extent.x0) and inside.containsx(extent.x1) and not any(extent.overlaps(one) for one in taken):
            break
    return label
