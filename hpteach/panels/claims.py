"""Claims on trial: vote on a claim with a confidence, then see the figures that settle it.

What lives here: `ClaimsOnTrial`.  What does not: the claims, their figures and texts (claims), the picture (claims_picture).
"""

from __future__ import annotations

from html import escape

import ipywidgets

from hpteach.claims import VERDICTS, TrialOfClaim, claims, try_claim
from hpteach.diagrams import SCREEN, Style
from hpteach.errors import InputError, UnknownNameError
from hpteach.live import LiveFigure
from hpteach.panels.claims_picture import HEIGHT, WIDTH, draw_figures, draw_hands
from hpteach.panels.foresight import Told
from hpteach.panels.parts import WRAPPED, beside, buttons, dropdown, labelled, press, slider
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.questions import Variant
from hpteach.tables import Table

NOT_YET = "not yet"
CONFIDENCES = ("a guess", "fairly sure", "certain")
VOTE, EVIDENCE = "vote", "evidence"
_HANDS = {"hands_false": VERDICTS[0], "hands_half": VERDICTS[1], "hands_true": VERDICTS[2]}
_MOST_HANDS = 60.0

OF_QUESTIONS = {
    "predict-high-head": "high-head-means-overcharge",
    "predict-thermostat-set-higher": "higher-setting-heats-faster",
}
"""The claim that each prediction of the bank is about."""


class ClaimsOnTrial(View):
    """One claim at a time: the vote, how sure, the hands of the room; then the evidence, the verdict and what to say instead.

    `controls` has claim (its id), vote, confidence, stage ("vote" or "evidence"), units, and hands_false, hands_half and
    hands_true, which count the room.  `group` leaves only the claims of one group.  `trial` is the present one, `record` what was voted on.

    >>> view = ClaimsOnTrial(claim="no-heat-below-freezing")
    >>> view.set({"vote": "false", "stage": "evidence"})
    >>> view.trial.verdict, view.record["no-heat-below-freezing"]
    ('false', ('false', 'a guess', True))
    """

    KEYS = {
        "f": "hands_false", "h": "hands_half", "t": "hands_true", "c": "claim", "v": "vote", "s": "confidence", "e": "stage", "u": "units",
    }  # fmt: skip

    def __init__(self, *, claim: str | None = None, group: str | None = None, units: Units = None, style: Style = SCREEN) -> None:
        super().__init__("claims on trial")
        units = self.take_units(units)
        self._titles = claims(group)
        if claim is not None and claim not in self._titles:
            raise UnknownNameError.among("claim", claim, self._titles)
        self.style = style
        self.record: dict[str, tuple[str, str, bool]] = {}
        self._picture = LiveFigure(WIDTH, HEIGHT, scale=1.2, words="Hands of the room, or figures of the claim. The tables and the sentences tell the same.")
        self.claim_shown, self.looks_table, self.figures_table, self.score = (ipywidgets.HTML() for _ in range(4))
        named = [(f"{number}. {title}", id) for number, (id, title) in enumerate(self._titles.items(), 1)]
        self.controls = {
            "claim": dropdown("claim", named, claim or next(iter(self._titles))),
            "vote": buttons([NOT_YET, *VERDICTS], NOT_YET, "vote"),
            "confidence": buttons(list(CONFIDENCES), CONFIDENCES[0], "confidence"),
            "stage": buttons([VOTE, EVIDENCE], VOTE, "what is shown"),
            "units": buttons(["SI", "IP"], units, "units"),
            **{name: slider(f"hands: {verdict.removeprefix('true ')}", 0.0, _MOST_HANDS, 1.0, 0.0) for name, verdict in _HANDS.items()},
        }
        for name in _HANDS:
            self.controls[name].readout_format = ".0f"
        self.controls["vote"].style.button_width = "auto"
        self._lay_out()
        self._changed(None)
        self.controls["claim"].observe(self._next_claim, "value")
        self.watch(name for name in self.controls if name not in ("claim", "units"))
        self.turns_units(self._changed)

    @classmethod
    def for_question(cls, variant: Variant) -> ClaimsOnTrial:
        """The panel at the claim that a prediction is about, in its units; raises `InputError` for another question.

        >>> from hpteach.questions import deal, read_bank
        >>> ClaimsOnTrial.for_question(deal(read_bank().question("predict-high-head"), 1, "IP")).trial.id
        'high-head-means-overcharge'
        """
        claim = OF_QUESTIONS.get(variant.question.id)
        if claim is None:
            raise InputError(f"question {variant.question.id!r} is about no claim: use one of {', '.join(OF_QUESTIONS)}")
        return cls(claim=claim, units=variant.system)

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self.controls["units"].value

    @property
    def trial(self) -> TrialOfClaim:
        """The claim on trial."""
        return try_claim(self.controls["claim"].value)

    @property
    def hands(self) -> dict[str, int]:
        """The hands of the room by verdict."""
        return {verdict: round(self.controls[name].value) for name, verdict in _HANDS.items()}

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Claim, tables and reading."""
        return (self.claim_shown, self.looks_table, self.figures_table, self.reading)

    def refresh(self) -> None:
        """Show the claim with the hands of the room, or its evidence.  Raises `InputError` where evidence is asked before anybody has voted."""
        vote, evidence = self.controls["vote"].value, self.controls["stage"].value == EVIDENCE
        if evidence and vote == NOT_YET and not any(self.hands.values()):
            raise InputError("vote first, or count the hands of the room: a wrong vote teaches as much as a right one")
        trial, system = self.trial, self.system
        number = list(self._titles).index(trial.id) + 1
        claim = f"<h3>Claim {number} of {len(self._titles)}</h3><p style='font-size: 1.25em'><b>“{escape(trial.told('claim', system))}”</b></p>"
        if not evidence:
            draw_hands(self._picture, self.hands, self.style)
            self.claim_shown.value, self.looks_table.value, self.figures_table.value = claim, "", ""
            self.reading.value = f"<p>False, half true, or true within limits? How sure are you? Vote, then choose <i>{EVIDENCE}</i>.</p>"
            return
        draw_figures(self._picture, [trial.figure(name) for name in trial.chart], system, self.style)
        if vote != NOT_YET:  # the first vote counts: who looks and votes again learns nothing of himself
            self.record.setdefault(trial.id, (vote, self.controls["confidence"].value, vote == trial.verdict))
        self.claim_shown.value = claim + _verdict(trial, vote, self.controls["confidence"].value)
        self.looks_table.value, self.figures_table.value = (_in_html(table(trial, system)) for table in (_looks, _figures))
        self.reading.value = self._of_the_room() + _words(trial, system)
        self.score.value = self._scored()

    def told(self) -> dict[str, Told]:
        """What can be predicted: the verdict."""
        verdict = f"verdict {self.trial.verdict}"
        return {"verdict on this claim": Told(verdict, verdict, tuple(f"verdict {one}" for one in VERDICTS))}

    def _next_claim(self, _change: object) -> None:
        """Another claim is voted on anew."""
        with self.held():
            self.controls["vote"].value, self.controls["stage"].value = NOT_YET, VOTE
            for name in _HANDS:
                self.controls[name].value = 0.0

    def _of_the_room(self) -> str:
        hands, all_hands = self.hands, sum(self.hands.values())
        if not all_hands:
            return ""
        return f"<p>Of {all_hands} hands {hands[self.trial.verdict]} were for the verdict.</p>"

    def _scored(self) -> str:
        if not self.record:
            return ""
        right = sum(1 for *_, is_right in self.record.values() if is_right)
        sure = [is_right for _, confidence, is_right in self.record.values() if confidence == CONFIDENCES[-1]]
        certain = f" Of those that you were certain of: {sum(sure)} of {len(sure)}." if sure else ""
        return f"<p>Your first votes so far: {right} of {len(self.record)} right.{certain}</p>"

    def _lay_out(self) -> None:
        c = self.controls
        following = press("Next claim")
        following.on_click(lambda _: self.key("c"))
        column = {"flex": "1 1 420px", "min_width": "300px"}
        rows = [labelled(text, c[name]) for text, name in (("your vote", "vote"), ("how sure", "confidence"), ("shown", "stage"), ("units", "units"))]
        left = ipywidgets.VBox([c["claim"], *rows[:3]], layout=column)
        right = ipywidgets.VBox([*(c[name] for name in _HANDS), rows[3], following], layout=column)
        texts = ipywidgets.VBox([self.reading, self.score], layout={"flex": "1 1 420px", "min_width": "300px"})
        tables = ipywidgets.Box([ipywidgets.VBox([one], layout=column) for one in (self.looks_table, self.figures_table)], layout=WRAPPED)
        self.claim_shown.add_class("hpteach-first")
        self.sharpen(self._picture)
        self.arrange([self.claim_shown, ipywidgets.Box([left, right], layout=WRAPPED)], [beside(self._picture.image, texts), tables])
        self.claim_shown.remove_class("hpteach-controls")  # it stays on top, where the panel is larger too


def _verdict(trial: TrialOfClaim, vote: str, confidence: str) -> str:
    said = f"<b>Verdict: {escape(trial.verdict)}.</b>"
    if vote == NOT_YET:
        return f'<div class="hpteach-note" role="status">{said}</div>'
    right = vote == trial.verdict
    more = f"You voted “{vote}” ({confidence})."
    if not right and confidence == CONFIDENCES[-1]:
        more += " Certain and not right: these are the claims that are worth most to look at."
    elif right and confidence == CONFIDENCES[0]:
        more += " A good guess: see why."
    kind = "hpteach-right" if right else "hpteach-wrong"
    return f'<div class="hpteach-note {kind}" role="status" aria-live="polite">{said} {escape(more)}</div>'


def _words(trial: TrialOfClaim, system: str) -> str:
    parts = (("What the figures say", "settles"), ("Nearly true when", "nearly_true_when"), ("Say instead", "say_instead"))
    told = "".join(f"<p><b>{heading}.</b> {escape(trial.told(part, system))}</p>" for heading, part in parts)
    return f"{told}<p>More of it in lesson {trial.lesson}. The machines are invented; the figures are computed.</p>"


def _in_html(table: Table) -> str:
    return f'<div class="hpteach-wide">{table._repr_html_()}</div>'


def _looks(trial: TrialOfClaim, system: str) -> Table:
    rows = [(trial.fill(one.words, system), "every day" if one.every_day else "seldom", "holds" if one.holds else "does not hold") for one in trial.looks]
    return Table("Where it was looked whether the claim holds", ("where", "how often met", "the claim"), rows)


def _figures(trial: TrialOfClaim, system: str) -> Table:
    return Table("The figures", ("what", "figure"), [(one.words, one.shown(system)) for one in trial.figures], right=(1,))
