"""The two pictures of the frost panel: capacity and supply air over a run and its defrost, and the gap between two fins.

What lives here: `FrostChart`, `GapDrawing`.  What does not: the moment that is shown (frost_moment), the words (frost_words).
"""

from __future__ import annotations

import math

from hpteach.diagrams import Style, axes_rectangle, fitting_title
from hpteach.diagrams.sheet import key_below
from hpteach.live import LiveFigure
from hpteach.machine.frost import FrostCycle, Growth
from hpteach.panels.frost_moment import AGAIN, DEFROST, RUN, TAIL, FrostMoment, melting_time, moment_at, running_time, supply_in
from hpteach.panels.shelf import Shelf
from hpteach.units import show, shown_number, unit_shown

_RUN_SHARE, _BETWEEN, _UPPER, _LEVEL_GAP = 0.62, 0.06, 0.53, 0.05  # of the picture: run, between run and defrost, capacity, between upper and lower
_MINUTE = 60.0
_MOST_KEPT = 12
"""Frames that stay ready; each is one picture of 2.4 MB (one copy to restore, one to compare with), and more on a dense screen."""

_RUNS = (20.0, 30.0, 40.0, 60.0, 80.0, 100.0, 120.0, 150.0, 180.0, 240.0, 300.0, 360.0, 480.0, 600.0)
_DEFROSTS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.5)
_POWER = {"SI": ("kW", 1.0, 2.0), "IP": ("kBtu/h", 1e-3, 10.0)}  # unit, of the shown number, step of the axis
_WARMTH_STEP = {"SI": 5.0, "IP": 10.0}
_WIDEST = 2.8  # of the numbers on the upright axes, with their minus, of the size of the type
_HATCH = {"facecolor": "none", "edgecolor": "#a3320b", "hatch": "///", "linewidth": 0.0, "alpha": 0.45, "animated": True}
_FROST = {"facecolor": "#d6e6f5", "edgecolor": "#4d7aa6", "hatch": "xx", "linewidth": 1.0, "animated": True}


class FrostChart:
    """Capacity above, the air that reaches the room below; to the left the run in heating, to the right the defrost on a time scale of its own.

    `scene` is the present one: its frame, and the lines that move in it.
    """

    def __init__(self) -> None:
        self.picture = LiveFigure(700, 490, scale=1.1, words="Capacity and supply air over a run and its defrost. Tables and sentences tell the same.")
        self.scene: _Scene
        self._kept: Shelf[_Scene] = Shelf(_MOST_KEPT, lambda scene: scene.axes)

    def show(self, growth: Growth, cycle: FrostCycle, moment: FrostMoment, place: float, auxiliary_heat: float, system: str, style: Style) -> None:
        """Draw the cycle with the moment marked."""
        lines = _Lines(growth, cycle, auxiliary_heat, system)
        window = lines.frame(growth.indoor.dry_bulb)
        titles = ("Heating, while frost grows" if growth.grows else "Heating, no frost grows", "Defrost, wider scale" if cycle.defrost else "No defrost")
        self.scene = self._kept.take((window, system, titles), style, lambda: _Scene(self.picture, window, system, style, titles))
        self.picture.lay(self.scene.still)
        self.scene.move(lines, cycle)
        self.scene.mark(lines, moment, place, cycle)
        self.picture.draw(self.scene.artists)


class _Scene:
    """Four axes with their ends, kept as one still part, and the lines that move in them."""

    def __init__(self, picture: LiveFigure, window: tuple[float, ...], system: str, style: Style, titles: tuple[str, str]) -> None:
        figure = picture.figure
        for others in figure.axes:
            others.set_visible(False)
        before = len(figure.axes)
        self._frame(figure, window, system, style, titles)
        self.axes = figure.axes[before:]
        self.still = picture.keep()

    def move(self, lines: _Lines, cycle: FrostCycle) -> None:
        """Lay the lines of a cycle."""
        for (upper, lower), times, powers, warmths in ((self.run, *lines.run), (self.melt, *lines.defrost)):
            upper.set_data(times, powers)
            lower.set_data(times, warmths)
        self.warmed.set_data(*lines.warmed)
        for level, value in ((self.clean, lines.clean), (self.mean, lines.mean), (self._room, lines.room)):
            for part in level:
                part.set_ydata([value, value])
        self._room_word.set_y(lines.room)
        self._said.set_text(lines.said)
        for polygon, (times, powers) in zip(self._lost, lines.lost()):
            polygon.set_xy(list(zip([*times, times[-1], times[0]], [*powers, lines.clean, lines.clean])) if times else [(0.0, 0.0)])

    def mark(self, lines: _Lines, moment: FrostMoment, place: float, cycle: FrostCycle) -> None:
        """Put the marker at the moment: on the left or on the right."""
        heating = cycle.defrost is None or place <= RUN
        at = (moment.time if heating or moment.stage == DEFROST else cycle.defrost.duration + moment.time) / _MINUTE
        values = (lines.power(moment.capacity), lines.warmth(moment.supply_temperature))
        for index, sides in enumerate((self.points_run, self.points_melt)):
            shown = heating == (index == 0)
            for (cursor, point), value in zip(sides, values):
                cursor.set_xdata([at, at])
                point.set_data([at], [value])
                cursor.set_visible(shown)
                point.set_visible(shown)

    def _frame(self, figure, window: tuple[float, ...], system: str, style: Style, titles: tuple[str, str]) -> None:  # noqa: ANN001
        run_end, defrost_end, low, high, cold, warm = window
        left, bottom, width, height = axes_rectangle(figure, style, widest=_WIDEST)
        across = ((left, _RUN_SHARE * width), (left + (_RUN_SHARE + _BETWEEN) * width, (1.0 - _RUN_SHARE - _BETWEEN) * width))
        up = ((bottom + (1.0 - _UPPER) * height, _UPPER * height), (bottom, (1.0 - _UPPER - _LEVEL_GAP) * height))
        panes = [[figure.add_axes((start, level, wide, tall)) for start, wide in across] for level, tall in up]
        whole = figure.add_axes((left, bottom, width, height), frameon=False)
        whole.set_axis_off()
        for row, (least, most) in zip(panes, ((low, high), (cold, warm))):
            for axes, end in zip(row, (run_end, defrost_end)):
                axes.set_facecolor(style.paper)
                axes.set_xlim(0.0, end)
                axes.set_ylim(least, most)
                axes.locator_params(axis="y", nbins=6)
                axes.locator_params(axis="x", nbins=6 if end == run_end else 4)
                axes.tick_params(labelsize=style.tick_size, colors=style.ink)
                axes.grid(True, axis="y", color="#d8d8d8", linewidth=0.6)
            row[1].tick_params(labelleft=False)
        for axes in panes[0]:
            axes.tick_params(labelbottom=False)
            axes.axhline(0.0, color=style.ink, linewidth=1.0)
        words = {"fontsize": style.label_size, "color": style.ink}
        panes[0][0].set_ylabel(f"capacity, {_POWER[system][0]}", **words)
        panes[1][0].set_ylabel(f"supply air, {unit_shown('temperature', system).label}", **words)
        figure.align_ylabels([row[0] for row in panes])
        panes[1][0].set_xlabel("minutes of heating", **words)
        panes[1][1].set_xlabel("min. of defrost", **words)
        for axes, title in zip(panes[0], titles):
            first = title.split(",")[0]
            fitting_title(axes, [title, title.removesuffix(" scale"), first], style.title_size, style)
        self._make_lines(panes, style)
        handles = [self.clean[0], self.run[0], self.mean[0], self.warmed]
        for handle, name in zip(handles, ("clean coil", "as it runs", "mean", "with auxiliary heat")):
            handle.set_label(name)
        key_below(whole, handles, style)

    def _make_lines(self, panes: list, style: Style) -> None:
        now, clean, mean = style.looks

        def line(axes, look, weight: float, **more: object):  # noqa: ANN001, ANN202
            settings = {"linestyle": look.line_style, **more}
            return axes.plot([], [], color=look.colour, linewidth=weight, animated=True, **settings)[0]

        def level(row: list, look, weight: float, **more: object) -> list:  # noqa: ANN001
            made = [line(axes, look, weight, **more) for axes in row]
            for part, axes in zip(made, row):
                part.set_data(axes.get_xlim(), [0.0, 0.0])
            return made

        weight = style.cycle_weight
        (upper_run, upper_melt), (lower_run, lower_melt) = panes
        self._lost = [axes.fill([0.0], [0.0], **_HATCH)[0] for axes in panes[0]]
        self.clean = level(panes[0], clean, 0.7 * weight)
        self.mean = level(panes[0], mean, 0.7 * weight)
        self._room = level(panes[1], mean, 0.45 * weight, linestyle=":")
        self.run = line(upper_run, now, weight), line(lower_run, now, weight)
        self.melt = line(upper_melt, now, weight), line(lower_melt, now, weight)
        self.warmed = line(lower_melt, clean, 0.7 * weight, linestyle=(0, (1, 1)))
        words = {"color": style.ink, "fontsize": style.tick_size, "animated": True}
        self._room_word = lower_run.text(0.02 * lower_run.get_xlim()[1], 0.0, "room", va="bottom", **words)
        self._said = upper_run.text(0.03, 0.05, "", va="bottom", linespacing=1.3, transform=upper_run.transAxes, **words)

        def points(axes) -> tuple:  # noqa: ANN001
            cursor = axes.axvline(0.0, color=style.ink, linewidth=1.0, linestyle=":", animated=True)
            return cursor, axes.plot([], [], color=now.colour, marker=now.marker, markersize=now.marker_size, linestyle="none", clip_on=False, animated=True)[0]

        self.points_run = points(upper_run), points(lower_run)
        self.points_melt = points(upper_melt), points(lower_melt)

    @property
    def artists(self) -> list:
        """What moves, in the order in which it is drawn."""
        lines = [*self._lost, *self.clean, *self.mean, *self._room, self._room_word, self._said, self.warmed, *self.run, *self.melt]
        return [*lines, *(part for side in (self.points_run, self.points_melt) for pair in side for part in pair)]


class _Lines:
    """A cycle as lines in shown numbers: minutes, power on the axis, temperature."""

    def __init__(self, growth: Growth, cycle: FrostCycle, auxiliary_heat: float, system: str) -> None:
        self._system = system
        self.clean, self.mean, self.room = self.power(cycle.clean.capacity), self.power(cycle.capacity), self.warmth(growth.indoor.dry_bulb)
        self._run_time = running_time(cycle) / _MINUTE
        self.said = f"clean coil {show(cycle.clean.capacity, 'power', system)}"
        if cycle.defrost is not None:
            self.said += f"\nmean with defrost {show(cycle.capacity, 'power', system)}\nlost {1.0 - cycle.capacity_share:.1%}"
        self.warmed: tuple[list[float], list[float]] = ([], [])
        self.defrost: tuple[list[float], list[float], list[float]] = ([], [], [])
        if cycle.defrost is None:
            times = [0.0, self._run_time]
            self.run = (times, [self.clean] * 2, [self.warmth(cycle.clean.supply_air.dry_bulb)] * 2)
            return
        moments = cycle.moments
        self.run = (
            [one.time / _MINUTE for one in moments], [self.power(one.capacity) for one in moments], [self.warmth(one.supply_temperature) for one in moments],
        )  # fmt: skip
        found, again = cycle.defrost, moment_at(growth, cycle, 100.0)
        melting, end = melting_time(found) / _MINUTE, found.duration / _MINUTE
        times = [0.0, 0.0, melting, melting, end, end, (1.0 + TAIL) * end]
        stages = (found.melting, found.melting, found.warming, found.warming)
        powers = [moments[-1].capacity, *(found.fan_power - one.heat_from_room for one in stages), again.capacity, again.capacity]
        warmths = [moments[-1].supply_temperature, *(supply_in(one, found.fan_power) for one in stages), again.supply_temperature, again.supply_temperature]
        self.defrost = (times, [self.power(one) for one in powers], [self.warmth(one) for one in warmths])
        if auxiliary_heat > 0.0:
            self.warmed = (times[1:5], [self.warmth(supply_in(one, found.fan_power, auxiliary_heat)) for one in stages])

    def power(self, value: float) -> float:
        """A power on the axis."""
        return shown_number(value, "power", self._system) * _POWER[self._system][1]

    def warmth(self, value: float) -> float:
        """A temperature on the axis."""
        return shown_number(value, "temperature", self._system)

    def lost(self) -> list[tuple[list[float], list[float]]]:
        """The lines under which the clean machine's capacity is lost, left and right."""
        return [self.run[:2], (self.defrost[0][1:-1], self.defrost[1][1:-1])] if self.defrost[0] else [([], []), ([], [])]

    def frame(self, indoor: float) -> tuple[float, ...]:
        """Ends of the axes, in steps, so that they stay while a slider is dragged a little: run, defrost, capacity, supply air."""
        powers, warmths = (*self.run[1], *self.defrost[1], self.clean), (*self.run[2], *self.defrost[2], *self.warmed[1], self.warmth(indoor))
        step, degrees = _POWER[self._system][2], _WARMTH_STEP[self._system]
        end = self.defrost[0][-1] if self.defrost[0] else 3.0
        return (
            _at_least(_RUNS, self._run_time), _at_least(_DEFROSTS, end),
            step * math.floor(min(0.0, min(powers) - 0.1 * step) / step), step * math.ceil((max(powers) + 0.1 * step) / step),
            degrees * math.floor((min(warmths) - 0.5) / degrees), degrees * math.ceil((max(warmths) + 0.5) / degrees),
        )  # fmt: skip


class GapDrawing:
    """Two fins and the gap between them, true to scale: the frost on both, what is left, and the air that still passes."""

    def __init__(self) -> None:
        self.picture = LiveFigure(380, 490, scale=1.1, words="The gap between two fins with its frost. Tables and sentences tell the same.")
        self._window: tuple | None = None

    def show(self, moment: FrostMoment, gap: float, system: str, style: Style) -> None:
        """Draw the gap (m) at a moment."""
        if style != self._window:
            self._frame(style)
            self._window = style
        layer = moment.thickness / gap
        self._layers[0].set_xy([(0.0, 0.0), (layer, 0.0), (layer, 1.0), (0.0, 1.0)])
        self._layers[1].set_xy([(1.0, 0.0), (1.0 - layer, 0.0), (1.0 - layer, 1.0), (1.0, 1.0)])
        free = 1.0 - 2.0 * layer
        for share, arrow in zip((0.2, 0.5, 0.8), self._air):
            across = layer + share * free
            arrow.set_data([across, across], [0.08, 0.08 + 0.68 * moment.air_flow_share])
            arrow.set_visible(moment.air_flow_share > 0.0)
        self._free.set_data([layer, 1.0 - layer], [0.88, 0.88])
        self._free_word.set_text(show(moment.gap_left, "thickness", system))
        dripping = moment.stage == DEFROST and moment.frost > 0.0
        self._drops.set_data(*(([layer + 0.03, layer + 0.05, 0.97 - layer, 0.95 - layer], [0.12, 0.5, 0.3, 0.68]) if dripping else ([], [])))
        self._stage.set_text({DEFROST: "defrost: outdoor fan off", AGAIN: "heating again"}.get(moment.stage, "heating"))
        self._said.set_text(
            f"frost {show(moment.thickness, 'thickness', system)} on each side\n"
            f"gap {show(gap, 'thickness', system)}, left {show(moment.gap_left, 'thickness', system)}\n"
            + ("no air: the fan stands" if moment.stage == DEFROST else f"air flow {moment.air_flow_share:.0%} of the clean coil's")
        )  # fmt: skip
        self.picture.draw([*self._layers, *self._air, self._drops, self._free, self._free_word, self._stage, self._said])

    def _frame(self, style: Style) -> None:
        figure = self.picture.figure
        figure.clear()
        height = 72.0 * float(figure.get_size_inches()[1])
        below, above = 4.4 * style.label_size, 1.6 * style.title_size + 1.5 * style.label_size
        axes = figure.add_axes((0.02, below / height, 0.96, 1.0 - (below + above) / height))
        axes.set_axis_off()
        axes.set_xlim(-0.2, 1.2)
        axes.set_ylim(0.0, 1.0)
        fitting_title(axes, ["Gap between two fins", "Gap of two fins"], style.title_size, style, above=1.5 * style.label_size)
        for left in (-0.16, 1.0):
            axes.fill([left, left + 0.16, left + 0.16, left], [0.0, 0.0, 1.0, 1.0], color="#bfc4c9")
            axes.text(left + 0.08, 0.5, "fin", rotation=90, ha="center", va="center", fontsize=style.label_size, color=style.ink)
        words = {"fontsize": style.label_size, "color": style.ink, "animated": True}
        self._layers = [axes.fill([0.0], [0.0], **_FROST)[0] for _ in range(2)]
        look = style.looks[1]
        self._air = [
            axes.plot([], [], color=look.colour, linewidth=1.3 * style.cycle_weight, marker="^", markersize=0.9 * style.label_size, markevery=[1], animated=True)[0]
            for _ in range(3)
        ]  # fmt: skip
        self._drops = axes.plot([], [], color="#1a66cc", linestyle="none", marker="o", markersize=0.5 * style.label_size, animated=True)[0]
        self._free = axes.plot([], [], color=style.ink, linewidth=1.4, marker="|", markersize=14.0, animated=True)[0]
        self._free_word = axes.text(0.5, 0.9, "", ha="center", va="bottom", **words)
        self._stage = axes.text(0.5, 1.02, "", ha="center", va="bottom", **words)
        self._said = axes.text(0.5, -0.02, "", ha="center", va="top", linespacing=1.3, **words)
        self.picture.keep()


def _at_least(steps: tuple[float, ...], value: float) -> float:
    """The first of some steps that reaches a value; beyond the last a multiple of it."""
    return next((step for step in steps if step >= value - 1e-9), steps[-1] * math.ceil(value / steps[-1]))
