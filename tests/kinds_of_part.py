"""A question with a part of every kind, for tests of dealing, reading and judging; the bench unit is invented."""

from __future__ import annotations

from hpteach.questions import Variant, deal
from hpteach.questions.bank import Question, read_question
from tests.example_question import head

HEAD = head("03", "1.03")

CIRCUIT = '[scenario]\nvalve_position = "{position}"\nmetering_layout = "{layout}"\n'
CYCLE = """
[scenario]
refrigerant = "R-410A"
valve_position = "{position}"
saturated_suction_temperature = "2 C"
saturated_condensing_temperature = "45 C"
superheat = "{superheat}"
subcooling = "{subcooling}"
isentropic_efficiency = "0.7"
"""

SEVERAL = """
[[parts]]
id = "which"
kind = "several"
text = "Which of these hold?"
hints = ["Follow the discharge gas."]
solution = "Right: {answer}."

[[parts.choices]]
text = "The indoor coil condenses."
when = "heating"
mistake = "coils_swapped"
correction = "In cooling the outdoor coil condenses."
left_out = "In heating the indoor coil condenses."

[[parts.choices]]
text = "The compressor draws in vapour."
right = true

[[parts.choices]]
text = "The liquid line is empty."
mistake = "liquid_line_taken_for_empty"
correction = "It holds liquid or a mixture."

[[parts.choices]]
text = "The gauges count from a vacuum."
"""

STATE = """
[[parts]]
id = "state"
kind = "state"
text = "What flows there?"
place = "{place}"
hints = ["Before or behind the condenser?"]
solution = "It is {answer}."
"""

TRUTH = """
[[parts]]
id = "claim"
kind = "truth"
statement = "The vapour line is the suction line."
hints = ["Follow it in both positions."]
solution = "{answer}"

[[parts.reasons]]
says = true
text = "it carries vapour to the compressor."
mistake = "vapour_line_taken_for_one_way"
correction = "In heating it carries hot gas to the indoor coil."

[[parts.reasons]]
says = false
text = "the flow in it turns round with the valve."
right = true

[[parts.reasons]]
says = false
text = "it carries liquid."

[[parts.reasons]]
says = true
text = "it is the wider one."
"""

TABLE = """
[[parts]]
id = "table"
kind = "table"
text = "Fill the empty cells."
points = ["1", "2", "3", "4"]
quantities = ["pressure", "temperature", "enthalpy"]
given = ["p1", "T1", "h1", "p2", "T2", "p3", "T3", "p4"]
hints = ["Metering keeps enthalpy."]
solution = "h4 = h3 = {h3}."

[parts.tolerances]
temperature = { absolute = "0.5 K", reason = "test" }
enthalpy = { absolute = "1 kJ/kg", reason = "test" }

[[parts.mistakes]]
way = "subcooling_ignored"
cells = ["h3", "h4"]

[[parts.mistakes]]
id = "compressor_taken_for_perfect"
value = "h2s"
correction = "That is the ideal compressor."
cells = ["h2"]
"""

ORDER = """
[[parts]]
id = "order"
kind = "order"
text = "In which order?"
listed = ["compressor", "{condenser}", "{working_device}", "{evaporator}"]
hints = ["Begin at the discharge."]
solution = "{answer}"
"""

CHOICE = """
[[parts]]
id = "choice"
kind = "choice"
text = "Which coil condenses?"
hints = ["Follow the discharge gas."]
solution = "{answer}"

[[parts.choices]]
text = "the indoor coil"
when = "heating"
mistake = "coils_swapped"
correction = "In cooling it evaporates."

[[parts.choices]]
text = "the outdoor coil"
when = "cooling"
"""

CHART = """
[[parts]]
id = "chart"
kind = "number"
text = "Read h2."
quantity = "specific energy"
answer = "h2"
tolerance = { absolute = "2 kJ/kg", reason = "test" }
read_from = "pressure-enthalpy"
marked = ["1", "2"]
hints = ["Look down from point 2."]
solution = "{answer}"
"""


def number(id: str, quantity: str, answer: str, tolerance: str, extra: str = "") -> str:
    """A number asked, as a file states it."""
    return (
        f'\n[[parts]]\nid = "{id}"\nkind = "number"\ntext = "?"\nquantity = "{quantity}"\nanswer = "{answer}"\n'
        f'tolerance = {{ {tolerance}, reason = "test" }}\nhints = ["?"]\nsolution = "{{answer}}"\n{extra}'
    )


def circuit(position: str = "heating", layout: str = "each-coil") -> str:
    """A circuit stated without a cycle."""
    return CIRCUIT.format(position=position, layout=layout)


def cycle(position: str = "heating", superheat: str = "6 K", subcooling: str = "5 K") -> str:
    """A cycle of R-410A at 2 °C and 45 °C."""
    return CYCLE.format(position=position, superheat=superheat, subcooling=subcooling)


def question(*texts: str, prompt: str = "A bench unit (invented) runs.") -> Question:
    """A question made of a scenario and parts."""
    return read_question(f'{HEAD}prompt = "{prompt}"\n' + "".join(texts), "start/example.toml")


def dealt(*texts: str, seed: int = 1, system: str = "SI", prompt: str = "A bench unit (invented) runs.") -> Variant:
    """The same, dealt."""
    return deal(question(*texts, prompt=prompt), seed, system)
