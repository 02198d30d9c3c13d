"""A dealt question as it stands on paper, with room for the answer and without a word of it.

What lives here: the HTML of a question and of a drawing task.  What does not: the charts (charts_on_paper), the page around it
(form_page), the answers (key_page).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape

from markupsafe import Markup

from hpteach.assessment.answer_sheet import part_letters
from hpteach.assessment.drawing_tasks import DRAWING_MARKS
from hpteach.assessment.marks import marks_of
from hpteach.cycle import Cycle
from hpteach.errors import InputError
from hpteach.fluids import refrigerant
from hpteach.questions import Part, Variant
from hpteach.questions.dealt_parts import StateTable, lettered
from hpteach.units import show

_BOX = '<span class="box"></span>'
_LINE = '<span class="line"></span>'

_TICK = {"choice": "Tick one.", "state": "Tick one.", "truth": "Tick one.", "several": "Tick all that hold."}
_NAME = re.compile(r"\bR-(?=\d)")
_BEFORE_A_UNIT = re.compile(r"(?<=\d) (?=%|(?:°[CFR]|[kMm]?W|[kM]?Wh|k?J|m?bar|[kM]?Pa|psi[ag]?|K|kg|g|lb|d?m[²³]?|mm|ft[²³]?|Btu|tons?|h|min|s|micron|gr)\b)")
_EQUALS = re.compile(r"(?<=\w) = (?=-?\d)")

_GLIDE = 0.1
"""K from which on a blend's glide is worth a sentence (chosen)."""


def question_sheet(variant: Variant, chart: Markup = Markup()) -> Markup:
    """A question with its chart, if it has one, and an entry for each part, named by its letter where there are several.

    >>> from hpteach.questions import deal, read_bank
    >>> "number and unit" in question_sheet(deal(read_bank().question("read-a-gauge"), seed=7))
    True
    """
    parts, marks = variant.parts, marks_of(variant)
    letters = dict(zip((part.id for part in parts), part_letters(len(parts)))) if len(parts) > 1 else {}
    written, done = [f"<p>{in_lines(variant.prompt)}</p>", chart], set()
    for part in parts:
        if part.table:
            if part.table not in done:
                done.add(part.table)
                table = next(one for one in variant.tables if one.id == part.table)
                written.append(_table(table, letters, sum(marks[one.id] for one in parts if one.table == table.id)))
            continue
        written.append(_part(part, letters.get(part.id, ""), marks[part.id]))
    return Markup("".join(written))


def drawing_sheet(variant: Variant, chart: Markup) -> Markup:
    """The cycle of a question as a drawing task: its conditions, the blank chart, and what to draw.

    >>> from hpteach.questions import deal, read_bank
    >>> "Mark and number the points" in drawing_sheet(deal(read_bank().question("cooling-cop"), seed=7), Markup("<svg></svg>"))
    True
    """
    cycle = drawn_cycle(variant)
    stated = "".join(f"<li>{unbroken(line)}</li>" for line in conditions_in_words(cycle, variant.system))
    task = f"Mark and number the points 1, 2, 3 and 4 and join them: {DRAWING_MARKS:g} marks, one for each point in its place."
    what = f"Draw this cycle of {cycle.refrigerant} on the chart."
    return Markup(f"<p>{unbroken(what)}</p><ul>{stated}</ul><p><b>{escape(task)}</b></p>{chart}")


def drawn_cycle(variant: Variant) -> Cycle:
    """The cycle of a drawing task; raises `InputError` for a question that states none.

    >>> from hpteach.questions import deal, read_bank
    >>> [point.number for point in drawn_cycle(deal(read_bank().question("cooling-cop"), seed=7)).points if point.number]
    [1, 2, 3, 4]
    """
    if variant.cycle is None:
        raise InputError(f"{variant.question.id} states no cycle and can't be drawn: take a question that does")
    return variant.cycle


def conditions_in_words(cycle: Cycle, system: str) -> tuple[str, ...]:
    """What fixes a cycle, a line for each thing that can be found on a chart, in the units of a system.

    >>> from hpteach.questions import deal, read_bank
    >>> conditions_in_words(deal(read_bank().question("cooling-cop"), seed=7).cycle, "SI")[0]
    'reversing valve: cooling'
    """
    stated = cycle.conditions

    def temperature(value: float) -> str:
        return show(value, "temperature", system)

    def difference(value: float) -> str:
        return show(value, "temperature difference", system)

    lines = [
        f"reversing valve: {stated.valve_position.value}",
        f"saturated suction temperature {temperature(stated.saturated_suction_temperature)}, superheat {difference(stated.superheat)}",
        f"saturated condensing temperature {temperature(stated.saturated_condensing_temperature)}, subcooling {difference(stated.subcooling)}",
        f"temperature at the end of compression {temperature(cycle.point('2').temperature)}",
        "no pressure is lost in coils and lines",
    ]
    fluid = refrigerant(cycle.refrigerant)
    if fluid.glide(fluid.dew_pressure(stated.saturated_suction_temperature)) > _GLIDE:
        lines.append("both saturated temperatures are dew points; subcooling counts from the bubble point")
    return tuple(lines)


def in_lines(text: str) -> str:
    """A text as HTML: its paragraphs and line breaks, everything else escaped.

    >>> in_lines("p1 < p2")
    'p1 &lt; p2'
    """
    return unbroken(text.strip()).replace("\n\n", "</p><p>").replace("\n", "<br>")


def unbroken(text: str) -> str:
    """A text as HTML, everything escaped, in which no line ends between a number and its unit, a sign and its number, or within a refrigerant's name.

    >>> unbroken("R-32 at 7 bar").replace("\\u2011", "-").replace("\\xa0", "_")
    'R-32 at 7_bar'
    """
    return _NAME.sub("R\N{NON-BREAKING HYPHEN}", _EQUALS.sub("\N{NO-BREAK SPACE}=\N{NO-BREAK SPACE}", _BEFORE_A_UNIT.sub("\N{NO-BREAK SPACE}", escape(text))))


def marks_in_words(marks: float) -> str:
    """How many marks something is worth.

    >>> marks_in_words(1.0), marks_in_words(4.0)
    ('1 mark', '4 marks')
    """
    return f"{marks:.4g} mark{'' if marks == 1.0 else 's'}"


# A part ---------------------------------------------------------------------------------------


def _part(part: Part, letter: str, marks: float) -> str:
    head = f'<p class="ask">{_named(letter)}{in_lines(part.text)}{_worth(letter, marks)}</p>'
    return f'<div class="part">{head}{_entry(part)}</div>'


def _named(letter: str) -> str:
    return f'<b class="letter">{letter}</b> ' if letter else ""


def _worth(letter: str, marks: float) -> str:
    """Each part's marks stand beside it; a question of one part has them in its head."""
    return f' <span class="marks">{marks_in_words(marks)}</span>' if letter else ""


def _entry(part: Part) -> str:
    if part.kind == "number":
        of = f"number and unit, such as {part.unit}" if part.unit else "a number"
        return f'<p class="entry">{_LINE} <small>({escape(of)})</small></p>'
    if part.kind == "order":
        listed = "".join(f"<li><b>{number}</b> {unbroken(text)}</li>" for number, text in lettered(part.choices, part.kind))
        return f'<ul class="choices">{listed}</ul><p class="entry">Write the numbers in their order: {_BOX * len(part.choices)}</p>'
    choices = "".join(f"<li>{_BOX}<b>{letter}</b> {unbroken(text)}</li>" for letter, text in lettered(part.choices, part.kind))
    if part.may_be_none:
        choices += f"<li>{_BOX}<b>none</b> of them</li>"
    return f'<p class="how">{_TICK[part.kind]}</p><ul class="choices">{choices}</ul>'


def _table(table: StateTable, letters: dict[str, str], marks: float) -> str:
    head = "".join(f'<th scope="col">{escape(column)}</th>' for column in table.columns)
    rows = "".join(_row(name, cells, letters) for name, cells in zip(table.rows, table.cells))
    asked = f'<p class="ask">{in_lines(table.text)}{_worth("a", marks)}</p>'
    return f'<div class="part">{asked}<table class="grid"><thead><tr><th scope="col">point</th>{head}</tr></thead><tbody>{rows}</tbody></table></div>'


def _row(name: str, cells: Iterable, letters: dict[str, str]) -> str:
    shown = "".join(f"<td>{unbroken(cell.given)}</td>" if cell.given else f'<td class="empty"><b>{letters.get(cell.part, "a")}</b></td>' for cell in cells)
    return f'<tr><th scope="row">{escape(name)}</th>{shown}</tr>'
