"""Which answer was given to which part, and what cannot be told (hpteach/assessment/given_answers.py)."""

from datetime import UTC, datetime, timedelta

import pytest

from hpteach.assessment.given_answers import (
    CHANGED, DUPLICATE, HAND_IN, MISSING_FORM, OTHER_FORM, OTHER_NAME, SURPLUS, UNKNOWN_FORM, UNKNOWN_LEARNER, UNKNOWN_NUMBER, UNKNOWN_PART, Given, Place, addressed,
    given_answers, letters_of, settled,
)  # fmt: skip
from hpteach.assessment.hand_in import HandIn
from tests import desk_class as desk

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def forms():
    return desk.papers().forms


def found(sheet=None, hand_ins=(), refused=(), changed=()):
    """(what counts by place, how many rows were blank, what is listed) of answers."""
    given, files = given_answers(sheet, hand_ins, refused)
    of_forms = addressed(given, desk.papers(), dict(changed))
    of_parts = settled(of_forms, lambda one: desk.store().variant(one.question, one.seed, one.system))
    return of_parts.counted, of_forms.blank, [*files, *of_forms.not_marked, *of_parts.not_marked]


def handed_in(answers, *, file="a.json", minutes=0, form=None, signature="x"):
    return HandIn(form or forms()[0].code, answers, None, NOON + timedelta(minutes=minutes), signature, file)


@pytest.mark.parametrize("number", ["1", " 1 ", "1.", "1,0", "01", "1)"])
@pytest.mark.parametrize("part", ["a", "A", "a)", ""])
def test_row_is_put_to_its_part(number, part):
    """Form, number and part are read as people and spreadsheets write them; the only part of a question need not be named."""
    first = forms()[0]
    counted, blank, listed = found(desk.raw(f'7,,{first.code.lower()},"{number}",{part},B\n'))
    asked = desk.variant(first, 1).parts[0].id
    assert ({Place(first.code, 1, asked): "B"}, 0, []) == ({place: given.answer for place, given in counted.items()}, blank, listed)


def test_learner_need_not_be_named():
    """The form's code alone says whose answer it is; a learner's id beside it is compared without case and blanks."""
    second = forms()[1]
    counted, _, listed = found(desk.raw(f",,{second.code},1,a,1 2 3\nab12,,{second.code},2,a,1 2\n"))
    assert ([1, 2], []) == ([place.number for place in counted], listed)


@pytest.mark.parametrize("id, counts", [("007", True), ("7", True), ("70", False), ("0", False)])
def test_zeros_before_an_id_do_not_matter_beside_the_right_form(id, counts):
    """A spreadsheet makes 7 of 007: where the form's code stands beside it, the two are one learner; another number is not."""
    counted, _, listed = found(desk.raw(f"{id},,{forms()[0].code},1,a,B\n"))
    assert (counts, [] if counts else [UNKNOWN_LEARNER]) == (bool(counted), [one.reason for one in listed])


ROWS = [
    ("7,Ada,,1,a", "", MISSING_FORM, "there is no form code: write the code of the paper, which should be {0}"),
    (",,,1,a", "", MISSING_FORM, "write the code that stands on the paper"),
    ("nobody,,{0},1,a", "", UNKNOWN_LEARNER, "no form was dealt to a learner with the id 'nobody'"),
    ("nobody,,,1,a", "", UNKNOWN_LEARNER, "no form was dealt to a learner with the id 'nobody'"),
    ("7,,2222-2243,1,a", "", UNKNOWN_FORM, "a character is wrong, or two are exchanged"),
    ("7,,=1+1,1,a", "", UNKNOWN_FORM, "has a character that is in no code"),
    ("7,,2222-2234,1,a", "", UNKNOWN_FORM, "form 2222-2234 is none of these papers, which are of 'Desk paper (invented)'"),
    ("7,,{1},1,a", "", OTHER_FORM, "form {1} is not the one of learner '7', which is {0}"),
    ("7,,{0},7,a", "", UNKNOWN_NUMBER, "'7' is no question of form {0}: write a number from 1 to 6"),
    ("7,,{0},0,a", "", UNKNOWN_NUMBER, "'0' is no question"),
    ("7,,{0},,a", "", UNKNOWN_NUMBER, "no number is no question"),
    ("7,,{0},one,a", "", UNKNOWN_NUMBER, "'one' is no question"),
    ("7,,{0},1.5,a", "", UNKNOWN_NUMBER, "'1.5' is no question"),
    ("7,,{0},99999999999,a", "", UNKNOWN_NUMBER, "is no question"),
    ("7,,{0},1,b", "", UNKNOWN_PART, "part 'b' is not known"),
    ("7,,{0},4,", "", UNKNOWN_PART, "part '' is not known"),
    ("7,,{0},6,b", "", UNKNOWN_PART, "question 6 is a drawing, whose part is 'points'"),
    ("7,,{0},3,a", ",5 K", SURPLUS, "'5 K' stands beyond the last heading"),
]


@pytest.mark.parametrize(("cells", "more", "reason", "words"), ROWS, ids=[f"{reason}: {cells}" for cells, _, reason, _ in ROWS])
def test_row_that_cannot_be_put_to_a_part_is_listed(cells, more, reason, words):
    """Such a row is listed with its line, its cells, the reason, and what to do; nothing else is."""
    codes = [form.code for form in forms()]
    counted, blank, listed = found(desk.raw(f"{cells.format(*codes)},8{more}\n"))
    assert ({}, 0, [(reason, 2, "8")]) == (counted, blank, [(one.reason, one.line, one.answer) for one in listed])
    assert words.format(*codes) in listed[0].sentence


def test_blank_rows_are_counted():
    """A row of a known question without an answer is blank, whatever its part."""
    counted, blank, listed = found(desk.sheet(*desk.rows_of(forms()[0], answered=False)))
    assert ({}, 8, []) == (counted, blank, listed)


def test_blank_row_of_nobody_is_listed():
    """A row whose form is not known is listed even where it is blank: somebody's answers may be missing."""
    assert [UNKNOWN_FORM] == [one.reason for one in found(desk.raw("7,,2222-2234,1,a,\n"))[2]]


@pytest.mark.parametrize(("second", "words"), [("B", "says the same"), ("C", "says 'B'")])
def test_first_of_two_rows_counts(second, words):
    """Where two rows answer one part the first that is not blank counts, and the other names its line."""
    code = forms()[0].code
    counted, blank, listed = found(desk.raw(f"7,,{code},1,a,\n7,,{code},1,a,B\n7,,{code},1,,{second}\n"))
    assert (["B"], 1, [(DUPLICATE, 4)]) == ([one.answer for one in counted.values()], blank, [(one.reason, one.line) for one in listed])
    assert f"line 3 of answers.csv answers this too, {words}, and counts" in listed[0].sentence


def test_sheet_goes_before_a_hand_in():
    """An answer of the sheet stands in the place of the one handed in by file, which is listed; all others of the file count."""
    code = forms()[0].code
    counted, _, listed = found(desk.raw(f"7,,{code},1,a,B\n"), [handed_in({(1, "a"): "C", (2, "a"): "A", (3, "a"): ""})])
    assert ["B", "A"] == [one.answer for one in counted.values()]
    assert [("a.json", 1, DUPLICATE)] == [(one.file, one.line, one.reason) for one in listed]


def test_hand_in_names_parts_by_letter_or_id():
    """A panel hands in the ids of the parts, a paper their letters."""
    first, second = desk.variant(forms()[0], 4).parts
    counted, _, listed = found(None, [handed_in({(4, first.id): "A", (4, "b"): "B"})])
    assert ([first.id, second.id], []) == ([place.part for place in counted], listed)


def test_first_hand_in_counts():
    """Of several hand-ins for one form the earliest counts; a later one and a copy are listed as files, whatever their order."""
    early, late = handed_in({(1, "a"): "A"}, file="b.json"), handed_in({(1, "a"): "B"}, file="a.json", minutes=5, signature="y")
    copy = handed_in({(1, "a"): "A"}, file="c.json")
    for order in ([early, late, copy], [copy, late, early]):
        counted, _, listed = found(None, order)
        assert ["A"] == [one.answer for one in counted.values()]
        assert [(HAND_IN, "c.json", 0), (HAND_IN, "a.json", 0)] == [(one.reason, one.file, one.line) for one in listed]
        assert ("is a copy of b.json" in listed[0].sentence, "came after b.json" in listed[1].sentence) == (True, True)


def test_hand_in_of_other_papers_is_listed():
    """Each answer of a form that is none of these papers is listed."""
    listed = found(None, [handed_in({(1, "a"): "A"}, form="2222-2234")])[2]
    assert [(UNKNOWN_FORM, "a.json", 1)] == [(one.reason, one.file, one.line) for one in listed]


def test_refused_file_is_listed():
    """A file that could not be read as a hand-in is listed with the reason."""
    listed = found(None, (), [("odd.json", "odd.json: was changed")])[2]
    assert [("odd.json", 0, HAND_IN, "odd.json: was changed")] == [(one.file, one.line, one.reason, one.sentence) for one in listed]


def test_changed_question_is_listed():
    """An answer to a question that was changed since is listed with why; a blank one is blank."""
    first = forms()[0]
    changed = {first.questions[0].question: "it was changed"}
    counted, blank, listed = found(desk.raw(f"7,,{first.code},1,a,B\n7,,{first.code},1,a,\n"), changed=changed)
    assert ({}, 1, [CHANGED]) == (counted, blank, [one.reason for one in listed])
    assert listed[0].sentence.startswith("it was changed: judge it by hand")


def test_only_part_has_no_letter():
    """On a sheet of feedback the only part of a question goes by the question's number alone."""
    assert (("",), ("a", "b")) == (letters_of(["one"]), letters_of(["one", "two"]))


def test_blank_needs_no_surplus():
    """A row whose answer is empty but has a cell beyond the last heading is not blank."""
    assert (True, False) == (Given("", 1, "", "", "", "", " ").blank, Given("", 1, "", "", "", "", "", "x").blank)


@pytest.mark.parametrize("part", ["points", "", "a", "A)"])
def test_drawing_has_one_part(part):
    """The only part of a drawing goes by its name, by the letter that the only part of any question has, or by none."""
    counted, _, listed = found(desk.raw(f"7,,{forms()[0].code},6,{part},4\n"))
    assert (["4"], []) == ([given.answer for given in counted.values()], listed)


def named(*names):
    """A sheet with an answer to the first question of each form, under these names."""
    return desk.raw("".join(f'{form.learner.id},"{name}",{form.code},1,a,B\n' for form, name in zip(forms(), names)))


def of_names(sheet, hand_ins=()):
    """(how many answers count, the lines that bear another name, what is said of the names)."""
    given, _ = given_answers(sheet, hand_ins)
    put = addressed(given, desk.papers(), {})
    return len(put.rows), [one.line for one in put.not_marked if one.reason == OTHER_NAME], put.names


@pytest.mark.parametrize(
    "names",
    [("Ada <b>Fernhill</b>", "=HYPERLINK(1)", "عمر", ""), ("FERNHILL b Ada b", "'=HYPERLINK(1)", "", ""), ("", "", "", ""), ("Ada <b>Fernhil</b>", "hyperlink 1", "???", "Ben")],
)
def test_name_may_be_spelled_otherwise(names):
    """Case, marks, the order of the words and a slip do not make another name; nor does an empty cell, or a learner of whom the papers have no name."""
    assert (4, [], "") == of_names(named(*names))


def test_some_other_names_are_told_and_marked():
    """Where up to half of the learners bear another name their rows count, and the instructor is told who."""
    count, lines, said = of_names(named("Ben Stone", "Cem Aydin", "عمر", ""))
    assert (4, []) == (count, lines)
    assert said.startswith(f"2 of 4 learners bear another name on the answer sheet than on the papers ('Ben Stone' on form {forms()[0].code} of 'Ada <b>Fernhill</b>'; ")
    assert said.endswith("Their rows are marked: see that these are their answers.")


def test_sheet_of_another_class_is_not_marked():
    """Where more than half bear other names only rows whose name fits count; all others are listed, and a hand-in counts."""
    count, lines, said = of_names(named("Ben Stone", "Cem Aydin", "Dan Hill", "Eve"), [handed_in({(2, "a"): "A"})])
    assert (1, [2, 3, 4, 5]) == (count, lines)
    assert "3 of 4 learners bear another name" in said
    assert said.endswith("is this another class's sheet? Their rows are not marked.")


def test_other_name_says_what_to_do():
    """A row under another name says both names and what to do, and its learner has given no answer by it."""
    given, _ = given_answers(named("Ben Stone"), [])
    put = addressed(given, desk.papers(), {})
    assert (set(), OTHER_NAME) == (put.present, put.not_marked[0].reason)
    assert put.not_marked[0].sentence.startswith("'Ben Stone' is another name than on the paper: 'Ada <b>Fernhill</b>'; is this another class's sheet? Mark it with that class's papers")


def test_rows_of_two_classes_are_told_apart():
    """Where the rows of another class stand below a class's own, its own count and the others are listed."""
    own = "".join(f'{form.learner.id},"{form.learner.name}",{form.code},1,a,B\n' for form in forms()[:3])
    other = "".join(f"{form.learner.id},Stranger {form.code[:1]},{form.code},1,a,C\n" for form in forms()[:3])
    assert (3, [5, 6, 7]) == of_names(desk.raw(own + other))[:2]
