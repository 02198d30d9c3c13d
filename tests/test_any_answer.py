"""Whatever is typed as an answer to a part of any kind: a verdict at once; and one verdict for one quantity, whatever its unit."""

import gc
import random
import time
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hpteach import units
from hpteach.questions import Verdict, check
from hpteach.unit_spellings import EXAMPLES, SHARED, UNITS
from tests.kinds_of_part import CHART, CHOICE, ORDER, SEVERAL, STATE, TABLE, TRUTH, cycle, dealt, number

MAY_BE_NONE = SEVERAL.replace('kind = "several"', 'kind = "several"\nmay_be_none = true').replace('id = "which"', 'id = "none"')

# One number for each kind of quantity, drawn as in the example of that kind.
DRAWS = "".join(
    f'[draw.drawn_{place}]\nkind = "{kind}"\nchoices = ["{EXAMPLES[kind].partition(",")[0].partition(" or ")[0]}"]\n' for place, kind in enumerate(units.KINDS)
)
TOLERANCES = {"temperature": 'absolute = "0.2 K"', "gauge pressure": 'absolute = "0.02 bar"'}
NUMBERS = "".join(
    number(
        f"number_{place}", kind, f"drawn_{place}", TOLERANCES.get(kind, "relative = 0.01"),
        f'\n[[parts.mistakes]]\nid = "twice"\nvalue = "1.5 * drawn_{place}"\ncorrection = "Once."\n',
    )
    for place, kind in enumerate(units.KINDS)
)  # fmt: skip
EVERY_KIND = dealt(DRAWS, cycle(), SEVERAL, MAY_BE_NONE, STATE.replace("{place}", "vapour line"), TRUTH, TABLE, ORDER, CHOICE, CHART, NUMBERS)

ANSWERS = [part.answer if isinstance(part.answer, str) else f"{part.answer:.6g} {units.base_unit(part.quantity)}" for part in EVERY_KIND.parts]
PIECES = [
    *ANSWERS, *(mistake.value for part in EVERY_KIND.parts for mistake in part.mistakes if isinstance(mistake.value, str)),
    "1", "2", "3", "36.5", "36,5", "1 234", "0.7", "1/3", "3 1/2", "½", "9e3", "-", "+", "\N{MINUS SIGN}", " ", "\u202f", "\u2009", ",", ".", ";", ":", "/", "^", "**", "(", ")", "%", "=",
    "kJ/kg", "bar", "bar g", "psig", "psi", "psia", "°C", "deg C", "°F", "K", "kPa", "kJ/(kg·K)", "m³/h", "ton", "g/kg", "t CO2e", "micron", "in", "of 1",
    "A", "b", "C)", "D", "E", "F", "AC", "and", "or", "all", "none", "true", "False", "because", "then", "->", "4", "3 1 4 2", "2143",
    "high", "low", "pressure", "superheated", "vapour", "gas", "liquid", "mixture", "subcooled", "hot gas", "indoor coil", "the outdoor coil", "compressor", "it carries liquid",
    "The indoor coil condenses.", "the flow in it turns round with the valve", "<b>", "</script>", "&amp;", "{h1}", "${x}", "%s", "\\", "'", '"', "\x00", "\x1b[31m", "\n", "\t",
    "\u202e", "\u200f", "\u2066", "\u0301", "\u0336", "５", "٥", "Ⅻ", "\N{SNOWMAN}", "\N{THUMBS UP SIGN}", "\ud800", "9" * 60, "(" * 40, "e308", "nan", "inf", "__import__('os')",
]  # fmt: skip
TEXTS = st.one_of(
    st.lists(st.sampled_from(PIECES), max_size=5).map(" ".join),
    st.lists(st.sampled_from(PIECES) | st.text(max_size=4), max_size=8).map("".join),
    st.text(max_size=110),
)


def judged(text, part):
    """The verdict and the seconds that it took, without what Python spends on clearing away what the test has left."""
    gc.disable()
    begun = time.thread_time()
    try:
        verdict = check(EVERY_KIND, text, part)
        return verdict, time.thread_time() - begun
    finally:
        gc.enable()


@settings(max_examples=10_000)
@given(TEXTS, st.sampled_from([part.id for part in EVERY_KIND.parts]))
def test_any_text_is_judged_at_once(text, part):
    """A verdict comes back within 50 ms; what is not readable is not wrong; a sentence says why it is not right, and repeats no more than is safe."""
    verdict, took = judged(text, part)
    assert 0.05 > took
    assert isinstance(verdict, Verdict)
    assert (verdict.correct is None) is not verdict.readable
    assert verdict.correct or verdict.notes
    assert verdict.mistake is None or verdict.correct is False
    said = str(verdict)
    assert 500 > len(said) and said.isprintable() and not any(map(unicodedata.combining, said))
    assert len(text) <= 60 or text not in said


HOSTILE = ["9" * 10_000, "9**" * 5_000, "<script>alert(1)</script>" * 400, "(" * 10_000, "A" * 10_000, "A " * 50, "a\u0301" * 50, "\u202e" * 10_000, "\x00" * 100, "９" * 100, "true " * 20,
           "low " * 25, "1/" * 50, "½" * 100, "and " * 25, ";" * 100, "because " * 12, "\ud800" * 100, None, 5, b"5 K", ["5 K"]]  # fmt: skip


@pytest.mark.parametrize("part", ["which", "none", "state", "claim", "table_h2", "order", "choice", "chart", "number_0"])
@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: f"{text[:6]!r} x {len(text)}" if isinstance(text, str) else repr(text))
def test_hostile_text_is_refused_at_once_by_every_kind(text, part):
    """A hostile text, or what is no text at all, is refused in less than 50 ms, costs no try, and at most 40 characters of it come back."""
    verdict, took = judged(text, part)
    assert 0.05 > took
    assert (False, None) == (verdict.readable, verdict.correct)
    assert 300 > len(verdict.notes[0].sentence)


def test_random_texts_meet_every_verdict():
    """The pieces of the random texts are such that every kind of part is met by right, wrong and unreadable ones."""
    kinds = {part.id: part.kind for part in EVERY_KIND.parts}
    met = {(kinds[part], check(EVERY_KIND, text, part).correct) for part in kinds for text in PIECES}
    assert {(kind, correct) for kind in kinds.values() for correct in (True, False, None)} == met


# One verdict whatever the unit --------------------------------------------------------------------


def spellings_of(kind):
    """Every unit in which a kind may be written, in one spelling each."""
    found = {UNITS[spelling]: spelling for spelling in UNITS if UNITS[spelling][0] in SHARED.get(kind, (kind,)) and (spelling or kind == "ratio")}
    found |= {("", "percent"): "%"} if kind in ("ratio", "relative humidity", "share") else {}
    return sorted({*found.values()} - ({"psi"} if kind in ("pressure", "gauge pressure") else set()))


def written(value, kind, spelling, around):
    """A quantity (SI) in a unit, with as many figures as its tolerance asks for."""
    first, second = (units.read(f"{number} {spelling}", kind, atmosphere=EVERY_KIND.atmosphere) for number in (1, 2))
    figure = abs(around / (second - first))
    places = next(places for places in range(-12, 18) if 10.0**-places <= 0.9 * figure)
    return f"{round(1.0 + (value - first) / (second - first), places):.{max(places, 0)}f} {spelling}".strip()


@pytest.mark.parametrize("kind", units.KINDS)
def test_same_quantity_has_the_same_verdict_in_every_unit(kind):
    """A right value is right without a remark, a foreseen mistake brings its sentence and any other value a plain one, whatever the unit."""
    source = random.Random(kind)
    part = next(part for part in EVERY_KIND.parts if part.quantity == kind and part.id.startswith("number_"))
    around = (part.accepts[1] - part.accepts[0]) / 2.0
    near = [source.uniform(-0.4, 0.4) * around for _ in range(5)]
    cases = [(part.answer + off, True, None, ()) for off in near]
    cases += [(mistake.value + off, False, mistake.id, (mistake.correction,)) for mistake in part.mistakes for off in near]
    cases += [(part.answer + 5.0 * around + off, False, None, ("Readable, but not the number asked for: look at the hints and try again.",)) for off in near]
    assert ["twice"] == [mistake.id for mistake in part.mistakes]
    assert spellings_of(kind)
    for spelling in spellings_of(kind):
        for value, *expected in cases:
            text = written(value, kind, spelling, around)
            verdict = check(EVERY_KIND, text, part.id)
            assert (text, *expected) == (text, verdict.correct, verdict.mistake, tuple(note.sentence for note in verdict.notes))


@pytest.mark.parametrize("kind", [kind for kind in units.KINDS if kind != "ratio"])
def test_forgotten_unit_is_asked_for(kind):
    """A right number without its unit is not wrong: the sentence asks for the unit and shows some."""
    part = next(part for part in EVERY_KIND.parts if part.quantity == kind and part.id.startswith("number_"))
    bare = written(part.answer, kind, spellings_of(kind)[0], (part.accepts[1] - part.accepts[0]) / 2.0).split()[0]
    verdict = check(EVERY_KIND, bare, part.id)
    assert (False, None, "unreadable") == (verdict.readable, verdict.correct, verdict.notes[0].id)
    assert f"has no unit of {kind}: write it as {EXAMPLES[kind]}" in verdict.notes[0].sentence
