"""The sheet into which the answers of a class are typed: its columns, and the letters that name the parts of a question.

What lives here: what paper, sheet and marking must agree on.  What does not: printing (papers), judging (marking).

The sheet has one row for each part of each question of each form.  A part is named by a letter, as on paper: its id would tell a
learner what is asked ("table_h2", "with_a_leak").
"""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_lowercase

from hpteach.errors import UnknownNameError
from hpteach.questions import Part, Variant

COLUMNS = ("learner", "name", "form", "number", "part", "answer")


def part_letters(count: int) -> tuple[str, ...]:
    """The letters of so many parts, in their order.

    >>> part_letters(28)[0], part_letters(28)[25:]
    ('a', ('z', 'aa', 'ab'))
    """
    return tuple(_letters(place) for place in range(count))


def part_named(variant: Variant, text: str) -> Part:
    """The part of a dealt question that a letter names; its id does so too, and nothing where there is one part only.

    Raises `UnknownNameError` with the letters for a text that names none.

    >>> from hpteach.questions import deal, read_bank
    >>> variant = deal(read_bank().question("read-a-gauge"), seed=7)
    >>> part_named(variant, "A").id, part_named(variant, "").id
    ('absolute', 'absolute')
    """
    letters, ids = part_letters(len(variant.parts)), [part.id for part in variant.parts]
    named = text.strip().strip(").").lower()
    if not named and len(variant.parts) == 1:
        return variant.parts[0]
    for names in (letters, [id.lower() for id in ids]):
        if named in names:
            return variant.parts[names.index(named)]
    raise UnknownNameError.among("part", text.strip(), letters)


def sheet_row(learner: str, name: str, form: str, number: int, part: str) -> Sequence[str | int]:
    """A row of the sheet whose answer is still to be typed in.

    >>> dict(zip(COLUMNS, sheet_row("7", "Ada", "2222-2234", 3, "b")))["answer"]
    ''
    """
    return (learner, name, form, number, part, "")


def _letters(place: int) -> str:
    more, letter = divmod(place, len(ascii_lowercase))
    return (_letters(more - 1) if more else "") + ascii_lowercase[letter]
