"""Equilibrium of a blend inside the dome beside the property library's own answers at a quality."""

import pytest
from CoolProp.CoolProp import AbstractState, PQ_INPUTS, imolar_mass

from hpteach.errors import PropertyError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.fluids.two_phase import Start, between

BLENDS = [name for name, found in catalogue().items() if found.model == "blend"]
PRESSURES = (0.6e5, 2e5, 8e5, 20e5)
SHARES = (0.001, 0.1, 0.35, 0.5, 0.65, 0.9, 0.999)


def plain(name, pressure, share):
    """The library's mixture at a molar share of vapour: T, molar h and s, density, and the share by mass."""
    state = AbstractState("HEOS", listing(name).library_name)
    state.update(PQ_INPUTS, pressure, share)
    vapour = sum(part * state.get_fluid_constant(index, imolar_mass) for index, part in enumerate(state.mole_fractions_vapor()))
    return state, share * vapour / state.molar_mass()


@pytest.mark.parametrize("pressure", PRESSURES)
@pytest.mark.parametrize("name", BLENDS)
def test_mixture_at_a_quality_is_the_librarys(name, pressure):
    """At each quality by mass T, density, and h and s counted from the bubble point are the library's own to a part in a million."""
    face = refrigerant(name)
    bubble, ours_at_bubble = plain(name, pressure, 0.0)[0], face.saturated_liquid(pressure)
    for share in SHARES:
        state, quality = plain(name, pressure, share)
        ours = face.state_px(pressure, quality)
        assert (state.T(), state.rhomass()) == pytest.approx((ours.temperature, ours.density), rel=1e-6), share
        assert state.hmass() - bubble.hmass() == pytest.approx(ours.enthalpy - ours_at_bubble.enthalpy, rel=1e-6, abs=0.2), share
        assert state.smass() - bubble.smass() == pytest.approx(ours.entropy - ours_at_bubble.entropy, rel=1e-6, abs=1e-3), share


@pytest.mark.parametrize("name", BLENDS)
def test_mixture_is_found_again_from_enthalpy_and_from_entropy(name):
    """From 0.5 bar to near the highest pressure state_ph and state_ps give quality and temperature back.

    To 1e-7: the equations of equilibrium are closed to 1e-8, which leaves a quality open by as much.
    """
    face = refrigerant(name)
    for step in range(16):
        pressure = 0.5e5 * (0.98 * face.highest_saturation_pressure / 0.5e5) ** (step / 15)
        for quality in (1e-3, 0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, 0.999):
            state = face.state_px(pressure, quality)
            for again in (face.state_ph(pressure, state.enthalpy), face.state_ps(pressure, state.entropy)):
                assert quality == pytest.approx(again.quality, abs=1e-7), (pressure, quality)
                assert state.temperature == pytest.approx(again.temperature, rel=1e-7), (pressure, quality)


@pytest.mark.parametrize("name", BLENDS)
def test_boiling_at_one_pressure_warms_the_mixture(name):
    """Along an isobar temperature, enthalpy and entropy rise with quality from the bubble to the dew point."""
    face = refrigerant(name)
    states = [face.state_px(8e5, step / 20) for step in range(21)]
    assert (0.0, 1.0) == (states[0].quality, states[-1].quality)
    for of in ("temperature", "enthalpy", "entropy"):
        values = [getattr(state, of) for state in states]
        assert all(before < after for before, after in zip(values, values[1:])), of


def test_first_guess_between_the_ends_keeps_the_balance():
    """The first guess at a share between bubble and dew has compositions that add to one, and is each end at its share."""
    overall = [0.4, 0.6]
    bubble = Start(280.0, [0.4, 0.6], [0.6, 0.4], 0.0)
    dew = Start(286.0, [0.2, 0.8], [0.4, 0.6], 1.0)
    for share, end in ((0.0, bubble), (1.0, dew)):
        found = between(bubble, dew, share, overall)
        assert end.temperature == pytest.approx(found.temperature)
        assert end.liquid == pytest.approx(found.liquid) and end.vapour == pytest.approx(found.vapour)
    middle = between(bubble, dew, 0.5, overall)
    assert (1.0, 1.0, 283.0) == pytest.approx((sum(middle.liquid), sum(middle.vapour), middle.temperature))


def test_search_that_cannot_close_is_refused_by_name():
    """Where no mixture can have the asked enthalpy the search ends in a refusal that names the blend and the pressure."""
    face = refrigerant("R-454B")
    library = face._library  # noqa: SLF001  - the face never asks for what lies outside the dome
    liquid, vapour = face.saturated_liquid(8e5), face.saturated_vapour(8e5)
    with pytest.raises(PropertyError, match="^R-454B: no equilibrium found at 800000 Pa"):
        library.inside(liquid, vapour, "enthalpy", vapour.enthalpy + 5e6)
