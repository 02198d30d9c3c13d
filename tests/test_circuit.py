"""The reversible circuit: path, roles and check valves for every position and layout, sound and with stuck parts."""

from itertools import product

import pytest

from hpteach.circuit import (
    COMPRESSOR,
    INDOOR_COIL,
    LIQUID_LINE,
    OUTDOOR_COIL,
    REVERSING_VALVE,
    VAPOUR_LINE,
    CheckValve,
    MeteringDevice,
    MeteringLayout,
    Port,
    ReversingValve,
    ValvePosition,
    flow,
    reversible_circuit,
)
from hpteach.errors import CircuitError, HpteachError, UnknownNameError

HEATING, COOLING, BETWEEN = ValvePosition.HEATING, ValvePosition.COOLING, ValvePosition.BETWEEN
OUTDOOR_DEVICE, INDOOR_DEVICE = "outdoor metering device", "indoor metering device"
OUTDOOR_CHECK, INDOOR_CHECK = "outdoor check valve", "indoor check valve"

# What lies between the two coils' liquid sides, from outdoors to indoors, by layout and position
LIQUID_SIDE = {
    (MeteringLayout.EACH_COIL, COOLING): [OUTDOOR_CHECK, LIQUID_LINE, INDOOR_DEVICE],
    (MeteringLayout.EACH_COIL, HEATING): [OUTDOOR_DEVICE, LIQUID_LINE, INDOOR_CHECK],
    (MeteringLayout.OUTDOOR, COOLING): [OUTDOOR_DEVICE, LIQUID_LINE],
    (MeteringLayout.OUTDOOR, HEATING): [OUTDOOR_DEVICE, LIQUID_LINE],
    (MeteringLayout.INDOOR, COOLING): [LIQUID_LINE, INDOOR_DEVICE],
    (MeteringLayout.INDOOR, HEATING): [LIQUID_LINE, INDOOR_DEVICE],
}
BYPASSED = {
    (MeteringLayout.EACH_COIL, COOLING): OUTDOOR_DEVICE,
    (MeteringLayout.EACH_COIL, HEATING): INDOOR_DEVICE,
}
CHECKS = {
    (MeteringLayout.EACH_COIL, COOLING): {"indoor": "closed", "outdoor": "open"},
    (MeteringLayout.EACH_COIL, HEATING): {"indoor": "open", "outdoor": "closed"},
}
SOUND = list(LIQUID_SIDE)



def walked(layout, position, **stuck):
    return flow(reversible_circuit(layout), position, stuck={name.replace("_", " "): state for name, state in stuck.items()})


def every_flow(layout):
    """Each combination of stuck parts (the reversing valve sound) with the valve in heating and in cooling."""
    circuit = reversible_circuit(layout)
    parts = {part: states for part, states in circuit.stickable().items() if part != REVERSING_VALVE}
    for states in product(*[(None, *states) for states in parts.values()]):
        stuck = {part: state for part, state in zip(parts, states) if state}
        yield stuck, *(flow(circuit, position, stuck=stuck) for position in (HEATING, COOLING))


@pytest.mark.parametrize(("layout", "position"), SOUND)
def test_path_meets_each_component_in_order(layout, position):
    """In cooling the gas goes outdoors first, in heating indoors, and the liquid side is passed in between."""
    between = LIQUID_SIDE[layout, position]
    expected = {
        COOLING: [COMPRESSOR, REVERSING_VALVE, OUTDOOR_COIL, *between, INDOOR_COIL, VAPOUR_LINE, REVERSING_VALVE],
        HEATING: [COMPRESSOR, REVERSING_VALVE, VAPOUR_LINE, INDOOR_COIL, *reversed(between), OUTDOOR_COIL, REVERSING_VALVE],
    }[position]
    assert expected == [step.component for step in walked(layout, position).path]


@pytest.mark.parametrize(("layout", "position"), SOUND)
def test_each_step_leaves_into_the_next(layout, position):
    """The side by which a component is left is joined to the side by which the next is entered, back to the suction."""
    joints = reversible_circuit(layout).joints
    path = walked(layout, position).path
    for step, following in zip(path, (*path[1:], path[0])):
        ports = {Port(step.component, step.leaves), Port(following.component, following.enters)}
        assert any(ports <= joint for joint in joints)


@pytest.mark.parametrize(("layout", "position"), SOUND)
def test_coils_take_their_roles(layout, position):
    """Places stay, roles move: outdoors condenses in cooling and evaporates in heating."""
    found = walked(layout, position)
    condenser, evaporator = (OUTDOOR_COIL, INDOOR_COIL) if position is COOLING else (INDOOR_COIL, OUTDOOR_COIL)
    assert (condenser, evaporator) == (found.condenser, found.evaporator)
    assert ("condenser", "evaporator") == (found.role(condenser), found.role(evaporator))
    assert found.role("attic coil") is None
    assert () == found.remarks


@pytest.mark.parametrize(("layout", "position"), SOUND)
def test_metering_is_into_the_evaporator(layout, position):
    """One device meters, into the evaporating coil; at a device with a bypass the check valve opens and lets the liquid round."""
    found = walked(layout, position)
    (working,) = [name for name in LIQUID_SIDE[layout, position] if name.endswith("device")]
    assert (working, BYPASSED.get((layout, position))) == (found.metering.working, found.metering.bypassed)
    assert f"towards the {found.evaporator}" == found.metering.flow
    assert CHECKS.get((layout, position), {"indoor": None, "outdoor": None}) == dict(found.check_valves)


@pytest.mark.parametrize(("layout", "position"), SOUND)
def test_state_points_keep_their_numbers_and_change_their_places(layout, position):
    """Points 1 and 2 stay at the compressor; the others move with the roles."""
    found = walked(layout, position)
    hot, cold = (OUTDOOR_COIL, INDOOR_COIL) if position is COOLING else (INDOOR_COIL, OUTDOOR_COIL)
    assert {
        "1": "compressor, suction", "2": "compressor, discharge",
        "2a": f"{hot}, inside, near the vapour side", "2b": f"{hot}, inside, near the liquid side", "3": f"{hot}, liquid side",
        "4": f"{cold}, liquid side", "4a": f"{cold}, inside, near the vapour side",
    } == {label: found.place(label) for label in ("1", "2", "2a", "2b", "3", "4", "4a")}  # fmt: skip


@pytest.mark.parametrize("layout", MeteringLayout)
def test_spool_between_sends_the_gas_straight_back(layout):
    """With the spool in mid-travel the discharge goes to the suction, no coil has a role and the remark says why."""
    found = walked(layout, BETWEEN)
    assert [COMPRESSOR, REVERSING_VALVE] == [step.component for step in found.path]
    assert (None, None, None, None) == (found.condenser, found.evaporator, found.metering.working, found.metering.flow)
    assert found.role(INDOOR_COIL) is None and found.role(OUTDOOR_COIL) is None
    assert "discharge gas goes straight back to the suction" in " ".join(found.remarks)
    with pytest.raises(CircuitError, match="no condenser and no evaporator: The spool stands between its seats"):
        found.place("3")


@pytest.mark.parametrize("layout", MeteringLayout)
@pytest.mark.parametrize("wanted", ValvePosition)
@pytest.mark.parametrize("stands", ValvePosition)
def test_stuck_reversing_valve_stays_where_it_stands(layout, wanted, stands):
    """Whatever is asked of a stuck reversing valve, the flow is that of the position it is stuck in, with a remark."""
    stuck, sound = walked(layout, wanted, reversing_valve=stands.value), walked(layout, stands)
    assert (sound.path, sound.valve_position, sound.condenser) == (stuck.path, stuck.valve_position, stuck.condenser)
    assert f"The reversing valve is stuck: {stands.value}." in stuck.remarks


NOTHING_METERS, BLOCKED = "Nothing meters", "Flow is blocked after the "


@pytest.mark.parametrize(
    ("part", "state", "position", "says"),
    [
        (OUTDOOR_CHECK, "open", COOLING, None), (OUTDOOR_CHECK, "open", HEATING, NOTHING_METERS),
        (INDOOR_CHECK, "open", HEATING, None), (INDOOR_CHECK, "open", COOLING, NOTHING_METERS),
        (OUTDOOR_CHECK, "shut", HEATING, None), (OUTDOOR_CHECK, "shut", COOLING, BLOCKED + OUTDOOR_COIL),
        (INDOOR_CHECK, "shut", COOLING, None), (INDOOR_CHECK, "shut", HEATING, BLOCKED + INDOOR_COIL),
        (OUTDOOR_DEVICE, "shut", COOLING, None), (OUTDOOR_DEVICE, "shut", HEATING, BLOCKED + LIQUID_LINE),
        (INDOOR_DEVICE, "shut", HEATING, None), (INDOOR_DEVICE, "shut", COOLING, BLOCKED + LIQUID_LINE),
    ],
)  # fmt: skip
def test_stuck_part_matters_in_one_mode_only(part, state, position, says):
    """A stuck check valve or device is harmless in the mode that does not need it, and in the other the remark says what happens."""
    found = flow(reversible_circuit(), position, stuck={part: state})
    assert f"The {part} is stuck: {state}." == found.remarks[0]
    if says is None:
        assert (walked(MeteringLayout.EACH_COIL, position).path, 1) == (found.path, len(found.remarks))
    else:
        assert found.remarks[1].startswith(says)
        assert (None, None) == (found.condenser, found.evaporator)


@pytest.mark.parametrize(("layout", "device"), [(MeteringLayout.OUTDOOR, OUTDOOR_DEVICE), (MeteringLayout.INDOOR, INDOOR_DEVICE)])
@pytest.mark.parametrize("position", [HEATING, COOLING])
def test_single_device_stuck_shut_blocks_both_modes(layout, device, position):
    """With one device that meters either way, its being shut blocks the flow whichever way the valve stands."""
    found = flow(reversible_circuit(layout), position, stuck={device: "shut"})
    assert found.condenser is None and any(remark.startswith(BLOCKED) for remark in found.remarks)


def port_flows(found):
    """Each port on the path with the direction in which it is passed."""
    return {
        (step.component, side): direction
        for step in found.path
        for side, direction in ((step.enters, "in"), (step.leaves, "out"))
    }  # fmt: skip


@pytest.mark.parametrize("layout", MeteringLayout)
def test_reversing_the_valve_reverses_every_flow_but_suction_and_discharge(layout):
    """Turning the valve turns the flow at every port that both modes use, whatever is stuck; suction and discharge keep theirs."""
    both = 0
    for _, heating, cooling in every_flow(layout):
        in_heating, in_cooling = port_flows(heating), port_flows(cooling)
        for component, side in set(in_heating) & set(in_cooling):
            kept = side in ("suction", "discharge")
            assert kept == (in_heating[component, side] == in_cooling[component, side])
        both += heating.condenser is not None and cooling.condenser is not None
    assert both


@pytest.mark.parametrize("layout", MeteringLayout)
def test_whatever_is_stuck_a_flow_without_roles_says_why(layout):
    """Every combination of stuck parts ends in a whole circuit, or in a remark for each stuck part and one that says why."""
    for stuck, *flows in every_flow(layout):
        for found in flows:
            whole = found.condenser is not None
            assert whole == (found.evaporator is not None) == (found.metering.working is not None and found.path[-1].leaves == "suction")
            assert all(part in remark and state in remark for (part, state), remark in zip(stuck.items(), found.remarks))
            assert (not whole) == any(remark.startswith((NOTHING_METERS, BLOCKED)) for remark in found.remarks)
            if whole:
                assert {INDOOR_COIL, OUTDOOR_COIL} == {found.condenser, found.evaporator}


@pytest.mark.parametrize("layout", MeteringLayout)
def test_stickable_parts_are_the_parts_of_the_layout(layout):
    """Only parts that the layout has can be stuck, each in the states that it knows."""
    each = layout is MeteringLayout.EACH_COIL
    devices = {MeteringLayout.OUTDOOR: [OUTDOOR_DEVICE], MeteringLayout.INDOOR: [INDOOR_DEVICE]}.get(layout, [OUTDOOR_DEVICE, INDOOR_DEVICE])
    expected = {REVERSING_VALVE: ("heating", "cooling", "between", "leaking")} | {device: ("open", "shut") for device in devices}
    expected |= {check: ("open", "shut", "leaking") for check in (OUTDOOR_CHECK, INDOOR_CHECK) if each}
    assert expected == reversible_circuit(layout).stickable()


@pytest.mark.parametrize("energised_in", [HEATING, COOLING])
def test_both_wirings_of_the_solenoid_are_explicit(energised_in):
    """Energised, the spool stands where the wiring says; without current in the other position."""
    valve = ReversingValve(energised_in=energised_in)
    assert (energised_in, {HEATING, COOLING}) == (valve.position(True), {valve.position(True), valve.position(False)})


def test_solenoid_is_never_energised_between():
    """No reversing valve is wired to stop half-way."""
    with pytest.raises(CircuitError, match="never between"):
        ReversingValve(energised_in=BETWEEN)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: ValvePosition.named("heat"), "valve position 'heat' is not known; did you mean heating"),
        (lambda: MeteringLayout.named("every-coil"), "metering layout 'every-coil' is not known"),
        (lambda: flow(reversible_circuit(), COOLING, stuck={"indoor check": "open"}), "part 'indoor check' is not known; did you mean indoor check valve"),
        (lambda: flow(reversible_circuit(), COOLING, stuck={INDOOR_CHECK: "ajar"}), "state of the indoor check valve 'ajar' is not known"),
        (lambda: flow(reversible_circuit(MeteringLayout.OUTDOOR), COOLING, stuck={INDOOR_CHECK: "open"}), "is not known"),
        (lambda: flow(reversible_circuit(), "sideways"), "'sideways' is not known"),
        (lambda: reversible_circuit("nowhere"), "'nowhere' is not known"),
        (lambda: walked(MeteringLayout.EACH_COIL, COOLING).place("5"), "state point '5' is not known"),
        (lambda: MeteringDevice("x", "magic", INDOOR_COIL), "kind of metering device 'magic' is not known"),
        (lambda: MeteringDevice("x", "fixed orifice", "kitchen"), "metering direction 'kitchen' is not known"),
        (lambda: reversible_circuit(MeteringLayout.OUTDOOR, kind="magic"), "kind of metering device 'magic' is not known"),
        (lambda: CheckValve("x", opens_towards="kitchen"), "'kitchen' is not known"),
        (lambda: CheckValve("x", opens_towards=INDOOR_COIL).passages("ajar"), "state of a check valve 'ajar' is not known"),
        (lambda: MeteringDevice("x", "fixed orifice", INDOOR_COIL).passages("lifted"), "state of a metering device 'lifted' is not known"),
        (lambda: reversible_circuit(fittings=("accumulator",)), "fitting 'accumulator' is not known; did you mean suction accumulator"),
        (lambda: reversible_circuit(fittings="receiver"), "fitting 'receiver' is not known"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)  # fmt: skip
def test_unknown_word_is_refused_with_the_known_ones(call, says):
    """A word that the circuit does not know is refused, with the nearest known ones."""
    with pytest.raises(UnknownNameError, match=says):
        call()


@pytest.mark.parametrize("layout", MeteringLayout)
def test_layout_given_as_its_plain_word_is_never_another_circuit(layout):
    """The plain word of a layout makes the same circuit, or is refused; it is never taken for another."""
    try:
        assert reversible_circuit(layout) == reversible_circuit(layout.value)
    except HpteachError as refusal:
        assert layout.value in str(refusal)


def test_flow_cannot_be_changed():
    """A flow is a result: its fields and its check valves are fixed."""
    found = walked(MeteringLayout.EACH_COIL, COOLING)
    with pytest.raises(AttributeError):
        found.condenser = INDOOR_COIL
    with pytest.raises(TypeError):
        found.check_valves["indoor"] = "open"
