"""Reading a learner's text: decimal marks, thousands, units as typed, choices, and hostile texts.

The SI Brochure (9th edition, 5.4.4; from memory, not seen here) allows the point and the comma as
decimal marks and parts long numbers by thin spaces into groups of three.
"""

import time
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.errors import HpteachError, InputError, LimitError, UnitError
from hpteach.questions.answers import folded, read_choice, read_order, read_written

NUMBERS = [
    # text, number, unit
    ("36.5 kJ/kg", "36.5", "kJ/kg"), ("36,5 kJ/kg", "36.5", "kJ/kg"), ("36.5kJ/kg", "36.5", "kJ/kg"), ("118psig", "118", "psig"),
    (" 5  K ", "5", "K"), ("+5 K", "5", "K"), ("-5 K", "-5", "K"), ("\N{MINUS SIGN}5 K", "-5", "K"), ("- 5 K", "-5", "K"),
    ("\N{EN DASH}5 °C", "-5", "°C"), ("41 °F", "41", "°F"), ("5\N{DEGREE CELSIUS}", "5", "°C"),
    (".5 K", ".5", "K"), (",5 K", ".5", "K"), ("5. K", "5.", "K"), ("9.15e2 kPa", "9.15e2", "kPa"), ("9,15E+2 kPa", "9.15E+2", "kPa"),
    ("1 234 kPa", "1234", "kPa"), ("1\u202f234,5 kPa", "1234.5", "kPa"), ("1\u2009234.5 kPa", "1234.5", "kPa"),
    ("12\u00a0345\u00a0678 Pa", "12345678", "Pa"), ("1'234 kPa", "1234", "kPa"), ("1\u2019234,5 kPa", "1234.5", "kPa"),
    ("1,234.5 kPa", "1234.5", "kPa"), ("1.234,5 kPa", "1234.5", "kPa"), ("1,234,567 Pa", "1234567", "Pa"), ("1.234.567 Pa", "1234567", "Pa"),
    ("1.234 kPa", "1.234", "kPa"), ("0,125 bar", "0.125", "bar"), ("12,3456 bar", "12.3456", "bar"), ("1234,567 kPa", "1234.567", "kPa"),
    ("1.75 kJ/(kg·K)", "1.75", "kJ/(kg·K)"), ("7.5 bar (g)", "7.5", "bar (g)"), ("70 %", "70", "%"), ("4.2", "4.2", ""),
    ("30\u200b dm³/kg", "30", "dm³/kg"), ("5\tK", "5", "K"), ("5 ˚C", "5", "°C"), ("5 \N{KELVIN SIGN}", "5", "K"), ("\N{FIGURE DASH}5 K", "-5", "K"),
    ("36.5 kJ per kg", "36.5", "kJ / kg"), ("70 per cent", "70", "per cent"), ("41 degrees Fahrenheit", "41", "degrees Fahrenheit"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "number", "unit"), NUMBERS)
def test_number_is_read_as_it_is_usually_written(text, number, unit):
    """Both decimal marks, every usual space, minus and thousands mark are read."""
    written = read_written(text)
    assert (number, unit, False) == (written.number, written.unit, written.fraction)


FRACTIONS = [
    # text, value of the number, unit
    ("1/3", 1 / 3, ""), ("1 / 3", 1 / 3, ""), ("2/3 bar", 2 / 3, "bar"), ("9/5", 1.8, ""), ("3 1/2 K", 3.5, "K"), ("3  1/2 K", 3.5, "K"),
    ("-3 1/2 K", -3.5, "K"), ("+3 1/2K", 3.5, "K"),
    ("\N{MINUS SIGN}1/2 K", -0.5, "K"), ("3-1/2 ton", 3.5, "ton"), ("½", 0.5, ""), ("3½ K", 3.5, "K"), ("3 ½ K", 3.5, "K"), ("¼ bar (g)", 0.25, "bar (g)"),
    ("-½ K", -0.5, "K"),
    ("2⅓ bar", 7 / 3, "bar"), ("1⁄8 in", 0.125, "in"), ("12 1/2 %", 12.5, "%"), ("1/2 kJ/kg", 0.5, "kJ/kg"), ("100/3 kPa", 100 / 3, "kPa"),
    ("0/5 K", 0.0, "K"), ("1\u202f1/2 K", 1.5, "K"),
    ("1\N{DIVISION SLASH}2 K", 0.5, "K"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "value", "unit"), FRACTIONS)
def test_fraction_is_read_as_it_is_usually_written(text, value, unit):
    """A fraction with or without whole figures before it, with its signs together or apart, is a number."""
    written = read_written(text)
    assert (pytest.approx(value, rel=1e-14), unit, True) == (float(written.number), written.unit, written.fraction)


def test_fraction_has_a_value_in_si():
    """A fraction takes every unit: 3 1/2 °F of difference is 1.944 K, 1/2 bar g at the air's pressure is 1.513 bar."""
    assert pytest.approx(3.5 / 1.8) == read_written("3 1/2 °F").value("temperature difference")
    assert pytest.approx(151325.0) == read_written("½ bar g").value("pressure")
    assert pytest.approx(0.125) == read_written("12½ %", "ratio").value("ratio")


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        *((f"8.5 {unit}", "pressure", 850e3) for unit in ("bar", "bara", "bar(a)", "bar a", "bar abs", "bar absolute", "BAR")),
        *((f"8.5 {unit}", "pressure", 951325.0) for unit in ("barg", "bar g", "bar(g)", "bar (g)", "bar gauge", "bar[g]", "BARG", "bar.g")),
        *((f"100 {unit}", "pressure", 790800.7) for unit in ("psig", "psi g", "psi(g)", "PSIG", "psi gauge", "p.s.i.g.")),
        *((f"100 {unit}", "pressure", 689475.7) for unit in ("psia", "psi a", "psi(a)", "PSIA", "psi abs", "psi absolute")),
        *((f"800 {unit}", "gauge pressure", 800e3) for unit in ("kPag", "kPa(g)", "kPa g", "kpa gauge")), ("0.8 MPa(g)", "gauge pressure", 800e3),
        *((f"45 {unit}", "temperature", 318.15) for unit in ("C", "°C", "° C", "ºC", "˚C", "℃", "c", "C°", "deg C", "deg. C", "degC", "degree C", "degrees C", "degrees c", "Celsius", "celsius",
                                                             "deg Celsius", "degree Celsius", "degrees Celsius", "°Celsius", "centigrade")),
        *((f"113 {unit}", "temperature", 318.15) for unit in ("F", "°F", "° F", "ºF", "˚F", "℉", "deg F", "deg. F", "degF", "degrees F", "Fahrenheit", "degrees Fahrenheit", "deg Fahrenheit")),
        *((f"318.15 {unit}", "temperature", 318.15) for unit in ("K", "k", "°K", "kelvin", "Kelvins", "deg K", "\N{KELVIN SIGN}")),
        *((f"9 {unit}", "temperature difference", 5.0) for unit in ("F", "°F", "degrees F", "deg F", "ΔF", "Δ°F", "delta F", "∆F")),
        *((f"5 {unit}", "temperature difference", 5.0) for unit in ("K", "C", "°C", "ΔK", "ΔC", "Celsius", "degrees C", "kelvin")),
        *((f"36,5 {unit}", "specific energy", 36.5e3) for unit in ("kJ/kg", "kj/kg", "KJ/KG", "kJ / kg", "kJ per kg")),
    ],
)  # fmt: skip
def test_unit_is_read_in_many_spellings(text, kind, expected):
    """Gauge and absolute pressures, degrees and kelvins are read as people write them (100 psi is 689.4757 kPa; the air is 101.325 kPa)."""
    assert pytest.approx(expected, rel=1e-6) == read_written(text).value(kind)


@pytest.mark.parametrize(
    ("kind", "system", "expected"), [("power", "IP", "12000"), ("ratio", "IP", "12.000"), ("ratio", "SI", "12.000")]
)
def test_comma_before_three_figures_follows_the_reader(kind, system, expected):
    """With IP units the comma parts thousands; in a ratio, which is never in the thousands, it is the decimal mark."""
    assert expected == read_written("12,000", kind, system).number


def test_comma_that_says_two_things_is_sent_back():
    """With SI units 1,234 is not guessed at: both readings are named."""
    with pytest.raises(InputError, match="'1,234' can be read as 1234 and as 1.234: write it without a thousands mark, or with one more figure"):
        read_written("1,234 kPa", "pressure", "SI")


@pytest.mark.parametrize(("kind", "such"), [("pressure", "write the pressure as 8.5bar, 800kPa, 118psig or 133psia"), ("ratio", "or, for a ratio, 4.2")])
def test_what_is_no_number_is_told_how_to_be_one(kind, such):
    """An answer that nobody can read is met with examples of the quantity that is asked; a ratio may be a COP, so it has the example of one."""
    with pytest.raises(InputError, match=f"^'a lot' is not a number with a unit: .*{such}$"):
        read_written("a lot", kind)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "there is no answer yet"), ("  \u202f ", "there is no answer yet"),
        ("about right", "'about right' is not a number with a unit: write such as 36.5 kJ/kg, 118 psig, 5 K or, for a ratio, 4.2"),
        ("kJ/kg", "is not a number with a unit"), ("5 K 7 bar", "unit 'K 7 bar' in '5 K 7 bar' is not known"), ("5 or 6 K", "is not known"),
        ("1/2/3 bar", "is not a number"), ("1/0 K", "'1/0 K' divides by zero"), ("3.5 1/2 K", "is not a number"),
        ("1 3/2 K", "has a fraction of one or more behind a whole number"),
        ("½½ K", "is not a number"), ("1/2.5 K", "is not a number"), ("1,5/2 K", "is not a number"), ("/2 K", "is not a number"),
        ("1/ K", "is not a number"), ("1:3", "is not a number"),
        ("1e2/3 K", "is not known"), ("1/-3 K", "is not a number"), ("12/31/99", "is not a number"), ("1/1234567 K", "is not a number"),
        ("5 kJ/1/2", "is not known"),
        ("２５ K", "is not a number"), ("5\u0301 K", "is not a number"), ("5 K\u0336\u0336", "is not a number"), ("\u202e5 K", "is not a number"),
        ("5 \u200fK", "is not a number"),
        ("5 \N{CYRILLIC CAPITAL LETTER KA}", "is not a number"), ("٥ K", "is not a number"), ("Ⅻ K", "is not a number"), ("①", "is not a number"),
        ("5\x1b[31m K", "is not a number"),
        ("2**3 K", "is not a number"), ("5 K; 6 K", "is not a number"), ("=5 K", "is not a number"), ("{{5}} K", "is not a number"),
        ("5 K<br>", "is not a number"), ("&#53; K", "is not a number"),
        ("nan", "is not a number"), ("NaN kJ/kg", "is not a number"), ("inf", "is not a number"), ("-inf bar", "is not a number"),
        ("0x1F bar", "is not known"), ("1_000 bar", "is not a number"), ("9**9**9 bar", "is not a number"), ("9^9^9^9", "is not a number"),
        ("10² bar", "is not a number"), ("<b>5 K</b>", "is not a number"), ("5 <script>", "is not a number"), ("{5} K", "is not a number"),
        ("5 \N{SNOWMAN}", "is not a number"), ("\N{THUMBS UP SIGN}", "is not a number"), ("\N{ARABIC-INDIC DIGIT FIVE} K", "is not a number"),
        ("1..5 K", "more than one decimal mark"), ("1,5,5 K", "more than one decimal mark"), ("1.2.3 K", "more than one decimal mark"),
        ("1 23 kPa", "has a gap that does not part groups of three figures"), ("12345 678 Pa", "has a gap"),
        ("1234567890123456789 Pa", "has more than 18 figures: round it"), ("5 furlongs", "is not known"), ("5\x00 K", "is not a number"),
        ("'; DROP TABLE--", "is not a number"), ("5\nK", "is not a number"),
    ],
)  # fmt: skip
def test_what_nobody_can_read_is_refused_with_a_sentence(text, sentence):
    """A text that is no number with a unit is refused, and the sentence says what is wrong or how to write it."""
    with pytest.raises(InputError) as refusal:
        read_written(text).value("pressure")
    assert sentence in str(refusal.value)


@pytest.mark.parametrize(
    "text",
    ["9" * 10_000, "9" * 100, "-" * 10_000, "9**" * 5_000, "(" * 100, "1e" + "9" * 90, "1 " * 50, "1," * 50, "<i>" * 3_000, "\N{THUMBS UP SIGN}" * 5_000,
     "\x00" * 99, "\ud800" * 50, "9^" * 50, "1/" * 50, "½" * 100, "1 1/2 " * 16,
     "5" + "\u0301" * 99, "\u202e" * 100, "９" * 100, "<script>alert(1)</script>" * 4, "5 " + "K" * 98, "nan" * 33, "e" * 100, "1'" * 50],
    ids=lambda text: f"{text[:6]!r} x {len(text)}",
)  # fmt: skip
def test_hostile_text_is_refused_at_once(text):
    """Whatever is pasted is refused in less than 50 ms, and at most 40 characters of it are repeated."""
    begun = time.thread_time()
    with pytest.raises(InputError) as refusal:
        read_written(text).value("ratio")
    assert 0.05 > time.thread_time() - begun
    said = str(refusal.value)
    assert text[:41] not in said and 200 > len(said)
    assert said.isprintable() and not any(unicodedata.combining(mark) for mark in said)


@given(st.text(max_size=120))
def test_any_text_is_read_or_refused(text):
    """No text at all raises anything but a refusal of the library."""
    try:
        read_written(text).value("specific energy")
    except HpteachError as refusal:
        assert str(refusal)


@given(st.decimals(min_value="0.01", max_value="999", places=2), st.sampled_from([".", ","]))
def test_either_decimal_mark_means_the_same(number, mark):
    """A number with two decimals is the same with a point and with a comma."""
    assert pytest.approx(float(number) * 1e3) == read_written(f"{number} kJ/kg".replace(".", mark)).value("specific energy")


def test_longest_answer_is_a_hundred_characters():
    """A text of 100 characters is looked at, one of 101 is not."""
    assert 5.0 == read_written("5 K" + " " * 97).value("temperature difference")
    with pytest.raises(InputError, match="an answer of 101 characters is too long"):
        read_written("5 K" + " " * 98)


def test_missing_unit_is_refused_with_units_that_are_welcome():
    """A bare number is refused unless a ratio is asked, and the sentence shows units."""
    with pytest.raises(UnitError, match="'36.5' has no unit of specific energy: write it as 40kJ/kg or 17Btu/lb"):
        read_written("36.5").value("specific energy")
    assert 4.2 == read_written("4,2", "ratio").value("ratio")


@pytest.mark.parametrize("text", ["1e999 kJ/kg", "1e308 kJ/kg"])
def test_number_beyond_finite_is_refused(text):
    """A number too large for any computer is refused, also where only its unit makes it so."""
    with pytest.raises((LimitError, InputError), match="finite|too large"):
        read_written(text).value("specific energy")


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("36.5 kJ/kg", "specific energy", 100.0), ("36 kJ/kg", "specific energy", 1000.0), ("9.15e2 kPa", "pressure", 1000.0),
        ("118 psig", "pressure", 6894.76), ("5.0 K", "temperature difference", 0.1), ("-12.50 °F", "temperature difference", 0.01 / 1.8),
        ("45.0 °C", "temperature", 0.1), ("4.25", "ratio", 0.01), ("36500 J/kg", "specific energy", 1.0), ("7.5 bar g", "gauge pressure", 1e4),
    ],
)  # fmt: skip
def test_last_figure_has_a_worth(text, kind, expected):
    """One step of the last written figure is known in SI, whatever the unit."""
    assert expected == pytest.approx(read_written(text).last_figure(kind), rel=1e-5)


@pytest.mark.parametrize(
    ("text", "expected"), [("36500 J/kg", 100.0), ("36500. J/kg", 100.0), ("36500.0 J/kg", 0.1), ("36.500 kJ/kg", 1.0), ("36512 J/kg", 1.0),
    ("0 J/kg", 1.0), ("3.65e4 J/kg", 100.0), ("40 kJ/kg", 1e4)]
)  # fmt: skip
def test_zeros_at_the_end_of_a_whole_number_may_be_its_size_only(text, expected):
    """Without them the last figure is the last one that is not zero; behind a decimal point every zero is a figure."""
    assert pytest.approx(expected, rel=1e-5) == read_written(text).last_figure("specific energy", but_zeros=True)


CHOICES = ("It rises.", "It falls, because the pressure falls.", "It stays (as it was).")


@pytest.mark.parametrize(
    ("text", "index"),
    [("A", 0), ("a", 0), ("b)", 1), ("(C)", 2), (" c. ", 2), ("It rises.", 0), ("it  RISES", 0), ("It falls, because the pressure falls", 1),
     ("it stays as it was", 2), ("it falls because pressure falls", 1), ("B) It falls, because the pressure falls.", 1), ("a) it rises", 0),
     ("1", 0), ("3.", 2), ("2) It falls, because the pressure falls.", 1)],
)  # fmt: skip
def test_choice_is_named_by_letter_place_or_words(text, index):
    """A letter or a place in any dress, the words of a choice, or both name it."""
    assert CHOICES[index] == read_choice(text, CHOICES)


@pytest.mark.parametrize(
    "text", ["outdoor coil", "the outdoor coil", "Outdoor coil.", "an outdoor  COIL", "A outdoor coil", "b", "B) outdoor coil", "B. The outdoor coil"]
)
def test_articles_capitals_and_full_stops_do_not_count(text):
    """Nobody has to type an article, a capital or a full stop."""
    assert "the outdoor coil" == read_choice(text, ("the indoor coil", "the outdoor coil"))


def test_a_is_a_letter_where_it_stands_alone():
    """The letter A is no article, before a bracket either; words that belong to another letter are sent back."""
    coils = ("the indoor coil", "the outdoor coil")
    assert coils[0] == read_choice("A", coils) == read_choice("A) the indoor coil", coils)
    for text in ("A) the outdoor coil", "B) indoor coil", "the A", "a b"):
        with pytest.raises(InputError, match="is none of the choices: answer with a letter from A to B"):
            read_choice(text, coils)


def test_choice_is_read_as_it_stands_however_long():
    """The text of a choice as a view hands it in is that choice; a long text that is none is refused."""
    long = ("It rises, " + "and it rises, " * 9 + "for ever.", "It falls.")
    assert long[0] == read_choice(long[0], long) == read_choice(f" {long[0]} ", long)
    with pytest.raises(InputError, match="is too long"):
        read_choice(long[0] + "!", long)


def test_number_that_could_mean_a_figure_is_no_place():
    """Where the choices hold figures, "3" could mean point 3 or the third choice, and is sent back."""
    points = ("at point 2", "at point 3", "at point 4")
    assert "at point 3" == read_choice("b", points) == read_choice("at Point 3", points)
    for text in ("1", "3", "3)"):
        with pytest.raises(InputError, match="is none of the choices"):
            read_choice(text, points)


@pytest.mark.parametrize(("one", "other", "alike"), [
    ("the outdoor coil", "Outdoor coil.", True), ("It rises.", "it rises", True), ("a coil", "an coil", True),
    ("the indoor coil", "the outdoor coil", False), ("then", "n", False), ("point a", "point b", False),
])  # fmt: skip
def test_words_fold_alike_or_not(one, other, alike):
    """Case, articles and marks fold away; words that only begin like an article stay."""
    assert alike is (folded(one) == folded(other))


@pytest.mark.parametrize("text", ["D", "AB", "4", "0", "rises", "", "x" * 101, "\N{THUMBS UP SIGN}", None, 3])
def test_text_that_names_no_choice_is_refused(text):
    """Anything else is refused with a sentence."""
    with pytest.raises(InputError):
        read_choice(text, CHOICES)


@pytest.mark.parametrize("text", ["3 1 4 2", "3,1,4,2", "3, 1, 4, 2", "3142", " 3 ; 1 ; 4 ; 2 ", "3-1-4-2", "3 -> 1 -> 4 -> 2", "3 → 1 → 4 → 2", "3. 1. 4. 2.",
                                  "3) 1) 4) 2)", "(3, 1, 4, 2)", "[3 1 4 2]", "(3) (1) (4) (2)", "３ １ ４ ２", "３，１，４，２", "（３１４２）", "3 then 1 then 4 then 2", "3\u202f1\u202f4\u202f2", "3/1/4/2", "3\N{EN DASH}1\N{EN DASH}4\N{EN DASH}2"])  # fmt: skip
def test_order_is_read_in_any_dress(text):
    """Spaces, marks, arrows, or nothing may stand between the numbers of an order."""
    assert "3 1 4 2" == read_order(text, 4)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "there is no answer yet"), ("   ", "there is no answer yet"), ("compressor first", "'compressor first' is not an order of numbers"),
        ("3 1 4", "'3 1 4' leaves out 2: write the numbers from 1 to 4, each once"), ("3", "leaves out 1, 2, 4"), ("3 1 4 2 2", "has a number twice"),
        ("1 1 2 3", "leaves out 4"), ("3 1 4 5", "'5' is not in the list"), ("0 1 2 3", "'0' is not in the list"), ("31 42", "'31' is not in the list"),
        ("3 1 four 2", "is not an order of numbers"), ("1.5", "'5' is not in the list"), ("\N{ARABIC-INDIC DIGIT THREE} 1 4 2", "is not an order of numbers"),
        ("x" * 101, "is too long"), ("->", "is not an order of numbers"), (None, "an answer is a text"), ("03 1 4 2", "'03' is not in the list"),
    ],
)  # fmt: skip
def test_order_that_nobody_can_read_is_refused(text, sentence):
    """An order that is not each number once is sent back with what is allowed."""
    with pytest.raises(InputError) as refusal:
        read_order(text, 4)
    assert sentence in str(refusal.value)
