"""From an answer to an outline: what decides and its reasons first, then the rest of the story."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.course.model import Course
from readiness.judging.answer import Answer, Blocker
from readiness.judging.findings import Finding, GroupOpen, Rule, SkillOpen
from readiness.record.model import Record
from readiness.words.blocking import blockers_section
from readiness.words.grammar import tidy
from readiness.words.numbers import rule_words
from readiness.words.page import Paragraph, Section
from readiness.words.phrases import Phrases
from readiness.words.story import tell_sections
from tui.panes.outline import Entry

__all__ = ["OPEN_AT_FIRST", "headline_sentence", "reasons_outline"]

OPEN_AT_FIRST = ("decides", "story-1", "story-2")
"""The keys of what is open when the page is opened."""


def reasons_outline(answer: Answer, course: Course, record: Record) -> tuple[Entry, ...]:
    """Return the whole story of an answer; the first line of it stands in the headline."""
    say = Phrases(answer, course, record)
    deciding = blockers_section(say)
    entries: list[Entry] = []
    _, *sections = _told(answer, course, record)
    for number, section in enumerate(sections, 1):
        if section == deciding:
            blockers = tuple(_blocker(say, one) for one in answer.blockers)
            entries.append(Entry("decides", section.title, blockers, is_title=True))
        else:
            entries.append(_section(say, f"story-{number}", section))
    return tuple(entries)


def headline_sentence(answer: Answer, course: Course, record: Record) -> str:
    """Return the sentence that says the verdict."""
    return _told(answer, course, record)[0].paragraphs[-1].text


def _told(answer: Answer, course: Course, record: Record) -> list[Section]:
    """Return the sections that say something, the one without a title in front."""
    sections = [one for one in tell_sections(answer, course, record) if one.paragraphs]
    head = next(one for one in sections if not one.title)
    return [head, *(one for one in sections if one is not head)]


def _blocker(say: Phrases, one: Blocker) -> Entry:
    if one.group is not None:
        key = "group-" + "-".join(one.group.of)
        under = tuple(_skill(say, skill, key, ()) for skill in one.group.of)
        needed = f"at least {one.group.at_least} of {say.names(one.group.of, len(one.group.of))}"
        return Entry(key, needed, under, subject=one.group.of[0])
    assert one.skill is not None
    return _skill(say, one.skill, "blocker", (say.stands_on_it(one.skill, one.needed_by),))


def _skill(say: Phrases, skill: str, above: str, more: Sequence[str]) -> Entry:
    """Return a skill that opens to its notes, what is missing, what stands on it, the rules."""
    key = f"{above}-{skill}"
    notes = say.seen(skill)
    lines = [
        ("  ".join((day.ljust(_widest(notes, 0)), how.ljust(_widest(notes, 1)), line)), "·")
        for day, how, line in notes
    ]
    texts = [*more, *say.advice(skill), *_rules(say.answer.findings, skill)]
    if say.standing(skill).state not in ("secure", "set-aside"):
        texts.insert(0, say.missing(skill))
    lines += [(text, "-") for text in texts]
    under = tuple(Entry(f"{key}-{i}", text, lead=lead) for i, (text, lead) in enumerate(lines))
    name = tidy(say.course.skill[skill].name)
    return Entry(key, f"{name}: {say.state(skill)}", under, subject=skill)


def _widest(rows: Sequence[Sequence[str]], column: int) -> int:
    return max((len(row[column]) for row in rows), default=0)


def _rules(findings: Sequence[Finding], skill: str) -> Iterator[str]:
    """Yield the numbers a skill was judged by, each with its line."""
    waiting = list(findings)
    while waiting:
        one = waiting.pop(0)
        if isinstance(one, SkillOpen) and one.skill == skill:
            yield from (_rule(child) for child in one.because if isinstance(child, Rule))
            return
        if isinstance(one, GroupOpen):
            waiting += one.because


def _rule(rule: Rule) -> str:
    place = f"{rule.place.file.name}:{rule.place.line}, " if rule.place else ""
    whose = f"changed{f' by {rule.changed_by}' if rule.changed_by else ''}" if rule.changed else "the default"
    return f"Rule: {rule_words(rule)} ({place}{whose})"


def _section(say: Phrases, key: str, section: Section) -> Entry:
    """Return a section as an entry; what is indented stands under the line before."""
    return Entry(key, section.title or section.paragraphs[0].text, _nested(say, key, section), is_title=True)


def _subject(say: Phrases, text: str) -> str:
    """Return the skill a line begins with, so that a what-if can be about it."""
    asked = (*say.answer.deciding, *say.answer.rest, say.answer.one_thing)
    return next((skill for skill in asked if skill and text.startswith(say.titled(skill))), "")


def _nested(say: Phrases, key: str, section: Section) -> tuple[Entry, ...]:
    top: list[tuple[Paragraph, list[Paragraph]]] = []
    paragraphs = section.paragraphs if section.title else section.paragraphs[1:]
    for one in paragraphs:
        if top and one.indent > 0:
            top[-1][1].append(one)
        else:
            top.append((one, []))
    return tuple(
        Entry(
            f"{key}-{i}",
            head.text,
            tuple(
                Entry(f"{key}-{i}-{j}", one.text, lead=one.lead.strip() or "·") for j, one in enumerate(under)
            ),
            subject=_subject(say, head.text),
            lead="" if under else "·",
        )
        for i, (head, under) in enumerate(top)
    )
