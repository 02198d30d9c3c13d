"""The results of marking (hpteach/assessment/marked.py)."""

import pytest

from hpteach.assessment.marked import LearnerMarks, in_words
from hpteach.assessment.roster import Learner


@pytest.mark.parametrize(("id", "words"), [("coils_swapped", "coils swapped"), ("cop_upside_down", "COP upside down"), ("copper", "copper"), ("dew_for_bubble", "dew for bubble")])
def test_mistake_reads_in_words(id, words):
    """An id reads as words, with the trade's short forms in capitals."""
    assert words == in_words(id)


@pytest.mark.parametrize(("absent", "possible", "share"), [(False, 4.0, 0.75), (True, 4.0, None), (False, 0.0, None)])
def test_share_is_of_who_was_marked(absent, possible, share):
    """Who was absent, or has nothing that could be judged, has no score."""
    assert share == LearnerMarks(Learner("7"), "2222-2234", absent, 3.0, possible, None).share
