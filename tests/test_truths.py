"""A statement that is true or false, with the reason: dealt, read by letter or words, judged, and refused where the file is wrong."""

import pytest

from hpteach.errors import DataError, InputError
from hpteach.questions import check
from hpteach.questions.truths import read_truth
from tests.kinds_of_part import TRUTH, circuit, dealt

RIGHT = "False, because the flow in it turns round with the valve."
CHOICES = ("True, because it condenses.", "False, because it boils.", "False, because the air is cold.")


@pytest.mark.parametrize("seed", range(6))
def test_verdict_and_reason_are_one_choice(seed):
    """Each reason is listed with its verdict, in the order of the seed; one of them is right."""
    part = dealt(circuit(), TRUTH, seed=seed).parts[0]
    assert ("truth", "True or false, and why? The vapour line is the suction line.", RIGHT) == (part.kind, part.text, part.answer)
    assert {"True", "False"} == {choice.partition(",")[0] for choice in part.choices} and 4 == len(part.choices)
    assert RIGHT == part.solution


def test_seed_makes_the_order():
    """Over some seeds the right letter differs, unless the file keeps its order."""
    places = {dealt(circuit(), TRUTH, seed=seed).parts[0].choices.index(RIGHT) for seed in range(16)}
    kept = TRUTH.replace('kind = "truth"', 'kind = "truth"\nkeep_order = true')
    assert ({0, 1, 2, 3}, {1}) == (places, {dealt(circuit(), kept, seed=seed).parts[0].choices.index(RIGHT) for seed in range(16)})


@pytest.mark.parametrize(
    ("text", "correct", "mistake", "note"),
    [
        (RIGHT, True, None, None), ("the flow in it turns round with the valve", True, None, None),
        ("false, flow in it turns round with the valve", True, None, None),
        ("because the flow in it turns round with the valve", True, None, None),
        ("True, because it carries vapour to the compressor.", False, "vapour_line_taken_for_one_way", "vapour_line_taken_for_one_way"),
        ("it carries liquid", False, "right_for_the_wrong_reason", "right_for_the_wrong_reason"), ("true because it is the wider one", False, None, "truth"),
        ("true", None, None, "unreadable"), ("False.", None, None, "unreadable"), ("no", None, None, "unreadable"), ("maybe", None, None, "unreadable"),
        ("true, because it carries liquid", None, None, "unreadable"),
    ],
)  # fmt: skip
def test_reason_is_judged_with_the_verdict(text, correct, mistake, note):
    """The right verdict with the wrong reason is wrong and told apart; a bare true or false is asked for its reason."""
    verdict = check(dealt(circuit(), TRUTH), text)
    assert (correct, mistake, note) == (verdict.correct, verdict.mistake, verdict.notes[0].id if verdict.notes else None)
    assert verdict.readable is (correct is not None)


@pytest.mark.parametrize("seed", range(4))
def test_foreseen_answers_bring_their_mistakes(seed):
    """Every foreseen answer of the part, typed in as it stands, is judged as its mistake."""
    variant = dealt(circuit(), TRUTH, seed=seed)
    assert ["vapour_line_taken_for_one_way", "right_for_the_wrong_reason"] == [mistake.id for mistake in variant.parts[0].mistakes]
    for mistake in variant.parts[0].mistakes:
        assert (False, mistake.id) == (check(variant, mistake.value).correct, check(variant, mistake.value).mistake)


def test_verdict_may_depend_on_the_numbers():
    """With `when` another reason holds in another position of the valve."""
    text = TRUTH.replace("right = true", 'when = "heating"').replace(
        'mistake = "vapour_line_taken_for_one_way"\ncorrection = "In heating it carries hot gas to the indoor coil."\n', 'when = "cooling"\n'
    )
    answers = [dealt(circuit(position), text).parts[0].answer for position in ("heating", "cooling")]
    assert [RIGHT, "True, because it carries vapour to the compressor."] == answers


def test_long_reason_may_be_handed_in_whole():
    """A choice of more than 100 characters is read as it stands, as a view hands it in; anything else so long is refused."""
    long = TRUTH.replace("it carries liquid.", "it carries liquid, " + "and liquid, " * 9 + "and nothing else.")
    variant = dealt(circuit(), long)
    choice = next(choice for choice in variant.parts[0].choices if "nothing else" in choice)
    assert len(choice) > 100
    assert "right_for_the_wrong_reason" == check(variant, choice).mistake
    assert check(variant, choice + "x").correct is None


# Reading ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "place"),
    [("A", 0), ("b)", 1), ("3", 2), ("True, because it condenses.", 0), ("true because it condenses", 0), ("True: it condenses", 0), ("it boils", 1),
    ("Because it boils.", 1),
     ("false, it boils", 1), ("false because air is cold", 2), ("C) False, because the air is cold.", 2)],
)  # fmt: skip
def test_truth_is_read_by_letter_verdict_and_reason(text, place):
    """A letter, verdict with reason, or the reason alone names a choice."""
    assert CHOICES[place] == read_truth(text, CHOICES)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("true", "'true' is only half of the answer: say why too, with a letter from A to C"), ("F", "is only half of the answer"),
        ("Yes", "is only half of the answer"),
        ("", "there is no answer yet"), ("D", "is none of the choices"), ("true, because it boils", "is none of the choices"), ("x" * 101, "is too long"),
        (None, "an answer is a text"),
    ],
)  # fmt: skip
def test_what_names_no_reason_is_refused(text, sentence):
    """Half an answer or none is sent back with what is missing."""
    with pytest.raises(InputError) as refusal:
        read_truth(text, CHOICES)
    assert sentence in str(refusal.value)


def test_letter_f_counts_where_there_are_six_reasons():
    """F is "false" only where it is no letter of the list."""
    six = tuple(f"{verdict}, because of {thing}." for verdict in ("True", "False") for thing in ("oil", "air", "water"))
    assert six[5] == read_truth("F", six)


def test_reason_that_stands_under_both_verdicts_needs_the_verdict():
    """The same reason may be offered for true and for false; alone it then says too little."""
    both = ("True, because it boils.", "False, because it boils.")
    assert both[1] == read_truth("false, it boils", both)
    with pytest.raises(InputError, match="is none of the choices"):
        read_truth("it boils", both)


# The file -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('statement = "The vapour line is the suction line."\n', "", "parts[1].statement is missing"),
        ("says = true\n", "", "parts[1].reasons[1].says is missing: write true or false"),
        ("says = true\n", 'says = "true"\n', "parts[1].reasons[1].says = 'true': allowed is true or false"),
        ("says = false", "says = true", "allowed is reasons of which some say true and some say false"),
        ("right = true\n", "", "parts[1].reasons = '0 right, 0 with when': allowed is one reason with right = true, or reasons with `when`"),
        ('kind = "truth"', 'kind = "truth"\ntext = "?"', "parts[1].text = '?': allowed is only the keys id, kind, statement, reasons"),
        ("it carries liquid.", "the flow in it turns round with the valve.", "allowed is a different one for each"),
    ],
)  # fmt: skip
def test_wrong_file_is_refused(old, new, sentence):
    """A wrong key or value is refused with file, key, value and what is allowed."""
    assert old in TRUTH
    with pytest.raises(DataError) as refusal:
        dealt(circuit(), TRUTH.replace(old, new))
    assert sentence in str(refusal.value)
