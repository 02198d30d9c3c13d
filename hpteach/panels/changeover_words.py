"""What the changeover asks and says: the prediction with its reasons, and the steps of the spool.

What lives here: questions, answers with reasons, the story of each step, cautions, which sliders there are.
What does not: which way the refrigerant flows (circuit), and any control (changeover).
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from hpteach.circuit import Flow, MeteringLayout, ReversingValve
from hpteach.panels.scales import CYCLE_SCALES

MODES = ("cooling", "heating")
QUESTIONS = {
    "condenser": ("Which coil condenses?", ("outdoor coil", "indoor coil")),
    "check_valve": ("Which check valve opens?", ("outdoor check valve", "indoor check valve", "none")),
    "metering_device": ("Which device meters?", ("outdoor metering device", "indoor metering device")),
}
SLIDERS = {name: CYCLE_SCALES[name] for name in ("saturated_suction_temperature", "saturated_condensing_temperature")}
WITHOUT_A_CONTROL = ("superheat", "subcooling", "isentropic efficiency")
"""What no control of the panel can mend, as a refusal begins."""

STEPS = (
    "0 steady, before",
    "1 pilot valve moves",
    "2 pressure pushes the spool",
    "3 spool between its seats",
    "4 spool arrived, roles swapped",
    "5 steady the other way",
)
RUNNING = (0, 1, 5)
"""The steps with a steady cycle."""

LAYOUTS = {
    "each-coil": "at each coil, with check valves",
    "outdoor": "one outdoors, either way",
    "indoor": "one indoors, either way",
}
_PREDICTED = {"each-coil": "one device at each coil", "outdoor": "one device outdoors", "indoor": "one device indoors"}
NO_POINTS = '<div class="hpteach-note">No state points: none are computed until the machine is steady again.</div>'
LAID_OVER = (
    "On the charts both modes are laid over each other: cooling as a solid line with filled circles, heating dashed with hollow squares. "
    "The points keep their numbers in both; the drawing and the table are those of the valve's position."
)
CAUTION = (
    "Caution: turn a machine over under power only from its own controls. Electrical work, gauges and opening a refrigerant circuit "
    "are for licensed people, under your local codes."
)


def other(mode: str) -> str:
    """The mode that the valve turns to from `mode`.

    >>> other("cooling")
    'heating'
    """
    return MODES[mode == MODES[0]]


def asked(layout: MeteringLayout, mode: str) -> str:
    """The question before anything is shown, as HTML."""
    before = other(mode)
    return (
        f"<h3>Before you look: the valve turns to {mode}</h3>"
        f"<p>An air-source heat pump (invented) meters its refrigerant so: {LAYOUTS[layout.value]}. "
        f"The reversing valve turns from {before} to {mode}. What will it be in {mode}?</p>"
    )


def answers(flow: Flow) -> dict[str, tuple[str, str]]:
    """The right answer to each question, with the reason, for a flow with both roles.

    >>> from hpteach.circuit import ValvePosition, flow, reversible_circuit
    >>> [answer for answer, _ in answers(flow(reversible_circuit(), ValvePosition.HEATING)).values()]
    ['indoor coil', 'indoor check valve', 'outdoor metering device']
    """
    opened = next((f"{where} check valve" for where, state in flow.check_valves.items() if state == "open"), "none")
    only = opened == "none"
    return {
        "condenser": (
            flow.condenser,
            f"in {flow.valve_position.value} the reversing valve sends the hot discharge gas to the {flow.condenser} first, and there it condenses.",
        ),
        "check_valve": (
            opened,
            "one device that meters either way needs no check valve, and none is fitted."
            if only
            else f"liquid leaving the {flow.condenser} pushes it open and goes round the {flow.metering.bypassed}; the other one is pushed shut.",
        ),
        "metering_device": (
            flow.metering.working,
            f"it stands in the liquid's way to the {flow.evaporator}, which evaporates; " + ("it is the only one." if only else "the other one is bypassed."),
        ),
    }


def judged(verdicts: Mapping[str, bool], right: Mapping[str, tuple[str, str]], layout: MeteringLayout, mode: str) -> str:
    """Each question with its verdict, the right answer and the reason, under the mode and layout predicted, as HTML."""
    rows = [f"<p><b>Your prediction for {mode}, {_PREDICTED[layout.value]}:</b></p>"]
    for name, (answer, reason) in right.items():
        word, kind = ("Right.", "right") if verdicts[name] else ("Not right.", "wrong")
        rows.append(
            f'<div class="hpteach-note hpteach-{kind}" role="status"><b>{word}</b> {escape(QUESTIONS[name][0])} '
            f"<b>{escape(answer)}</b>: {escape(reason)}</div>"
        )
    return "".join(rows)


def told(step: int, before: Flow, after: Flow, *, energised: bool, pushing: str) -> tuple[str, ...]:
    """What happens at a step, and what equalises; nothing to tell at step 0.

    `before` and `after` are the two steady flows, `energised` what the solenoid has become, `pushing` the
    pressure difference as shown.  Order and words of the steps are common practice, no source.
    """
    if step == 0:
        return ()
    story = {
        1: f"The solenoid is {'energised' if energised else 'released'}, and the small pilot valve moves. It joins one end of the spool to the "
        f"suction, the other to the discharge. Nothing equalises yet: the spool still stands, and the cycle runs on in {before.valve_position.value}.",
        2: f"The pressure difference between discharge and suction pushes the spool; the solenoid alone could not. It has {pushing} to push with. "
        "Now high and low side begin to meet inside the valve.",
        3: "The spool is between its seats, and the discharge is joined to the suction. High and low pressure run towards each other, and the "
        "refrigerant rushes through the valve: that is the noise of a changeover. A spool that stops here has little left to push it on.",
        4: f"The spool has arrived and the roles are swapped: the discharge now leads to the {after.condenser}, and the {after.evaporator} to the "
        f"suction. The {before.condenser}, a moment ago the condenser, is emptied into the suction. The pressures go on towards each other, and then past. "
        "The drawing shows what the lines carry once that is done.",
        5: f"The compressor has built up the pressures the other way, and the machine is steady in {after.valve_position.value}. "
        "The state points are those of this steady cycle.",
    }[step]
    between = () if step in RUNNING else ("What lies between is not computed: there are no state points until the machine is steady.",)
    return (f"Step {STEPS[step].replace(' ', ': ', 1)}.", story, *between, "The order of the steps is common practice, no source.")


def wiring(valve: ReversingValve) -> str:
    """In which mode the solenoid carries current, which differs from machine to machine."""
    return f"The solenoid of this invented machine is energised in {valve.energised_in.value}; both wirings are in use, so read the wiring diagram."
