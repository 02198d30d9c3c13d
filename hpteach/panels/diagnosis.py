"""Diagnosis: a hidden fault, readings that cost minutes, a name for the fault, and the verdict.

What lives here: `Diagnosis`.  What does not: faults and which of them fit (machine.diagnosis), the words (diagnosis_words).
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from html import escape

import ipywidgets

from hpteach.circuit import ValvePosition
from hpteach.diagnosis_words import (
    RULE, cautions_of, choices, fitting, minutes_text, reading_text, readings_table, repair_cautions, score_of, situation, spent, transcript, verdict,
)  # fmt: skip
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import MoistAir, moist_air
from hpteach.machine import DEMO_MACHINES, demo_machine
from hpteach.machine.diagnosis import Case, Judgement, deal_case, judge, lineup
from hpteach.machine.readings import FANS, GAUGES, LINES, LIVE, READINGS
from hpteach.panels.parts import WRAPPED, buttons, dropdown, labelled, paragraphs, press
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View

WORKING = "Working out how each suspect would show in this machine and weather: some seconds …"

WEATHERS: Mapping[str, tuple[tuple[float, float, float, float], ...]] = {
    "cooling": ((308.15, 0.40, 299.85, 0.51), (303.15, 0.45, 298.15, 0.50)),
    "heating": ((280.15, 0.87, 293.15, 0.50), (270.15, 0.80, 293.15, 0.45)),
}
"""Outdoor temperature (K) and relative humidity, then those of the room: the case number says which."""

_MOST = 999_999
"""The highest case number."""

_GROUPS = {
    FANS: "A look, and thermometers in the air",
    LINES: "Clamp probes on the lines",
    GAUGES: "Gauges",
    LIVE: "Meters behind the panel",
}


class Diagnosis(View):
    """A demo machine (invented) with a hidden fault: buy readings, name the fault, and be told what would have told the suspects apart.

    `seed` is the case number: with the same machine and position it gives everybody the same case.  Left out, a number is drawn and shown.
    `controls` has machine, called ("cooling" or "heating"), units, seed, named and healthy (the data sheet).  `case` is the case, `bought` the ids of the
    readings taken so far, `judgement` the verdict after `name`, else None.

    >>> view = Diagnosis(seed=2)
    >>> view.buy("liquid_line")
    >>> view.buy("discharge_line")
    >>> view.name("undercharge")
    >>> view.judgement.right, view.points
    (True, 100)
    """

    def __init__(self, *, machine: str = "R-410A", called: str = "cooling", seed: int | None = None, units: Units = None) -> None:
        super().__init__("diagnosis")
        units = self.take_units(units)
        if called not in WEATHERS:
            raise UnknownNameError.among("position to call for", called, WEATHERS)
        self.case: Case
        self.bought: list[str] = []
        self.asked = 0
        self.judgement: Judgement | None = None
        self.finished: dict[tuple[str, str, int], tuple[bool, int]] = {}
        name = next(one for one in DEMO_MACHINES if demo_machine(one) == demo_machine(machine))
        if seed is not None and (isinstance(seed, bool) or not isinstance(seed, int) or not 0 <= seed <= _MOST):
            raise InputError(f"case number of {seed!r} cannot be: use a whole number from 0 to {_MOST}")
        start = random.randrange(1, 10_000) if seed is None else seed
        wide = {"width": "auto", "min_width": "300px"}
        self.controls = {
            "machine": dropdown("machine (invented)", list(DEMO_MACHINES), name),
            "called": buttons(list(WEATHERS), called, "called for"),
            "units": buttons(["SI", "IP"], units, "units"),
            "seed": ipywidgets.BoundedIntText(description="case number", value=start, min=0, max=_MOST, style={"description_width": "195px"}, layout={"width": "320px"}),
            "healthy": ipywidgets.ToggleButton(description="Data sheet: the healthy machine in this weather (costs nothing)", layout={"width": "auto", "height": "auto"}),
            "named": ipywidgets.Dropdown(description="what is wrong?", options=[], style={"description_width": "195px"}, layout=wide),
            "larger": ipywidgets.ToggleButton(description="Larger for the room", layout={"width": "auto"}),
        }
        self.presses = {id: press("") for id in READINGS}
        for id, one in self.presses.items():
            one.on_click(lambda _, id=id: self.buy(id))
        self.table, self.suspected, self.closing = (ipywidgets.HTML() for _ in range(3))
        self._lay_out()
        self._changed(None)
        self.watch(("machine", "called", "seed"))
        self.controls["healthy"].observe(self._turned, "value")
        self.turns_units(self._turned)
        self.controls["larger"].observe(self._enlarge, "value")

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self.controls["units"].value

    @property
    def points(self) -> int | None:
        """Points of the present case; None before the fault is named."""
        return None if self.judgement is None else score_of(self.judgement, self.asked)

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """The call, the readings, the suspects and the verdict."""
        return (self.reading, self.table, self.suspected, self.closing)

    def refresh(self) -> None:
        """Deal the case of the present machine, position and number."""
        self.say(WORKING)
        called = self.controls["called"].value
        machine, position = demo_machine(self.controls["machine"].value), ValvePosition.named(called)
        outdoor, indoor = _weather(called, self.controls["seed"].value)
        self.case = deal_case(machine, position, outdoor, indoor, self.controls["seed"].value)
        self.bought, self.asked, self.judgement = [], 0, None
        self.controls["named"].options = choices(lineup(machine, position, outdoor, indoor))
        self.controls["named"].value = None
        self.suspected.value = ""
        self._write()

    def note(self) -> str:
        """How to begin."""
        return f"Case {self.controls['seed'].value}: take a first reading."

    def buy(self, reading: str) -> None:
        """Take a reading by its id; one that was taken already costs nothing more."""
        self.guard(lambda: self._take(reading))

    def ask(self) -> None:
        """Be told which suspects still fit: before the fault is named this costs points."""
        self.guard(self._ask)

    def name(self, fault: str | None = None) -> None:
        """Name the fault by its id, by default the one that is chosen in the list."""
        self.guard(lambda: self._name(fault))

    def another(self) -> None:
        """Another case of the same machine and position."""
        self.controls["seed"].value = random.randrange(1, 10_000)

    def _take(self, reading: str) -> None:
        if reading not in READINGS:
            raise UnknownNameError.among("reading", reading, READINGS)
        told = f"{READINGS[reading].words}: {reading_text(reading, self.case.readings[reading], self.system)}."
        if reading in self.bought:
            self.say(f"Taken already: {told}")
            return
        self._still_open()
        self.bought.append(reading)
        if self.suspected.value:
            self.suspected.add_class("hpteach-faded")
        self._write()
        cost = f"{minutes_text(READINGS[reading].minutes)}, {spent(self.bought)} together."
        self.say(f"{told} {cost} {READINGS[reading].caution}")

    def _ask(self) -> None:
        if self.judgement is None:
            self.asked += 1
        self.suspected.remove_class("hpteach-faded")
        self.suspected.value = f'<div class="hpteach-note">{escape(fitting(self.case, self.bought))}</div>'
        self.say("" if self.judgement else f"Asked {self.asked} times so far.")

    def _name(self, fault: str | None) -> None:
        named = self.controls["named"].value if fault is None else fault
        if named is None:
            raise InputError("choose first what is wrong: a wrong guess teaches as much as a right one")
        self._still_open()
        self.judgement = judge(self.case, self.bought, named)
        self.controls["named"].value = named
        self.finished.setdefault((self.controls["machine"].value, self.controls["called"].value, self.case.seed), (self.judgement.right, self.points))
        self._write()
        self.say("Right." if self.judgement.right else "Not right.")

    def _still_open(self) -> None:
        if self.judgement is not None:
            raise InputError("this case is closed: choose another case")

    def _write(self) -> None:
        """Everything that is shown of the case, in the present units."""
        case, beside = self.case, self.controls["healthy"].value
        self.reading.value = paragraphs(situation(case, self.system))
        for id, one in self.presses.items():
            taken = id in self.bought
            told = f"✓ {READINGS[id].words}: {reading_text(id, case.readings[id], self.system)}" if taken else f"{READINGS[id].words} ({READINGS[id].minutes} min)"
            one.description = told
        table = readings_table(case, self.bought, self.system, beside=beside)
        self.table.value = f'<div class="hpteach-wide">{table._repr_html_()}</div>' + paragraphs(cautions_of(self.bought))
        self.closing.value = "" if self.judgement is None else self._verdict()

    def _verdict(self) -> str:
        case, named, system = self.case, self.controls["named"].value, self.system
        first, *rest = verdict(case, self.bought, named, system, asked=self.asked)
        kind = "right" if self.judgement.right else "wrong"
        text = transcript(case, self.bought, named, system, asked=self.asked)
        return (
            f'<div class="hpteach-note hpteach-{kind}"><b>{escape(first)}</b>{paragraphs(rest)}</div>{paragraphs(repair_cautions(case.hidden, case.machine.refrigerant))}'
            f"<p>{escape(self._tally())}</p><details><summary>The whole case as text, to copy</summary><pre style='white-space: pre-wrap'>{escape(text)}</pre></details>"
        )

    def _tally(self) -> str:
        right, points = (list(column) for column in zip(*self.finished.values()))
        cases = "1 case" if len(right) == 1 else f"{len(right)} cases"
        return f"So far: {cases}, {sum(right)} right, {sum(points) / len(points):.0f} points on average. The first verdict on a case counts."

    def _turned(self, _change: object) -> None:
        self.guard(self._write)

    def _enlarge(self, change: dict) -> None:
        (self.add_class if change["new"] else self.remove_class)("hpteach-large")

    def _lay_out(self) -> None:
        c = self.controls
        groups = []
        for caution in dict.fromkeys(reading.caution for reading in READINGS.values()):
            held = [self.presses[id] for id, reading in READINGS.items() if reading.caution == caution]
            groups.append(ipywidgets.HTML(f"<b>{escape(_GROUPS.get(caution, 'Readings'))}.</b> {escape(caution)}"))
            groups.append(ipywidgets.Box(held, layout=WRAPPED))
        for one in (*self.presses.values(), c["healthy"]):
            one.add_class("hpteach-buy")
        asks, names, another = press("Which suspects still fit? (costs points)"), press("Name the fault"), press("Another case")
        asks.on_click(lambda _: self.ask())
        names.on_click(lambda _: self.name())
        another.on_click(lambda _: self.another())
        rule = ipywidgets.HTML(f"<details><summary>How points are counted</summary><p>{escape(RULE)} Only faults that can show in this position are in the list.</p></details>")
        column = {"flex": "1 1 480px", "min_width": "300px"}
        left = ipywidgets.VBox([*groups, c["healthy"]], layout=column)
        right = ipywidgets.VBox([self.table, asks, self.suspected, c["named"], names, rule, self.status, self.closing], layout=column)
        share = ipywidgets.HTML("To share a case: the same machine, position and case number give everybody the same fault.")
        below = [c["machine"], labelled("called for", c["called"]), labelled("units", c["units"]), c["seed"], another, c["larger"]]
        self.sheet(self.reading, ipywidgets.Box([left, right], layout=WRAPPED), ipywidgets.Box(below, layout=WRAPPED), share)


def _weather(called: str, seed: int) -> tuple[MoistAir, MoistAir]:
    """The air outdoors and in the room of a case."""
    out, damp, room, humid = random.Random(f"weather {seed}").choice(WEATHERS[called])  # noqa: S311
    return moist_air(out, relative_humidity=damp), moist_air(room, relative_humidity=humid)
