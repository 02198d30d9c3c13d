"""A blend at one pressure under the hand: bubble, dew, and the column from which a line's temperature counts.

What lives here: `GlideView`.  What does not: the reading (glide_reading), saturation and the mixture on the dome (fluids).
"""

from __future__ import annotations

from collections.abc import Iterable

import ipywidgets

from hpteach.diagrams import SCREEN, Style, axes_rectangle, fitting_title
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.live import LiveFigure
from hpteach.panels.foresight import Told
from hpteach.panels.glide_reading import LIQUID, SIDES, SUCTION, GlideReading
from hpteach.panels.parts import beside, buttons, dropdown, hands, labelled, paragraphs, set_slider
from hpteach.panels.scales import Scale, slider, turn_scales
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.questions import Variant
from hpteach.readouts import cautions
from hpteach.tables import Table
from hpteach.units import read, show, shown_number, unit_shown

_ROWS_ABOVE = 2.6  # rows of small type that name the regions, above the axes
_COUNT_SIZE = 0.125  # of the room beside the coil, so that the word superheat fits in it
_SHARES = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
_WING = 0.32  # of the axis; how far the single phases are drawn beyond the mixture
_EDGE = 0.62
_WINDOW_STEPS = {"SI": 10.0, "IP": 20.0}
_MARGIN = 0.4  # of a step, left free above and below
_MODELS = ("blend", "pseudo-pure", "pure")
_SMALL = 0.5  # K of glide that an ordinary thermometer does not tell
_COUNTS = {SUCTION: "superheat", LIQUID: "subcooling"}
_COLUMNS = {SUCTION: ("dew", "bubble"), LIQUID: ("bubble", "dew")}

_SCALES = {
    "pressure": Scale("absolute pressure", "pressure", {"SI": (0.5, 45.0, 0.01), "IP": (7.3, 652.6, 0.1)}),
    "line_temperature": Scale("line temperature", "temperature", {"SI": (-40.0, 80.0, 0.5), "IP": (-40.0, 176.0, 1.0)}),
}

_CODED = {("pressure", "IP"): (7.2, 652.7, 0.1)}
"""Spans of a picture code that reach further than the slider: a pressure from an end of the other unit system has a place as well."""


class GlideView(View):
    """Refrigerant, line, pressure and line temperature; the temperature along the coil, table and words follow.

    `controls` has refrigerant (blends first), side ("suction line" or "liquid line"), units, and
    the sliders pressure (absolute) and line_temperature, in the shown units.  Each side keeps a pressure
    and temperature of its own.  `glide_reading` is the last one.

    >>> view = GlideView(refrigerant="R-407C", pressure="5.5bar", line_temperature="12C")
    >>> round(view.glide_reading.right, 1), round(view.glide_reading.wrong, 1)
    (6.8, 13.0)
    >>> view.controls["line_temperature"].value = 3
    >>> round(view.glide_reading.right, 1)
    -2.2
    """

    KEYS = {"r": "refrigerant", "m": "side", "p": "pressure", "t": "line_temperature", "u": "units"}

    def __init__(
        self,
        *,
        refrigerant: str = "R-407C",
        side: str = SUCTION,
        pressure: str | None = None,
        line_temperature: str | None = None,
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("bubble, dew and glide")
        units = self.take_units(units)
        if side not in SIDES:
            raise UnknownNameError.among("line", side, SIDES)
        self.style, self._system = style, units
        self.glide_reading: GlideReading | None = None
        name = listing(refrigerant).name
        start = dict(zip(_SCALES, _start(name, side)))
        if pressure is not None:
            start["pressure"] = read(pressure, "pressure")
        if line_temperature is not None:
            start["line_temperature"] = read(line_temperature, "temperature")
        self._kept: dict[tuple[str, str], tuple[float, float]] = {}
        self._coil_of: tuple[str, float] | None = None
        self._coil: tuple[float, ...] = ()
        self._window: tuple | None = None
        self._picture = LiveFigure(640, 450, scale=1.25, words="The temperature along the coil, from bubble to dew. Table and sentences tell the same.")
        self.table = ipywidgets.HTML()
        names = sorted(catalogue(), key=lambda one: _MODELS.index(catalogue()[one].model))
        self.controls = {
            "refrigerant": dropdown("refrigerant", names, name),
            "side": buttons(list(SIDES), side, "measured on"),
            "units": buttons(["SI", "IP"], units, "units"),
            **{one: slider(_SCALES[one], value, units) for one, value in start.items()},
        }
        self._lay_out()
        self._changed(None)
        self.turns_units(self._turn_units)
        self.controls["side"].observe(self._turn_side, "value")
        self.watch(("refrigerant", *_SCALES))

    @classmethod
    def for_question(cls, variant: Variant) -> GlideView:
        """The view at the cycle of a dealt question, in its units: at the liquid line where its file states one, else at the suction.

        Raises `InputError` where the question has no cycle.

        >>> from hpteach.questions import deal, read_bank
        >>> view = GlideView.for_question(deal(read_bank().question("predict-which-column"), 1))
        >>> view.glide_reading.side
        'suction line'
        """
        if variant.cycle is None:
            raise InputError(f"question {variant.question.id!r} has no cycle to read a line of: choose one with a scenario")
        liquid = "liquid_line_temperature" in variant.question.scenario
        point = variant.cycle.point("3" if liquid else "1")
        return cls(
            refrigerant=variant.cycle.refrigerant,
            side=LIQUID if liquid else SUCTION,
            pressure=f"{point.pressure:.6f}Pa",
            line_temperature=f"{point.temperature:.6f}K",
            units=variant.system,
        )

    def _edition(self) -> str:
        return f"{super()._edition()}|{_CODED}"

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Follow the coil at the present pressure, then move the picture, the table and the words."""
        fluid = refrigerant(self.controls["refrigerant"].value)
        pressure, line_temperature = self._base("pressure"), self._base("line_temperature")
        if self._coil_of != (fluid.name, pressure):
            ends = (fluid.bubble_temperature(pressure), fluid.dew_temperature(pressure))
            inside = tuple(fluid.state_px(pressure, share).temperature for share in _SHARES[1:-1])
            self._coil, self._coil_of = (ends[0], *inside, ends[1]), (fluid.name, pressure)
        found = GlideReading(fluid, pressure, line_temperature, self.controls["side"].value, _SHARES, self._coil)
        self._draw(found)
        self.table.value = f'<div class="hpteach-wide">{self._figures(found)._repr_html_()}</div>'
        self.reading.value = paragraphs(self._words(found))
        self.glide_reading = found

    def told(self) -> dict[str, Told]:
        """What can be predicted: bubble, dew and glide, and what the line's temperature counts."""
        found = self.glide_reading
        if found is None:
            return {}
        count = _COUNTS[found.side]
        return {
            "the bubble temperature": Told(found.bubble, self._temperature(found.bubble)),
            "the dew temperature": Told(found.dew, self._temperature(found.dew)),
            "the glide": Told(found.glide, self._difference(found.glide)),
            f"the {count}": Told(max(found.right, 0.0), self._difference(found.right) if found.right > 0.0 else "none"),
        }

    def span(self, name: str) -> tuple[float, float, float]:
        """Least, most and step of a slider's places in a picture code, in shown numbers."""
        return _CODED.get((name, self._system), _SCALES[name].ranges[self._system])

    def take_numbers(self, numbers: Iterable[tuple[str, float]]) -> None:
        """Set the sliders."""
        for name, number in numbers:
            self._set_slider(name, number)

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Table and reading."""
        return (self.table, self.reading)

    # The picture ------------------------------------------------------------------------

    def _draw(self, found: GlideReading) -> None:
        shown = [shown_number(t, "temperature", self._system) for t in (found.bubble, found.dew, found.line_temperature)]
        step = _WINDOW_STEPS[self._system]
        low = step * ((min(shown) - _MARGIN * step) // step)
        high = step * ((max(shown) + _MARGIN * step) // step + 1.0)
        window = (found.fluid.name, found.side, self._system, low, high, self.style)
        if window != self._window:
            self._frame(found, low, high)
            self._window = window
        self._move(found, *shown)
        self._picture.draw(self._artists)

    def _frame(self, found: GlideReading, low: float, high: float) -> None:
        style, figure = self.style, self._picture.figure
        figure.clear()
        above = _ROWS_ABOVE * style.isoline_size
        axes = figure.add_axes(axes_rectangle(figure, style, key=False, above=above))
        axes.set_facecolor(style.paper)
        axes.set_xlim(-_EDGE, 1.0 + _EDGE)
        axes.set_ylim(low, high)
        axes.set_xticks([0.0, 0.25, 0.5, 0.75, 1.0], ["0", "0.25", "0.5", "0.75", "1"])
        axes.tick_params(labelsize=style.tick_size, colors=style.ink)
        axes.grid(True, axis="y", color="#d8d8d8", linewidth=0.6)
        axes.set_xlabel("share of vapour by mass, along the coil", fontsize=style.label_size, color=style.ink)
        axes.set_ylabel(f"temperature T, {unit_shown('temperature', self._system).label}", fontsize=style.label_size, color=style.ink)
        name = found.fluid.name
        fitting_title(axes, [f"{name} at one pressure: temperature along the coil", f"{name}: temperature along the coil", name], style.title_size, style, above=above)
        small = {"transform": axes.get_xaxis_transform(), "va": "bottom", "multialignment": "center", "fontsize": style.isoline_size, "color": style.ink}
        axes.text(-_EDGE, 1.01, "subcooled liquid\n(not to scale)", ha="left", **small)
        axes.text(0.5, 1.01, "liquid and vapour", ha="center", **small)
        axes.text(1.0 + _EDGE, 1.01, "superheated vapour\n(not to scale)", ha="right", **small)
        for place in (0.0, 1.0):
            axes.axvline(place, color=style.quality, linewidth=1.0, linestyle=":")
        coil, measured = style.looks[0], style.looks[1]
        words = {"fontsize": style.label_size, "animated": True}
        self._liquid, self._vapour = (
            axes.plot([], [], color=coil.colour, linewidth=style.dome_weight, linestyle="--", animated=True)[0] for _ in range(2)
        )
        self._mixture = axes.plot([], [], color=coil.colour, linewidth=style.cycle_weight, animated=True)[0]
        self._ends = axes.plot([], [], color=coil.colour, linestyle="none", marker=coil.marker, markersize=coil.marker_size, animated=True)[0]
        self._measured = axes.plot([], [], color=measured.colour, linewidth=1.6, linestyle="-.", animated=True)[0]
        self._guide = axes.plot([], [], color=measured.colour, linewidth=1.0, linestyle=":", animated=True)[0]
        self._count = axes.plot([], [], color=measured.colour, linewidth=2.2, marker="_", markersize=14.0, animated=True)[0]
        suction = found.side == SUCTION
        self._bubble_label = axes.text(0.0, 0.0, "", color=coil.colour, ha="left", va="top", **words)
        self._dew_label = axes.text(0.0, 0.0, "", color=coil.colour, ha="right", va="bottom", **words)
        self._line_label = axes.text(
            0.0, 0.0, "", color=measured.colour, ha="left" if suction else "right", va="bottom" if suction else "top", **words
        )
        room = axes.bbox.width * 72.0 / figure.dpi * _EDGE / (1.0 + 2.0 * _EDGE)
        words["fontsize"] = min(style.label_size, _COUNT_SIZE * room)
        self._count_label = axes.text(0.0, 0.0, "", color=measured.colour, ha="left" if suction else "right", va="center", **words)
        self._picture.keep()

    @property
    def _artists(self) -> list:
        labels = [self._bubble_label, self._dew_label, self._line_label, self._count_label]
        return [self._guide, self._liquid, self._vapour, self._mixture, self._measured, self._count, self._ends, *labels]

    def _move(self, found: GlideReading, bubble: float, dew: float, line: float) -> None:
        low, high = self._mixture.axes.get_ylim()
        lift = 0.02 * (high - low)
        room = _WINDOW_STEPS[self._system]
        # The single phases are straight lines that reach past the measured temperature where it is theirs.
        warmer, colder = max(1.5 * room, 1.2 * (line - dew)), max(1.5 * room, 1.2 * (bubble - line))
        self._liquid.set_data([-_WING, 0.0], [bubble - colder, bubble])
        self._vapour.set_data([1.0, 1.0 + _WING], [dew, dew + warmer])
        self._mixture.set_data(found.shares, [shown_number(t, "temperature", self._system) for t in found.temperatures])
        self._ends.set_data([0.0, 1.0], [bubble, dew])
        self._measured.set_data([-_EDGE, 1.0 + _EDGE], [line, line])
        suction = found.side == SUCTION
        start, edge = (1.0, dew) if suction else (0.0, bubble)
        place = 1.0 + _WING * (line - dew) / warmer if suction else -_WING * (bubble - line) / colder
        counts = found.right > 0.0
        self._guide.set_data(*(([start, place], [edge, edge]) if counts else ([], [])))
        self._count.set_data(*(([place, place], [edge, line]) if counts else ([], [])))
        self._count_label.set_position((place + (0.03 if suction else -0.03), 0.5 * (edge + line)))
        self._count_label.set_text(f"{_COUNTS[found.side]}\n{self._difference(found.right)}" if counts else "")
        self._bubble_label.set_position((0.02, bubble - lift))
        self._bubble_label.set_text(f"bubble {self._temperature(found.bubble)}")
        self._dew_label.set_position((0.98, dew + lift))
        self._dew_label.set_text(f"dew {self._temperature(found.dew)}")
        self._line_label.set_position((-_EDGE + 0.03 if suction else 1.0 + _EDGE - 0.03, line + (0.6 if suction else -0.6) * lift))
        self._line_label.set_text(f"{found.side} {self._temperature(found.line_temperature)}")

    # Figures and words ------------------------------------------------------------------

    def _temperature(self, value: float) -> str:
        return show(value, "temperature", self._system)

    def _difference(self, value: float) -> str:
        return show(value, "temperature difference", self._system)

    def _figures(self, found: GlideReading) -> Table:
        rows = [
            ("bubble temperature", "", self._temperature(found.bubble)),
            ("dew temperature", "", self._temperature(found.dew)),
            ("glide", "dew - bubble", self._difference(found.glide)),
        ]
        for side in SIDES:
            for word, column, value in zip(("right", "wrong"), _COLUMNS[side], (found.right, found.wrong)):
                name = f"{_COUNTS[side]}, {word} column"
                how = f"line - {column}" if side == SUCTION else f"{column} - line"
                figure = "not this line" if side != found.side else self._difference(value) if value > 0.0 else "none"
                rows.append((name, how, figure))
        return Table(f"{found.fluid.name} at {self._pressure(found)}", ("quantity", "counted", "figure"), rows, right=(2,))

    def _pressure(self, found: GlideReading) -> str:
        return f"{show(found.pressure, 'pressure', self._system)} ({show(found.pressure, 'gauge pressure', self._system)} at sea level)"

    def _words(self, found: GlideReading) -> list[str]:
        name, bubble, dew, glide = found.fluid.name, self._temperature(found.bubble), self._temperature(found.dew), self._difference(found.glide)
        at = self._pressure(found)
        if found.fluid.listing.model == "pure":
            said = [f"At {at} {name} boils at {dew} from the first bubble to the last drop: one substance has no glide, and bubble and dew are the same."]
        elif found.glide < _SMALL:
            said = [f"At {at} {name} boils from {bubble} (bubble) to {dew} (dew): a glide of only {glide}, so that one column serves for both."]
        else:
            said = [
                f"At {at} {name} begins to boil at {bubble} (bubble), and its last drop is gone at {dew} (dew): a glide of {glide}.",
                "Boiling, it becomes warmer along the coil at one pressure; condensing, it goes the other way and becomes colder.",
            ]
        said.append(self._counted(found))
        said.append(
            "Caution: gauges go on with goggles and gloves, by trained people, under your local codes. "
            "A blend that has leaked may have changed: its table is then no longer quite true."
            if found.fluid.listing.model != "pure"
            else "Caution: gauges go on with goggles and gloves, by trained people, under your local codes."
        )
        return [*said, *cautions(found.fluid.listing)]

    def _counted(self, found: GlideReading) -> str:
        """What the line's temperature says, from the right column and from the wrong one."""
        suction = found.side == SUCTION
        count, (column, other) = _COUNTS[found.side], _COLUMNS[found.side]
        line = self._temperature(found.line_temperature)
        right, wrong = self._difference(found.right), self._difference(found.wrong)
        alike = found.glide < _SMALL
        if found.right > 0.0:
            text = f"The {found.side} is at {line}. {count.capitalize()} counts from {column}: {right}."
            return text if alike else f"{text} Counted from the {other} column it would seem to be {wrong}, too much by the glide."
        left, where = ("liquid", "not above") if suction else ("vapour", "not below")
        text = f"The {found.side} is at {line}, {where} {column}: there is no {count}."
        if found.wrong <= 0.0:
            return f"{text} At this pressure and temperature it would hold {left} only: check which gauge and which line were read."
        still = f"{text} At this pressure it still holds {left}"
        return f"{still}." if alike else f"{still}, but the {other} column would show {wrong} of {count} that is not there."

    # Controls ---------------------------------------------------------------------------

    def _base(self, name: str) -> float:
        return round(_SCALES[name].base(self.controls[name].value, self._system), 6)

    def _set_slider(self, name: str, number: float) -> None:
        set_slider(self.controls[name], *_SCALES[name].reach(number, self._system), number)

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            turn_scales(self.controls, _SCALES, before, self._system)

    def _turn_side(self, change: dict) -> None:
        """Keep what was read on the one side, and go on where the other was left."""
        with self.held():
            name = self.controls["refrigerant"].value
            self._kept[name, change["old"]] = (self._base("pressure"), self._base("line_temperature"))
            values = self._kept.get((name, change["new"])) or _start(name, change["new"])
            for one, value in zip(_SCALES, values):
                self._set_slider(one, _SCALES[one].shown(value, self._system))

    def _lay_out(self) -> None:
        c = self.controls
        c["side"].style.button_width = "130px"
        column = {"flex": "1 1 420px", "min_width": "300px"}
        left = ipywidgets.VBox([c["refrigerant"], labelled("measured on", c["side"]), labelled("units", c["units"])], layout=column)
        right = ipywidgets.VBox([c[name] for name in _SCALES], layout=column)
        picture = self._picture.image
        picture.layout.flex, picture.layout.min_width, picture.layout.align_self = "1 1 520px", "0", "flex-start"
        said = ipywidgets.VBox([self.table, self.reading], layout={"flex": "1 1 380px", "min_width": "300px"})
        self.sharpen(self._picture)
        self.arrange([hands(left, right)], [beside(ipywidgets.Box([picture], layout={"flex": "1 1 520px", "min_width": "0"}), said)])
        self.add_class("hpteach-single")


def _start(name: str, side: str) -> tuple[float, float]:
    """A pressure (Pa) and a line temperature (K) as on a running machine, within the sliders."""
    fluid = refrigerant(name)
    if side == SUCTION:
        return round(fluid.dew_pressure(278.15), -4), 285.15
    highest = _SCALES["pressure"].base(_SCALES["pressure"].ranges["SI"][1], "SI")
    pressure = round(min(fluid.bubble_pressure(min(309.15, fluid.highest_saturation_temperature)), highest), -4)
    return pressure, round(fluid.bubble_temperature(pressure) - 6.0 - 273.15) + 273.15
