"""Faults as states, fitted parts, and the shift of the reversing valve: what follows is said, or refused by name."""

import json
import math
import re
from itertools import product

import pytest

from hpteach.circuit import (
    COMPRESSOR,
    FITTINGS,
    INDOOR_COIL,
    LIQUID_LINE,
    OUTDOOR_COIL,
    REVERSING_VALVE,
    VAPOUR_LINE,
    MeteringDevice,
    MeteringLayout,
    Port,
    ReversingValve,
    ValvePosition,
    flow,
    reversible_circuit,
)
from hpteach.cli import main
from hpteach.errors import CircuitError, LimitError
from hpteach.readouts import flow_table
from hpteach.wording import flow_in_words

HEATING, COOLING, BETWEEN = ValvePosition.HEATING, ValvePosition.COOLING, ValvePosition.BETWEEN
OUTDOOR_DEVICE, INDOOR_DEVICE = "outdoor metering device", "indoor metering device"
OUTDOOR_CHECK, INDOOR_CHECK = "outdoor check valve", "indoor check valve"
NOTHING_METERS, BLOCKED = "Nothing meters", "Flow is blocked after the "

KINDS = THERMOSTATIC, ELECTRONIC, ORIFICE = MeteringDevice.KINDS
FITTED = [
    tuple(name for name in (accumulator, valves, drier) if name)
    for accumulator, valves, drier in product(
        (None, "suction accumulator"), (None, "service valves"), (None, "bi-flow filter-drier", "one-way filter-driers")
    )
]


def port_flows(found):
    """Each port on the path with the direction in which it is passed."""
    return {(step.component, side): way for step in found.path for side, way in ((step.enters, "in"), (step.leaves, "out"))}


def every_circuit():
    """Each layout with each kind of device and each set of fittings."""
    for layout, kind, fitted in product(MeteringLayout, KINDS, FITTED):
        yield reversible_circuit(layout, kind=kind, fittings=fitted)


def single_faults(circuit):
    """Nothing stuck, and then each part in each of its states alone."""
    return [{}, *({part: state} for part, states in circuit.stickable().items() for state in states)]


WALKS = [(circuit, stuck) for circuit in every_circuit() for stuck in single_faults(circuit)]


def test_every_circuit_and_fault_is_walked():
    """Three layouts, three devices, twelve sets of fittings: no circuit is like another, and each fault of each is among the walks."""
    assert 3 * 3 * 12 == len(set(every_circuit()))
    sound_and_spool, fitted = 1 + 4, 6 * 2  # two service valves, each shut, in half of the twelve sets
    at_each_coil = 2 * (12 * (sound_and_spool + 2 * 3 + 2 * 2) + fitted) + 12 * (sound_and_spool + 2 * 3) + fitted
    single_device = 2 * 3 * (12 * (sound_and_spool + 2) + fitted)
    assert at_each_coil + single_device == len(WALKS)


@pytest.mark.parametrize("position", ValvePosition)
def test_no_walk_ends_in_silence(position):
    """Whatever the circuit and the fault: a whole path from part to part, or a remark that names the fault and says what follows."""
    for circuit, stuck in WALKS:
        found = flow(circuit, position, stuck=stuck)
        met = [step.component for step in found.path]
        joined = [{Port(a.component, a.leaves), Port(b.component, b.enters)} for a, b in zip(found.path, (*found.path[1:], found.path[0]))]
        arrived = any(joined[-1] <= joint for joint in circuit.joints)
        assert all(any(ports <= joint for joint in circuit.joints) for ports in joined[:-1])
        for part, state in stuck.items():
            assert part in found.remarks[0] and state in found.remarks[0]
        if found.condenser is None:
            assert found.evaporator is None and len(found.remarks) > len(stuck)
            assert found.remarks[-1].startswith((NOTHING_METERS, BLOCKED, "The spool stands between its seats"))
        else:
            assert {INDOOR_COIL: 1, OUTDOOR_COIL: 1, REVERSING_VALVE: 2} == {name: met.count(name) for name in (INDOOR_COIL, OUTDOOR_COIL, REVERSING_VALVE)}
            assert arrived and found.metering.working in met and len(met) - 1 == len(set(met))
            fitted = {fitting.name for fitting in circuit.fittings}
            towards = "filter-drier towards the "
            assert fitted - {towards + found.condenser} == fitted & set(met)
            assert (len(found.series) > 1) == any("in series" in remark for remark in found.remarks)
        assert found.remarks or found.condenser


def test_reversing_any_circuit_reverses_every_flow_but_suction_and_discharge():
    """With every device, fitting and fault, a port that both modes use is passed the other way, but at the compressor and in the suction line."""
    kept_sides = {COMPRESSOR: {"suction", "discharge"}, REVERSING_VALVE: {"suction", "discharge"}, "suction accumulator": {"inlet", "outlet"}}
    for circuit, stuck in WALKS:
        if stuck.get(REVERSING_VALVE, "leaking") == "leaking":
            in_heating, in_cooling = (port_flows(flow(circuit, position, stuck=stuck)) for position in (HEATING, COOLING))
            for component, side in set(in_heating) & set(in_cooling):
                kept = side in kept_sides.get(component, ())
                assert kept == (in_heating[component, side] == in_cooling[component, side]), (component, side, stuck)


@pytest.mark.parametrize(
    ("kind", "position", "stuck", "series", "freely", "working", "says"),
    [
        (ORIFICE, COOLING, {}, (), (OUTDOOR_DEVICE,), INDOOR_DEVICE, None),
        (ORIFICE, HEATING, {}, (), (INDOOR_DEVICE,), OUTDOOR_DEVICE, None),
        (ORIFICE, COOLING, {OUTDOOR_DEVICE: "seated"}, (OUTDOOR_DEVICE, INDOOR_DEVICE), (), INDOOR_DEVICE, "Two devices meter in series"),
        (ORIFICE, HEATING, {OUTDOOR_DEVICE: "seated"}, (), (INDOOR_DEVICE,), OUTDOOR_DEVICE, None),
        (ORIFICE, COOLING, {OUTDOOR_DEVICE: "lifted"}, (), (OUTDOOR_DEVICE,), INDOOR_DEVICE, None),
        (ORIFICE, HEATING, {OUTDOOR_DEVICE: "lifted"}, (), (INDOOR_DEVICE, OUTDOOR_DEVICE), None, NOTHING_METERS),
        (ORIFICE, HEATING, {OUTDOOR_DEVICE: "lifted", INDOOR_DEVICE: "seated"}, (), (OUTDOOR_DEVICE,), INDOOR_DEVICE, f"The {OUTDOOR_DEVICE} should meter and is passed freely"),
        (ORIFICE, COOLING, {OUTDOOR_DEVICE: "shut"}, (), (), None, BLOCKED + OUTDOOR_COIL),
        (THERMOSTATIC, COOLING, {INDOOR_DEVICE: "open"}, (), (INDOOR_DEVICE,), None, NOTHING_METERS),
        (THERMOSTATIC, HEATING, {INDOOR_DEVICE: "open"}, (), (), OUTDOOR_DEVICE, None),
        (THERMOSTATIC, COOLING, {OUTDOOR_CHECK: "shut"}, (), (), None, BLOCKED + OUTDOOR_COIL),
        (THERMOSTATIC, HEATING, {OUTDOOR_CHECK: "leaking"}, (), (), OUTDOOR_DEVICE, f"Part of the liquid slips past the {OUTDOOR_CHECK}, round the"),
        (THERMOSTATIC, COOLING, {OUTDOOR_CHECK: "leaking"}, (), (), INDOOR_DEVICE, f"The leak of the {OUTDOOR_CHECK} is harmless in this position"),
        (ELECTRONIC, COOLING, {OUTDOOR_CHECK: "shut"}, (OUTDOOR_DEVICE, INDOOR_DEVICE), (), INDOOR_DEVICE, "Two devices meter in series"),
        (ELECTRONIC, COOLING, {OUTDOOR_CHECK: "shut", OUTDOOR_DEVICE: "open"}, (), (OUTDOOR_DEVICE,), INDOOR_DEVICE, None),
        (ELECTRONIC, HEATING, {OUTDOOR_CHECK: "open", INDOOR_CHECK: "shut"}, (), (), INDOOR_DEVICE, f"The {OUTDOOR_DEVICE} should meter and is bypassed"),
        (ELECTRONIC, HEATING, {OUTDOOR_CHECK: "leaking", OUTDOOR_DEVICE: "open", INDOOR_CHECK: "shut"}, (), (OUTDOOR_DEVICE,), INDOOR_DEVICE, f"Part of the liquid slips past the {OUTDOOR_CHECK}."),
    ],
)  # fmt: skip
def test_what_meters_at_each_coil(kind, position, stuck, series, freely, working, says):
    """The kind of device decides what a fault does: two in series, none that meters, the wrong one, or nothing beyond the fault itself."""
    found = flow(reversible_circuit(kind=kind), position, stuck=stuck)
    assert (series, freely, working) == (found.series, found.passed_freely, found.metering.working)
    follows = [remark for remark in found.remarks if not re.search(r"is (stuck: \w+|leaking)\.$", remark)]
    assert (says is None) == (not follows) and (says is None or any(remark.startswith(says) for remark in follows))


def test_fixed_orifices_lift_in_place_of_check_valves():
    """Orifices at each coil have no check valves; the lifted one is the one bypassed, and words and table say that it is passed freely."""
    circuit = reversible_circuit(kind=ORIFICE)
    found = flow(circuit, COOLING)
    assert ((), {"indoor": None, "outdoor": None}) == (circuit.check_valves, dict(found.check_valves))
    assert ("seated", "lifted", "shut") == circuit.stickable()[OUTDOOR_DEVICE]
    assert (OUTDOOR_DEVICE, INDOOR_DEVICE) == (found.metering.bypassed, found.metering.working)
    assert f"The {OUTDOOR_DEVICE} is lifted off its seat and passes the liquid freely." in flow_in_words(found)
    assert {OUTDOOR_DEVICE: "passes freely", INDOOR_DEVICE: "meters"} == {row[1]: row[4] for row in flow_table(found).rows if row[1].endswith("device")}


@pytest.mark.parametrize("position", [HEATING, COOLING])
def test_leaking_spool_keeps_the_roles(position):
    """A spool that leaks stands where it was asked to; the coils keep their roles and the remark says what follows."""
    found = flow(reversible_circuit(), position, stuck={REVERSING_VALVE: "leaking"})
    sound = flow(reversible_circuit(), position)
    assert (position, sound.path, (REVERSING_VALVE,)) == (found.valve_position, found.path, found.leaks)
    assert "keep their roles" in found.remarks[-1] and found.condenser == sound.condenser


@pytest.mark.parametrize(
    ("position", "stuck", "leaks", "says"),
    [
        (COOLING, {OUTDOOR_CHECK: "leaking"}, (OUTDOOR_CHECK,), f"The leak of the {OUTDOOR_CHECK} is harmless in this position, where the flow opens it; it shows after the changeover."),
        (COOLING, {INDOOR_CHECK: "leaking", INDOOR_DEVICE: "shut"}, (INDOOR_CHECK,), f"What slips past the {INDOOR_CHECK} gets round the block."),
        (COOLING, {INDOOR_CHECK: "leaking", "liquid service valve": "shut"}, (INDOOR_CHECK,), f"The leak of the {INDOOR_CHECK} changes nothing while the flow is blocked."),
        (COOLING, {INDOOR_CHECK: "leaking", INDOOR_DEVICE: "open"}, (INDOOR_CHECK,), f"The leak of the {INDOOR_CHECK} changes nothing while nothing meters."),
        (BETWEEN, {INDOOR_CHECK: "leaking"}, (INDOOR_CHECK,), f"The leak of the {INDOOR_CHECK} changes nothing between, where no refrigerant reaches it."),
        (BETWEEN, {REVERSING_VALVE: "leaking"}, (REVERSING_VALVE,), "The leak of the spool is harmless in this position, where the gas passes it anyway; it shows after the changeover."),
        (COOLING, {REVERSING_VALVE: "leaking", OUTDOOR_CHECK: "shut"}, (REVERSING_VALVE,), "Hot discharge gas passes the spool into the suction, round the block."),
        (COOLING, {REVERSING_VALVE: "leaking", INDOOR_CHECK: "open"}, (REVERSING_VALVE,), "Hot discharge gas passes the spool into the suction as well."),
    ],
)  # fmt: skip
def test_a_leak_that_does_not_show_is_said_all_the_same(position, stuck, leaks, says):
    """A leak in the open direction, or beside a fault that hides it, counts as a leak, and a remark says what it does or that it is harmless."""
    found = flow(reversible_circuit(fittings=("service valves",)), position, stuck=stuck)
    assert leaks == found.leaks and says in found.remarks
    assert found.condenser or found.remarks[-1].startswith((NOTHING_METERS, BLOCKED, "The spool stands between its seats"))


def test_blocked_flow_meters_nothing():
    """Where the walk does not arrive, sentence, table and dictionary agree that nothing meters, is bypassed or passed freely."""
    for (circuit, stuck), position in product(WALKS, (HEATING, COOLING)):
        found = flow(circuit, position, stuck=stuck)
        if any(remark.startswith(BLOCKED) for remark in found.remarks):
            assert (None, None, None) == (found.metering.working, found.metering.bypassed, found.metering.flow)
            assert ((), ()) == (found.series, found.passed_freely)
            assert {"meters", "passes freely"}.isdisjoint(row[4] for row in flow_table(found).rows)


@pytest.mark.parametrize(("position", "stuck", "indoor"), [
    (BETWEEN, {INDOOR_CHECK: "open"}, "open"), (BETWEEN, {INDOOR_CHECK: "shut"}, "closed"), (BETWEEN, {INDOOR_CHECK: "leaking"}, "closed"), (BETWEEN, {}, "closed"),
    (COOLING, {INDOOR_CHECK: "open", OUTDOOR_CHECK: "shut"}, "open"), (COOLING, {INDOOR_CHECK: "open"}, "open"), (HEATING, {INDOOR_CHECK: "shut"}, "closed"),
])  # fmt: skip
def test_stuck_check_valve_stays_as_it_is_stuck(position, stuck, indoor):
    """A check valve stuck open is open also where the path does not reach it; one that is sound or leaks goes by the path."""
    assert indoor == flow(reversible_circuit(), position, stuck=stuck).check_valves["indoor"]


def test_flow_keeps_what_is_stuck():
    """A flow tells each stuck part with its state, which nobody can change; a sound one tells none."""
    asked = {INDOOR_CHECK: "open"}
    found = flow(reversible_circuit(), HEATING, stuck=asked)
    asked[INDOOR_CHECK] = "shut"
    assert ({INDOOR_CHECK: "open"}, {}) == (found.stuck, flow(reversible_circuit(), HEATING).stuck)
    assert found == flow(reversible_circuit(), HEATING, stuck={INDOOR_CHECK: "open"})
    with pytest.raises(TypeError):
        found.stuck[INDOOR_CHECK] = "shut"


@pytest.mark.parametrize("layout", MeteringLayout)
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("position", [HEATING, COOLING])
def test_single_thermostatic_valve_has_to_be_bi_flow(layout, kind, position):
    """Only a thermostatic valve that is alone and meters either way is said to have to be a bi-flow one."""
    found = flow(reversible_circuit(layout, kind=kind), position)
    alone = kind == THERMOSTATIC and layout is not MeteringLayout.EACH_COIL
    assert alone == any("has to be a bi-flow thermostatic valve" in remark for remark in found.remarks)
    assert found.condenser


def test_fittings_stand_where_they_belong():
    """The accumulator is last before the compressor, the service valves begin the line set, the drier stands in the liquid line outdoors."""
    circuit = reversible_circuit(fittings=("service valves", "one-way filter-driers", "suction accumulator"))
    assert [
        COMPRESSOR, REVERSING_VALVE, OUTDOOR_COIL, OUTDOOR_CHECK, f"filter-drier towards the {INDOOR_COIL}", "liquid service valve", LIQUID_LINE,
        INDOOR_DEVICE, INDOOR_COIL, VAPOUR_LINE, "vapour service valve", REVERSING_VALVE, "suction accumulator",
    ] == [step.component for step in flow(circuit, COOLING).path]  # fmt: skip
    blocked = flow(circuit, COOLING, stuck={"liquid service valve": "shut"})
    assert f"{BLOCKED}filter-drier towards the {INDOOR_COIL}: nothing passes from there but what leaks." == blocked.remarks[-1]


def test_contradictory_fittings_and_devices_are_refused():
    """Two kinds of filter-drier, or a device that meters either way and is free the other, are no circuit; the refusal names them."""
    with pytest.raises(CircuitError, match="bi-flow filter-drier and one-way filter-driers do the same work"):
        reversible_circuit(fittings=[*FITTINGS])
    with pytest.raises(CircuitError, match="the x meters either way"):
        MeteringDevice("x", ORIFICE, "either", free_the_other_way=True)


VALVE = ReversingValve(energised_in=COOLING)


@pytest.mark.parametrize(("standing", "energised", "difference", "stands"), [
    (HEATING, True, 100e3, COOLING), (COOLING, False, 8e5, HEATING), (BETWEEN, True, 2e5, COOLING), (HEATING, False, 0.0, HEATING), (COOLING, True, 0.0, COOLING),
])  # fmt: skip
def test_pressure_difference_shifts_the_spool(standing, energised, difference, stands):
    """From the least difference on the spool goes where the solenoid says; where it stands there already it needs none."""
    assert stands is VALVE.shift(standing, energised=energised, pressure_difference=difference)


@pytest.mark.parametrize(("difference", "error", "says"), [
    (99e3, CircuitError, "0.99 bar between discharge and suction does not shift the reversing valve from heating to cooling, which takes 1 bar: .*pilot-operated.*let the compressor run"),
    (99999.9, CircuitError, "0.999999 bar between .*, which takes 1 bar"), (math.nextafter(1e5, 0.0), CircuitError, "0.99999999999999.* bar between .*, which takes 1 bar"),
    (-1.0, LimitError, "-1e-05 bar"), (math.nan, LimitError, "nan bar"), (math.inf, LimitError, "inf bar"),
])  # fmt: skip
def test_too_small_or_impossible_difference_is_refused(difference, error, says):
    """Below the least difference nothing pushes the spool; a negative one, or none at all, is no difference, also as the least one."""
    with pytest.raises(error, match=says):
        VALVE.shift(HEATING, energised=True, pressure_difference=difference)
    if error is LimitError:
        with pytest.raises(LimitError, match="least pressure difference"):
            ReversingValve(energised_in=COOLING, least_pressure_difference=difference)


def test_a_spool_between_its_seats_is_not_told_to_run_longer():
    """From between its seats the discharge goes straight to the suction: the refusal says to stop, not to let the compressor run."""
    with pytest.raises(CircuitError, match="from between its seats to cooling, which takes 1 bar.*does not build that difference.*straight to the suction; stop.*licensed people") as refusal:
        VALVE.shift(BETWEEN, energised=True, pressure_difference=2e4)
    assert "let the compressor run" not in str(refusal.value)


def test_command_shows_devices_fittings_and_their_faults(capsys):
    """The command follows the refrigerant through what is named, words in any case, with the same keys as ever."""
    line = ["flow", "--valve", "heating", "--json", "--device", "Fixed Orifice", "--fitted", "accumulator, service-valves,drier"]
    assert 0 == main([*line, "--stuck", "indoor-metering-device=seated"])
    found = json.loads(capsys.readouterr().out)
    assert ["vapour service valve", "bi-flow filter-drier", "suction accumulator"] == [found["path"][n]["component"] for n in (2, 8, -1)]
    assert (OUTDOOR_DEVICE, None) == (found["metering"]["working"], found["metering"]["bypassed"])
    assert found["remarks"][1].startswith("Two devices meter in series")


def test_a_part_stuck_twice_in_one_state_is_stuck_once(capsys):
    """The same state named twice contradicts nothing."""
    line, found = ["flow", "--valve", "heating", "--json"], []
    for parts in (["--stuck", "indoor check valve=open"], ["--stuck", "indoor check valve=open", "--stuck", "indoor-check-valve=open"]):
        assert 0 == main([*line, *parts])
        found.append(json.loads(capsys.readouterr().out))
    assert found[0] == found[1]


@pytest.mark.parametrize(("options", "says"), [
    (["--device", "orifice"], "--device: kind of metering device 'orifice' is not known; did you mean fixed-orifice"),
    (["--fitted", "drier,receiver"], "--fitted: fitting 'receiver' is not known"),
    (["--fitted", "drier,drier-pair"], "--fitted drier,drier-pair: bi-flow filter-drier and one-way filter-driers"),
    (["--device", "fixed-orifice", "--stuck", "indoor-check-valve=open"], "part 'indoor check valve' is not known"),
    (["--stuck", "liquid-service-valve=shut"], "part 'liquid service valve' is not known"),
])  # fmt: skip
def test_command_refuses_by_name(options, says, capsys):
    """What the circuit does not have is refused with the option, the word and the known ones."""
    assert main(["flow", "--valve", "cooling", *options]) and says in capsys.readouterr().err
