"""What both property charts share: a still background and cycles laid over it.

What lives here: `Chart`.  What does not: which quantity is on which axis and which lines make the
background (pressure_enthalpy, temperature_entropy), what is laid over it (cycle_trace, energies).
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import zip_longest
from typing import Any, Protocol

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.legend import Legend
from matplotlib.lines import Line2D
from matplotlib.text import Text

from hpteach.cycle import Cycle
from hpteach.diagrams.cycle_path import Process, cycle_path
from hpteach.diagrams.cycle_trace import CycleTrace
from hpteach.diagrams.placing import Settling, Taken, frame_of, on_page, touches
from hpteach.diagrams.sheet import fitting_title, key_below
from hpteach.diagrams.style import FAMILIES, SCREEN, Style
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import Refrigerant
from hpteach.fluids.isolines import Isoline, dome
from hpteach.units import base_number, shown_number, unit_shown


PRESSURE_UNITS = ("bar", "kPa", "psia")
"""The units of absolute pressure that a chart can have, whatever its unit system."""

_PASCALS = {"bar": 1e5, "kPa": 1e3, "psia": base_number(1.0, "pressure", "IP")}
_ROUND_PRESSURES = {"bar": (1, 2, 5, 10, 20, 40), "kPa": (100, 200, 500, 1000, 2000, 4000), "psia": (20, 50, 100, 200, 350, 600)}


@dataclass(frozen=True)
class Axis:
    """One axis: the attribute of a state, its kind of quantity and its symbol."""

    attribute: str
    kind: str
    symbol: str
    title: str

    def label(self, system: str, pressure_unit: str = "") -> str:
        """The axis title with symbol and unit; a pressure can have a unit of its own."""
        unit = pressure_unit if pressure_unit and self.kind == "pressure" else unit_shown(self.kind, system).label
        return f"{self.title} {self.symbol}, {unit}"

    def numbers(self, states: Any, system: str, pressure_unit: str = "") -> Any:
        """The shown numbers of a state's (or an isoline's) attribute."""
        if pressure_unit and self.kind == "pressure":
            return getattr(states, self.attribute) / _PASCALS[pressure_unit]
        return shown_number(getattr(states, self.attribute), self.kind, system)


class Overlay(Protocol):
    """What is laid over a chart and has labels that choose their places."""

    animated: bool

    def settle(self, others: Taken) -> None:
        """Choose the places, clear of what others take."""

    def taken(self) -> Taken:
        """What the overlay covers."""


COLDEST = 233.15
"""K; below the coldest outdoor coil of the lessons."""

_ABOVE_CRITICAL = 65.0
"""K above the critical temperature up to which a chart reaches."""

_BESIDE = (0, (5, 2))
"""The line style of the second refrigerant's dome."""

_NAMES = ((3.2, 2.0, 0.8), (2.4, 1.0, 0.5), (1.8, 0.7, 0.4))
"""Length of a line, room beside a name and before it where cycles are named, of the size of the type: the first clear of the title is taken."""

_HALF_LINE = 0.7
"""From the middle of a small label to the end of its box, upwards and downwards, of the size of its type."""


class Chart(ABC):
    """A property chart on given Axes: the background is drawn at once, cycles are added.

    The window covers the working range of heat pumps, any cycles in `covering` and the temperatures of `reaching` (coldest and hottest, K).
    `pressure_unit` is one of `PRESSURE_UNITS`, by default bar in SI and psia in IP.

    `beside` is a second refrigerant: its dome is drawn too, dashed and thinner, each dome has its name, and cycles
    of both can be laid over the chart.  The other lines stay those of the first, as the key says.  Enthalpy and entropy count from a
    reference state that is agreed for each refrigerant by itself (IIR: liquid at 0 °C), so that between two refrigerants only
    differences, such as heat and work, can be compared, never h or s of one point with that of another.

    Raises `UnknownNameError` for another unit, and `InputError` where `beside` is the same refrigerant or has another
    reference state, or a cycle to cover is of neither refrigerant.

    Subclasses name the axes, the window and the background lines.
    """

    x_axis: Axis
    y_axis: Axis
    title: str

    # Where the label of each state point usually stands, in points from its marker.
    offsets: dict[str, tuple[float, float]] = {}

    def __init__(
        self,
        axes: Axes,
        refrigerant: Refrigerant,
        *,
        system: str = "SI",
        style: Style = SCREEN,
        covering: Sequence[Cycle] = (),
        reaching: tuple[float, float] | None = None,
        beside: Refrigerant | None = None,
        pressure_unit: str | None = None,
    ) -> None:
        if pressure_unit not in (None, *PRESSURE_UNITS):
            raise UnknownNameError.among("pressure unit", pressure_unit, PRESSURE_UNITS)
        self.axes = axes
        self.refrigerant = refrigerant
        self.beside = beside
        self.system = system
        self.pressure_unit = pressure_unit or unit_shown("pressure", system).label
        self.style = style
        self._fluids = (refrigerant,) if beside is None else (refrigerant, _comparable(refrigerant, beside))
        self._reaching = () if reaching is None else reaching
        self._covered = [(self.fluid_of(cycle), cycle) for cycle in covering]
        self.coldest = self.coldest_of(refrigerant)
        self.hottest = self.hottest_of(refrigerant)
        self._marks: list[Text] = []
        self._dome_names: list[Text] = []
        self._choices: dict[Text, np.ndarray] = {}
        self._domes: dict[str, Isoline] = {}
        self._overlays: list[Overlay] = []
        self._frame()
        self._background()
        if beside is not None:
            self._name_domes()
        Settling(axes, self._settle)

    def fluid_of(self, cycle: Cycle) -> Refrigerant:
        """The refrigerant of a cycle, which must be one of the chart's; raises `InputError` otherwise."""
        for fluid in self._fluids:
            if fluid.name == cycle.refrigerant:
                return fluid
        names = " and ".join(fluid.name for fluid in self._fluids)
        raise InputError(f"a cycle of {cycle.refrigerant} cannot be laid over a chart of {names}: make a chart of {cycle.refrigerant}")

    def coldest_of(self, fluid: Refrigerant) -> float:
        """The coldest saturation temperature of the window, as far as the fluid's equation reaches (K)."""
        points = [point.temperature for _, cycle in self._covered for point in cycle.points]
        return max(min([COLDEST, *(one - 5.0 for one in (*points, *self._reaching))]), fluid.lowest_temperature)

    def hottest_of(self, fluid: Refrigerant) -> float:
        """The temperature to which a fluid's vapour is shown (K)."""
        shown = [one + 20.0 for one in self._to_show(fluid)]
        return min(max([fluid.critical_temperature + _ABOVE_CRITICAL, *shown]), fluid.highest_temperature - 0.1)

    def _to_show(self, fluid: Refrigerant) -> list[float]:
        """Temperatures (K) of a fluid that the window has to hold."""
        return [*self._reaching, *(point.temperature for of, cycle in self._covered if of is fluid for point in cycle.points)]

    def add_cycle(self, cycle: Cycle, *, label: str = "", look: int = 0, animated: bool = False, numbered: bool = True) -> CycleTrace:
        """Lay a cycle over the chart; the trace returned can be moved to another cycle.

        `look` picks one of the style's looks, so that several cycles differ in more than colour.  A trace that is not
        `numbered` has no labels at its points.
        On a still chart the numbers of background lines that the cycle or its labels would partly cover are left out.
        Raises `InputError` for a cycle of a refrigerant that the chart does not have.
        """
        self.fluid_of(cycle)
        trace = CycleTrace(self, self.style.looks[look % len(self.style.looks)], label, animated, numbered)
        trace.show(cycle)
        self.lay(trace)
        return trace

    def show_cycles(self, shown: Mapping[CycleTrace, Cycle], paths: Sequence[Sequence[Process] | None] = ()) -> None:
        """Move several live traces at once, so that no label of one stands on another's line, marker or label where there is room.

        `paths` are the processes of each cycle in turn, where the caller has them already: two charts share them.
        """
        traces = list(shown)
        for (trace, cycle), path in zip_longest(shown.items(), paths):
            trace.move(cycle, path)
        for index, trace in enumerate(traces):
            others = [*(before.taken() for before in traces[:index]), *(after.outline() for after in traces[index + 1 :])]
            trace.settle(reduce(Taken.joined, others, self._named()))

    def _named(self) -> Taken:
        """What the names of the domes cover."""
        taken = Taken.nothing(self.axes)
        for mark in self._dome_names:
            half = (self._half(mark.get_text()), _HALF_LINE * self.style.isoline_size)
            taken = taken.with_box(on_page(self.axes, [mark.get_position()])[0], half)
        return taken

    def lay(self, overlay: Overlay) -> None:
        """Take up something laid over the chart: on a still chart its labels choose their places at every drawing."""
        self._overlays.append(overlay)

    def processes_of(self, cycle: Cycle) -> tuple[Process, ...]:
        """The processes of a cycle as lines of states, from a trace that shows it where there is one."""
        for overlay in self._overlays:
            if isinstance(overlay, CycleTrace) and overlay.cycle is cycle:
                return overlay.processes
        return cycle_path(self.fluid_of(cycle), cycle)

    def taken_by_cycles(self) -> Taken:
        """What the cycles on the chart cover, as last settled."""
        taken = Taken.nothing(self.axes)
        for overlay in self._overlays:
            if isinstance(overlay, CycleTrace):
                taken = taken.joined(overlay.taken())
        return taken

    def covers(self, cycle: Cycle) -> bool:
        """Whether every state point of a cycle lies in the window."""
        (x0, x1), (y0, y1) = self.axes.get_xlim(), self.axes.get_ylim()
        places = [self.place(point) for point in cycle.points]
        return all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in places)

    def name_cycles(self, traces: Sequence[CycleTrace]) -> None:
        """Say above the chart which line is which cycle."""
        title = self.axes._left_title.get_window_extent() if self.axes.get_title(loc="left") else None
        for length, spacing, before in _NAMES:
            names = Legend(
                self.axes,
                handles=[trace.handle for trace in traces],
                labels=[trace.label for trace in traces],
                loc="lower right",
                bbox_to_anchor=(1.0, 1.0),
                ncols=len(traces),
                frameon=False,
                fontsize=self.style.tick_size,
                handlelength=length,
                columnspacing=spacing,
                handletextpad=before,
                borderpad=0.1,
                borderaxespad=0.4,
            )
            names.set_clip_path(self.axes.figure.patch)
            if title is None or not title.overlaps(names.get_window_extent()):
                break
        self.axes.add_artist(names)

    def place(self, states: Any) -> tuple[Any, Any]:
        """Where states stand on this chart, in shown numbers."""
        return (
            self.x_axis.numbers(states, self.system, self.pressure_unit),
            self.y_axis.numbers(states, self.system, self.pressure_unit),
        )

    def pressure_number(self, pressure: float) -> float:
        """A pressure (Pa) as a number in the chart's unit."""
        return pressure / _PASCALS[self.pressure_unit]

    def round_pressures(self) -> list[float]:
        """Pressures (Pa) that are round in the chart's unit."""
        return [number * _PASCALS[self.pressure_unit] for number in _ROUND_PRESSURES[self.pressure_unit]]

    def _settle(self, renderer: Any) -> None:
        """On a still chart: labels choose their places, and numbers of lines that would be partly covered are left out."""
        taken = Taken.nothing(self.axes)
        for overlay in sorted(self._overlays, key=lambda one: not isinstance(one, CycleTrace)):
            if not overlay.animated:
                overlay.settle(taken)
                taken = taken.joined(overlay.taken())
        points = 72.0 / self.axes.figure.dpi
        for mark in self._marks:
            mark.set_visible(True)  # the extent of a hidden text is empty
            if mark in self._choices:
                mark.set_position(self._choices[mark][0])  # its usual place
            mark.set_visible(not touches(points * mark.get_window_extent(renderer).extents, taken))
        for mark, choices in self._choices.items():
            if not mark.get_visible():
                self._move(mark, choices, taken)

    def _move(self, mark: Text, choices: np.ndarray, taken: Taken) -> None:
        """Show a number that would be covered at the next place along its line that is free, if there is one."""
        half = np.array([self._half(mark.get_text()), _HALF_LINE * self.style.isoline_size])
        others = [other for other in self._marks if other.get_visible()]
        free = self._free(choices, mark.get_text(), others)
        free = free[taken.cost(on_page(self.axes, choices[free]), half) == 0.0]
        if len(free):
            mark.set_position(choices[free[0]])
            mark.set_visible(True)

    def _frame(self) -> None:
        axes, style = self.axes, self.style
        axes.set_facecolor(style.paper)
        names = " and ".join(fluid.name for fluid in self._fluids)
        size = style.title_size if self.beside is None else style.label_size  # two names take more room
        fitting_title(axes, [f"{names}: {self.title}", f"{names}: {self.y_axis.symbol} over {self.x_axis.symbol}", names], size, style)
        axes.set_xlabel(self.x_axis.label(self.system, self.pressure_unit), fontsize=style.label_size, color=style.ink)
        axes.set_ylabel(self.y_axis.label(self.system, self.pressure_unit), fontsize=style.label_size, color=style.ink)
        axes.tick_params(labelsize=style.tick_size, colors=style.ink)

    @abstractmethod
    def _background(self) -> None:
        """Set the window and draw the still lines."""

    def _draw_domes(self, lowest: Callable[[Refrigerant], float]) -> None:
        """Each refrigerant's dome, from the temperature (K) that `lowest` says."""
        for fluid, line_style, share in zip(self._fluids, ("-", _BESIDE), (1.0, 0.7)):
            line = dome(fluid, lowest_temperature=lowest(fluid), points=self.style.line_states)
            weight = share * self.style.dome_weight
            self.axes.add_line(Line2D(*self.place(line), color=self.style.dome, linewidth=weight, linestyle=line_style, zorder=2.5))
            self._domes[fluid.name] = line

    def _name_domes(self) -> None:
        """The refrigerant's name on each dome, beside its top or, without room, lower."""
        for index, (name, line) in enumerate(self._domes.items()):
            x, y = self.place(line)
            rows = np.arange(len(x))
            top = int(np.argmax(y))
            sides = [np.linspace(top, 0, 80), np.linspace(top, len(x) - 1, 80)]
            along = np.concatenate(sides if index == 0 else sides[::-1])
            if self._mark_where_free(np.interp(along, rows, x), np.interp(along, rows, y), name, self.style.dome, zorder=2.6):
                self._dome_names.append(self._marks[-1])

    def _draw_family(self, lines: Iterable[Isoline], weight: float = 1.0) -> None:
        lines = list(lines)
        line_style, colour = FAMILIES[lines[0].kind]
        self.axes.add_collection(
            LineCollection(
                [np.column_stack(self.place(line)) for line in lines],
                colors=getattr(self.style, colour),
                linewidths=self.style.isoline_weight * weight,
                linestyles=[line_style],
                zorder=1.5,
            ),
            autolim=False,
        )

    def _mark(self, x: float, y: float, text: str, colour: str, **how: Any) -> None:
        """A small label on a background line, in the colour of its family or one given; outside the window it is left out."""
        across, up = self.axes.transAxes.inverted().transform(self.axes.transData.transform((x, y)))
        if 0.035 <= across <= 0.965 and 0.0 <= up <= 1.0:
            colour = getattr(self.style, FAMILIES[colour][1]) if colour in FAMILIES else colour
            how = {"ha": "center", "va": "center", "rotation": 0, "zorder": 2.0, **how}
            box = {"facecolor": self.style.paper, "edgecolor": "none", "pad": 0.8}
            self._marks.append(self.axes.text(x, y, text, fontsize=self.style.isoline_size, color=colour, bbox=box, clip_on=True, **how))

    def _mark_where_free(self, places: np.ndarray, levels: np.ndarray, text: str, colour: str, **how: Any) -> bool:
        """Label a line at the first of some places where the frame and the labels already there leave room; whether there is one."""
        choices = np.column_stack([places, levels])
        free = self._free(choices, text, self._marks)
        if len(free):
            self._mark(*choices[free[0]], text, colour, **how)
            self._choices[self._marks[-1]] = choices[free]
        return len(free) > 0

    def _free(self, choices: np.ndarray, text: str, others: Sequence[Text]) -> np.ndarray:
        """Which of some places, shape (n, 2), lie inside the frame and clear of other small labels."""
        (left, bottom), (right, top) = frame_of(self.axes)
        half, line = self._half(text), _HALF_LINE * self.style.isoline_size
        taken = on_page(self.axes, [other.get_position() for other in others] or np.empty((0, 2)))
        room = half + np.array([self._half(other.get_text()) for other in others]) + 0.2
        across, up = on_page(self.axes, choices).T
        edge = max(half + 0.5, 0.036 * (right - left))
        inside = (left + edge < across) & (across < right - edge) & (bottom + line + 2.0 < up) & (up < top - line - 2.0)
        clear = (np.abs(taken[:, :1] - across) > room[:, None]) | (np.abs(taken[:, 1:] - up) > 2.0 * line)
        return np.flatnonzero(inside & clear.all(axis=0))

    def _half(self, text: str) -> float:
        """About half the width in points of a small label with its box."""
        return (0.32 * len(text) - 0.16 * text.count(".")) * self.style.isoline_size + 0.8

    def _key(self, families: dict[str, str]) -> None:
        """The meaning of the line styles, under the chart."""
        handles = [
            Line2D([], [], color=getattr(self.style, FAMILIES[f][1]), linestyle=FAMILIES[f][0], linewidth=1.3, label=text)
            for f, text in families.items()
        ]
        if self.beside is not None:
            handles[0].set_label(f"{self.refrigerant.name}: {handles[0].get_label()}")
        key_below(self.axes, handles, self.style)


def _comparable(refrigerant: Refrigerant, beside: Refrigerant) -> Refrigerant:
    """The second refrigerant of a chart, refused where it is the first again or counts from elsewhere."""
    if beside.name == refrigerant.name:
        raise InputError(f"{beside.name} cannot stand beside itself: name another refrigerant, or none")
    if beside.reference != refrigerant.reference:
        raise InputError(
            f"{refrigerant.name} counts from the reference state {refrigerant.reference!r}, {beside.name} from {beside.reference!r}: use one for both"
        )
    return beside
