"""Texts that a spreadsheet would take for formulas, kept as the texts that they are.

What lives here: `guarded`, which puts an apostrophe before such a text, and `without_guard`, which takes it off again.  What does
not: the file in which they stand (tabular).

A learner writes "-5 °C", and a roster from outside may hold "=HYPERLINK(...)": a spreadsheet reckons with what begins with
= + - @, also behind blanks, and in the full-width signs of East Asian keyboards (common practice, no source).  A plain number such
as -3.5 does no harm and is left alone.  A spreadsheet that parts columns by semicolons or tabs cuts a text there, even where the file
is parted by commas, so that what follows begins a cell of its own: it is looked at likewise.
"""

from __future__ import annotations

import re

SIGNS = ("=", "+", "-", "@", "\N{FULLWIDTH EQUALS SIGN}", "\N{FULLWIDTH PLUS SIGN}", "\N{FULLWIDTH HYPHEN-MINUS}", "\N{FULLWIDTH COMMERCIAL AT}")
"""With which a formula begins."""

_CUTS = ("\t", "\r", "\n")
_CUT = re.compile(r"([;\t\r\n])")
_SUSPECT = re.compile(f"^[\t\r\n']|[{re.escape(''.join(SIGNS))}]")
_PLAIN_NUMBER = re.compile(r" *[+-]?[0-9]+(?:[.,][0-9]+)?(?:[eE][+-]?[0-9]{1,3})? *")


def guarded(text: str) -> str:
    """The text with an apostrophe before each beginning that a spreadsheet would take for a formula, and before a leading tab or line end.

    >>> [guarded(text) for text in ("=1+1", "-5 °C", "-3.5", "-3,5", " @home", "up; -2 K", "R-410A")]
    ["'=1+1", "'-5 °C", '-3.5', '-3,5', "' @home", "up;' -2 K", 'R-410A']
    """
    if not _SUSPECT.search(text):
        return text
    begin, *others = _CUT.split(text)
    return ("'" if _needs_guard(text) else "") + begin + "".join(f"'{piece}" if _like_formula(piece) else piece for piece in others)


def without_guard(text: str) -> str:
    """What `guarded` was given; any other text as it is.

    >>> [without_guard(guarded(text)) for text in ("=1", "'=1", "-3.5", "'-3.5", "a;-b", "'t Hooft")]
    ['=1', "'=1", '-3.5', "'-3.5", 'a;-b', "'t Hooft"]
    """
    if "'" not in text:
        return text
    if text.startswith("'") and _needs_guard(text[1:]):
        text = text[1:]
    begin, *others = _CUT.split(text)
    return begin + "".join(piece[1:] if piece.startswith("'") and _like_formula(piece[1:]) else piece for piece in others)


# An apostrophe more or less never changes these two, apart from that before a plain number: so each guard comes off again, and no other.


def _needs_guard(text: str) -> bool:
    return text.lstrip("'").startswith(_CUTS) or _like_formula(text)


def _like_formula(text: str) -> bool:
    """Whether a text, apart from blanks and apostrophes before it, begins as a formula does and is no plain number."""
    return re.sub(r"^[\s']+", "", text).startswith(SIGNS) and not _PLAIN_NUMBER.fullmatch(text)
