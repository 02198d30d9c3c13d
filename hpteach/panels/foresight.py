"""Predict first, as a mode of any panel: move a control, say what follows, then see it.

What lives here: `Told`, what a panel tells of itself, and `Foresight`, the question and the verdict.
What does not: when a panel is asked (view), and which quantities it tells of (each panel).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from html import escape

import ipywidgets

from hpteach.circuit import INDOOR_COIL, OUTDOOR_COIL, Flow
from hpteach.cycle import Cycle
from hpteach.units import show

MOVES = ("rises", "stays as it is", "falls")
WAITING = "The picture is still the one before. Say what you expect, then it moves."
_ASKED = "Predict first: move one control or several, choose a quantity, say what becomes of it, and commit."


@dataclass(frozen=True)
class Told:
    """A quantity of the present picture: a number, or one word of several; `shown` is how the reader sees it.

    >>> Told(276.15, "3.0 °C").becomes(Told(277.15, "4.0 °C"))
    'rises'
    >>> Told("indoor coil", "indoor coil", ("indoor coil", "outdoor coil")).becomes(Told("outdoor coil", "outdoor coil"))
    'outdoor coil'
    """

    value: float | str
    shown: str
    choices: tuple[str, ...] = MOVES

    def becomes(self, after: Told) -> str:
        """Which of the choices came true; a number that reads the same stays as it is."""
        if self.choices is not MOVES:
            return str(after.value)
        if after.shown == self.shown:
            return MOVES[1]
        return MOVES[0] if after.value > self.value else MOVES[2]


def cycle_told(cycle: Cycle, system: str) -> dict[str, Told]:
    """What can be predicted of a cycle, in the reader's units.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> cycle = solve(refrigerant("R-134a"), Conditions(ValvePosition.COOLING, "indoor coil", 253.15, 303.15))
    >>> cycle_told(cycle, "SI")["the pressure ratio"].shown
    '5.80'
    """
    discharge, suction, entering = (cycle.point(label) for label in ("2", "1", "4"))

    def one(value: float, kind: str) -> Told:
        return Told(value, show(value, kind, system))

    return {
        "the discharge temperature T2": one(discharge.temperature, "temperature"),
        "the suction pressure p1": one(suction.pressure, "pressure"),
        "the discharge pressure p2": one(discharge.pressure, "pressure"),
        "the pressure ratio": Told(cycle.pressure_ratio, f"{cycle.pressure_ratio:.2f}"),
        "the specific work w": one(cycle.specific_work, "specific energy"),
        "the refrigerating effect q_e": one(cycle.refrigerating_effect, "specific energy"),
        "the heat rejected q_c": one(cycle.heat_rejected, "specific energy"),
        "the COP in cooling": Told(cycle.cop_cooling, f"{cycle.cop_cooling:.2f}"),
        "the COP in heating": Told(cycle.cop_heating, f"{cycle.cop_heating:.2f}"),
        "the density of the suction vapour": one(suction.density, "density"),
        **({"the share of vapour after metering x4": one(entering.quality, "ratio")} if entering.quality is not None else {}),
        **flow_told(cycle.flow),
    }


def changed_since(kept: Cycle, cycle: Cycle, system: str) -> str:
    """What is different since a kept cycle, in one sentence.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> cycle = solve(refrigerant("R-134a"), Conditions(ValvePosition.COOLING, "indoor coil", 253.15, 303.15))
    >>> changed_since(cycle, cycle, "SI")
    'The kept cycle lies under this one, dashed with hollow squares, and in nothing told here is it different.'
    """
    before, after = cycle_told(kept, system), cycle_told(cycle, system)
    ways = [f"{name} from {one.shown} to {after[name].shown}" for name, one in before.items() if name in after and one.shown != after[name].shown]
    if not ways:
        return "The kept cycle lies under this one, dashed with hollow squares, and in nothing told here is it different."
    return f"The kept cycle lies under this one, dashed with hollow squares. From it to this one: {'; '.join(ways)}."


def flow_told(flow: Flow) -> dict[str, Told]:
    """What can be predicted of a flow: which coil condenses, and which device meters.

    >>> from hpteach.circuit import ValvePosition, flow, reversible_circuit
    >>> flow_told(flow(reversible_circuit(), ValvePosition.HEATING))["the coil that condenses"].shown
    'indoor coil'
    """
    condenser = flow.condenser or "neither coil"
    device = flow.metering.working or "neither device"
    devices = ("indoor metering device", "outdoor metering device", "neither device")
    return {
        "the coil that condenses": Told(condenser, condenser, (INDOOR_COIL, OUTDOOR_COIL, "neither coil")),
        "the device that meters": Told(device, device, devices),
    }


class Foresight(ipywidgets.VBox):
    """The question, its choices, and the verdict on the last one.

    `quantity` and `expected` are the controls; `on_commit` is called when the learner commits.
    """

    def __init__(self, on_commit: Callable[[], None]) -> None:
        style = {"description_width": "195px"}
        self.quantity = ipywidgets.Dropdown(description="what becomes of", options=[], style=style, layout={"width": "auto", "min_width": "300px"})
        self.expected = ipywidgets.ToggleButtons(options=MOVES, value=None, style={"button_width": "auto"}, layout={"width": "auto"})
        self._commit = ipywidgets.Button(description="Commit, then show", layout={"width": "auto"})
        self._commit.on_click(lambda _: on_commit())
        self._verdict = ipywidgets.HTML()
        self._kinds: dict[str, tuple[str, ...]] = {}
        row = {"display": "flex", "flex_flow": "row wrap", "width": "100%"}
        super().__init__([ipywidgets.HTML(f"<b>{_ASKED}</b>"), ipywidgets.Box([self.quantity, self.expected, self._commit], layout=row), self._verdict])
        self.quantity.observe(lambda _: self._offer(), "value")

    def ask(self, told: Mapping[str, Told]) -> None:
        """Offer the quantities of the present picture; the one asked for last stays chosen."""
        self._kinds = {name: one.choices for name, one in told.items()}
        if tuple(told) != tuple(self.quantity.options):
            chosen = self.quantity.value
            self.quantity.options = tuple(told)
            self.quantity.value = chosen if chosen in told else next(iter(told), None)
        self._offer()

    def judge(self, before: Mapping[str, Told], after: Mapping[str, Told]) -> bool:
        """Say whether the choice came true, and from where to where the quantity went; one that is gone is not judged."""
        name, expected = self.quantity.value, self.expected.value
        if name not in after:
            self._verdict.value = f'<div class="hpteach-note" role="status">There is no {escape(name)} in this picture: nothing to judge.</div>'
            self.expected.value = None
            return False
        came = before[name].becomes(after[name])
        word, kind = ("Right.", "right") if came == expected else ("Not right.", "wrong")
        way = f"from {before[name].shown} to {after[name].shown}" if came != MOVES[1] else f"at {after[name].shown}"
        said = f"{name}: you expected “{expected}”; it {came}, {way}." if before[name].choices is MOVES else f"{name}: you expected “{expected}”; it is the {came}."
        self._verdict.value = f'<div class="hpteach-note hpteach-{kind}" role="status" aria-live="polite"><b>{word}</b> {escape(said[0].upper() + said[1:])}</div>'
        self.expected.value = None
        return came == expected

    def forget(self) -> None:
        """Take the last verdict away."""
        self._verdict.value, self.expected.value = "", None

    def _offer(self) -> None:
        choices = self._kinds.get(self.quantity.value, MOVES)
        if tuple(self.expected.options) != choices:
            self.expected.options = choices
            self.expected.value = None
