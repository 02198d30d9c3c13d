"""The pressure-temperature cards of a class in one file, a page for each refrigerant.

What lives here: the card's page without its frame, and its style bound to the card.  What does not: the card itself (cards).
"""

from __future__ import annotations

import re
from functools import cache

from markupsafe import Markup

from hpteach.cards import card
from hpteach.errors import DataError
from hpteach.fluids import refrigerant

_RULE = re.compile(r"(?:^|(?<=\}))[ \t]*([^@{}/\s][^@{}/]*)\{([^{}]*)\}", re.MULTILINE)
_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)
_MAIN = re.compile(r"<main.*</main>", re.DOTALL)


@cache
def attached_card(name: str, system: str) -> Markup:
    """The card of a refrigerant in one unit system, as an element to stand in a page that has `card_style`.

    >>> attached_card("R-32", "SI").startswith('<div class="card"><main')
    True
    """
    return Markup(f'<div class="card">{_found(_MAIN, card(refrigerant(name), (system,)))}</div>')


@cache
def card_style() -> Markup:
    """The card's own style, so that it holds for nothing else on the page.

    >>> ".card h1 {" in card_style(), "@page" in card_style()
    (True, False)
    """
    style = re.sub(r"/\*.*?\*/", "", _found(_STYLE, card(refrigerant("R-32"))), flags=re.DOTALL)
    rules = [f"{', '.join(map(_bound, selectors.split(',')))} {{{body}}}" for selectors, body in _RULE.findall(style) if ":root" not in selectors]
    return Markup("\n".join(rules))


def _bound(selector: str) -> str:
    selector = selector.strip()
    return ".card" if selector == "body" else f".card {selector}"


def _found(pattern: re.Pattern, page: str) -> str:
    match = pattern.search(page)
    if match is None:
        raise DataError("the layout of the pressure-temperature card has no page or no style: put it back as it was")
    return match[match.lastindex or 0]
