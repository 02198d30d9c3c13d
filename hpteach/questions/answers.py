"""Reading what a learner has written: a number with its unit, a choice, or an order.

What lives here: `read_written`, `read_choice` and `read_order`, which refuse with a sentence what
nobody could read, and never judge.  What does not: right or wrong (checking), and the
meaning of units (hpteach.units).

Both decimal marks are read, and spaces between groups of three figures (the SI Brochure,
9th edition, 5.4.4, allows point and comma as the mark and recommends thin spaces; from
memory, not seen here).  "1,234" alone says 1234 to one reader and 1.234 to another: a
ratio is never in the thousands, so there the comma is the decimal mark; with IP units it
parts thousands; with SI units it is refused with the request to write it out.

The grammar is closed: at most 100 characters; an optional sign; a decimal number with an optional power of
ten, or whole figures with a fraction ("3 1/2", "1/3", "2½"); and a unit of letters, figures and the signs of units.
Anything else (other alphabets, markup, control characters, marks that turn or pile up letters) is refused unread.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from hpteach import units
from hpteach.errors import InputError
from hpteach.questions.expressions import shortened

LONGEST = 100
"""Characters; a longer text is refused unread."""

MOST_FIGURES = 18

_SPACES = re.compile("[\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000\t]")
_ALIKE = str.maketrans({
    "\N{MINUS SIGN}": "-", "\N{HYPHEN}": "-", "\N{NON-BREAKING HYPHEN}": "-", "\N{FIGURE DASH}": "-", "\N{EN DASH}": "-",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'", "\N{DEGREE CELSIUS}": "°C", "\N{DEGREE FAHRENHEIT}": "°F", "\N{RING ABOVE}": "°",
    "\N{KELVIN SIGN}": "K", "\N{DOT OPERATOR}": "·", "\N{FRACTION SLASH}": "/", "\N{DIVISION SLASH}": "/",
    "\N{ZERO WIDTH SPACE}": None, "\N{WORD JOINER}": None, "\N{ZERO WIDTH NO-BREAK SPACE}": None,
})  # fmt: skip
_FRACTIONS = str.maketrans({
    mark: f" {unicodedata.normalize('NFKC', mark)} ".replace("\N{FRACTION SLASH}", "/") for mark in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
})  # fmt: skip
_WRITTEN = re.compile(
    r"(?P<sign>[+-]?)\ ?(?:(?:(?P<whole>[0-9]{1,6})(?:\ +|-))?(?P<over>[0-9]{1,6})\ ?/\ ?(?P<under>[0-9]{1,6})(?![0-9.,'])"
    r"|(?P<number>[0-9](?:[0-9.,']|\ (?=[0-9]))*|[.,][0-9]+)(?P<power>[eE][+-]?[0-9]{1,3}(?![0-9]))?)"
    r"\ *(?P<unit>[A-Za-zΔ∆%°º³\[(][A-Za-z0-9 /^*·.()\[\]%°º³-]{0,23})?",
    re.VERBOSE,
)
_ARTICLES = re.compile(r"\b(?:the|an?)\s+(?=\w)")
_GROUPED = re.compile(r"[0-9]{1,3}([ '])[0-9]{3}(?:\1[0-9]{3})*(?=[.,]|$)")


@dataclass(frozen=True)
class Written:
    """A number with its unit as written: `number` with a decimal point, `unit` as spelled.

    `fraction` says that it was written as a fraction, which has no last figure.
    """

    number: str
    unit: str
    fraction: bool = False

    def value(self, kind: str, *, atmosphere: float = units.STANDARD_ATMOSPHERE) -> float:
        """The quantity in SI, read by `units.read`, with whose refusals.

        >>> read_written("9,15 bar").value("pressure")
        915000.0
        """
        return units.read(f"{self.number} {self.unit}", kind, atmosphere=atmosphere)

    def last_figure(self, kind: str, *, but_zeros: bool = False) -> float:
        """What one step of the last written figure is worth, in SI.

        The zeros at the end of a whole number may be figures or only its size: `but_zeros` leaves them out.

        >>> written = read_written("36500 J/kg")
        >>> written.last_figure("specific energy"), written.last_figure("specific energy", but_zeros=True)
        (1.0, 100.0)
        """
        number = Decimal(self.number)
        place = number.as_tuple().exponent
        if but_zeros and place >= 0 and number:
            place = number.normalize().as_tuple().exponent
        # One and two of the unit, because near its ends a scale may have no further step.
        one, two = (units.read(f"{count} {self.unit}", kind) for count in (1, 2))
        return float(f"{abs(two - one) * float(Decimal(1).scaleb(place)):.6g}")


def read_written(text: str, kind: str = "", system: str = "SI") -> Written:
    """A learner's text as a number and a unit; `kind` and `system` are those of the question.

    Raises `InputError` with one sentence where it is no number with an optional unit, too
    long, or can be read in two ways.

    >>> read_written("1\u202f234,5 kPa")
    Written(number='1234.5', unit='kPa', fraction=False)
    >>> read_written("1,234 kPa")
    Traceback (most recent call last):
    hpteach.errors.InputError: '1,234' can be read as 1234 and as 1.234: write it without a thousands mark, or with one more figure
    """
    match = _WRITTEN.fullmatch(tidied(text).translate(_FRACTIONS).strip())
    if not match:
        such = f"write the {kind} as {units.EXAMPLES[kind]}" if kind in units.EXAMPLES and kind != "ratio" else "write such as 36.5 kJ/kg, 118 psig, 5 K or, for a ratio, 4.2"
        raise InputError(f"{shortened(text)} is not a number with a unit: {such}")
    unit = re.sub(r"\bper\b(?! ?cent)", "/", (match["unit"] or "").strip())
    if match["under"]:
        return Written(_quotient(match, text), unit, fraction=True)
    number = _with_point(match["number"].rstrip(), kind, system)
    if len(number) > MOST_FIGURES:
        raise InputError(f"{shortened(text)} has more than {MOST_FIGURES} figures: round it")
    return Written((match["sign"].replace("+", "")) + number + (match["power"] or ""), unit)


def _quotient(match: re.Match[str], text: str) -> str:
    """A fraction, with what stands whole before it, as a decimal number."""
    whole, over, under = (int(match[part] or 0) for part in ("whole", "over", "under"))
    if not under:
        raise InputError(f"{shortened(text)} divides by zero: write another number")
    if match["whole"] and over >= under:
        raise InputError(f"{shortened(text)} has a fraction of one or more behind a whole number: write it as a decimal number")
    return match["sign"].replace("+", "") + f"{float(whole + Fraction(over, under)):.15g}"


def read_choice(text: str, choices: tuple[str, ...]) -> str:
    """The choice that a learner's text names: by its words, by its letter, or by both.

    A number counts as the place in the list, unless the choices hold figures that it could
    mean instead.  Raises `InputError` where no choice is named.

    >>> read_choice("indoor coil", ("the indoor coil", "the outdoor coil")), read_choice("b)", ("It rises.", "It falls."))
    ('the indoor coil', 'It falls.')
    """
    if isinstance(text, str) and text.strip() in choices:
        return text.strip()  # as a view hands it in, however long it is
    places = list(zip("abcdefgh", choices))
    if not any(mark.isdigit() for choice in choices for mark in choice):
        places += zip("12345678", choices)
    named = {f"{place} {folded(choice)}": choice for place, choice in places} | {folded(choice): choice for choice in choices}
    plain = tidied(text)
    found = named.get(folded(plain)) or dict(places).get(_without_marks(plain))
    if found is None:
        letters = "ABCDEFGH"[: len(choices)]
        raise InputError(f"{shortened(text)} is none of the choices: answer with a letter from {letters[0]} to {letters[-1]}, or with the words of a choice")
    return found


def read_order(text: str, count: int) -> str:
    """The numbers of a list in the order written, such as "3 1 2".

    Spaces, commas, arrows, hyphens and brackets may stand between, or nothing; digits of
    other widths count.  Raises `InputError`
    unless each number from 1 to `count` is there once.

    >>> read_order("3, 1, 2", 3), read_order("3-1-2", 3), read_order("312", 3)
    ('3 1 2', '3 1 2', '3 1 2')
    """
    allowed = f"write the numbers from 1 to {count}, each once, with spaces or commas between"
    plain = unicodedata.normalize("NFKC", tidied(text))
    parted = re.sub(r"\bthen\b|->|[→>,;./()\[\]\-]", " ", plain.casefold())
    numbers = parted.split()
    if not numbers or not all(re.fullmatch("[0-9]+", number) for number in numbers):
        raise InputError(f"{shortened(text)} is not an order of numbers: {allowed}")
    if len(numbers) == 1 and len(numbers[0]) == count:
        numbers = list(numbers[0])
    missing = [str(number) for number in range(1, count + 1) if str(number) not in numbers]
    beyond = [number for number in numbers if not number.isascii() or number not in map(str, range(1, count + 1))]
    if beyond:
        raise InputError(f"{shortened(beyond[0])} is not in the list: {allowed}")
    if missing:
        raise InputError(f"{shortened(text)} leaves out {', '.join(missing)}: {allowed}")
    if len(numbers) > count:
        raise InputError(f"{shortened(text)} has a number twice: {allowed}")
    return " ".join(numbers)


def tidied(text: str) -> str:
    """The text with one kind of space, minus and apostrophe.  Raises `InputError` for what is no text, empty or too long."""
    if not isinstance(text, str):
        raise InputError(f"an answer is a text, not a {type(text).__name__}: write a number with a unit, or a choice")
    if len(text) > LONGEST:
        raise InputError(f"an answer of {len(text)} characters is too long ({shortened(text)}): write up to {LONGEST}")
    plain = _SPACES.sub(" ", text.translate(_ALIKE)).strip()
    if not plain:
        raise InputError("there is no answer yet: write a number with a unit, or a choice")
    return plain


def _with_point(number: str, kind: str, system: str) -> str:
    """A number with its groups closed up and a point as its decimal mark."""
    grouped = _GROUPED.match(number)
    if grouped:
        number = number[: grouped.end()].replace(grouped[1], "") + number[grouped.end() :]
    if " " in number or "'" in number:
        raise InputError(f"{shortened(number)} has a gap that does not part groups of three figures: write the number without gaps")
    whole, mark, rest = number.rpartition("," if number.rfind(",") > number.rfind(".") else ".")
    if number.count(".") + number.count(",") > 1:
        if mark in whole:
            whole, rest = number, ""
        if not re.fullmatch(r"[0-9]{1,3}([.,])[0-9]{3}(\1[0-9]{3})*", whole):
            raise InputError(f"{shortened(number)} has more than one decimal mark: write one, such as 1234.5")
        return re.sub("[.,]", "", whole) + (f".{rest}" if rest else "")
    if kind != "ratio" and re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", number):
        if system == "IP":
            return whole + rest
        raise InputError(
            f"{shortened(number)} can be read as {whole}{rest} and as {whole}.{rest}: "
            "write it without a thousands mark, or with one more figure"
        )
    return number.replace(",", ".")


def folded(text: str) -> str:
    """A choice's words without case, articles and marks: choices that fold alike read alike.

    >>> folded("It falls, because the pressure falls.")
    'it falls because pressure falls'
    """
    return _without_marks(_ARTICLES.sub("", text.casefold()))


def _without_marks(text: str) -> str:
    return " ".join(re.sub(r"[().:;,!?]", " ", text.casefold()).split())
