"""What a path through the circuit tells: roles, states of the lines, what is felt, and the order of parts."""

import re

import pytest

from hpteach.circuit import FEELS, MeteringLayout, ValvePosition, flow, position_by_feel, reversible_circuit
from hpteach.errors import CircuitError, UnknownNameError
from hpteach.questions import deal, read_bank
from hpteach.questions.paths import FLAGS, WORDS, StatedCircuit, flags, flow_of, ranked, stated_circuit, stuck, turned, words

MODES = (ValvePosition.HEATING, ValvePosition.COOLING)


def stands(mode, layout="each-coil", held="nothing"):
    return flow_of(StatedCircuit(ValvePosition(mode), MeteringLayout(layout), held))


@pytest.mark.parametrize(
    ("mode", "layout", "liquid_line", "device"),
    [
        ("cooling", "each-coil", "liquid", "indoor"),
        ("heating", "each-coil", "liquid", "outdoor"),
        ("cooling", "outdoor", "mixture", "outdoor"),
        ("heating", "outdoor", "liquid", "outdoor"),
        ("cooling", "indoor", "liquid", "indoor"),
        ("heating", "indoor", "mixture", "indoor"),
    ],
)
def test_liquid_line_holds_liquid_before_the_device_and_mixture_behind(mode, layout, liquid_line, device):
    """Whether the liquid line holds liquid or mixture depends on which side of it meters."""
    found = flags(stands(mode, layout))
    assert {"liquid": (1.0, 0.0), "mixture": (0.0, 1.0)}[liquid_line] == (found["liquid_line_liquid"], found["liquid_line_mixture"])
    assert 1.0 == found[f"{device}_device_meters"]


@pytest.mark.parametrize(
    ("mode", "held", "effect"),
    [
        ("cooling", "indoor check valve=open", "nothing_meters"), ("heating", "outdoor check valve=open", "nothing_meters"),
        ("cooling", "outdoor check valve=shut", "blocked"), ("heating", "indoor check valve=shut", "blocked"),
        ("cooling", "outdoor check valve=open", None), ("heating", "outdoor check valve=shut", None),
    ],
)  # fmt: skip
def test_stuck_check_valve_harms_in_one_position(mode, held, effect):
    """A check valve stuck open or shut harms only where it should stand the other way."""
    found = flags(stands(mode, held=held))
    harm = {name for name in ("nothing_meters", "blocked") if found[name]}
    assert ({effect} if effect else set()) == harm - ({"nothing_meters"} if effect == "blocked" else set())


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("layout", MeteringLayout)
def test_feel_leads_back_to_the_position(mode, layout):
    """What the words say of the lines is what `position_by_feel` reads the position from."""
    told = words(stands(mode, layout))
    felt = {"vapour line": told["vapour_line_feels"], "outdoor coil line": told["outdoor_pipe_feels"]}
    assert set(felt.values()) <= set(FEELS)
    assert mode is position_by_feel(felt).position


@pytest.mark.parametrize("seed", range(20))
def test_spool_asked_for_stands_where_the_lines_say(seed):
    """What the probes of a dealt question show leads `position_by_feel` to the key, also between the seats."""
    variant = deal(read_bank().question("valve-that-does-not-follow"), seed)
    vapour, outdoor, suction = re.search(r"vapour line (\w+), .* outdoor coil (\w+), suction line (\w+)\.", variant.prompt).groups()
    found = position_by_feel({"vapour line": vapour, "outdoor coil line": outdoor, "suction line": suction}).position
    keys = {"for heating": ValvePosition.HEATING, "for cooling": ValvePosition.COOLING, "between its seats": ValvePosition.BETWEEN}
    assert keys[variant.parts[0].answer] is found
    assert "On paper only" in variant.prompt


def test_spool_follows_in_some_sets_and_not_in_others():
    """The title asks, as some sets have the spool where the control wants it, some at the other end, some between."""
    question = read_bank().question("valve-that-does-not-follow")
    assert "Does the valve follow?" == question.title
    variants = [deal(question, seed) for seed in range(40)]
    asked = [re.search(r"asks for (\w+)", variant.prompt)[1] for variant in variants]
    assert {(wanted, found) for wanted in ("heating", "cooling") for found in ("for heating", "for cooling", "between its seats")} == {
        (wanted, variant.parts[0].answer) for wanted, variant in zip(asked, variants)
    }


@pytest.mark.parametrize("seed", range(6))
def test_orifice_asked_for_meters_on_the_path(seed):
    """The orifice that a dealt question takes as metering is the one that meters on the path of fixed orifices."""
    variant = deal(read_bank().question("orifice-that-seats-one-way"), seed)
    found = flow(reversible_circuit(kind="fixed orifice"), ValvePosition(re.search(r"runs in (\w+)", variant.prompt)[1]))
    assert f"the one at the {found.evaporator}" == variant.parts[0].answer
    assert found.metering.working.startswith(found.evaporator.split()[0])


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(
    ("id", "line"), [("position-by-the-outdoor-pipe", "outdoor coil line"), ("position-by-the-vapour-line", "vapour line")]
)
def test_position_asked_for_is_felt(id, line, seed):
    """The discharge line and the one line that a dealt question tells of lead to its key."""
    variant = deal(read_bank().question(id), seed)
    feel = re.search(r"outdoor coil is (\w+)\.|indoor coil, is (\w+)\.", variant.prompt)
    found = position_by_feel({"discharge line": "hot", line: feel[1] or feel[2]}).position
    assert f"in {found.value}" == variant.parts[0].answer
    assert "discharge line is hot" in variant.prompt


@pytest.mark.parametrize("question", [question for question in read_bank().questions.values() if question.topic in ("circuit", "metering")], ids=lambda question: question.id)
def test_probes_and_faults_come_with_a_caution(question):
    """A question that tells of probes, or of a part that sticks, is on paper only."""
    prompt = deal(question, 1).prompt
    assert ("On paper only" in prompt) is any(word in prompt.lower() for word in ("probe", "stuck"))


def test_suction_comes_last_on_the_path():
    """The walk begins at the discharge and ends at the suction, in either position."""
    for mode in MODES:
        assert (2, 1, 0) == ranked(stands(mode), ("compressor, suction", "liquid line", "compressor, discharge"))


def test_suction_is_hot_with_the_spool_between():
    """Between its seats the spool lets hot gas into the suction line, and no coil condenses."""
    found = stands("cooling", held="reversing valve=between")
    assert ("hot", "") == (words(found)["suction_line_feels"], words(found)["condenser"])
    assert 1.0 == flags(found)["between"]


@pytest.mark.parametrize("mode", MODES)
def test_only_vapour_and_liquid_line_turn(mode):
    """Turning the valve turns the flow in every line but those at the compressor."""
    found = flags(stands(mode))
    assert (0.0, 1.0, 1.0) == tuple(found[f"{line}_line_turns"] for line in ("discharge", "vapour", "liquid"))


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("layout", MeteringLayout)
def test_every_flag_and_word_is_there(mode, layout):
    """Each name that a question may use has a value, in every position and layout."""
    assert set(FLAGS) == set(flags(stands(mode, layout)))
    assert set(WORDS) == set(words(stands(mode, layout)))


@pytest.mark.parametrize(
    ("wired", "current", "position"),
    [("heating", "energised", "heating"), ("heating", "not energised", "cooling"), ("cooling", "energised", "cooling"), ("cooling", "not energised", "heating")],
)
def test_position_follows_from_wiring_and_solenoid(wired, current, position):
    """The wiring alone does not say where the valve stands, nor does the current."""
    assert position == stated_circuit({"energised_in": wired, "solenoid": current}).valve_position
    assert turned(turned(ValvePosition(position))) == position


def test_sides_of_a_coil_are_met_in_the_direction_of_flow():
    """In cooling the outdoor coil is entered by its vapour side; a bypassed device counts as its check valve."""
    assert (1, 0) == ranked(stands("cooling"), ("outdoor coil, liquid side", "outdoor coil, vapour side"))
    assert (0, 1) == ranked(stands("heating"), ("outdoor coil, liquid side", "outdoor coil, vapour side"))
    assert (1, 0) == ranked(stands("cooling"), ("liquid line", "outdoor metering device"))


def test_what_is_met_twice_or_not_at_all_is_refused():
    """The reversing valve is passed twice, and a pump is not there."""
    for name, times in (("reversing valve", 2), ("pump", 0)):
        with pytest.raises(CircuitError, match=f"the {name} is met {times} times"):
            ranked(stands("cooling"), ("compressor", name, "liquid line"))
    for text in ("pump=shut", "outdoor check valve=bent", "open"):
        with pytest.raises(UnknownNameError):
            stuck(text)
    with pytest.raises(UnknownNameError, match="state of the solenoid"):
        stated_circuit({"energised_in": "heating", "solenoid": "on"})
