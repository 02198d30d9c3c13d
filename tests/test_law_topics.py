"""The topics of the law: the list as it was collected, and the bank that has to practise all of its theory."""

from pathlib import Path

import pytest

from hpteach.errors import DataError
from hpteach.questions import Bank, read_bank
from hpteach.questions.law_topics import EXAM, coverage, law_topics, nearest, read_law_topics
from tests.reference import rows

BLUEPRINT = rows("06_exam_blueprint.csv")
LESSONS = sorted({path.name[:2] for path in (Path(__file__).parents[1] / "notebooks").glob("[0-9][0-9]-*.ipynb") if not path.stem.endswith("-mock-exam")})

# How the collected rows of the United States, which have no numbers, are called in a code: words of the row, behind the colon.
UNITED_STATES = {
    "ozone chemistry": "core: ozone and refrigerant families", "Clean Air Act": "core: law", "substitute refrigerants": "core: substitutes and oils",
    "refrigeration basics": "core: refrigeration basics", "reclaim definitions": "core: recover, recycle, reclaim", "recovery methods": "core: recovery methods",
    "leak detection order": "core: leak detection", "dehydration": "core: dehydration", "safety: nitrogen": "core: safety", "cylinder filling": "core: cylinders",
    "recovery levels for small": "Type I: recovery levels", "system-dependent": "Type I: recovery methods", "safety|Type I": "Type I: safety",
    "leak detection and repair thresholds": "Type II: leak repair", "recovery levels and techniques": "Type II: recovery", "component roles": "Type II: refrigeration",
    "safety (machine rooms": "Type II: safety", "purge units": "Type III: leak detection", "leak repair thresholds": "Type III: leak repair",
    "recovery and recharge": "Type III: recovery and recharge", "vacuum-side": "Type III: refrigeration", "rupture disc": "Type III: safety",
    "each test: 25": "a: questions", "closed book": "a: proctored", "EPA bank": "a: every topic", "pass mark": ": pass mark",
}  # fmt: skip


def codes_of(row):
    """The codes under which a collected row stands in the list."""
    law, article, code, words = (row[key] for key in ("law", "article_or_annex", "code", "topic_in_own_words"))
    if law.startswith("US"):
        if article.startswith("82."):
            return ["US 40 CFR " + article.split(" (")[0]] if "161" not in article else ["US 40 CFR 82.161(a)"]
        group = article.removeprefix("App. D, ")
        found = [name for part, name in UNITED_STATES.items() if part.partition("|")[0] in words and part.partition("|")[2] in ("", group) and (part != "safety|Type I" or words == "safety")]
        return [f"US 40 CFR 82 App. D{name}" if name.startswith(":") else f"US 40 CFR 82 App. D {name}" for name in found]
    regulation = "EU " + law.split()[1]
    if code == "1.03 onward":
        return [known.replace("2015/2067", "2024/2215") for known in law_topics() if known.startswith("EU 2015/2067 Annex I") and known.split()[-1] not in ("1.01", "1.02")]
    if code and not code.startswith("cat."):
        return [f"{regulation} Annex I {code}"]
    return [f"{regulation} {article.split(',')[0].removesuffix('(1)')}"]


@pytest.mark.parametrize("row", BLUEPRINT, ids=lambda row: f"{row['law'][:12]} {row['article_or_annex'][:20]} {row['topic_in_own_words'][:20]}")
def test_collected_row_stands_in_the_list(row):
    """Every row that was collected of the laws has its code in the list, and says there how it is known."""
    codes = codes_of(row)
    assert codes and set() == set(codes) - set(law_topics()), codes
    for code in codes:
        assert row["how"] == law_topics()[code].known


def test_list_holds_nothing_else():
    """No code is in the list that was not collected, but for the whole of group 1, under which earlier questions stand."""
    collected = {code for row in BLUEPRINT for code in codes_of(row)}
    assert {"US 40 CFR 82 App. D core"} == set(law_topics()) - collected


def test_what_is_no_theory_says_why():
    """A topic that needs no question says why: it is practical, or it says how the examination is held."""
    for topic in law_topics().values():
        assert topic.theory is (topic.why == ""), topic.code
    practical = {topic.code for topic in law_topics().values() if not topic.theory and "Annex" in topic.code}
    assert {f"EU {law} Annex I {number}" for law in ("2024/2215", "2015/2067") for number in ("3.05", "4.09", "5.07", "10.01", "10.02")} == practical


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("topic = ", "law_topics.toml: not readable as TOML"),
        ('["EU 1"]\ntopic = "t"\nknown = "k"\ntheory = "yes"', "EU 1.theory = 'yes': allowed is true or false"),
        ('["EU 1"]\ntopic = "t"\nknown = "k"\ntheory = true\nwhy = "w"', "EU 1.why = 'w': allowed is no such key beside theory = true"),
        ('["EU 1"]\ntopic = "t"\nknown = "k"\ntheory = false', "EU 1.why is missing"),
        ('["EU 1"]\ntopic = "t"\ntheory = true', "EU 1.known is missing"),
        ('["EU 1"]\ntopic = "t"\nknown = "k"\ntheory = true\nlevel = 1', "EU 1.level = 1: allowed is only the keys topic, known, theory, why"),
    ],
)
def test_wrong_list_is_refused_by_name(text, said):
    """A list that is not as it should be is refused with file, key, value and what is allowed."""
    with pytest.raises(DataError) as caught:
        read_law_topics(text)
    assert said in str(caught.value)


def test_nearest_codes_are_like_the_text():
    """A slip of the pen leads to the code that was meant."""
    assert "US 40 CFR 82 App. D core: leak detection" == nearest("US 40 CFR 82 App D core: leak detektion")[0]
    assert 3 == len(nearest("anything"))


# What the bank covers ------------------------------------------------------------------------


def test_coverage_names_the_questions():
    """Each topic and each lesson has the ids of its questions; a lesson or topic without any is missing."""
    question = read_bank().question("read-a-gauge")
    found = coverage(Bank({question.id: question}), ["00", "01"])
    assert {"00": ("read-a-gauge",), "01": (), EXAM: ()} == dict(found.lessons)
    assert ("01", EXAM) == found.missing_lessons
    assert set(question.covers) == {code for code, ids in found.topics.items() if ids}
    theory = {code for code, topic in law_topics().items() if topic.theory}
    assert theory - set(question.covers) == set(found.missing_topics)


def test_every_topic_of_theory_and_every_lesson_is_practised():
    """The shipped bank has a question for each topic of theory and for each lesson."""
    found = coverage(read_bank(), LESSONS)
    assert ((), ()) == (found.missing_topics, found.missing_lessons)
    assert [f"{number:02}" for number in range(16)] == LESSONS


def test_bank_is_large_enough_to_teach_with():
    """At least 150 questions lie over at least 12 topics and all three levels; each level has a fair share of them."""
    questions = read_bank().questions.values()
    assert len(questions) >= 150 and len({question.topic for question in questions}) >= 12
    for level in (1, 2, 3):
        assert len([question for question in questions if question.level == level]) >= 15
