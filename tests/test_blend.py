"""Blends with glide beside the property library's own mixture flash, and their published boiling and critical points.

The flash is the plain one: no phase imposed, no first guess, each state asked for on its own.
It has the same equation of state, so only the two searches stand between it and a state point.
"""

import itertools
from functools import cache

import pytest
from CoolProp.CoolProp import (
    AbstractState,
    HmassP_INPUTS,
    PQ_INPUTS,
    PSmass_INPUTS,
    PT_INPUTS,
    QT_INPUTS,
    imolar_mass,
)

from hpteach.circuit import INDOOR_COIL, ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.errors import LimitError
from hpteach.fluids import catalogue, listing, refrigerant

ZERO_CELSIUS = 273.15
BLENDS = [name for name, found in catalogue().items() if found.model == "blend"]
ZEOTROPES = [name for name in BLENDS if name != "R-513A"]
WITHIN = 1e-6  # of pressure, temperature, enthalpy and entropy
EVAPORATING, CONDENSING = (-30.0, -15.0, 0.0, 15.0), (30.0, 45.0, 60.0)
DIFFERENCES = tuple(itertools.product((0.0, 5.0, 15.0), repeat=2))


def grid(each):
    """Saturated suction and condensing temperature (C), superheat and subcooling (K), efficiency.

    Every pair of temperatures has `each` of the nine pairs of differences in turn, so that each of the nine comes up.
    """
    turn = itertools.cycle(DIFFERENCES)
    for number, (evaporating, condensing) in enumerate(itertools.product(EVAPORATING, CONDENSING)):
        for _ in range(each):
            yield evaporating, condensing, *next(turn), 0.7 if number % 2 else 1.0


class Plain:
    """The property library's own answers, on the reference state IIR: (p, T, h, s) of a state."""

    def __init__(self, name):
        self.state = AbstractState("HEOS", listing(name).library_name)
        self.state.update(QT_INPUTS, 0.0, ZERO_CELSIUS)
        self.offsets = 200e3 - self.state.hmass(), 1000.0 - self.state.smass()

    def ask(self, inputs, first, second):
        self.state.update(inputs, first, second)
        return self.state.p(), self.state.T(), self.state.hmass() + self.offsets[0], self.state.smass() + self.offsets[1]

    def by_enthalpy(self, pressure, enthalpy):
        return self.ask(HmassP_INPUTS, enthalpy - self.offsets[0], pressure)

    def by_entropy(self, pressure, entropy):
        return self.ask(PSmass_INPUTS, pressure, entropy - self.offsets[1])

    def mixture(self, pressure, enthalpy):
        """The state inside the dome where h agrees; the library's quality is by moles, so it is sought by secants."""
        (low, high), (h_low, h_high) = (0.0, 1.0), (self.ask(PQ_INPUTS, pressure, quality)[2] for quality in (0.0, 1.0))
        for _ in range(50):
            share = low + (enthalpy - h_low) * (high - low) / (h_high - h_low)
            found = self.ask(PQ_INPUTS, pressure, share)
            if abs(found[2] - enthalpy) < 1e-4:
                return found
            low, h_low, high, h_high = high, h_high, share, found[2]
        raise ValueError("no quality found")


def plain_points(face, plain, evaporating, condensing, superheat, subcooling, efficiency):
    """Each state point from the library alone, None where its flash gives no answer.

    Only where it finds no bubble point is the bubble temperature taken from `face`, so that point 3 can still be asked.
    """

    def asked(call, *arguments):
        try:
            return call(*arguments)
        except ValueError:
            return None

    dew_low = plain.ask(QT_INPUTS, 1.0, evaporating + ZERO_CELSIUS)
    dew_high = plain.ask(QT_INPUTS, 1.0, condensing + ZERO_CELSIUS)
    low, high = dew_low[0], dew_high[0]
    bubble_high = asked(plain.ask, PQ_INPUTS, high, 0.0)
    bubble = bubble_high[1] if bubble_high else face.bubble_temperature(high)
    one = asked(plain.ask, PT_INPUTS, low, dew_low[1] + superheat) if superheat else dew_low
    two = one and asked(plain.by_entropy, high, one[3])
    if two and efficiency < 1.0:
        two = asked(plain.by_enthalpy, high, one[2] + (two[2] - one[2]) / efficiency)
    three = asked(plain.ask, PT_INPUTS, high, bubble - subcooling) if subcooling else bubble_high
    four = three and asked(plain.mixture, low, three[2])
    return {"1": one, "2": two, "2a": dew_high, "2b": bubble_high, "3": three, "4": four, "4a": dew_low}


@cache
def deviations(name, each=1):
    """The worst deviation of p, T, h and s over the grid (relative), how many points, and which the library's flash refused."""
    face, plain = refrigerant(name), Plain(name)
    worst, compared, refused = dict.fromkeys("pThs", 0.0), 0, []
    for evaporating, condensing, superheat, subcooling, efficiency in grid(each):
        cycle = solve(
            face,
            Conditions(
                ValvePosition.COOLING, INDOOR_COIL, evaporating + ZERO_CELSIUS, condensing + ZERO_CELSIUS, superheat, subcooling, efficiency
            ),
        )  # fmt: skip
        theirs = plain_points(face, plain, evaporating, condensing, superheat, subcooling, efficiency)
        for label, expected in theirs.items():
            if expected is None:
                refused.append((evaporating, condensing, superheat, subcooling, label))
                continue
            if label == "2a" and cycle.point("2").quality is not None:
                continue  # compression that ends wet does not cross the dew line
            point = cycle.point(label)
            compared += 1
            for letter, one, other in zip("pThs", expected, (point.pressure, point.temperature, point.enthalpy, point.entropy)):
                worst[letter] = max(worst[letter], abs(other / one - 1.0))
    return worst, compared, refused


@pytest.mark.parametrize("name", BLENDS)
def test_every_state_point_is_that_of_the_plain_flash(name):
    """Over the working range p, T, h and s of each state point lie within a part in a million of the library's own mixture flash."""
    worst, compared, refused = deviations(name)
    told = f"{name}: worst {worst} in {compared} points; the plain flash refused {len(refused)}: {refused}"
    assert max(worst.values()) < WITHIN, told
    assert compared >= 0.9 * (compared + len(refused)), told


@pytest.mark.parametrize("name", BLENDS)
def test_bubble_and_dew_pressure_rise_with_temperature(name):
    """From 205 K to the highest saturation temperature both pressures rise at every step, the bubble's above the dew's."""
    face = refrigerant(name)
    steps = int((face.highest_saturation_temperature - 205.0) / 0.5)
    temperatures = [205.0 + 0.5 * step for step in range(steps)] + [face.highest_saturation_temperature]
    bubble, dew = [face.bubble_pressure(t) for t in temperatures], [face.dew_pressure(t) for t in temperatures]
    for pressures in (bubble, dew):
        assert all(before < after for before, after in zip(pressures, pressures[1:]))
    assert all(low < high for low, high in zip(dew, bubble))


@pytest.mark.parametrize("name", BLENDS)
def test_near_the_critical_point_a_blend_is_refused_by_name(name):
    """Above the highest saturation temperature, and up to the critical one, the refusal names blend, limit and critical point."""
    face = refrigerant(name)
    for temperature in (face.highest_saturation_temperature + 0.01, face.critical_temperature - 0.01):
        for call in (face.bubble_pressure, face.dew_pressure):
            with pytest.raises(LimitError, match=f"{name} cannot be saturated at .*: its critical temperature is .*; use .* or less"):
                call(temperature)
    with pytest.raises(LimitError, match=f"{name} cannot be saturated at .*: its critical pressure is"):
        face.state_px(0.5 * (face.highest_saturation_pressure + face.critical_pressure), 0.5)


@pytest.mark.parametrize("name", BLENDS)
def test_catalogue_has_the_critical_point_of_the_mixture_model(name):
    """The critical point of the catalogue is the stable one that the library's search finds for the mixture."""
    (found,) = [point for point in AbstractState("HEOS", listing(name).library_name).all_critical_points() if point.stable]
    assert (found.T, found.p) == pytest.approx((listing(name).critical_temperature, listing(name).critical_pressure), rel=1e-4)


@pytest.mark.parametrize("name", BLENDS)
def test_saturation_is_that_of_the_plain_flash_where_it_answers(name):
    """Bubble and dew pressure at whole temperatures from -50 C to the limit are the library's own, wherever it finds one."""
    face, plain, answered = refrigerant(name), Plain(name), 0
    temperatures = [t + ZERO_CELSIUS for t in range(-50, 95, 5) if t + ZERO_CELSIUS < face.highest_saturation_temperature]
    for temperature in temperatures:
        for quality, ours in ((0.0, face.bubble_pressure(temperature)), (1.0, face.dew_pressure(temperature))):
            try:
                theirs = plain.ask(QT_INPUTS, quality, temperature)[0]
            except ValueError:
                continue
            answered += 1
            assert theirs == pytest.approx(ours, rel=WITHIN), (temperature, quality)
    assert answered >= 1.4 * len(temperatures)


@pytest.mark.parametrize("name", ZEOTROPES)
@pytest.mark.parametrize("pressure", [3e5, 12e5, 25e5])
def test_pressure_and_temperature_inside_the_dome_do_not_fix_a_state(name, pressure):
    """Between bubble and dew a blend's quality is open, although the two temperatures differ: refused with what to give."""
    face = refrigerant(name)
    for share in (0.0, 0.3, 0.7, 1.0):
        temperature = (1.0 - share) * face.bubble_temperature(pressure) + share * face.dew_temperature(pressure)
        with pytest.raises(LimitError, match="lies on the dome, .* give the quality as well"):
            face.state_pt(pressure, temperature)


@pytest.mark.parametrize("name", ZEOTROPES)
def test_pressure_above_the_highest_dew_pressure_can_still_be_inside_the_dome(name):
    """Just above the highest dew pressure the bubble line still has a temperature: a state beyond it is no liquid, and refused."""
    face = refrigerant(name)
    with pytest.raises(LimitError):
        face.state_pt(1.003 * face.highest_saturation_pressure, face.highest_saturation_temperature - 0.2)


def mass_of(plain, fractions):
    """The mass of one mole of a composition, kg/mol."""
    return sum(part * plain.state.get_fluid_constant(index, imolar_mass) for index, part in enumerate(fractions))


@pytest.mark.parametrize("name", BLENDS)
def test_quality_is_by_mass(name):
    """Of one kilogram at quality x, x kilograms are vapour: enthalpy over both phases, each at its own composition, gives the state's."""
    face, plain = refrigerant(name), Plain(name)
    pressure = 8e5
    for share in (0.2, 0.5, 0.8):
        plain.ask(PQ_INPUTS, pressure, share)
        by_mass = share * mass_of(plain, plain.state.mole_fractions_vapor()) / plain.state.molar_mass()
        state = face.state_px(pressure, by_mass)
        p, t, h, s = plain.ask(PQ_INPUTS, pressure, share)
        assert (t, h, s) == pytest.approx((state.temperature, state.enthalpy, state.entropy), rel=WITHIN)
        assert plain.state.rhomass() == pytest.approx(state.density, rel=WITHIN)
        assert by_mass == pytest.approx(face.state_ph(p, h).quality, abs=WITHIN)


@pytest.mark.parametrize("name", ["R-407C", "R-454C"])
def test_evaporating_and_condensing_run_over_a_glide(name):
    """Between the valve and the dew point a zeotrope warms by some kelvin, and between its dew and bubble point it cools."""
    cycle = solve(refrigerant(name), Conditions(ValvePosition.COOLING, INDOOR_COIL, 280.15, 318.15, 5.0, 5.0, 0.7))
    assert 2.0 < cycle.point("4a").temperature - cycle.point("4").temperature < 7.0
    assert 3.0 < cycle.point("2a").temperature - cycle.point("2b").temperature < 9.0
