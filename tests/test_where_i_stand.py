"""The panel that shows where a learner stands (hpteach/panels/where_i_stand.py)."""

import base64
import csv
import html
import io
import re
from dataclasses import replace
from types import MappingProxyType

import pytest

from hpteach.assessment import Progress, attempt_of
from hpteach.panels import WhereIStand
from hpteach.panels.where_i_stand import OFF
from hpteach.questions import Bank, check, deal, read_bank


def answers():
    """One right and two wrong answers of two topics, as the record keeps them."""
    bank, found = read_bank(), []
    for id, wrong in (("read-a-gauge", False), ("read-a-gauge", True), ("order-the-circuit", True)):
        variant = deal(bank.question(id), 7)
        part = variant.parts[0]
        text = part.answer if isinstance(part.answer, str) else f"{part.answer / 1e5:.4f} bar"
        if wrong:
            mistake = next(one for one in part.mistakes if one.id in ("gauge_read_as_absolute", "coils_swapped"))
            text = mistake.value if isinstance(mistake.value, str) else f"{mistake.value / 1e5:.4f} bar"
        found.append(attempt_of(variant, part.id, text, check(variant, text, part.id)))
    return found


@pytest.fixture
def progress(tmp_path):
    """A record of these answers."""
    record = Progress.open(tmp_path / "progress.sqlite3")
    for one in answers():
        record.record(one)
    return record


def said(view):
    """The texts of the panel without their marks."""
    return html.unescape(re.sub("<[^>]*>", " ", " ".join(one.value for one in (view.reading, view.mistakes, view.table, view.status))))


def shown(widget):
    return widget.layout.display != "none"


def test_it_shows_bars_words_and_what_is_next(progress):
    """The picture has a bar for each tried topic, its words tell the same, and below stand the misunderstandings with what corrects them."""
    view = WhereIStand(progress=progress)
    assert "start: 1 right, 1 wrong" in view.picture.image.words and "circuit: 0 right, 1 wrong" in view.picture.image.words
    assert b"\x89PNG" == bytes(view.picture.image.value)[:4]
    text = said(view)
    assert "1 of 3 answers right." in text and "What next:" in text and view.following.why in text
    assert "Gauge read as absolute (once, still open): A gauge counts from the pressure of the air around it." in " ".join(text.split())
    assert "Not tried yet:" in text and f"Your answers lie in {progress.path}, and nowhere else." in text
    assert 3 == view.standing.answers


def test_nothing_yet_is_said_kindly(tmp_path):
    """Before any answer there is no picture and nothing to save or delete, but what to begin with; no file is made."""
    view = WhereIStand(progress=Progress.open(tmp_path / "progress.sqlite3"))
    assert view.picture is None and () == view._drawing.children
    assert "You have answered no question yet." in said(view)
    assert "" == view._file.value and not shown(view._delete)
    assert [] == list(tmp_path.iterdir())


def test_looking_again_shows_what_was_answered_since(progress):
    """The record is read again when it is asked for, and the last picture is closed."""
    view = WhereIStand(progress=progress)
    before = view.picture.image
    Progress.open(progress.path).record(answers()[0])
    view.look()
    assert "2 of 4 answers right." in said(view)
    assert before is not view.picture.image and before.comm is None


def test_larger_type_makes_the_picture_larger(progress):
    """For the room the picture is drawn in larger type, as a larger picture, and back."""
    view = WhereIStand(progress=progress)
    usual = view.picture.image.width
    view.controls["larger"].value = True
    assert view.picture.image.width == pytest.approx(1.3 * usual, abs=2)
    view.controls["larger"].value = False
    assert usual == view.picture.image.width


def test_a_sharp_screen_gets_a_sharp_picture(progress):
    """On a screen of high density the picture is drawn with more pixels."""
    view = WhereIStand(progress=progress)
    before = view.picture.image.width
    view.picture.image.density = 2.0
    assert before < view.picture.image.width


def test_the_answers_can_be_saved_as_a_file(progress):
    """The link holds the record as CSV, in the form of the command's export."""
    view = WhereIStand(progress=progress)
    data = base64.b64decode(re.search(r'href="data:text/csv;base64,([^"]*)"', view._file.value)[1])
    assert progress.export(progress.path.with_name("answers.csv")).read_bytes() == data
    assert 3 == len(list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline=""))))
    assert 'download="answers.csv"' in view._file.value and "3 answers" in view._file.value


def test_deleting_asks_once_more(progress):
    """The first press only asks, and names the file; the answers may be kept."""
    view = WhereIStand(progress=progress)
    assert not shown(view._sure) and not shown(view._keep)
    view._delete.click()
    assert shown(view._sure) and str(progress.path) in view._asked.value
    view._keep.click()
    assert not shown(view._sure) and 3 == len(progress.attempts()) and "Your answers stay." in said(view)


def test_deleting_deletes(progress):
    """After the second press the file is gone, which is said, and the panel shows an empty record."""
    view = WhereIStand(progress=progress)
    view._delete.click()
    view._sure.click()
    assert not progress.path.exists() and view.picture is None and not shown(view._delete)
    assert f"Deleted: {progress.path}." in said(view)


def test_off_is_said(monkeypatch):
    """Where nothing is kept the status line says so, and there is nothing to delete."""
    view = WhereIStand()
    assert not view.progress.kept and OFF in said(view) and not shown(view._delete)


def test_a_damaged_record_is_told(progress):
    """A damaged file is set aside, and the status line says where."""
    progress.path.write_bytes(b"no record" * 900)
    view = WhereIStand(progress=Progress.open(progress.path))
    assert "It was set aside as progress.sqlite3.damaged-" in said(view) and 0 == view.standing.answers


def test_a_record_that_cannot_be_read_is_refused(tmp_path):
    """A refusal stands in the status line; when the record can be read again, looking again shows it."""
    place = tmp_path / "progress.sqlite3"
    place.mkdir()
    view = WhereIStand(progress=Progress.open(place))
    assert view.standing is None and "is not a file: name one with HPTEACH_PROGRESS" in view.refusal
    place.rmdir()
    view.look()
    assert view.refusal is None and 0 == view.standing.answers


def test_words_of_questions_are_shown_as_text(progress):
    """Whatever stands in a question is shown as text, never as marks of a page."""
    view = WhereIStand(progress=progress)
    view._bank = Bank(MappingProxyType({id: replace(one, title="<img src=x> & more") for id, one in view._bank.questions.items()}))
    view.look()
    assert "<b>What next:</b> &lt;img src=x&gt; &amp; more." in view.reading.value


@pytest.mark.parametrize("count, words", [(0, None), (1, "One prediction of a lesson is not counted."), (2, "2 predictions of lessons are not counted.")])
def test_predictions_are_told_apart(progress, count, words):
    """Predictions count as no answers, and where there are any it is said, so that the sum of the saved answers can be understood."""
    before = WhereIStand(progress=progress).standing.predictions
    assert 0 == before
    for _ in range(count):
        variant = deal(read_bank().question("predict-gauge"), 1)
        progress.record(attempt_of(variant, variant.parts[0].id, "A", check(variant, "A")))
    text = said(WhereIStand(progress=progress))
    assert "1 of 3 answers right." in text
    assert ("not counted" not in text) if words is None else (words in text)
