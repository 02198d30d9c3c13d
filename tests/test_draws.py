"""The quantities that a question draws: which values, how each is printed, and which lists are refused."""

import pytest

from hpteach.errors import DataError
from hpteach.questions.draws import check_followed, printed, read_draw
from hpteach.questions.entries import Entry


def draw(**data):
    return read_draw(Entry("start/example.toml", "draw.example", data))


@pytest.mark.parametrize(
    ("values", "kind", "si", "ip"),
    [
        ([273.15, 278.15], "temperature", ("0 °C", "5 °C"), ("32 °F", "41 °F")),
        ([275.65], "temperature", ("2.5 °C",), ("36.5 °F",)),
        ([276.15], "temperature", ("3 °C",), ("37.4 °F",)),
        ([5.0, 7.5], "temperature difference", ("5.0 K", "7.5 K"), ("9.0 °F", "13.5 °F")),
        ([8e5, 8.5e5], "gauge pressure", ("8.0 bar g", "8.5 bar g"), ("116.0 psig", "123.3 psig")),
        ([101325.0], "pressure", ("1.01 bar",), ("14.7 psia",)),
        ([0.65, 0.7], "ratio", ("0.65", "0.70"), ("0.65", "0.70")),
    ],
)  # fmt: skip
def test_values_are_printed_as_short_as_they_are_exact(values, kind, si, ip):
    """A list is printed with the fewest decimals that are exact for all of it, else with the usual ones."""
    assert (si, ip) == (printed(values, kind, "SI"), printed(values, kind, "IP"))


def test_ip_may_have_round_numbers_of_its_own():
    """With a list of its own, IP prints round numbers too."""
    warmth = draw(**{"kind": "temperature", "from": "0 C", "to": "4 C", "step": "2 K", "IP": {"choices": ["40 F", "45 F"]}})
    assert {"SI": ("0 °C", "2 °C", "4 °C"), "IP": ("40 °F", "45 °F")} == dict(warmth.texts)


@pytest.mark.parametrize("step", ["0.5 bar", "0.5 bar g", "50 kPa"])
@pytest.mark.parametrize(("kind", "first", "last"), [("gauge pressure", "6 bar g", "7 bar g"), ("pressure", "6 bar", "7 bar")])
def test_step_of_pressure_is_a_difference(step, kind, first, last):
    """A step of pressure may be written in any unit and never counts the air in."""
    reading = draw(**{"kind": kind, "from": first, "to": last, "step": step})
    assert ["6.0", "6.5", "7.0"] == [text.split()[0] for text in reading.texts["SI"]]


def test_name_is_the_same_in_both_systems():
    """A drawn name is printed as it is written, whichever units the reader has."""
    fluid = draw(kind="name", choices=["R-32", "R-410A"])
    assert ("example", "name") == (fluid.name, fluid.kind)
    assert {"SI": ("R-32", "R-410A"), "IP": ("R-32", "R-410A")} == dict(fluid.texts)


def test_last_value_of_a_span_is_drawn_too():
    """A span from 0 to 10 in steps of 2.5 has five values, both ends among them."""
    span = draw(**{"kind": "temperature", "from": "0 C", "to": "10 C", "step": "2.5 K"})
    assert ("0.0 °C", "2.5 °C", "5.0 °C", "7.5 °C", "10.0 °C") == span.texts["SI"]


SPAN = {"kind": "temperature", "from": "0 C", "to": "10 C", "step": "2.5 K"}
LIST = {"kind": "temperature difference", "choices": ["4 K", "5 K"]}

# Each row: a good draw, what is changed in it, and what the refusal says.
REFUSALS = [
    (LIST, {"kind": "cold"}, ".kind = 'cold': allowed is one of temperature"),
    (LIST, {"choices": ["4", "5 K"]}, ".choices = '4': allowed is a temperature difference with its unit ('4' has no unit"),
    (LIST, {"choices": ["4 K", "4.0 K"]}, " = '4 K': allowed is values that differ as printed"),
    (LIST, {"step": "1 K"}, ".step = '1 K': allowed is no such key beside choices"),
    (LIST, {"color": "red"}, ".color = 'red': allowed is only the keys kind, choices, from, to, step, IP, follows"),
    (SPAN, {"step": "3 K"}, ".step = '3 K': allowed is a step that divides the span from 0 C to 10 C"),
    (SPAN, {"step": "0.01 K"}, ".step = '0.01 K': allowed is a step that makes up to 200 values, not 1000"),
    (SPAN, {"step": "-2.5 K"}, ".step = '-2.5 K': allowed is a step above zero"),
    (SPAN, {"to": "0 C"}, ".step = '2.5 K': allowed is a step above zero, from a lower value up to a higher one"),
    (SPAN, {"IP": {"from": "32 F"}}, ".IP.to is missing: write a text"),
    (SPAN, {"IP": {"choices": ["40 F", "40.0 F"]}}, " = '40 °F': allowed is values that differ as printed"),
    ({"kind": "name", "choices": ["R-32"]}, {"IP": {"choices": ["R-32"]}}, ".IP = {'choices': ['R-32']}: allowed is only the keys kind, choices"),
    ({"kind": "name", "choices": ["R-32"]}, {"choices": ["R-32", "R-32"]}, " = 'R-32': allowed is values that differ as printed"),
]


@pytest.mark.parametrize(("good", "change", "expected"), REFUSALS)
def test_list_that_cannot_be_drawn_from_is_refused(good, change, expected):
    """A wrong key, a value without its unit, values that print alike and a step that misses the end are refused by name."""
    assert draw(**good)
    with pytest.raises(DataError) as refusal:
        draw(**{**good, **change})
    assert str(refusal.value).startswith(f"start/example.toml: draw.example{expected}")


FLUIDS = {"kind": "name", "choices": ["R-32", "R-410A", "R-452B"]}
GWPS = {"kind": "ratio", "choices": ["675", "2088", "675"], "follows": "example"}


def test_values_that_follow_may_repeat():
    """A list that stands in pairs with another may hold a value twice; names may follow too."""
    assert (("675", "2088", "675"), "example") == (draw(**GWPS).texts["IP"], draw(**GWPS).follows)
    assert ("A2L", "A1", "A2L") == draw(kind="name", choices=["A2L", "A1", "A2L"], follows="example").texts["SI"]


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"follows": "fluid"}, "draw.gwp.follows = 'fluid': allowed is the name of another draw, which follows none itself"),
        ({"follows": "gwp"}, "draw.gwp.follows = 'gwp': allowed is the name of another draw"),
        ({"choices": ["675", "2088"]}, "draw.gwp.choices = '2 in SI': allowed is as many values as example has, 3"),
        ({"IP": {"choices": ["675"]}}, "draw.gwp.choices = '1 in IP': allowed is as many values as example has, 3"),
    ],
)
def test_list_that_cannot_follow_is_refused(change, expected):
    """What follows needs a list to follow, and as many values as it has, in both unit systems."""
    draws = {"example": draw(**FLUIDS), "gwp": draw(**GWPS)}
    entry = Entry("start/example.toml", "", {})
    check_followed(draws, entry)
    with pytest.raises(DataError) as refusal:
        check_followed({**draws, "gwp": draw(**{**GWPS, **change})}, entry)
    assert str(refusal.value).startswith(f"start/example.toml: {expected}")
