"""The error tree, the sentence that carries its quantities, and foreign errors that never leave the library."""

import copy
import inspect
import math
import pickle
import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from hpteach import errors, units
from hpteach.circuit import INDOOR_COIL, OUTDOOR_COIL, ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.errors import DataError, HpteachError, InputError, LimitError, Measure, UnitError, UnknownNameError
from hpteach.fluids import catalogue, refrigerant
from hpteach.fluids.catalogue import read_catalogue

TREE = {
    "HpteachError": "ValueError",
    "InputError": "HpteachError",
    "UnitError": "InputError",
    "LimitError": "InputError",
    "UnknownNameError": "InputError",
    "DataError": "InputError",
    "CircuitError": "HpteachError",
    "PropertyError": "HpteachError",
    "ProgressError": "HpteachError",
}
COLD = LimitError("superheat of {given} is negative: use {least} or more", given=Measure(-5.0, "temperature difference"),
                  least=Measure(0.0, "temperature difference"))  # fmt: skip


def test_tree_is_the_one_drawn():
    """Each error stands under the parent that the module's drawing gives it, and none is left out of the drawing."""
    kinds = {name: kind for name, kind in vars(errors).items() if inspect.isclass(kind) and issubclass(kind, Exception)}
    assert TREE == {name: kind.__base__.__name__ for name, kind in kinds.items()}
    assert all(re.search(rf"\b{name} ", errors.__doc__) for name in TREE)


def test_sentence_is_in_si_away_from_any_edge():
    """Without a reader's units the sentence is in the SI units of a technician."""
    assert "superheat of -5 K is negative: use 0 K or more" == str(COLD)


@pytest.mark.parametrize(
    ("kind", "value", "plain"),
    [("temperature", 278.15, "5 °C"), ("temperature difference", 5.0, "5 K"), ("pressure", 8.5e5, "8.5 bar"), ("length", 6000.0, "6000 m")],
)
def test_plain_sentence_gives_each_quantity_its_unit(kind, value, plain):
    """No number of a refusal stands without its unit, also away from any edge."""
    assert f"it is {plain}" == str(LimitError("it is {given}", given=Measure(value, kind)))


def test_sentence_is_in_the_readers_units_at_the_edge():
    """The same refusal in IP has its quantities converted, a difference as a difference."""
    assert "superheat of -9.0 °F is negative: use 0.0 °F or more" == units.sentence(COLD, "IP")
    assert "superheat of -5.0 K is negative: use 0.0 K or more" == units.sentence(COLD)


def test_refusal_of_the_cycle_is_said_in_fahrenheit():
    """A refusal made deep inside is said in the reader's units with no unit of SI left in it."""
    with pytest.raises(LimitError) as refusal:
        solve(refrigerant("R-134a"), Conditions(ValvePosition.COOLING, INDOOR_COIL, 275.15, 317.15, 0.0, 55.0))
    assert "subcooling of 55.0 K puts the liquid line at -11.0 °C, not above the evaporating temperature of 2.0 °C: use less than 42.0 K" == (
        units.sentence(refusal.value)
    )
    assert "subcooling of 99.0 °F puts the liquid line at 12.2 °F, not above the evaporating temperature of 35.6 °F: use less than 75.6 °F" == (
        units.sentence(refusal.value, "IP")
    )


def test_pressure_of_a_refusal_follows_the_unit_system():
    """A limit in pressure is said in bar or in psia."""
    with pytest.raises(LimitError) as refusal:
        refrigerant("R-32").dew_temperature(70e5)
    assert "70.00 bar" in units.sentence(refusal.value) and "1015.3 psia" in units.sentence(refusal.value, "IP")


@pytest.mark.parametrize("braces", ["{}", "{x}", "{0}", "}{", "{value!r:>{width}}"])
def test_braces_in_what_was_given_are_repeated_and_not_filled(braces):
    """Text with braces is repeated in a refusal as it was given."""
    with pytest.raises(UnitError) as refusal:
        units.read(f"5 {braces}", "temperature")
    assert braces in str(refusal.value) and braces in units.sentence(refusal.value, "IP")


@pytest.mark.parametrize(
    ("name", "hint"),
    [("R410", "did you mean R-410A"), ("r-32a", "did you mean R-32"), ("R 1234yg", "did you mean R-1234yf"), ("ammonia", "known are R-134a")],
)
def test_unknown_name_offers_the_nearest(name, hint):
    """A name that is in no list is refused with the nearest ones, and with all that are known."""
    with pytest.raises(UnknownNameError, match=hint) as refusal:
        refrigerant(name)
    assert all(known in str(refusal.value) for known in catalogue())


def test_long_unknown_name_is_cut():
    """A name of any length is not repeated in full."""
    assert len(str(UnknownNameError.among("part", "x" * 10_000, ["fan", "pump"]))) < 120


def test_refusal_survives_being_copied_and_pickled():
    """A refusal can be passed between processes without losing its quantities."""
    for again in (copy.copy(COLD), pickle.loads(pickle.dumps(COLD))):
        assert (type(COLD), str(COLD), COLD.measures) == (type(again), str(again), again.measures)


# Foreign errors -------------------------------------------------------------------------------

ANY = st.floats(width=64)
FACES = st.sampled_from(list(catalogue())).map(refrigerant)


def near(limit):
    """Numbers around a limit, where a property library is most likely to stumble."""
    return st.one_of(
        st.floats(0.0, 3.0).map(lambda factor: limit * factor),
        st.integers(-3, 3).map(lambda step: limit * (1.0 + step * 1e-12)),
        ANY,
    )


def answer_or_refusal(call, *arguments):
    """What the call gives, checked to be finite; a refusal of the library's own gives None, anything else fails the test."""
    try:
        answer = call(*arguments)
    except HpteachError as refusal:
        assert "{" not in str(refusal) and str(refusal)
        return None
    values = [answer] if isinstance(answer, float) else [v for v in vars(answer).values() if isinstance(v, float)]
    assert all(math.isfinite(value) for value in values)
    return answer


@given(face=FACES, data=st.data())
def test_no_temperature_or_pressure_brings_out_a_foreign_error(face, data):
    """Whatever the temperature and pressure, a refrigerant answers with finite numbers or refuses in a sentence."""
    temperature = data.draw(near(face.critical_temperature) | near(face.lowest_temperature) | near(face.highest_temperature))
    pressure = data.draw(near(face.critical_pressure) | near(face.lowest_saturation_pressure))
    difference = data.draw(st.floats(-1.0, 200.0) | ANY)
    for call in (face.bubble_pressure, face.dew_pressure):
        answer_or_refusal(call, temperature)
    for call in (face.bubble_temperature, face.dew_temperature, face.glide, face.saturated_liquid, face.saturated_vapour):
        answer_or_refusal(call, pressure)
    answer_or_refusal(face.superheated, pressure, difference)
    answer_or_refusal(face.subcooled, pressure, difference)
    answer_or_refusal(face.state_pt, pressure, temperature)


@given(face=FACES, data=st.data())
def test_no_enthalpy_entropy_or_quality_brings_out_a_foreign_error(face, data):
    """Whatever the enthalpy, entropy or quality, a refrigerant answers with finite numbers or refuses in a sentence."""
    pressure = data.draw(st.floats(1e4, 6e6) | near(face.critical_pressure))
    answer_or_refusal(face.state_ph, pressure, data.draw(st.floats(-3e5, 1e6) | ANY))
    answer_or_refusal(face.state_ps, pressure, data.draw(st.floats(-2e3, 5e3) | ANY))
    answer_or_refusal(face.state_px, pressure, data.draw(st.floats(-0.1, 1.1) | ANY))


TEMPERATURES = st.floats(200.0, 400.0) | ANY
WAYS = st.sampled_from([
    *[(ValvePosition.COOLING, INDOOR_COIL), (ValvePosition.HEATING, OUTDOOR_COIL)] * 3,
    (ValvePosition.HEATING, INDOOR_COIL), (ValvePosition.BETWEEN, INDOOR_COIL), (ValvePosition.COOLING, "kitchen"),
])  # fmt: skip
EDGE = Conditions(ValvePosition.COOLING, INDOOR_COIL, 273.15, 273.15 + 1e-13)


@given(
    face=FACES,
    conditions=st.builds(
        lambda way, **chosen: Conditions(*way, **chosen),
        way=WAYS,
        saturated_suction_temperature=TEMPERATURES,
        saturated_condensing_temperature=TEMPERATURES,
        superheat=st.just(0.0) | st.floats(-1.0, 80.0) | ANY,
        subcooling=st.just(0.0) | st.floats(-1.0, 80.0) | ANY,
        isentropic_efficiency=st.just(1.0) | st.floats(-0.1, 1.1) | ANY,
    ),
)
@example(face=refrigerant("R-134a"), conditions=EDGE)
@example(face=refrigerant("R-1234yf"), conditions=Conditions(ValvePosition.HEATING, OUTDOOR_COIL, 195.0, 353.0))
def test_no_conditions_bring_out_a_foreign_error(face, conditions):
    """Whatever the conditions, there is a finite cycle that cools and takes work, or a refusal in a sentence."""
    try:
        cycle = solve(face, conditions)
    except HpteachError as refusal:
        assert "{" not in str(refusal) and str(refusal)
        return
    for point in cycle.points:
        assert all(math.isfinite(value) for value in vars(point).values() if isinstance(value, float))
    assert cycle.specific_work > 0.0 and cycle.refrigerating_effect > 0.0 and cycle.heat_rejected > 0.0
    assert all(math.isfinite(value) for value in (cycle.cop_cooling, cycle.cop_heating, cycle.pressure_ratio))
    assert 0.0 <= cycle.flash_gas < 1.0


TOML_WORDS = st.sampled_from(
    ["[sources]", '["R-1"]', "model", "gwp", "composition", "sources", "=", "{", "}", "[", "]", '"pure"', '"R-1"', "1.0", "nan", "\n", ",", "source", "value"]
)  # fmt: skip


@given(st.text(max_size=60) | st.lists(TOML_WORDS, max_size=25).map(" ".join))
@example("sources = 3\n[R]\n" + "\n".join(["model='pure'", "library_name='R32'", "composition={R=1.0}", "safety_class={value='A1',source='s'}",
                                           "gwp={AR6=1.0}", "gwp_source='AR6'", "lowest_temperature={value='200K',source='equation'}", "equation='e'"]))  # fmt: skip
def test_no_catalogue_text_brings_out_a_foreign_error(text):
    """Whatever stands in a catalogue file, it is read or refused as data."""
    try:
        read_catalogue(text, "mine.toml")
    except DataError as refusal:
        assert str(refusal).startswith("mine.toml: ")


def test_every_refusal_of_input_is_an_input_error():
    """One `except InputError` catches what a learner can mistype: unit, limit, name and data."""
    assert all(issubclass(kind, InputError) for kind in (UnitError, LimitError, UnknownNameError, DataError))


@pytest.mark.parametrize(("kelvin", "bound", "system", "shown"), [
    (213.15, "least", "SI", "-60.0 °C"), (333.15, "most", "SI", "60.0 °C"), (213.15, "least", "IP", "-76.0 °F"), (333.15, "most", "IP", "140.0 °F"),
])
def test_round_limit_is_quoted_as_it_is(kelvin, bound, system, shown):
    """A limit that is round in the reader's unit is not moved inward by the last figure of floating point, and is taken when it is given."""
    assert f"use {shown}" == units.sentence(LimitError("use {limit}", limit=Measure(kelvin, "temperature", bound)), system)
    assert kelvin == units.read(shown, "temperature")


def test_refusal_of_another_kind_has_its_articles():
    """Both kinds of a refusal stand with the article that belongs to them."""
    with pytest.raises(UnitError, match="'5 kW' is a power, not an energy: write it as"):
        units.read("5 kW", "energy")
