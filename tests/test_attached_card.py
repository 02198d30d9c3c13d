"""The pressure-temperature cards of a class in one file (hpteach/papers/attached_card.py)."""

import re

import pytest

from hpteach.cards import card
from hpteach.fluids import refrigerant
from hpteach.papers.attached_card import attached_card, card_style
from tests.test_class_page import Reading


def declarations(style):
    """What stands between braces, rule by rule, without the rules that are for a whole page."""
    style = re.sub(r"/\*.*?\*/|@media[^{]*\{[^{}]*\{[^{}]*\}\s*\}|(@page|:root)[^{]*\{[^{}]*\}", "", style, flags=re.DOTALL)
    return [found.strip() for found in re.findall(r"\{([^{}]*)\}", style)]


def test_every_rule_of_the_card_holds_on_a_page_too():
    """No rule of the card is lost where it is bound, also not one that shares its line with another."""
    style = re.search(r"<style>(.*?)</style>", card(refrigerant("R-32")), re.DOTALL)[1]
    assert any(line.count("{") == 2 for line in style.splitlines() if not line.startswith("@"))
    assert declarations(style) == declarations(card_style())


def test_rules_hold_for_the_card_alone():
    """Each selector begins with the card, so that nothing else on the page changes."""
    selectors = [one.strip() for rule in re.findall(r"([^{}]+)\{", card_style()) for one in rule.split(",")]
    assert set() == {one for one in selectors if one != ".card" and not one.startswith(".card ")}


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_card_stands_in_a_page(system):
    """The card is an element without a frame of its own, and fetches nothing."""
    read = Reading(str(attached_card("R-32", system)))
    assert ([], False) == (read.fetched, "html" in read.names)
