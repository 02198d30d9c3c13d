"""An exercise, driven without a browser: answers, verdicts, hints, the worked solution, another one like it, the record."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import hpteach.panels
from hpteach.assessment import Progress
from hpteach.errors import ProgressError
from hpteach.panels import Exercise
from hpteach.panels.answer_entries import AnswerForm, TableForm
from hpteach.questions import deal, read_bank
from hpteach.units import STANDARD_ATMOSPHERE, show

BANK = read_bank()
PANELS = Path(hpteach.panels.__file__).parent


def typed(value: float, kind: str, system: str = "SI") -> str:
    """A value as a learner would type it; a gauge reading is already counted from the air."""
    return show(value + STANDARD_ATMOSPHERE * (kind == "gauge pressure"), kind, system, decimals=4)


def right(exercise: Exercise) -> dict[str, str]:
    """The right answer to each part, as it would be typed or chosen."""
    return {part.id: typed(part.answer, part.quantity) if part.kind == "number" else part.answer for part in exercise.variant.parts}


def said(exercise: Exercise) -> list[str]:
    """Every row that the verdicts show."""
    return [f"{row['word']} {row['text']}".strip() for asked in exercise._asked for row in asked.form.verdict.get("rows", [])]


@pytest.mark.parametrize("name", sorted(q for q in BANK.questions if not q.startswith("predict")))
def test_every_exercise_judges_right_wrong_and_unreadable(name: str) -> None:
    """A right answer, a foreseen mistake and a text that is no answer each get their own word, whatever the kind of the part."""
    view = Exercise(name, seed=5)
    for id, answer in right(view).items():
        part = view.variant.part(id)
        view.answer("quite a lot", id)
        assert view.verdict(id).correct is None
        view.answer(answer, id)
        assert view.verdict(id).correct is True
        if part.mistakes:
            mistake = part.mistakes[0]
            view.answer(typed(mistake.value, part.quantity) if part.kind == "number" else mistake.value, id)
            assert (False, mistake.id) == (view.verdict(id).correct, view.verdict(id).mistake)


def test_a_form_asks_for_each_part_and_for_a_whole_table() -> None:
    """Parts have a form each; the cells of a table share one, and each is a control of its own."""
    view = Exercise("fill-the-corners", seed=5)
    cells = [part for part in view.variant.parts if part.table]
    assert [True] == [isinstance(asked.form, TableForm) for asked in view._asked if asked.cells]
    assert len(cells) > 1 and all(view.controls[part.id].value == "" for part in cells)
    assert [True, True] == [isinstance(asked.form, AnswerForm) for asked in Exercise("cooling-cop", seed=5)._asked]


def test_a_table_is_judged_as_a_whole_and_cell_by_cell() -> None:
    """One press judges every filled cell: each verdict bears the cell's name, and empty cells are said to be empty."""
    view = Exercise("fill-the-corners", seed=5)
    (table,) = [asked for asked in view._asked if asked.cells]
    first, second, *others = table.cells
    view.controls[first].value = right(view)[first]
    view.controls[second].value = "much"
    table.form.check()
    names = table.cells
    assert (True, None) == (view.verdict(first).correct, view.verdict(second).correct)
    assert said(view)[0].startswith(f"{names[first]}: Right.") and said(view)[1].startswith(f"{names[second]}: Not read yet")
    assert f"Still empty: {', '.join(names[id] for id in others)}." == said(view)[-1]
    assert {"Right.", "Not read yet (this costs nothing)."} <= {cell["word"] for cell in table.form.verdict["cells"].values()}
    assert "much" == view.controls[second].value


def test_a_bare_number_in_a_cell_counts_in_the_unit_of_its_column() -> None:
    """The heading has the unit, so that it need not be written again."""
    view = Exercise("fill-the-corners", seed=5)
    id = next(part.id for part in view.variant.parts if part.table)
    view.answer(right(view)[id].partition(" ")[0], id)
    assert view.verdict(id).correct


def test_giving_up_fills_the_cells_that_are_not_right() -> None:
    """Right cells stay; all others hold the number of the solution, which counts as no answer."""
    progress = Progress.off()
    view = Exercise("fill-the-corners", seed=5, progress=progress)
    (table,) = [asked for asked in view._asked if asked.cells]
    first, *others = table.cells
    view.answer(right(view)[first], first)
    view.give_up()
    assert right(view)[first] == view.controls[first].value
    assert all(view.controls[id].value and view.verdict(id) is None for id in others)
    assert f"From the solution: {', '.join(table.cells[id] for id in others)}" in said(view)
    assert [first] == [attempt.part for attempt in progress.attempts()]
    view.answer(view.controls[others[0]].value, others[0])
    assert view.verdict(others[0]).correct and progress.attempts()[-1].solution_seen


def test_hints_come_one_by_one_and_count() -> None:
    """Each press shows one more, with its number; the last press says that there is no more."""
    view = Exercise("cooling-cop", seed=5)
    total = len(view.variant.hints)
    for number in range(1, total + 1):
        view.hint()
        assert number == view.help_text.count("Hint ")
        assert f"Hint {number} of {total}" in view.help_text
    view.hint()
    assert "last hint" in view.status.value and total == view.help_text.count("Hint ")


def test_a_hint_belongs_to_what_is_not_right_yet() -> None:
    """Once the first part is right, the next hint is one of the second."""
    view = Exercise("cooling-cop", seed=5)
    first, second = view.variant.parts
    view.answer(right(view)[first.id], first.id)
    view.hint()
    assert second.hints[0] in view.help_text and "to question 2" in view.help_text


def test_giving_up_asks_once_more_where_something_is_untried() -> None:
    """The first press names what was not tried and shows no solution; the second one shows it."""
    view = Exercise("cooling-cop", seed=5)
    view.answer("9999 kJ/kg", view.variant.parts[0].id)
    view.ask_for_solution()
    assert "You have not tried question 2 yet." in view.help_text and "Worked solution" not in view.help_text
    assert "Show it all the same" == view._solution.description
    view.ask_for_solution()
    assert "Worked solution" in view.help_text and "not tried" not in view.help_text
    assert re.search(r"\d", view.help_text.partition("Worked solution")[2])


def test_an_answer_takes_the_question_before_giving_up_away() -> None:
    """Whoever goes on is asked anew the next time."""
    view = Exercise("cooling-cop", seed=5)
    view.ask_for_solution()
    view.answer("9999 kJ/kg", view.variant.parts[0].id)
    assert "You have not tried" not in view.help_text
    view.ask_for_solution()
    assert "You have not tried question 2 yet." in view.help_text


def test_the_solution_opens_at_once_where_all_was_tried_or_right() -> None:
    """A try of each part is enough to give up with one press, and all parts right unlock the solution."""
    view, other = Exercise("cooling-cop", seed=5), Exercise("cooling-cop", seed=5)
    for part in view.variant.parts:
        view.answer("9999 kJ/kg" if part.unit else "9999", part.id)
        other.answer(right(other)[part.id], part.id)
    assert ["Give up: show the worked solution", "Show the worked solution"] == [one._solution.description for one in (view, other)]
    for one in (view, other):
        one.ask_for_solution()
        assert "Worked solution" in one.help_text


def test_the_picture_is_drawn_when_it_is_asked_for() -> None:
    """No figure is made before; with the solution comes one, which a new set takes away again."""
    view = Exercise("cooling-cop", seed=5)
    assert () == view._picture.children
    view.give_up()
    picture = view._picture.children[0].children[0]
    assert picture.value.startswith(b"\x89PNG") and "sentences below" in picture.words
    assert "Point 1" in view._picture.children[1].value
    view.another()
    assert () == view._picture.children and picture.comm is None


def test_a_solution_without_anything_to_draw_is_words_alone() -> None:
    """A question of numbers alone has no empty picture."""
    view = Exercise("read-a-gauge", seed=5)
    view.give_up()
    assert "Worked solution" in view.help_text and () == view._picture.children


def test_another_one_is_never_one_dealt_before() -> None:
    """Whatever was dealt in the panel does not come back, the units stay, and nothing of the old set is left."""
    view = Exercise("cooling-cop", seed=5, units="IP")
    view.hint()
    seeds = [view.variant.seed]
    for _ in range(30):
        view.another()
        seeds.append(view.variant.seed)
    assert len(seeds) == len(set(seeds)) and "IP" == view.variant.system == view.system
    assert ("", None) == (view.help_text, view.verdict(view.variant.parts[0].id))
    assert seeds[-1] == view.controls["seed"].value


@pytest.mark.parametrize("name", ["order-the-circuit", "predict-first-coil"])
def test_another_one_reads_differently(name: str) -> None:
    """Where little is drawn, sets that read alike are passed over."""
    view = Exercise(name, seed=5)
    for _ in range(10):
        before = str(view.variant)
        view.another()
        assert before != str(view.variant)


def test_another_one_closes_the_widgets_of_the_one_before() -> None:
    """Forms of an earlier set are closed, so that the browser forgets them, and the new one takes the cursor."""
    view = Exercise("cooling-cop", seed=5)
    old = view._body.children
    assert not old[0].takes_focus
    view.another()
    assert all(form.comm is None for form in old)
    assert [True, False] == [form.takes_focus for form in view._body.children]


def test_the_same_set_of_numbers_is_the_same_question() -> None:
    """Two learners with the same number see the same prompt; another number changes it."""
    one, two = Exercise("cooling-cop", seed=5), Exercise("cooling-cop", seed=5)
    assert one.reading.value == two.reading.value
    two.controls["seed"].value = 6
    assert one.reading.value != two.reading.value


def test_turning_the_units_keeps_the_set_the_texts_and_the_help() -> None:
    """The same seed in other units: hints and solution stay, in the new units; a typed text stays in its field."""
    view = Exercise("cooling-cop", seed=5)
    first = view.variant.parts[0].id
    view.answer("9999 kJ/kg", first)
    view.hint()
    view.give_up()
    before, picture = view.help_text, view._picture.children[0].children[0]
    view.controls["units"].value = "IP"
    assert (5, "IP", "9999 kJ/kg") == (view.variant.seed, view.variant.system, view.controls[first].value)
    assert before.partition("Worked")[0] == view.help_text.partition("Worked")[0]
    assert "Btu/lb" in view.help_text and "kJ/kg" not in view.help_text.partition("Worked")[2]
    drawn = view._picture.children[0].children[0]
    assert drawn is not picture and picture.comm is None and drawn.value != picture.value


def test_turning_the_units_does_not_call_a_right_number_wrong() -> None:
    """A number that was right belongs to the numbers of before: its verdict is taken away with a word, and nothing is recorded."""
    progress = Progress.off()
    view = Exercise("cooling-cop", seed=5, progress=progress)
    first = view.variant.parts[0].id
    view.answer(right(view)[first], first)
    view.controls["units"].value = "IP"
    assert view.verdict(first) is None or view.verdict(first).correct
    assert "Not right." not in " ".join(said(view)) and 1 == len(progress.attempts())


def test_turning_the_units_keeps_a_choice() -> None:
    """The chosen one is still chosen and still judged, though its words are those of the other system."""
    view = Exercise("two-thermometers", seed=5)
    id = view.variant.parts[0].id
    view.answer(view.variant.parts[0].answer, id)
    view.controls["units"].value = "IP"
    assert view.variant.parts[0].answer == view.controls[id].value and view.verdict(id).correct


def test_what_holds_in_several_places_is_ticked_by_letters() -> None:
    """A part of several choices takes letters, and "none" where none may hold."""
    view = Exercise("where-a-circuit-leaks", seed=5)
    part = next(part for part in view.variant.parts if part.kind == "several")
    assert set(part.answer.split()) <= set(view.controls[part.id].options)
    view.answer(part.answer, part.id)
    assert view.verdict(part.id).correct


def test_nothing_written_is_said_and_costs_nothing() -> None:
    """A press on an empty field asks for an answer."""
    progress = Progress.off()
    view = Exercise("cooling-cop", seed=5, progress=progress)
    view._asked[0].form.check()
    assert ["Write or choose an answer first."] == said(view)
    assert view.verdict(view.variant.parts[0].id) is None and () == progress.attempts()


def test_a_typed_text_is_shown_as_text() -> None:
    """Markup in an answer reaches the browser as words, which it sets as text; nothing of it stands in a widget of HTML."""
    view = Exercise("read-a-gauge", seed=5)
    view.answer("<img src=x onerror=alert(1)>")
    assert "<img" not in "".join(child.value for child in (view.reading, view.status))
    assert [] == [name for name in ("answer_entries.js", "announcement.js") if "innerHTML" in (PANELS / name).read_text("utf-8")]


# The chart to read ------------------------------------------------------------------------------

CHARTED = sorted(q.id for q in BANK.questions.values() if any(part.read_from for part in q.parts))


@pytest.mark.parametrize("name", CHARTED)
def test_a_question_that_is_read_from_a_chart_shows_it(name: str) -> None:
    """The chart stands in the prompt, its words give no number, and another question is offered to whoever cannot see it."""
    view = Exercise(name, seed=5)
    box, line = view._chart.children
    picture = box.children[0]
    assert picture.value.startswith(b"\x89PNG")
    assert view.variant.chart.kind in picture.words.lower() and not re.search(r"\d\.\d", picture.words)
    assert "If you cannot see the chart" in line.value
    offered = re.search(r"\(([\w-]+)\) instead", line.value)[1]
    assert not any(part.read_from for part in BANK.question(offered).parts)


def test_a_question_without_a_chart_shows_none() -> None:
    """Nothing stands between prompt and answers."""
    assert () == Exercise("cooling-cop", seed=5)._chart.children


# The record -------------------------------------------------------------------------------------


def test_each_judged_answer_is_recorded_once(tmp_path: Path) -> None:
    """Readable answers are kept with what was shown before them; the same words twice count once, an unreadable one not at all."""
    progress = Progress.open(tmp_path / "mine.sqlite3")
    view = Exercise("cooling-cop", seed=5, progress=progress)
    first = view.variant.parts[0]
    view.answer("a lot", first.id)
    view.answer("9999 kJ/kg", first.id)
    view.answer(" 9999 kJ/kg ", first.id)
    view.hint()
    view.answer(typed(first.mistakes[0].value, first.quantity), first.id)
    view.give_up()
    view.answer(right(view)[first.id], first.id)
    kept = [(one.correct, one.mistake, one.hints, one.solution_seen) for one in Progress.open(tmp_path / "mine.sqlite3").attempts()]
    assert [(False, None, 0, False), (False, first.mistakes[0].id, 1, False), (True, None, 1, True)] == kept
    assert {("cooling-cop", 5, "SI", first.id)} == {(one.question, one.seed, one.system, one.part) for one in progress.attempts()}


def test_the_same_words_count_again_with_other_numbers() -> None:
    """Another set is another try."""
    progress = Progress.off()
    view = Exercise("read-a-gauge", seed=5, progress=progress)
    for _ in range(2):
        view.answer("9999 kPa")
        view.another()
    assert 2 == len(progress.attempts())


class Full(Progress):
    """A record that cannot be written."""

    def record(self, attempt: object) -> None:
        raise ProgressError("the record cannot be written (no space left): free some, or say HPTEACH_PROGRESS=off")


def test_a_record_that_cannot_be_written_leaves_the_exercise_whole() -> None:
    """The verdict stands, the status line says why nothing was kept, and no picture fades."""
    view = Exercise("read-a-gauge", seed=5, progress=Full(None))
    view.answer(right(view)["absolute"])
    assert view.verdict().correct and said(view)[0].startswith("Right.")
    assert "cannot be written" in view.status.value
    assert view.refusal is None and "hpteach-faded" not in view.reading._dom_classes


def test_a_damaged_record_is_said_once(tmp_path: Path) -> None:
    """What was set aside is told at the first answer, and not again."""
    path = tmp_path / "mine.sqlite3"
    path.write_bytes(b"no record at all, and long enough to be taken for a file of its own" * 40)
    view = Exercise("read-a-gauge", seed=5, progress=Progress.open(path))
    view.answer("9999 kPa")
    assert "set aside" in view.status.value
    view.answer("9998 kPa")
    assert "set aside" not in view.status.value


def test_an_exercise_that_is_only_shown_touches_no_record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Making one, a hint and the solution write nothing."""
    monkeypatch.setenv("HPTEACH_PROGRESS", str(tmp_path / "folder" / "mine.sqlite3"))
    view = Exercise("read-a-gauge", seed=5)
    view.hint()
    view.give_up()
    assert [] == list(tmp_path.iterdir())
    view.answer("9999 kPa")
    assert (tmp_path / "folder" / "mine.sqlite3").is_file()


def test_the_right_answer_in_another_system_says_what_was_read() -> None:
    """A right answer in psia is right, and told in bar."""
    variant = deal(BANK.question("read-a-gauge"), 5)
    view = Exercise("read-a-gauge", seed=5)
    view.answer(show(variant.parts[0].answer, "pressure", "IP", decimals=2))
    assert said(view)[0].startswith(f"Right. Read as {show(variant.parts[0].answer, 'pressure')}")
