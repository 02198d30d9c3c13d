"""The changeover: predict, flip the valve, and see circuit, charts, table and words turn together.

What lives here: `Changeover`, its prediction and its slow motion.
What does not: its sentences (changeover_words), which way the refrigerant flows (circuit), the cycle, the drawings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import product

import ipywidgets

from hpteach.circuit import Flow, MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import Cycle, conditions_for, solve
from hpteach.diagrams import SCREEN, Style
from hpteach.errors import HpteachError, InputError
from hpteach.fluids import Refrigerant, catalogue, listing, refrigerant
from hpteach.panels.changeover_pictures import ChangeoverPictures
from hpteach.panels.changeover_words import (
    CAUTION, LAID_OVER, LAYOUTS, MODES, NO_POINTS, QUESTIONS, RUNNING, SLIDERS, STEPS, WITHOUT_A_CONTROL,
    answers, asked, judged, other, told, wiring,
)  # fmt: skip
from hpteach.panels.foresight import WAITING, Told, cycle_told, flow_told
from hpteach.panels.parts import WRAPPED, buttons, dropdown, hands, labelled, paragraphs, press, set_slider
from hpteach.panels.scales import slider
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.readouts import cautions, points_table
from hpteach.units import read, sentence, show
from hpteach.wording import cycle_in_words, flow_in_words

ONE, BOTH = "one mode", "both modes"
_PUSHED, _ARRIVED, _STEADY = 2, 4, 5


class Changeover(View):
    """Flip the valve: circuit drawing, both charts, state points and words change together.

    `controls` has valve_position, travel (a step of the changeover, 0 to 5), refrigerant, metering, units,
    overlay, and the sliders saturated_suction_temperature and saturated_condensing_temperature, which belong
    to the mode shown: each mode keeps its own.  With `predict`, nothing is shown until condenser, check_valve
    and metering_device are chosen for `valve_position` and `commit` is called; `verdicts` says which were right.
    `flow` and `cycle` are the last shown; `cycle` is None while the spool travels, as nothing is steady then.

    >>> view = Changeover(predict=False)
    >>> view.controls["valve_position"].value = "cooling"
    >>> view.flow.condenser, round(view.cycle.conditions.saturated_condensing_temperature, 2)
    ('outdoor coil', 318.15)
    """

    KEYS = {
        "v": "valve_position", "t": "travel", "r": "refrigerant", "m": "metering", "u": "units", "b": "overlay",
        "e": "saturated_suction_temperature", "c": "saturated_condensing_temperature",
    }  # fmt: skip

    def __init__(
        self,
        *,
        refrigerant: str = "R-410A",
        valve_position: str = "heating",
        metering: str = "each-coil",
        cooling: tuple[str, str] = ("7C", "45C"),
        heating: tuple[str, str] = ("-5C", "42C"),
        superheat: str = "5K",
        subcooling: str = "5K",
        isentropic_efficiency: float = 0.7,
        predict: bool = True,
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("changeover")
        units = self.take_units(units)
        if ValvePosition.named(valve_position) is ValvePosition.BETWEEN:
            raise InputError("a changeover starts from heating or from cooling: name one of the two")
        self.style, self._system = style, units
        self.flow: Flow | None = None
        self.cycle: Cycle | None = None
        self.verdicts: dict[str, bool] = {}
        self._shown = not predict
        self._stuck: HpteachError | None = None  # why the spool stayed, until it is said
        self._note = ""
        self._step = 0
        self._mode = self._before = valve_position
        self._fixed = {
            "superheat": read(superheat, "temperature difference"),
            "subcooling": read(subcooling, "temperature difference"),
            "isentropic_efficiency": isentropic_efficiency,
        }
        self._chosen = {
            mode: {name: read(text, "temperature") for name, text in zip(SLIDERS, texts)} for mode, texts in zip(MODES, (cooling, heating))
        }
        _ = [self._within(mode, name) for mode in MODES for name in SLIDERS]  # refuses a start that a slider would move
        self._solved: dict[str, tuple[tuple, Cycle]] = {}
        self._fluid, self._circuit = listing(refrigerant).name, reversible_circuit(MeteringLayout.named(metering))
        self._refuse_what_no_control_mends()
        self.pictures = ChangeoverPictures()
        self.table = ipywidgets.HTML(layout={"min_height": "240px"})
        self._story, self._prompt, self._judged = ipywidgets.HTML(), ipywidgets.HTML(), ipywidgets.HTML()
        self.controls = {
            "valve_position": buttons(list(MODES), valve_position, "valve position"),
            "travel": ipywidgets.SelectionSlider(
                options=[(text, number) for number, text in enumerate(STEPS)], value=0, description="spool travel",
                style={"description_width": "195px"}, layout={"width": "auto", "min_width": "300px", "flex": "1 1 480px"},
            ),
            "refrigerant": dropdown("refrigerant", list(catalogue()), self._fluid),
            "metering": dropdown("metering device", [(text, name) for name, text in LAYOUTS.items()], self._circuit.metering_layout.value),
            "units": buttons(["SI", "IP"], units, "units"),
            "overlay": buttons([ONE, BOTH], ONE, "charts"),
            **{name: slider(scale, self._chosen[valve_position][name], units) for name, scale in SLIDERS.items()},
            **{name: ipywidgets.RadioButtons(options=list(options), value=None, layout={"width": "auto"}) for name, (_, options) in QUESTIONS.items()},
        }  # fmt: skip
        self._lay_out()
        self._changed(None)
        self.controls["valve_position"].observe(self._turn, "value")
        for name in ("travel", "refrigerant", "metering"):
            self.controls[name].observe(self._travel, "value")
        self.turns_units(self._turn_units)
        self.watch(("overlay", *SLIDERS))

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def told(self) -> dict[str, Told]:
        """What can be predicted: the roles and what meters, and while the machine is steady the cycle."""
        return {**(flow_told(self.flow) if self.flow else {}), **(cycle_told(self.cycle, self._system) if self.cycle else {})}

    def _refuse_what_no_control_mends(self) -> None:
        for mode in MODES:
            try:
                self._solve(mode)
            except HpteachError as error:  # the sliders mend a saturated temperature
                if error.template.startswith(WITHOUT_A_CONTROL):
                    raise

    # What is shown ----------------------------------------------------------------------

    def refresh(self) -> None:
        """Walk and solve for the present controls, then move drawing, charts, table and words together."""
        stuck, self._stuck = self._stuck, None
        self._note = sentence(stuck, self._system) if stuck is not None else ""
        self._read_controls()
        if not self._shown:
            self._prompt.value = asked(self._circuit.metering_layout, self._mode)
            return
        step, fluid, circuit = self._step, refrigerant(self._fluid), self._circuit
        position = ValvePosition.BETWEEN if _PUSHED <= step < _ARRIVED else ValvePosition(self._after if step >= _ARRIVED else self._before)
        path = flow(circuit, position)
        cycles = {self._mode: self._solve(self._mode)} if step in RUNNING else {}
        if cycles and self._both:
            hidden = other(self._mode)
            cycles = {hidden: self._laid_over(hidden), **cycles}
        cycle = cycles.get(self._mode)
        sheet = (self._system, self.style)
        self.pictures.draw_circuit(circuit, path, cycle, *sheet, start=self._before, step=step)
        self.pictures.draw_charts(fluid, cycles, *sheet, covering=list(cycles.values()) or [self._solve(self._mode)])
        self._write(fluid, path, cycle, step, both=len(cycles) == 2)
        self.flow, self.cycle = path, cycle

    def note(self) -> str:
        """Why the spool stayed where it was, if it was asked to move."""
        return self._note

    def _changed(self, change: object) -> None:
        super()._changed(change)
        if self._stuck is not None and not self._held:  # a picture that would say it waits for a prediction
            self.say(f"{sentence(self._stuck, self._system)}. {WAITING}", refused=True)

    def fade(self) -> None:
        """Fade everything, once it is open."""
        if self._shown:
            super().fade()
            self.pictures.forget()

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Table, reading, and the story of the spool."""
        return (self.table, self.reading, self._story)

    def step(self) -> None:
        """Go one step of the changeover further; after the last, the way back begins."""
        with self.held():
            if self._step == _STEADY:
                self._before = self._mode
            self.controls["travel"].value = self._step % _STEADY + 1

    @property
    def _after(self) -> str:
        return other(self._before)

    def _solve(self, mode: str) -> Cycle:
        chosen = {**self._chosen[mode], **self._fixed}
        key = (self._fluid, self._circuit.metering_layout, *chosen.values())
        if self._solved.get(mode, (None,))[0] != key:
            conditions = conditions_for(flow(self._circuit, ValvePosition(mode)), **chosen)
            self._solved[mode] = (key, solve(refrigerant(self._fluid), conditions, self._circuit))
        return self._solved[mode][1]

    def _laid_over(self, mode: str) -> Cycle:
        try:
            return self._solve(mode)
        except HpteachError as error:
            raise type(error)(f"in {mode}, which is to be laid over, {error.template}", **error.measures) from None

    # The picture code -------------------------------------------------------------------

    def choices(self) -> tuple[str, ...]:
        """All choices but those of the prediction; valve and spool last."""
        return ("refrigerant", "metering", "units", "overlay", "valve_position", "travel")

    def span(self, name: str) -> tuple[float, float, float]:
        """Least, most and step of a slider in shown numbers."""
        return SLIDERS[name].ranges[self._system]

    def numbers(self) -> list[tuple[str, float]]:
        """The temperatures of cooling, then those of heating: each mode keeps its own."""
        return [(name, self._within(mode, name)) for mode in MODES for name in SLIDERS]

    def take_choices(self, indices: Mapping[str, int]) -> None:
        """Set all but valve and spool, which wait for the temperatures."""
        self.controls["travel"].index = self._step = 0
        self._coming = MODES[indices["valve_position"]], indices["travel"]
        super().take_choices({name: index for name, index in indices.items() if name not in ("valve_position", "travel")})

    def take_numbers(self, numbers: Iterable[tuple[str, float]]) -> None:
        """Set each mode's temperatures, then valve and spool, as it is asked whether the pressures can push it."""
        for (mode, name), (_, number) in zip(product(MODES, SLIDERS), numbers):
            self._chosen[mode][name] = SLIDERS[name].base(number, self._system)
        mode, travel = self._coming
        self._mode = self.controls["valve_position"].value = mode
        self._before = other(mode) if travel == _STEADY else mode
        self._set_sliders()
        self._step = travel
        self.controls["travel"].index = travel

    # Words ------------------------------------------------------------------------------

    def _write(self, fluid: Refrigerant, path: Flow, cycle: Cycle | None, step: int, *, both: bool) -> None:
        if cycle is None:
            self.table.value = NO_POINTS
        else:
            self.table.value = f'<div class="hpteach-wide">{points_table(cycle, self._system)._repr_html_()}</div>'
        before, after = (flow(self._circuit, ValvePosition(mode)) for mode in (self._before, self._after))
        pushing = show(self._difference(self._before), "pressure", self._system).removesuffix("a") if step == _PUSHED else ""
        story = told(step, before, after, energised=self._energised(self._after), pushing=pushing)
        self._story.value = f'<div class="hpteach-note" role="status" aria-live="polite">{paragraphs(story)}</div>' if story else ""
        said = [*flow_in_words(path), *(cycle_in_words(cycle, self._system) if cycle else ()), *([LAID_OVER] if both else [])]
        said += [wiring(self._circuit.reversing_valve), CAUTION, *cautions(fluid.listing)]
        self.reading.value = paragraphs(said)

    # The prediction ---------------------------------------------------------------------

    def commit(self) -> None:
        """Judge the three choices and open the panel; refuses while one is missing."""
        with self.lock:
            missing = [text for name, (text, _) in QUESTIONS.items() if self.controls[name].value is None]
            if self._shown or missing:
                if missing and not self._shown:
                    self.say(f"Choose first: {' '.join(missing)} A wrong guess teaches as much as a right one.", refused=True)
                return
            self._judge()
            self._shown = True
            for control in (*(self.controls[name] for name in QUESTIONS), self._commit):
                control.disabled = True
            self.arrange([*self._asking, *self._turning], self._pictured)
            self._changed(None)

    def _judge(self) -> None:
        chosen = {name: self.controls[name].value for name in QUESTIONS}
        right = answers(flow(self._circuit, ValvePosition(self._mode)))
        self.verdicts = {name: chosen[name] == answer for name, (answer, _) in right.items()}
        self._judged.value = judged(self.verdicts, right, self._circuit.metering_layout, self._mode)

    # Controls ---------------------------------------------------------------------------

    def _energised(self, mode: str) -> bool:
        return self._circuit.reversing_valve.energised_in.value == mode

    def _difference(self, mode: str) -> float:
        """What pushes the spool (Pa): discharge minus suction pressure of the steady cycle."""
        cycle = self._solve(mode)
        return cycle.point("2").pressure - cycle.point("1").pressure

    def _goes(self, standing: str, new: str) -> bool:
        """Whether the spool can leave where it stands; a refusal is kept for the status line."""
        self._stuck = None
        try:
            self._read_controls()
            self._circuit.reversing_valve.shift(ValvePosition(standing), energised=self._energised(new), pressure_difference=self._difference(standing))
        except HpteachError as error:
            self._stuck = error
            return False
        return True

    def _turn(self, _change: dict) -> None:
        with self.held():
            new = self.controls["valve_position"].value
            if new == self._mode:
                return
            if self._shown and not self._goes(self._mode, new):
                self.controls["valve_position"].value = self._mode
                return
            self._before = new
            self.controls["travel"].value = 0
            self._stand_in(new)

    def _travel(self, _change: dict) -> None:
        with self.held():
            step = self.controls["travel"].value
            # Asked again at each step, as the refrigerant may be another by now; a spool that has come home stays.
            if step >= _PUSHED and not self._step == step == _STEADY and not self._goes(self._before, self._after):
                self.controls["travel"].value = step = _PUSHED - 1
            self._step = step
            self._stand_in(self._after if step == _STEADY else self._before)

    def _stand_in(self, mode: str) -> None:
        """Give the sliders to a mode, each temperature as it was left there."""
        if mode != self._mode:
            self._read_controls()
            self._mode = self.controls["valve_position"].value = mode
            self._set_sliders()
        for name in (*SLIDERS, "refrigerant", "metering", "units"):
            self.controls[name].disabled = self._step not in RUNNING

    def _read_controls(self) -> None:
        """Read each control once, so that a picture is of one state also while another hand moves."""
        self._fluid, self._both = self.controls["refrigerant"].value, self.controls["overlay"].value == BOTH
        self._circuit = reversible_circuit(MeteringLayout(self.controls["metering"].value))
        for name in SLIDERS:
            self._chosen[self._mode][name] = SLIDERS[name].base(self.controls[name].value, self._system)

    def _set_sliders(self) -> None:
        for name, scale in SLIDERS.items():
            set_slider(self.controls[name], *scale.ranges[self._system], self._within(self._mode, name))
            self.controls[name].description = scale.described(self._system)

    def _turn_units(self, _change: dict) -> None:
        with self.held():
            self._read_controls()
            self._system = self.controls["units"].value
            self._set_sliders()

    def _within(self, mode: str, name: str) -> float:
        return SLIDERS[name].within(self._chosen[mode][name], self._system, f"in {mode}")

    def _lay_out(self) -> None:
        c = self.controls
        c["overlay"].style.button_width = "auto"
        c["travel"].add_class("hpteach-travel")
        column = {"flex": "1 1 420px", "min_width": "300px"}
        self._commit, further = press("Commit, then show"), press("Next step")
        self._commit.on_click(lambda _: self.guard(self.commit))
        further.on_click(lambda _: self.guard(self.step))
        questions = [ipywidgets.VBox([ipywidgets.HTML(f"<b>{text}</b>"), c[name]], layout={"flex": "1 1 260px"}) for name, (text, _) in QUESTIONS.items()]
        self._asking = [self._prompt, ipywidgets.Box(questions, layout=WRAPPED), self._commit, self._judged]
        for one in self._asking:
            one.add_class("hpteach-asked")
        left = ipywidgets.VBox([labelled("valve position", c["valve_position"]), c["refrigerant"], c["metering"]], layout=column)
        right = ipywidgets.VBox([*(c[name] for name in SLIDERS), labelled("units", c["units"]), labelled("charts", c["overlay"])], layout=column)
        for picture in (self.pictures.circuit, *self.pictures.charts.values()):
            picture.image.layout.flex, picture.image.layout.min_width = "1 1 400px", "0"
        self._turning = [hands(left, right), ipywidgets.Box([c["travel"], further], layout=WRAPPED)]
        charts = ipywidgets.Box([picture.image for picture in self.pictures.charts.values()], layout=WRAPPED)
        circuit = ipywidgets.Box([self.pictures.circuit.image], layout=WRAPPED)
        circuit.add_class("hpteach-drawn")
        self.add_class("hpteach-single")
        self._pictured = [circuit, self._story, charts, self.table, self.reading]
        self.sharpen(self.pictures.circuit, *self.pictures.charts.values())
        if self._shown:
            self.arrange(self._turning, self._pictured)
        else:
            self.sheet(*self._asking, self.status)
