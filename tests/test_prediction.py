"""A prediction, driven without a browser: commit first, then see, and what of it is recorded."""

from __future__ import annotations

import pytest

from hpteach.assessment import Progress
from hpteach.errors import ProgressError
from hpteach.panels import CycleExplorer, Prediction


def test_an_error_of_our_own_is_said_and_raised() -> None:
    """Whatever goes wrong behind a button stands in the status line."""
    view = Prediction("predict-which-coil", then=lambda variant: 1 / 0)
    view.controls["prediction"].value = view.variant.parts[0].choices[0]
    with pytest.raises(ZeroDivisionError):
        view.commit()
    assert "error of its own" in view.status.value


def test_a_prediction_can_be_read_in_either_system() -> None:
    """Turning the units deals the same set in the other system."""
    view = Prediction("predict-which-coil")
    assert "°C" in view.variant.prompt
    view.controls["units"].value = "IP"
    assert "°F" in view.variant.prompt and "°F" in view._prompt.value


def test_a_prediction_comes_before_what_it_opens() -> None:
    """Nothing is shown until a choice is committed; then the verdict and the panel appear, once."""
    made: list[str] = []
    view = Prediction("predict-which-coil", then=lambda variant: made.append(variant.prompt) or CycleExplorer.for_question(variant))
    view.commit()
    assert view.revealed is None and "Choose what you expect" in view.status.value
    part = view.variant.parts[0]
    wrong = next(choice for choice in part.choices if choice != part.answer)
    view.controls["prediction"].value = wrong
    view.commit()
    view.commit()
    assert "Not right." == view.controls["prediction"].verdict["rows"][0]["word"]
    assert view.reading.value and view.revealed is not None and 1 == len(made)


def test_the_form_commits_by_its_button() -> None:
    """The button of the form is the one that commits."""
    view = Prediction("predict-which-coil", then=lambda variant: CycleExplorer.for_question(variant))
    view.controls["prediction"].value = view.variant.parts[0].answer
    view.controls["prediction"].check()
    assert "Commit, then show" == view.controls["prediction"].button
    assert "Right." == view.controls["prediction"].verdict["rows"][0]["word"] and view.revealed is not None


def test_the_first_commit_alone_is_recorded() -> None:
    """A prediction is a guess before anything is shown: what is chosen after it counts no more."""
    progress = Progress.off()
    view = Prediction("predict-which-coil", then=lambda variant: CycleExplorer.for_question(variant), progress=progress)
    part = view.variant.parts[0]
    wrong = next(choice for choice in part.choices if choice != part.answer)
    for answer in (wrong, part.answer):
        view.controls["prediction"].value = answer
        view.commit()
    assert [("predict-which-coil", part.id, wrong, False)] == [(one.question, one.part, one.text, one.correct) for one in progress.attempts()]


def test_a_record_that_cannot_be_written_opens_all_the_same() -> None:
    """The status line says why nothing was kept; verdict and panel are there."""

    class Full(Progress):
        def record(self, attempt: object) -> None:
            raise ProgressError("the record cannot be written: free some room")

    view = Prediction("predict-which-coil", then=lambda variant: CycleExplorer.for_question(variant), progress=Full(None))
    view.controls["prediction"].value = view.variant.parts[0].answer
    view.commit()
    assert "cannot be written" in view.status.value and view.revealed is not None and view.refusal is None


def test_an_earlier_form_is_closed() -> None:
    """Turning the units leaves no form of the other system behind."""
    view = Prediction("predict-which-coil")
    old = view.controls["prediction"]
    view.controls["units"].value = "IP"
    assert old.comm is None and view.controls["prediction"] is not old
