"""Several choices of which none, some or all hold: written, dealt, read in any dress, judged, and refused where the file is wrong."""

import pytest

from hpteach.errors import DataError, InputError
from hpteach.questions import check
from hpteach.questions.several import read_named
from tests.kinds_of_part import SEVERAL, circuit, dealt

CHOICES = ("oil", "moisture", "air", "nitrogen")
MAY_BE_NONE = SEVERAL.replace('kind = "several"', 'kind = "several"\nmay_be_none = true')


def letters_of(variant, *texts):
    """The letters of choices by how their texts begin."""
    choices = variant.parts[0].choices
    return " ".join(sorted("ABCD"[place] for place, choice in enumerate(choices) if choice.startswith(texts)))


# Dealing -------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize(("position", "right"), [("heating", ("The indoor", "The compressor")), ("cooling", ("The compressor",))])
def test_answer_is_the_letters_of_all_that_hold(position, right, seed):
    """The letters belong to the order of the seed, and all choices that hold with these numbers are among them."""
    variant = dealt(circuit(position), SEVERAL, seed=seed)
    assert letters_of(variant, *right) == variant.parts[0].answer
    assert check(variant, variant.parts[0].answer).correct


def test_seed_makes_the_order():
    """Over some seeds the right letters differ, so that no letters give the key away; `keep_order` keeps the order of the file."""
    assert 3 < len({dealt(circuit(), SEVERAL, seed=seed).parts[0].answer for seed in range(12)})
    kept = SEVERAL.replace('kind = "several"', 'kind = "several"\nkeep_order = true')
    assert {"A B"} == {dealt(circuit(), kept, seed=seed).parts[0].answer for seed in range(12)}


def test_solution_names_the_right_choices_with_their_letters():
    """The worked solution prints every choice that holds behind its letter."""
    part = dealt(circuit(), SEVERAL.replace('kind = "several"', 'kind = "several"\nkeep_order = true')).parts[0]
    assert "Right: A) The indoor coil condenses; B) The compressor draws in vapour." == part.solution


def test_none_is_an_answer_where_the_file_says_so():
    """Where no choice holds the answer is "none", and without the key the question is refused when it is dealt."""
    never = '[[parts.choices]]\ntext = "The compressor draws in vapour."\nright = true\n\n'
    variant = dealt(circuit("cooling"), MAY_BE_NONE.replace(never, ""))
    assert ("none", True) == (variant.parts[0].answer, variant.parts[0].may_be_none)
    assert "Right: none of them." == variant.parts[0].solution
    assert check(variant, "none").correct and check(variant, "None of them.").correct
    assert "coils_swapped" == check(variant, letters_of(variant, "The indoor")).mistake
    with pytest.raises(DataError, match="none of the choices of which holds in this variant: at least one must, unless may_be_none = true"):
        dealt(circuit("cooling"), SEVERAL.replace(never, ""))


# Judging ---------------------------------------------------------------------------------------

JUDGED = [
    # position, named, mistake, note
    ("heating", ("The indoor", "The compressor", "The liquid"), "liquid_line_taken_for_empty", "It holds liquid or a mixture."),
    ("heating", ("The compressor",), "one_left_out", "In heating the indoor coil condenses."),
    ("heating", ("The indoor",), "one_left_out", "Something that holds is missing from your answer"),
    ("heating", ("The indoor", "The liquid"), "liquid_line_taken_for_empty", "It holds liquid or a mixture."),
    ("heating", ("The indoor", "The compressor", "The gauges"), None, "Not all that you named holds"),
    ("cooling", ("The indoor", "The compressor"), "coils_swapped", "In cooling the outdoor coil condenses."),
    ("cooling", ("The indoor", "The compressor", "The gauges"), "coils_swapped", "In cooling the outdoor coil condenses."),
    ("cooling", ("The gauges",), None, "Not all that you named holds"),
]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("position", "named", "mistake", "sentence"), JUDGED)
def test_first_wrong_choice_is_corrected_before_what_is_left_out(position, named, mistake, sentence, seed):
    """A choice too many brings its mistake; only where none is too many, what is left out is told."""
    variant = dealt(circuit(position), SEVERAL, seed=seed)
    verdict = check(variant, letters_of(variant, *named))
    assert (True, False, mistake) == (verdict.readable, verdict.correct, verdict.mistake)
    assert verdict.notes[0].sentence.startswith(sentence)


@pytest.mark.parametrize("seed", range(4))
def test_foreseen_answers_bring_their_mistakes(seed):
    """Every foreseen answer of the part, typed in, is judged as its mistake."""
    for texts in (SEVERAL, MAY_BE_NONE):
        for position in ("heating", "cooling"):
            variant = dealt(circuit(position), texts, seed=seed)
            assert variant.parts[0].mistakes
            for mistake in variant.parts[0].mistakes:
                assert (False, mistake.id) == (check(variant, mistake.value).correct, check(variant, mistake.value).mistake)


def test_named_way_is_recognised_as_a_whole():
    """What holds for someone with the valve in its other position is that one thought, not one choice left out."""
    by_way = SEVERAL.replace('left_out = "In heating the indoor coil condenses."\n', "") + '\n[[parts.mistakes]]\nway = "wrong_valve_position"\ncorrection = "The other position."\n'
    variant = dealt(circuit("heating"), by_way)
    verdict = check(variant, letters_of(variant, "The compressor"))
    assert ("wrong_valve_position", "The other position.") == (verdict.mistake, verdict.notes[0].sentence)


# Reading ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["A C", "a c", "A, C", "c, a", "AC", "ca", "A and C", "A & C", "a + c", "(A) (C)", "A) C)", "[A, C]", "A; C", "A/C", "A-C", "1, 3", "13", "1 3",
             "oil; air", "oil, air", "Air; the oil", "A) oil; C) air", "A\u202fC", "a.c.", " A,C "],
)  # fmt: skip
def test_letters_are_read_in_any_dress(text):
    """Letters or places together or apart, with marks or "and" between, or the words of the choices name the same ones."""
    assert "A C" == read_named(text, CHOICES)


@pytest.mark.parametrize(("text", "named"), [("B", "B"), ("moisture", "B"), ("2", "B"), ("all", "A B C D"), ("All of them.", "A B C D"), ("abcd", "A B C D")])
def test_one_or_all_may_be_named(text, named):
    """One letter, the words of one choice, or "all" are read too."""
    assert named == read_named(text, CHOICES)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "there is no answer yet"), ("E", "'E' does not name choices: write the letters of all that hold, from A to D, such as A, D"),
        ("A E", "does not name choices"),
        ("A or C", "does not name choices"), ("not A", "does not name choices"), ("oil; water", "does not name choices"), ("A A", "names a choice twice"),
        ("aa", "names a choice twice"), ("oil; oil", "names a choice twice"), ("none", "at least one of the choices holds"), ("5", "does not name choices"),
        ("A" * 101, "is too long"), ("<b>A</b>", "does not name choices"), ("\N{THUMBS UP SIGN}", "does not name choices"), (None, "an answer is a text"),
        (";", "does not name choices"),
    ],
)  # fmt: skip
def test_what_names_no_choices_is_refused(text, sentence):
    """Anything else is sent back with what is allowed, and costs no try."""
    with pytest.raises(InputError) as refusal:
        read_named(text, CHOICES)
    assert sentence in str(refusal.value)


def test_figures_in_choices_are_no_places():
    """Where the choices hold figures, a figure names none of them by its place."""
    with pytest.raises(InputError, match="does not name choices"):
        read_named("1, 2", ("point 1", "point 2", "point 3"))
    assert "A B" == read_named("point 1; point 2", ("point 1", "point 2", "point 3"))


# The file ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('right = true', 'right = true\nmistake = "a"\ncorrection = "b"', "parts[1].choices[2].mistake = 'a': allowed is no such key where right = true"),
        ('text = "The liquid line is empty."', 'text = "The liquid line is empty."\nleft_out = "x"', "choices[3].left_out = 'x': allowed is no such key on a choice that is never right"),
        ('kind = "several"', 'kind = "several"\nplace = "x"', "parts[1].place = 'x': allowed is only the keys id, kind, text, choices"),
        ('kind = "several"', 'kind = "several"\nmay_be_none = 1', "parts[1].may_be_none = 1: allowed is true or false"),
        ('when = "heating"', 'when = "heeting"', "parts[1].choices[1].when = 'heeting': allowed is an expression of known names"),
        ("The liquid line is empty.", "The indoor coil condenses.", "parts[1].choices = 'The indoor coil condenses.': allowed is a different one for each"),
    ],
)  # fmt: skip
def test_wrong_file_is_refused(old, new, sentence):
    """A wrong key or value is refused with file, key, value and what is allowed."""
    assert old in SEVERAL
    with pytest.raises(DataError) as refusal:
        dealt(circuit(), SEVERAL.replace(old, new))
    assert str(refusal.value).startswith("start/example.toml: ")
    assert sentence in str(refusal.value)


@pytest.mark.parametrize(
    ("rights", "sentence"),
    [
        ([True, True, True], "choices = 'all right': allowed is at least one choice that is or may be wrong"),
        ([False, False, False], "choices = 'none right': allowed is at least one choice that is or may be right, unless may_be_none = true"),
        ([True, False], "choices = 2: allowed is three to eight choices"),
    ],
)
def test_choices_that_decide_nothing_are_refused(rights, sentence):
    """All right for ever, none right for ever, or too few choices are no question."""
    choices = "".join(f'[[parts.choices]]\ntext = "{place}"\nright = {str(right).lower()}\n' for place, right in enumerate(rights))
    head = SEVERAL[: SEVERAL.index("[[parts.choices]]")]
    with pytest.raises(DataError) as refusal:
        dealt(circuit(), head + choices)
    assert sentence in str(refusal.value)
