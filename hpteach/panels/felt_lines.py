"""The reverse question in a panel: what each line feels like, and where the valve then stands.

What lives here: `FeltLines`.  What does not: the reasoning (circuit.feel).
"""

from __future__ import annotations

import ipywidgets

from hpteach.circuit import CAUTION, FEELS, LINES, Felt, ValvePosition, position_by_feel
from hpteach.errors import UnknownNameError
from hpteach.panels.foresight import Told
from hpteach.panels.parts import dropdown, paragraphs
from hpteach.panels.view import View

NOT_MEASURED = "not measured"

_VERDICTS = {
    ValvePosition.HEATING: "The valve stands in heating.",
    ValvePosition.COOLING: "The valve stands in cooling.",
    ValvePosition.BETWEEN: "The spool stands between its seats.",
    None: "These lines do not say where the valve stands.",
}


class FeltLines(View):
    """One choice for each line; the position that follows, the reasons, and what contradicts them.

    `controls` has one entry for each of `circuit.LINES`, with the values "not measured", "hot",
    "warm", "cool" and "cold"; keyword arguments set them at the start.  `felt` is the last answer.

    >>> FeltLines(vapour_line="hot").felt.position
    <ValvePosition.HEATING: 'heating'>
    """

    KEYS = dict(zip("vldso", LINES))

    def __init__(self, **feels: str) -> None:
        super().__init__("felt lines")
        self.felt: Felt | None = None
        known = {line.replace(" ", "_"): line for line in LINES}
        for name, feel in feels.items():
            if name not in known:
                raise UnknownNameError.among("line", name, known)
            if feel not in (NOT_MEASURED, *FEELS):
                raise UnknownNameError.among(f"feel of the {known[name]}", feel, (NOT_MEASURED, *FEELS))
        self.controls = {line: dropdown(line, [NOT_MEASURED, *FEELS], feels.get(name, NOT_MEASURED)) for name, line in known.items()}
        self.arrange([ipywidgets.VBox(list(self.controls.values()), layout={"max_width": "560px"})], [self.reading])
        self._changed(None)
        self.watch()

    def told(self) -> dict[str, Told]:
        """What can be predicted: where the valve stands."""
        verdict = _VERDICTS[self.felt.position] if self.felt else _VERDICTS[None]
        return {"where the valve stands": Told(verdict, verdict, tuple(_VERDICTS.values()))}

    def refresh(self) -> None:
        """Ask for the position by the present choices and say why."""
        chosen = {line: control.value for line, control in self.controls.items() if control.value != NOT_MEASURED}
        self.felt = position_by_feel(chosen)
        verdict = _VERDICTS[self.felt.position] if chosen else "Choose what the clamp probe shows on one line or more."
        self.reading.value = f"<b>{verdict}</b>" + paragraphs([*self.felt.reasons, *self.felt.contradictions, CAUTION])
