"""One face for every refrigerant: states that invert, limits that are said, reference states that stay its own."""

import math
from concurrent.futures import ThreadPoolExecutor

import CoolProp.CoolProp as property_library
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hpteach.errors import HpteachError, LimitError, UnknownNameError
from hpteach.fluids import REFERENCES, Refrigerant, catalogue, listing, refrigerant

NAMES = tuple(catalogue())
PURE = tuple(name for name in NAMES if listing(name).model == "pure")
BLENDS = tuple(name for name in NAMES if listing(name).model == "blend")
BOILING = tuple(name for name in NAMES if listing(name).sublimation_temperature is None)
FACES = st.sampled_from(NAMES).map(refrigerant)
ON_THE_LEVER = st.sampled_from([name for name in NAMES if name not in BLENDS]).map(refrigerant)
STANDARD_ATMOSPHERE = 101325.0
BEYOND = [math.nan, math.inf, -math.inf]


def library_name(name):
    return listing(name).library_name


def references(name):
    """The reference states that a refrigerant can take: what sublimes at 101.325 kPa has no normal boiling point."""
    return [reference for reference in REFERENCES if reference != "nbp" or name in BOILING]


def parts(name):
    """The property library's fluids whose global reference a refrigerant's states could feel."""
    if listing(name).model == "blend":
        return [part.replace("-", "") for part in listing(name).composition]
    return [library_name(name)]


# Reference states -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_iir_reference_is_liquid_at_zero_celsius(name):
    """IIR: h = 200 kJ/kg and s = 1 kJ/(kg K) for saturated liquid at 0 C."""
    face = refrigerant(name, "iir")
    liquid = face.saturated_liquid(face.bubble_pressure(273.15))
    assert (200e3, 1000.0) == pytest.approx((liquid.enthalpy, liquid.entropy), abs=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_ashrae_reference_is_liquid_at_minus_forty(name):
    """ASHRAE: h and s are zero for saturated liquid at -40 C."""
    face = refrigerant(name, "ashrae")
    liquid = face.saturated_liquid(face.bubble_pressure(233.15))
    assert (0.0, 0.0) == pytest.approx((liquid.enthalpy, liquid.entropy), abs=1e-3)


@pytest.mark.parametrize("name", BOILING)
def test_nbp_reference_is_liquid_at_the_normal_boiling_point(name):
    """NBP: h and s are zero for saturated liquid at 101.325 kPa."""
    liquid = refrigerant(name, "nbp").saturated_liquid(STANDARD_ATMOSPHERE)
    assert (0.0, 0.0) == pytest.approx((liquid.enthalpy, liquid.entropy), abs=1e-3)


@pytest.mark.parametrize("name", sorted(set(NAMES) - set(BOILING)))
def test_nbp_reference_is_refused_where_nothing_boils_at_one_atmosphere(name):
    """R-744 has no liquid at 101.325 kPa, so no reference state there: refused with the lowest temperature and what to do."""
    with pytest.raises(LimitError, match=f"reference state nbp needs .* below the lowest temperature of {name}, .*: use another reference state"):
        refrigerant(name, "nbp")


@pytest.mark.parametrize("name", NAMES)
def test_reference_shifts_every_state_alike(name):
    """Differences of enthalpy and entropy do not depend on the reference; pressure, temperature and density do not move."""
    states = {}
    for reference in references(name):
        face = refrigerant(name, reference)
        states[reference] = face.superheated(6e5, 10.0), face.subcooled(15e5, 5.0)
    for reference in references(name):
        (vapour, liquid), (vapour_iir, liquid_iir) = states[reference], states["iir"]
        assert vapour_iir.enthalpy - liquid_iir.enthalpy == pytest.approx(vapour.enthalpy - liquid.enthalpy, abs=1e-6)
        assert vapour_iir.entropy - liquid_iir.entropy == pytest.approx(vapour.entropy - liquid.entropy, abs=1e-9)
        assert (vapour_iir.temperature, vapour_iir.density) == (vapour.temperature, vapour.density)


def global_enthalpies():
    """What the property library answers to everyone else in the process."""
    return [property_library.PropsSI(of, "T", 300.0, "P", 1e5, library_name(name)) for name in NAMES for of in "HS"]


def test_reference_states_leave_the_property_library_as_it_was():
    """Making faces on every reference state does not touch the library's global reference."""
    before = global_enthalpies()
    for name in NAMES:
        for reference in references(name):
            Refrigerant(listing(name), reference).superheated(6e5, 5.0)
    assert before == global_enthalpies()


@pytest.mark.parametrize("name", NAMES)
def test_faces_do_not_depend_on_the_property_librarys_reference(name):
    """Whatever another user of the process sets globally, a face keeps its own reference state."""
    before = refrigerant(name, "iir").superheated(6e5, 5.0)
    # R-744 does not boil at 101.325 kPa, which NBP is about
    other = "ASHRAE" if name in ("R-410A", "R-744") else "NBP"
    for part in parts(name):
        property_library.set_reference_state(part, other)
    try:
        assert before == refrigerant(name, "iir").superheated(6e5, 5.0)
        fresh = Refrigerant(listing(name), "iir").superheated(6e5, 5.0)
        assert (before.enthalpy, before.entropy) == pytest.approx((fresh.enthalpy, fresh.entropy), abs=1e-5)
        with ThreadPoolExecutor(1) as another_thread:
            elsewhere = another_thread.submit(refrigerant(name, "iir").superheated, 6e5, 5.0).result()
        assert (before.enthalpy, before.entropy) == pytest.approx((elsewhere.enthalpy, elsewhere.entropy), abs=1e-5)
    finally:
        for part in parts(name):
            property_library.set_reference_state(part, "DEF")


def test_unknown_reference_is_refused():
    """A reference state that does not exist is refused with those that do."""
    with pytest.raises(UnknownNameError, match="reference state 'iirr' is not known; did you mean iir"):
        refrigerant("R-32", "iirr")


# Saturation -------------------------------------------------------------------------------------


@given(face=FACES, share=st.floats(0.0, 1.0))
def test_saturation_pressure_and_temperature_invert(face, share):
    """The temperature at the pressure at a temperature is that temperature, for bubble and for dew."""
    temperature = max(face.lowest_temperature, 150.0) + share * (face.highest_saturation_temperature - max(face.lowest_temperature, 150.0))
    bubble, dew = face.bubble_pressure(temperature), face.dew_pressure(temperature)
    assume(bubble <= face.highest_saturation_pressure and dew >= face.lowest_saturation_pressure)
    assert temperature == pytest.approx(face.bubble_temperature(bubble), rel=1e-7)
    assert temperature == pytest.approx(face.dew_temperature(dew), rel=1e-7)


@pytest.mark.parametrize("name", PURE)
@pytest.mark.parametrize("pressure", [6e5, 1e6, 2.5e6])
def test_pure_refrigerant_has_no_glide(name, pressure):
    """A pure refrigerant boils and condenses at one temperature."""
    assert 0.0 == pytest.approx(refrigerant(name).glide(pressure), abs=1e-9)


@pytest.mark.parametrize("name", BLENDS)
@pytest.mark.parametrize("pressure", [2e5, 1e6, 2.5e6])
def test_blend_has_a_glide(name, pressure):
    """A blend ends boiling warmer than it begins; R-513A, close to its azeotrope, by less than a tenth of a kelvin."""
    glide = refrigerant(name).glide(pressure)
    assert 0.0 < glide < 0.1 if name == "R-513A" else 0.7 < glide < 9.0


@pytest.mark.parametrize("pressure", [2e5, 1e6, 2.5e6, 4.5e6])
def test_r410a_has_a_glide_of_a_tenth_of_a_kelvin(pressure):
    """R-410A boils over about 0.1 K, so near that bubble and dew pressure differ by 0.3 % (Lemmon 2003)."""
    assert 0.03 < refrigerant("R-410A").glide(pressure) < 0.13


@pytest.mark.parametrize("name", NAMES)
def test_saturation_outside_the_limits_is_refused_with_the_limit(name):
    """Near and above the critical point, and below the lowest temperature, saturation is refused and the limit is said."""
    face = refrigerant(name)
    highest = face.highest_saturation_temperature
    assert face.dew_pressure(highest) <= face.highest_saturation_pressure
    for above in (highest + 0.01, face.critical_temperature, face.critical_temperature + 50.0):
        for call in (face.bubble_pressure, face.dew_pressure):
            with pytest.raises(LimitError, match="cannot be saturated at .*: its critical temperature is .*; use .* or less"):
                call(above)
    with pytest.raises(LimitError, match="its properties begin at .*; use a higher temperature"):
        face.bubble_pressure(face.lowest_temperature - 0.01)
    for above in (face.highest_saturation_pressure * 1.0001, face.critical_pressure, 1e8):
        for call in (face.dew_temperature, face.glide, face.saturated_vapour):
            with pytest.raises(LimitError, match="its critical pressure is .*; use .* or less"):
                call(above)
    for above in (face.bubble_pressure(highest) * 1.0001, face.critical_pressure, 1e8):
        for call in (face.bubble_temperature, face.saturated_liquid):
            with pytest.raises(LimitError, match="its critical pressure is .*; use .* or less"):
                call(above)
    for below in (face.lowest_saturation_pressure * 0.99, 0.0, -1e5):
        with pytest.raises(LimitError, match="its properties begin at"):
            face.dew_temperature(below)


@pytest.mark.parametrize("name", NAMES)
def test_limit_that_a_refusal_offers_is_accepted(name):
    """The temperature that a refusal says to use, read from its quantities, is one that works."""
    face = refrigerant(name)
    with pytest.raises(LimitError) as refusal:
        face.dew_pressure(face.critical_temperature)
    assert 0.0 < face.dew_pressure(refusal.value.measures["limit"].value) < face.critical_pressure


@pytest.mark.parametrize("value", BEYOND)
@pytest.mark.parametrize("name", NAMES)
def test_not_a_number_is_refused_everywhere(name, value):
    """NaN and infinity are refused by name wherever a number is taken."""
    face = refrigerant(name)
    calls = [
        lambda: face.bubble_pressure(value), lambda: face.dew_pressure(value), lambda: face.bubble_temperature(value),
        lambda: face.dew_temperature(value), lambda: face.saturated_liquid(value), lambda: face.saturated_vapour(value),
        lambda: face.superheated(value, 5.0), lambda: face.subcooled(value, 5.0), lambda: face.state_pt(value, 300.0),
        lambda: face.state_pt(5e5, value), lambda: face.state_px(value, 0.5), lambda: face.state_px(5e5, value),
        lambda: face.state_ph(5e5, value), lambda: face.state_ps(5e5, value), lambda: face.superheated(5e5, value),
        lambda: face.subcooled(15e5, value),
    ]  # fmt: skip
    for call in calls:
        with pytest.raises(LimitError):
            call()


# States -----------------------------------------------------------------------------------------


def within(face, share):
    """A pressure between 0.5 bar and the highest with saturation."""
    low = max(0.5e5, face.lowest_saturation_pressure)
    return low + share * (0.98 * face.highest_saturation_pressure - low)


@given(face=FACES, share=st.floats(0.0, 1.0), superheat=st.floats(0.0, 100.0))
def test_vapour_is_found_again_from_enthalpy_and_from_entropy(face, share, superheat):
    """state_ph and state_ps lead back to a superheated or saturated vapour."""
    try:
        state = face.superheated(within(face, share), superheat)
    except LimitError:
        assume(False)
    for again in (face.state_ph(state.pressure, state.enthalpy), face.state_ps(state.pressure, state.entropy)):
        assert (state.temperature, state.density) == pytest.approx((again.temperature, again.density), rel=1e-6)


@given(face=FACES, share=st.floats(0.0, 1.0), subcooling=st.floats(0.0, 60.0))
def test_liquid_is_found_again_from_enthalpy_and_from_entropy(face, share, subcooling):
    """state_ph and state_ps lead back to a subcooled or saturated liquid."""
    pressure = within(face, share)
    assume(face.bubble_temperature(pressure) - subcooling > face.lowest_temperature)
    state = face.subcooled(pressure, subcooling)
    for again in (face.state_ph(pressure, state.enthalpy), face.state_ps(pressure, state.entropy)):
        assert (state.temperature, state.density) == pytest.approx((again.temperature, again.density), rel=1e-6)


@given(face=ON_THE_LEVER, share=st.floats(0.0, 1.0), quality=st.floats(0.0, 1.0))
def test_mixture_is_found_again_from_enthalpy_and_from_entropy(face, share, quality):
    """Inside the dome state_ph and state_ps give the quality back, and the state lies between bubble and dew."""
    pressure = within(face, share)
    state = face.state_px(pressure, quality)
    liquid, vapour = face.saturated_liquid(pressure), face.saturated_vapour(pressure)
    hair = 1.0 + 1e-12
    assert liquid.enthalpy / hair <= state.enthalpy <= vapour.enthalpy * hair
    assert vapour.density / hair <= state.density <= liquid.density * hair
    for again in (face.state_ph(pressure, state.enthalpy), face.state_ps(pressure, state.entropy)):
        assert quality == pytest.approx(again.quality, abs=1e-9)
        assert (state.temperature, state.density) == pytest.approx((again.temperature, again.density), rel=1e-9)


@pytest.mark.parametrize("name", [name for name in NAMES if name not in BLENDS])
def test_lever_rule_agrees_with_the_property_library(name):
    """Inside the dome of a pure or pseudo-pure refrigerant volume, h and s are shared out by quality, as the library itself has it."""
    face, pressure = refrigerant(name), 8e5
    mixture, vapour = face.state_px(pressure, 0.3), face.state_px(pressure, 1.0)
    for of, apart in (("H", vapour.enthalpy - mixture.enthalpy), ("S", vapour.entropy - mixture.entropy)):
        expected = [property_library.PropsSI(of, "P", pressure, "Q", quality, library_name(name)) for quality in (1.0, 0.3)]
        assert expected[0] - expected[1] == pytest.approx(apart, rel=1e-7)
    assert property_library.PropsSI("D", "P", pressure, "Q", 0.3, library_name(name)) == pytest.approx(mixture.density, rel=1e-7)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("superheat", [0.5, 10.0, 60.0])
def test_superheated_vapour_agrees_with_the_property_library(name, superheat):
    """With the phase decided by the face, the library's answer is its own answer without help."""
    state = refrigerant(name).superheated(6e5, superheat)
    pair = ("T", state.temperature, "P", 6e5, library_name(name))
    assert property_library.PropsSI("D", *pair) == pytest.approx(state.density, rel=1e-9)


def test_superheat_counts_from_dew_and_subcooling_from_bubble():
    """R-410A at 15 bar: superheat is counted from the dew point and subcooling from the bubble point, 0.1 K apart."""
    face = refrigerant("R-410A")
    assert face.dew_temperature(15e5) + 5.0 == face.superheated(15e5, 5.0).temperature
    assert face.bubble_temperature(15e5) - 5.0 == face.subcooled(15e5, 5.0).temperature


@pytest.mark.parametrize("name", NAMES)
def test_phase_is_said_in_words(name):
    """Each state says its phase, and has a quality on the dome only; a blend's is found to 1e-9."""
    face = refrigerant(name)
    states = {
        ("superheated vapour", None): face.superheated(10e5, 5.0), ("saturated vapour", 1.0): face.superheated(10e5, 0.0),
        ("mixture of liquid and vapour", 0.5): face.state_px(10e5, 0.5), ("saturated liquid", 0.0): face.subcooled(10e5, 0.0),
        ("subcooled liquid", None): face.subcooled(10e5, 5.0),
        ("supercritical fluid", None): face.state_pt(1.2 * face.critical_pressure, face.critical_temperature + 5.0),
        ("subcooled liquid", None, "above"): face.state_pt(1.2 * face.critical_pressure, face.critical_temperature - 30.0),
    }  # fmt: skip
    for (phase, quality, *_), state in states.items():
        assert phase == state.phase
        assert quality is state.quality is None or quality == pytest.approx(state.quality, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_pressure_and_temperature_on_the_dome_do_not_fix_a_state(name):
    """On the dome and inside it state_pt refuses and asks for the quality; a little off it answers."""
    face = refrigerant(name)
    bubble, dew = face.bubble_temperature(8e5), face.dew_temperature(8e5)
    for temperature in (bubble, dew, 0.5 * (bubble + dew)):
        with pytest.raises(LimitError, match="lies on the dome, .* give the quality as well"):
            face.state_pt(8e5, temperature)
    assert ("superheated vapour", "subcooled liquid") == (face.state_pt(8e5, dew + 0.01).phase, face.state_pt(8e5, bubble - 0.01).phase)


@pytest.mark.parametrize("name", NAMES)
def test_state_too_near_the_critical_point_is_refused(name):
    """Between the highest saturation and the critical point, liquid and vapour can hardly be told apart: refused."""
    face = refrigerant(name)
    pressure = 0.5 * (face.highest_saturation_pressure + face.critical_pressure)
    with pytest.raises(LimitError, match="too near its critical point"):
        face.state_pt(pressure, face.critical_temperature - 0.1)
    with pytest.raises(LimitError, match="its critical pressure is"):
        face.state_ph(pressure, face.saturated_vapour(1e6).enthalpy)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("end", ["lowest", "highest"])
def test_state_next_to_a_limit_of_the_equation_is_found_again(name, end):
    """A state a tenth of a kelvin inside the equation's range is found from its enthalpy and its entropy, not refused."""
    face = refrigerant(name)
    state = face.state_pt(1e6, face.lowest_temperature + 0.1 if end == "lowest" else face.highest_temperature - 0.1)
    for again in (face.state_ph(1e6, state.enthalpy), face.state_ps(1e6, state.entropy)):
        assert state.temperature == pytest.approx(again.temperature, abs=1e-5)


@pytest.mark.parametrize("name", NAMES)
def test_dome_for_drawing_meets_the_working_saturation(name):
    """The dome that charts draw is the saturation that states use, and ends below the critical point."""
    face = refrigerant(name)
    for quality, saturated in ((0.0, face.saturated_liquid(face.bubble_pressure(290.0))), (1.0, face.saturated_vapour(face.dew_pressure(290.0)))):
        drawn = face.dome_state(290.0, quality)
        assert (saturated.phase, saturated.quality) == (drawn.phase, drawn.quality)
        assert (saturated.enthalpy, saturated.entropy) == pytest.approx((drawn.enthalpy, drawn.entropy), rel=1e-7)
    top, critical = face.dome_state(face.highest_dome_temperature, 1.0), face.critical_state()
    assert (face.critical_temperature, face.critical_pressure) == pytest.approx((critical.temperature, critical.pressure), rel=1e-4)
    assert top.temperature < critical.temperature and top.pressure < critical.pressure
    with pytest.raises(LimitError, match="its critical temperature is"):
        face.dome_state(face.critical_temperature + 0.1, 1.0)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda face: face.superheated(6e5, -1.0), "superheat of -1 K is negative: use 0 K or more, counted from the dew point"),
        (lambda face: face.subcooled(6e5, -1.0), "subcooling of -1 K is negative: use 0 K or more, counted from the bubble point"),
        (lambda face: face.subcooled(6e5, 250.0), "is outside its equation of state: use .* to "),
        (lambda face: face.superheated(6e5, 500.0), "is outside its equation of state: use .* to "),
        (lambda face: face.state_px(6e5, -0.01), "quality of -0.01 is outside 0 to 1"),
        (lambda face: face.state_px(6e5, 1.01), "quality of 1.01 is outside 0 to 1"),
        (lambda face: face.state_pt(0.0, 300.0), "use a positive pressure up to "),
        (lambda face: face.state_pt(-1e5, 300.0), "use a positive pressure up to "),
        (lambda face: face.state_pt(2e9, 300.0), "use a positive pressure up to "),
        (lambda face: face.state_pt(6e5, 50.0), "is outside its equation of state"),
        (lambda face: face.state_ph(6e5, 5e6), "is outside its equation of state"),
        (lambda face: face.state_ps(6e5, -5e3), "is outside its equation of state"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_state_that_cannot_be_is_refused(call, says):
    """Each way of asking for a state that cannot be is refused with the quantity and what to use."""
    with pytest.raises(LimitError, match=says):
        call(refrigerant("R-32"))


# After a refusal -------------------------------------------------------------------------------


def test_refusal_in_a_thread_does_not_spoil_the_next_answer():
    """A refused state leaves nothing behind: the next answer is the one it would have been."""
    face = refrigerant("R-290")
    before = face.state_ph(6e5, 300e3)
    for _ in range(3):
        with pytest.raises(HpteachError):
            face.state_ph(6e5, 1e9)
    assert before == face.state_ph(6e5, 300e3)


@pytest.mark.parametrize("quality", [0.5, 1e-9, -1.0, float("nan")])
def test_dome_line_has_no_quality_between(quality):
    """The dome's line is asked for at its two sides only."""
    with pytest.raises(LimitError, match="is not on the dome's line"):
        refrigerant("R-32").dome_state(280.0, quality)


@pytest.mark.parametrize("name", ["superheated", "subcooled"])
def test_a_difference_that_is_no_number_is_refused(name):
    """A superheat or subcooling of nan is refused as no number, not as negative."""
    with pytest.raises(LimitError, match="not a finite number"):
        getattr(refrigerant("R-32"), name)(1e6, float("nan"))
