"""The panel of claims on trial, driven by its controls and keys without a browser."""

from __future__ import annotations

import re
from html import escape

import pytest

from hpteach.claims import VERDICTS, claims, try_claim
from hpteach.errors import InputError, UnknownNameError
from hpteach.panels import ClaimsOnTrial
from hpteach.panels.claims import CONFIDENCES, EVIDENCE, NOT_YET, OF_QUESTIONS, VOTE
from hpteach.questions import deal, read_bank

FALSE, HALF, LIMITED = VERDICTS


def shown(view: ClaimsOnTrial) -> str:
    """All that the panel says of its claim."""
    return "".join(one.value for one in (*view.texts, view.score))


def settled(claim: str, vote: str = FALSE, **settings: str) -> ClaimsOnTrial:
    """The panel with a vote and the evidence."""
    view = ClaimsOnTrial(claim=claim, **settings)
    view.set({"vote": vote, "stage": EVIDENCE})
    return view


def test_nothing_is_given_away_before_the_vote() -> None:
    """At first there is the claim alone: no verdict, no table, no figure, no word of what to say instead."""
    view = ClaimsOnTrial(claim="low-suction-means-low-charge")
    assert (NOT_YET, VOTE, None) == (view.controls["vote"].value, view.controls["stage"].value, view.refusal)
    assert escape(view.trial.told("claim")) in shown(view)
    for part in ("settles", "nearly_true_when", "say_instead"):
        assert escape(view.trial.told(part)) not in shown(view)
    assert "Verdict" not in shown(view) and "<table" not in shown(view)


@pytest.mark.parametrize("units", ["SI", "IP"])
@pytest.mark.parametrize("claim", [id for id in claims()])
def test_the_evidence_of_every_claim_is_shown(claim: str, units: str) -> None:
    """After the vote come verdict, texts, every figure and every place looked at, in the reader's units; the picture is drawn."""
    view = settled(claim, units=units)
    trial, told = try_claim(claim), shown(view)
    assert view.refusal is None and f"Verdict: {trial.verdict}." in told
    for part in ("claim", "settles", "nearly_true_when", "say_instead"):
        assert escape(trial.told(part, units)) in told
    for figure in trial.figures:
        assert f"<td style=\"text-align:left\">{escape(figure.words)}</td><td style=\"text-align:right\">{escape(figure.shown(units))}</td>" in told
    assert len(trial.looks) == told.count(">holds<") + told.count(">does not hold<")
    assert f"lesson {trial.lesson}" in told and view._picture.image.value


@pytest.mark.parametrize(
    ("vote", "confidence", "kind", "says"),
    [
        (HALF, "certain", "hpteach-right", "You voted “half true” (certain)."),
        (HALF, "a guess", "hpteach-right", "A good guess"),
        (FALSE, "certain", "hpteach-wrong", "Certain and not right"),
        (LIMITED, "fairly sure", "hpteach-wrong", "You voted “true within limits” (fairly sure)."),
    ],
)
def test_a_vote_is_judged_with_its_confidence(vote: str, confidence: str, kind: str, says: str) -> None:
    """Right and wrong have borders of their own; who was certain and wrong, and who guessed right, is told so."""
    view = ClaimsOnTrial(claim="energised-means-cooling")
    view.set({"vote": vote, "confidence": confidence, "stage": EVIDENCE})
    assert kind in view.claim_shown.value and says in view.claim_shown.value
    assert (vote, confidence, vote == HALF) == view.record["energised-means-cooling"]


def test_evidence_without_a_vote_is_refused() -> None:
    """Who asks for the evidence before anybody has voted is asked to vote, and sees nothing new; with hands of the room it is shown."""
    view = ClaimsOnTrial(claim="glide-is-a-fault")
    before = shown(view)
    view.controls["stage"].value = EVIDENCE
    assert "vote first" in view.refusal and before == shown(view)
    view.controls["hands_false"].value = 3.0
    assert view.refusal is None and "Verdict: false." in shown(view) and {} == view.record


def test_the_hands_of_the_room_are_counted() -> None:
    """A key adds a hand, with Shift it takes one away; the picture shows them, and the evidence says how many were right."""
    view = ClaimsOnTrial(claim="glide-is-a-fault")
    empty = bytes(view._picture.image.value)
    for key in "fffFhtt":
        view.key(key)
    assert {FALSE: 2, HALF: 1, LIMITED: 2} == view.hands
    assert empty != bytes(view._picture.image.value)
    view.key("e")
    assert "Of 5 hands 2 were for the verdict." in view.reading.value


def test_the_next_claim_begins_anew() -> None:
    """Another claim has no vote, no hands and no evidence yet; the confidence and the units stay; after the last comes the first."""
    view = settled("energised-means-cooling", group="controls", units="IP")
    view.set({"confidence": "certain", "hands_half": 4.0})
    view.key("c")
    assert (NOT_YET, VOTE, "certain", "IP") == tuple(view.controls[name].value for name in ("vote", "stage", "confidence", "units"))
    assert 0 == sum(view.hands.values()) and list(claims("controls"))[0] == view.trial.id
    assert "Claim 1 of 3" in view.claim_shown.value and "Verdict" not in shown(view)


def test_keys_suffice() -> None:
    """Three claims are voted on, with confidence, and settled by keys alone; the first votes are added up."""
    view = ClaimsOnTrial(group="states and tables")
    for keys in ("vse", "cve", "cvvsse"):
        for key in keys:
            view.key(key)
    assert 3 == len(view.record)
    assert [FALSE, FALSE, HALF] == [vote for vote, *_ in view.record.values()]
    right = sum(vote == try_claim(id).verdict for id, (vote, *_) in view.record.items())
    assert f"right: {right}" not in shown(view) and f"{right} of 3 right." in view.score.value


def test_the_first_vote_counts() -> None:
    """Who votes again after the evidence is judged again, but what is added up stays."""
    view = settled("glide-is-a-fault", vote=LIMITED)
    view.controls["vote"].value = FALSE
    assert "hpteach-right" in view.claim_shown.value
    assert (LIMITED, CONFIDENCES[0], False) == view.record["glide-is-a-fault"] and "0 of 1 right" in view.score.value


def test_those_that_one_was_certain_of_are_added_up() -> None:
    """How many of the certain votes were right stands beside how many of all."""
    view = ClaimsOnTrial(group="controls")
    for vote, confidence in ((HALF, "certain"), (FALSE, "certain"), (HALF, "a guess")):
        view.set({"vote": vote, "confidence": confidence, "stage": EVIDENCE})
        view.key("c")
    assert "2 of 3 right" in view.score.value and "certain of: 1 of 2" in view.score.value


def test_a_group_has_its_claims_only() -> None:
    """A group leaves its own claims, numbered from one; all groups together are all claims, each once."""
    groups = dict.fromkeys(try_claim(id).group for id in claims())
    found = [value for group in groups for _, value in ClaimsOnTrial(group=group).controls["claim"].options]
    assert sorted(claims()) == sorted(found)
    assert "1. Higher setting heats faster" == ClaimsOnTrial(group="controls").controls["claim"].options[0][0]


@pytest.mark.parametrize("question", list(OF_QUESTIONS))
@pytest.mark.parametrize("units", ["SI", "IP"])
def test_a_prediction_opens_its_claim(question: str, units: str) -> None:
    """The panel behind a prediction stands at the claim that was predicted, in its units, and asks for the vote."""
    view = ClaimsOnTrial.for_question(deal(read_bank().question(question), 1, units))
    assert (OF_QUESTIONS[question], units, VOTE) == (view.trial.id, view.system, view.controls["stage"].value)


def test_wrong_settings_are_refused() -> None:
    """A claim, a group, a unit system or a question that is not there is refused by name."""
    for settings in ({"claim": "heat-is-cold"}, {"group": "weather reports"}, {"units": "metric"}, {"claim": "glide-is-a-fault", "group": "controls"}):
        with pytest.raises(UnknownNameError, match="is not known"):
            ClaimsOnTrial(**settings)
    with pytest.raises(InputError, match="about no claim"):
        ClaimsOnTrial.for_question(deal(read_bank().question("cooling-cop"), 1))


def test_the_picture_tells_kinds_apart() -> None:
    """Powers are bars from nothing; gauge readings are marks on lines, as their zero is not nothing; without figures there is no row."""
    from hpteach.diagrams import SCREEN
    from hpteach.live import LiveFigure
    from hpteach.panels.claims_picture import draw_figures, draw_hands

    live = LiveFigure(300, 200)
    bars, marks = try_claim("no-heat-below-freezing"), try_claim("low-suction-means-low-charge")
    draw_figures(live, [bars.figure(name) for name in bars.chart], "SI", SCREEN)
    assert [round(bars.figure(name).value / 1e3, 6) for name in bars.chart] == [round(patch.get_width(), 6) for patch in live.figure.axes[0].patches]
    draw_figures(live, [marks.figure(name) for name in marks.chart], "IP", SCREEN)
    (axes,) = live.figure.axes
    assert [] == list(axes.patches) and len(marks.chart) == sum(line.get_marker() == "o" for line in axes.lines)
    assert re.fullmatch(r".*psig", axes.get_title(loc="left"))
    draw_figures(live, [], "SI", SCREEN)
    assert [] == list(live.figure.axes[0].patches)
    draw_hands(live, {FALSE: 3, HALF: 0, LIMITED: 1}, SCREEN)
    assert [3.0, 0.0, 1.0] == [patch.get_width() for patch in live.figure.axes[0].patches]
