"""The strata of a blueprint in a bank: from which questions how many are taken, and whether the bank has enough.

What lives here: `fits`, which makes them or refuses, and `assign`, which takes questions for all of them, each once.  What does
not: the order in which they are taken (forms).

A stratum is a section, a level and, where a section asks so many of each topic, a topic; drawing tasks have strata of their own.
Every form takes the same number from each, so that all forms have equal sections and levels.  A question may fit several strata and
is taken for one: questions are assigned by augmenting paths (the method of Kuhn for matchings in bipartite graphs, from memory, not
seen here), which find an assignment wherever there is one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from hpteach.assessment.blueprint import Blueprint, Section
from hpteach.assessment.drawing_tasks import can_be_drawn
from hpteach.assessment.rounds import PREDICTION
from hpteach.errors import DataError, UnknownNameError
from hpteach.questions import Bank, Question
from hpteach.questions.law_topics import law_topics


class Stratum(NamedTuple):
    """A section (its place, from 0), a level, a topic of which so many are asked ("": any), how many questions are taken, and the ids of those that fit.

    `drawing` says that of each question only the cycle is taken, to be drawn.
    """

    section: int
    level: int
    topic: str
    count: int
    questions: tuple[str, ...]
    drawing: bool = False


def fits(blueprint: Blueprint, bank: Bank) -> tuple[Stratum, ...]:
    """The strata of a blueprint in a bank.

    Raises `DataError` where the bank cannot fill it: which section, which level or topic, how many there are and how many are
    needed, and what to do.

    >>> from hpteach.assessment.blueprint import read_blueprint
    >>> from hpteach.questions import read_bank
    >>> sum(stratum.count for stratum in fits(read_blueprint("lesson-03"), read_bank()))
    4
    """
    strata = tuple(stratum for place, section in enumerate(blueprint.sections) for stratum in _strata(blueprint, place, section, bank))
    assigned, stuck = _assigned([stratum.count for stratum in strata], [stratum.questions for stratum in strata])
    if stuck is not None:
        raise _competing(blueprint, strata, assigned, stuck)
    return strata


def assign(counts: Sequence[int], candidates: Sequence[Sequence[int]]) -> list[list[int]]:
    """For each stratum as many of its candidates as are counted, each taken once; earlier candidates first, where all can be filled.

    >>> assign([1, 1], [[5, 7], [5]])
    [[7], [5]]
    """
    taken, _ = _assigned(counts, candidates)
    filled: list[list[int]] = [[] for _ in counts]
    for question, stratum in taken.items():
        filled[stratum].append(question)
    return filled


def _assigned(counts: Sequence[int], candidates: Sequence[Sequence]) -> tuple[dict, int | None]:
    """Which question is taken for which stratum, and the first stratum that cannot be filled."""
    taken: dict = {}
    for stratum, count in enumerate(counts):
        for _ in range(count):
            if not _augment(stratum, candidates, taken, set()):
                return taken, stratum
    return taken, None


def _augment(stratum: int, candidates: Sequence[Sequence], taken: dict, seen: set) -> bool:
    """Take one more question for a stratum, moving others to another stratum where that helps."""
    for question in candidates[stratum]:
        if question not in taken:
            taken[question] = stratum
            return True
    for question in candidates[stratum]:
        if question not in seen and taken[question] != stratum:
            seen.add(question)
            owner = taken[question]
            if _augment(owner, candidates, taken, seen):
                taken[question] = stratum
                return True
    return False


# Strata of a section ------------------------------------------------------------------


def _strata(blueprint: Blueprint, place: int, section: Section, bank: Bank) -> list[Stratum]:
    eligible = [question for question in bank.questions.values() if _fits(section, question)]
    there = Counter(question.level for question in eligible)
    where = f"{blueprint.id}: section {section.title!r}"
    _check_names(where, section, bank)
    topics = {topic: [question for question in eligible if topic in _topics_of(section, question)] for topic in _each(section)}
    _check_enough(where, section, there, {topic: len(fitting) for topic, fitting in topics.items()})
    drawable = [question for question in eligible if can_be_drawn(question)]
    drawn = _levels_of_drawings(where, section, drawable)
    levels = {level: count - drawn[level] for level, count in section.levels.items()}
    of_topics = Counter(_levels_of_topics(where, section.at_least_each, levels, topics))
    used = drawn + Counter(level for level, _ in of_topics.elements())
    if levels:
        rest = {level: section.levels[level] - used[level] for level in levels}
    else:
        shares = _shared({level: there[level] for level in sorted(there)}, section.questions)
        rest = _shared({level: max(0, share - used[level]) for level, share in shares.items()}, section.questions - used.total())
    wanted = [
        *((level, topic, count, topics[topic], False) for (level, topic), count in of_topics.items()),
        *((level, "", count, eligible, False) for level, count in rest.items()),
        *((level, "", count, drawable, True) for level, count in drawn.items()),
    ]
    return [
        Stratum(place, level, topic, count, tuple(question.id for question in fitting if question.level == level), drawing)
        for level, topic, count, fitting, drawing in wanted
        if count
    ]


def _check_enough(where: str, section: Section, there: Counter[int], topics: Mapping[str, int]) -> None:
    """Refuse a section for which there are too few questions, in all, of a level or of a topic."""
    if there.total() < section.questions:
        raise _too_few(where, section.questions, there.total())
    for level, count in section.levels.items():
        if there[level] < count:
            raise _too_few(f"{where}, level {level}", count, there[level])
    each, asked = section.at_least_each, section.questions - section.drawings
    for topic, fitting in topics.items():
        if fitting < each:
            raise _too_few(f"{where}, {topic}", each, fitting)
    if len(topics) * each > asked:
        raise DataError(
            f"{where}: {each} of each of {len(topics)} topics are {len(topics) * each} questions, and the section asks {asked}: "
            "ask for more questions or for fewer topics"
        )


def _fits(section: Section, question: Question) -> bool:
    kinds = {part.kind for part in question.parts}
    return (
        (section.predictions or not question.id.startswith(PREDICTION))
        and (not section.topics or question.topic in section.topics)
        and (not section.lessons or question.lesson in section.lessons)
        and (not section.covers or not set(section.covers).isdisjoint(question.covers))
        and (not section.kinds or kinds <= set(section.kinds))
        and kinds.isdisjoint(section.without_kinds)
    )


def _check_names(where: str, section: Section, bank: Bank) -> None:
    """Refuse a topic or lesson that no question of the bank has: it is misspelled, or the bank is another one."""
    for what, named, known in (
        ("topic", section.topics, {question.topic for question in bank.questions.values()}),
        ("lesson", section.lessons, {question.lesson for question in bank.questions.values()}),
    ):
        for name in named:
            if name not in known:
                raise DataError(f"{where}: {UnknownNameError.among(f'{what} of the bank', name, sorted(known))}")


def _each(section: Section) -> tuple[str, ...]:
    """The topics of which so many are asked at least: the codes that are theory, else the topics, else the lessons."""
    if not section.at_least_each:
        return ()
    return tuple(code for code in section.covers if law_topics()[code].theory) or section.topics or section.lessons


def _topics_of(section: Section, question: Question) -> Collection[str]:
    return question.covers if section.covers else (question.topic, question.lesson)


def _levels_of_drawings(where: str, section: Section, drawable: Sequence[Question]) -> Counter[int]:
    """How many drawing tasks of each level: in the shares of the questions that can be drawn, as far as the section's levels allow."""
    there = Counter(question.level for question in drawable)
    if section.levels:
        there = Counter({level: min(there[level], count) for level, count in section.levels.items()})
    if there.total() < section.drawings:
        raise _too_few(f"{where}, drawing tasks", section.drawings, there.total())
    drawn: Counter[int] = Counter()
    for _ in range(section.drawings):
        drawn[max(there, key=lambda level: (there[level] - drawn[level], -level))] += 1
    return drawn


def _levels_of_topics(where: str, each: int, levels: Mapping[int, int], topics: Mapping[str, Sequence[Question]]) -> list[tuple[int, str]]:
    """A level for each question that is asked of a topic: the one of which the topic has most, as far as the section's levels allow."""
    wanted = [topic for topic in topics for _ in range(each)]
    known = {topic: Counter(question.level for question in fitting) for topic, fitting in topics.items()}
    choices = {topic: sorted(counted, key=lambda level: (-counted[level], level)) for topic, counted in known.items()}
    if not levels:
        level_of = {question.id: question.level for fitting in topics.values() for question in fitting}
        ordered = [sorted((question.id for question in topics[topic]), key=lambda id: choices[topic].index(level_of[id])) for topic in wanted]
        taken, stuck = _assigned([1] * len(wanted), ordered)
        if stuck is not None:
            raise DataError(f"{where}: {each} of each topic cannot be had, as topics share their questions: write one more on {wanted[stuck]}")
        return sorted((level_of[id], wanted[number]) for id, number in taken.items())
    places = [(level, number) for level, count in levels.items() for number in range(count)]
    candidates = [[place for level in choices[topic] for place in places if place[0] == level] for topic in wanted]
    taken, stuck = _assigned([1] * len(wanted), candidates)
    if stuck is not None:
        stated = ", ".join(f"{count} of level {level}" for level, count in levels.items())
        has = " and ".join(map(str, sorted(choices[wanted[stuck]])))
        raise DataError(f"{where}: {each} of each topic cannot be had with {stated}: {wanted[stuck]} has questions of level {has} only; change levels")
    return sorted((place[0], wanted[number]) for place, number in taken.items())


def _shared(sizes: Mapping[int, int], count: int) -> dict[int, int]:
    """So many places shared out by sizes, by the largest remainders (of equal ones the lower level's)."""
    total = sum(sizes.values())
    if not count:
        return {}
    shares = {level: divmod(count * size, total) for level, size in sizes.items()}
    given = {level: whole for level, (whole, _) in shares.items()}
    for level in sorted(shares, key=lambda one: (-shares[one][1], one))[: count - sum(given.values())]:
        given[level] += 1
    return given


# Refusals -----------------------------------------------------------------------------


def _too_few(where: str, needed: int, there: int) -> DataError:
    more = needed - there
    return DataError(
        f"{where}: {needed} {'question is' if needed == 1 else 'questions are'} asked and the bank has {there} that {'fits' if there == 1 else 'fit'}: "
        f"ask for {more} fewer, widen what the section takes, or write {more} more"
    )


def _competing(blueprint: Blueprint, strata: Sequence[Stratum], taken: Mapping[str, int], stuck: int) -> DataError:
    """The refusal of strata that need more questions together than they share: all those from which the stuck one could be filled."""
    reached, open_ones = {stuck}, [stuck]
    while open_ones:
        for question in strata[open_ones.pop()].questions:
            if taken[question] not in reached:
                reached.add(taken[question])
                open_ones.append(taken[question])
    needed = sum(strata[one].count for one in reached)
    there = len({question for one in reached for question in strata[one].questions})
    titles = [section.title for section in blueprint.sections]
    places = []
    for one in (strata[place] for place in sorted(reached)):
        places.append(f"{titles[one.section]!r} {one.count} of level {one.level}{f' on {one.topic}' if one.topic else ''}")
    return DataError(
        f"{blueprint.id}: {needed} questions are asked of {there} that fit, each of which can be asked once: {'; '.join(places)}: "
        f"ask for {needed - there} fewer, or write {needed - there} more"
    )
