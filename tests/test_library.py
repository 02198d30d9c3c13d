"""The property library's states, as one thread holds them: remembered saturation, threads, and its errors in our own words."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import CoolProp
import pytest
from CoolProp.CoolProp import AbstractState

from hpteach.errors import LimitError, PropertyError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.fluids.blend import BlendLibrary
from hpteach.fluids.catalogue import read_catalogue
from hpteach.fluids.library import Library, update

KINDS = {"R-32": Library, "R-410A": Library, "R-454B": BlendLibrary, "R-407C": BlendLibrary}
NOBODY = """
[sources]
composition = "a standard of designations"
here = "this test of the library"
["R-1"]
model = "pure"
library_name = "Nobody"
composition = { "R-1" = 1.0 }
safety_class = { value = "A1", source = "here" }
gwp = { AR6 = 1.0 }
gwp_source = "here"
lowest_temperature = { value = "200K", source = "equation" }
equation = "Author, Journal (2000)"
"""


@pytest.mark.parametrize("name", KINDS)
def test_saturated_state_is_remembered(name):
    """Asked again for the same pressure, a thread's library gives the state that it has, and others after it forget some."""
    library = KINDS[name](listing(name), "iir")
    first = library.saturated_by_pressure(8e5, 1.0)
    assert first is library.saturated_by_pressure(8e5, 1.0)
    assert first is not library.saturated_by_pressure(8e5, 0.0)
    for step in range(1200):
        library.saturated_by_pressure(5e5 + 1e3 * step, 1.0)
    again = library.saturated_by_pressure(8e5, 1.0)
    assert (first.temperature, first.enthalpy) == pytest.approx((again.temperature, again.enthalpy), rel=1e-9)


@pytest.mark.parametrize("name", KINDS)
def test_saturation_by_temperature_and_by_pressure_is_one_state(name):
    """The state at the pressure that belongs to a temperature has that temperature."""
    library = KINDS[name](listing(name), "iir")
    for quality in (0.0, 1.0):
        by_temperature = KINDS[name](listing(name), "iir").saturated_by_temperature(285.0, quality)
        by_pressure = library.saturated_by_pressure(by_temperature.pressure, quality)
        assert (285.0, by_temperature.enthalpy) == pytest.approx((by_pressure.temperature, by_pressure.enthalpy), rel=1e-8)
        assert (by_temperature.phase, quality) == (by_pressure.phase, by_pressure.quality)


@pytest.mark.parametrize("name", KINDS)
def test_search_that_leaves_the_equation_says_so(name):
    """Where the root lies beyond the limits of temperature the search answers False, and its last state stays at a limit."""
    library = KINDS[name](listing(name), "iir")
    vapour = library.saturated_by_pressure(8e5, 1.0)
    limits = (200.0, 400.0)
    assert library.solve_single(library.gas, vapour, "enthalpy", vapour.enthalpy - library.enthalpy_offset + 20e3, limits)
    assert 8e5 == pytest.approx(library.gas.p(), rel=1e-8)
    assert not library.solve_single(library.gas, vapour, "enthalpy", vapour.enthalpy - library.enthalpy_offset + 900e3, limits)


@pytest.mark.parametrize("of", ["enthalpy", "entropy"])
@pytest.mark.parametrize("name", KINDS)
def test_search_finds_the_state_of_the_plain_flash(name, of):
    """The state of vapour at p and h, or p and s, is the one that the library's own two-property search finds unguided."""
    library = KINDS[name](listing(name), "iir")
    plain = AbstractState("HEOS", listing(name).library_name)
    plain.update(CoolProp.PT_INPUTS, 12e5, 340.0)
    value = plain.hmass() if of == "enthalpy" else plain.smass()
    assert library.solve_single(library.gas, library.saturated_by_pressure(12e5, 1.0), of, value, (200.0, 435.0))
    if of == "enthalpy":
        plain.update(CoolProp.HmassP_INPUTS, value, 12e5)
    else:
        plain.update(CoolProp.PSmass_INPUTS, 12e5, value)
    assert (plain.T(), plain.rhomass()) == pytest.approx((library.gas.T(), library.gas.rhomass()), rel=1e-8)


def test_error_of_the_property_library_is_said_in_our_words():
    """What the library cannot do comes out as one of the collection's own errors, with the refrigerant and without braces."""
    with pytest.raises(PropertyError, match="^R-32: the equation of state gave no answer") as refusal:
        update(AbstractState("HEOS", "R32"), CoolProp.PQ_INPUTS, 1e9, 0.5, "R-32")
    assert "{" not in str(refusal.value)


def test_unknown_fluid_of_the_catalogue_is_refused():
    """A library name that the property library does not have is refused with what to correct."""
    (nobody,) = read_catalogue(NOBODY, "mine.toml").values()
    with pytest.raises(PropertyError, match="has no fluid called 'Nobody': correct library_name in the catalogue"):
        Library(nobody, "iir")


def test_reference_below_the_lowest_temperature_is_refused():
    """R-744 is solid at 101.325 kPa: the reference state at its normal boiling point is refused with both temperatures."""
    with pytest.raises(LimitError, match="below the lowest temperature of R-744") as refusal:
        Library(listing("R-744"), "nbp")
    assert refusal.value.measures["given"].value < refusal.value.measures["least"].value == 216.592


@pytest.mark.parametrize("name", KINDS)
def test_top_of_the_dome_closes_it(name):
    """The states over the top lie above the drawn dome and not above the critical point by more than a blend's own top does."""
    library = KINDS[name](listing(name), "iir")
    top = library.dome_top()
    assert top and all(state.temperature > library.highest_dome_temperature for state in top)
    assert max(state.pressure for state in top) == pytest.approx(library.critical_pressure, rel=2e-3)
    # A point that the traced envelope has twice differs in its last digits.
    assert all(after.enthalpy > before.enthalpy - 1e-3 for before, after in zip(top, top[1:]))


# Threads ----------------------------------------------------------------------------------------


def sweep(name, offset):
    """A run of states over saturation, vapour, liquid and mixture, the same for each thread."""
    face = refrigerant(name)
    found = []
    for step in range(12):
        pressure = 6e5 + 1.2e5 * ((step + offset) % 12)
        found.append((
            pressure, face.dew_temperature(pressure), face.superheated(pressure, 3.0 + step), face.subcooled(pressure, 2.0),
            face.state_ph(pressure, 300e3), face.state_ps(pressure, 1700.0),
        ))  # fmt: skip
    return sorted(found, key=lambda row: (row[0], row[2].temperature))


def figures(sweeps):
    """Every number of the sweeps in one row, and every word in another."""
    states = [state for sweep in sweeps for row in sweep for state in row]
    values = [value for state in states for value in (vars(state).values() if hasattr(state, "phase") else (state,))]
    return [value for value in values if isinstance(value, float)], [value for value in values if not isinstance(value, float)]


def test_threads_get_the_numbers_of_a_single_thread():
    """Eight threads that use the same faces at once get what one thread gets alone, to a part in 1e9.

    Not to the last bit: a saturated state is remembered by its pressure, whether it was found from
    the pressure or from the temperature, and a blend's search ends where its first guess lets it.
    """
    alone = [[sweep(name, offset) for name in catalogue()] for offset in range(8)]
    start = Barrier(8)

    def together(offset):
        start.wait()
        return [sweep(name, offset) for name in catalogue()]

    with ThreadPoolExecutor(8) as threads:
        beside = list(threads.map(together, range(8)))
    for one, other in zip(alone, beside):
        (numbers, words), (their_numbers, their_words) = figures(one), figures(other)
        assert words == their_words
        assert numbers == pytest.approx(their_numbers, rel=1e-9)
