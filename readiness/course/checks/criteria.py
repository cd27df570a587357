"""R9: what keeps a child safe stays on; texts say something that can be seen, and nothing that harms.

Which phrases tell a child to go on through pain stands in ``through_pain.txt``: so short a list
misses other words for it, and a course is to be read by a person all the same.
"""

from __future__ import annotations

import re
from bisect import bisect
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import accumulate
from pathlib import Path
from typing import Final

from readiness.course.checks.register import as_written, count, of_a_day, unit_words
from readiness.course.checks.units import possible
from readiness.course.draft import Draft, DraftSkill, Word, tables
from readiness.course.schema import MARKS, shipped_marks
from readiness.terms import Kind
from readiness.toml.problems import Place, Problem
from readiness.toml.syntax import NUMBERS

_WHY = "a child must be able to say that something hurts, in every unit and at every age"


@as_written()
def check_optional_safety(draft: Draft) -> Iterator[Problem]:
    """What is about safety, or looked at in every check, is optional at no age."""
    for skill in draft.skills:
        if skill.optional_in and (skill.safety or skill.always_look):
            beside = "safety" if skill.safety else "always_look"
            message = f'"{skill.id}" says {beside} = true, so it is optional at no age'
            hint = "take optional_in out; where a child needs it, write down another way as alternative"
            yield Problem("optional-safety", "error", skill.optional_in[0].place, message, hint)


@as_written("optional-everywhere")
def check_optional_everywhere(draft: Draft) -> Iterator[Problem]:
    """A skill is asked at some age."""
    ages = {band.name for band in draft.bands}
    for skill in draft.skills:
        everywhere = ages and ages <= {word.text for word in skill.optional_in}
        if everywhere and not (skill.safety or skill.always_look):
            message = f'"{skill.id}" is optional at every age, so nobody is ever asked for it'
            hint = "take an age out of optional_in; to end a skill, say from which day: retired = 2026-09-01"
            yield Problem("optional-everywhere", "warning", skill.optional_in[0].place, message, hint)


_IN_A_PAUSE: Final = "what is quiet may be done while something hurts: take {} out"


@as_written("quiet-movement")
def check_quiet_movement(draft: Draft) -> Iterator[Problem]:
    """What is a movement or a piece is done in a pause for care only if somebody means it."""
    for skill in draft.skills:
        kind, piece = (draft.graph.get("skill", skill.id, key) for key in ("kind", "piece"))
        key = "quiet" if skill.quiet else "uses"
        still = skill.quiet or draft.graph.get("skill", skill.id, "uses") == []
        if still and (kind == Kind.MOTOR or piece is True):
            place = draft.graph.at("skill", skill.id, key)
            said, moves = "quiet = true", "piece = true" if piece is True else 'kind = "motor"'
            message = f'"{skill.id}" says {said if skill.quiet else "uses = []"}, and {moves}'
            yield Problem("quiet-movement", "warning", place, message, _IN_A_PAUSE.format(key))


@as_written()
def check_pain_is_asked(draft: Draft) -> Iterator[Problem]:
    """Some skill is the child saying that something hurts, from the first unit on and for good."""
    asking = [skill for skill in draft.skills if skill.asks_pain]
    if any(_fault(draft, skill) is None for skill in asking):
        return
    for skill in asking:
        fault = _fault(draft, skill)
        if fault is not None and not (skill.optional_in and skill.always_look):
            place, message, hint = fault
            told = f'"{skill.id}" says asks_pain = true: it {message}'
            yield Problem("pain-not-asked", "error", place, told, f"{hint}; {_WHY}")
    if not asking and draft.units:
        message = "no skill of the first unit is the child saying that something hurts"
        hint = f"give that skill asks_pain = true and always_look = true; {_WHY}"
        written = tables(draft.graph.data, "skill")
        taken = (id_ for id_, table in written if MARKS[2] in _marks_before(draft, id_, table))
        place = next((draft.graph.at("skill", id_, MARKS[2]) for id_ in taken), draft.units[0].place)
        yield Problem("pain-not-asked", "error", place, message, hint)


def _fault(draft: Draft, skill: DraftSkill) -> tuple[Place, str, str] | None:
    """Return what keeps a skill from being the sign for pain: where, what, and what to do."""
    unit = draft.unit_of(skill)
    if skill.retired_place is not None:
        return skill.retired_place, "cannot be retired", "take retired out"
    if skill.since_place is not None:
        return skill.since_place, "must be there from the first day", "take since out"
    if skill.optional_in:
        return skill.optional_in[0].place, "is optional at no age", "take optional_in out"
    if unit is not None and unit.number > 1 and skill.unit is not None:
        return skill.unit.place, "belongs in the first unit", "move it there"
    if not skill.always_look:
        place = draft.graph.at("skill", skill.id, "always_look")
        return place, "must be looked at in every check", "add always_look = true"
    return None


@as_written("safety-lost")
def check_marks_kept(draft: Draft) -> Iterator[Problem]:
    """What keeps a child safe in the course that was copied, or is built upon, does so here."""
    is_asked = not any(check_pain_is_asked(draft))
    marks, written = MARKS if is_asked else MARKS[:1], dict(tables(draft.graph.data, "skill"))
    for id_, table in written.items():
        skill, before = draft.skill[id_], _marks_before(draft, id_, table)
        heirs = [written[one] for one in skill.replaced_by if one in written]
        here, key = ([table], "") if skill.retired_place is None else (heirs, "retired")
        meant = {*before, *(mark for mark in MARKS if table.get(mark))}
        lost = [mark for mark in marks if mark in meant and not any(one.get(mark) for one in here)]
        hint = f"put {_and(lost)} there"
        if lost and key:
            message = f'"{skill.id}" says {_and(lost)}; it is retired, and nothing like it takes its place'
            hint = f"take retired out, or put {_and(lost)} into what replaced_by names"
        elif lost:
            message = f'"{skill.id}" says {_and(lost)} in the course it comes from, and not here'
        elif is_asked and skill.asks_pain and not (skill.safety or skill.always_look):
            key, hint = "safety", "put safety = true there"
            message = f'"{skill.id}" says asks_pain = true, and may be left unfinished'
        else:
            continue
        hint += '; if it is meant, say so: allow = ["safety-lost"] and reason = "..."'
        yield Problem("safety-lost", "warning", draft.graph.at("skill", id_, key or lost[0]), message, hint)


def _marks_before(draft: Draft, skill: str, table: Mapping[str, object]) -> Sequence[str]:
    """Return the marks of a skill that was copied; of one that is inherited, those that are taken from it."""
    copied = shipped_marks().get((skill, str(table.get("shown_when"))), ())
    taken = [mark for mark in MARKS if table.get(mark) is False]
    file = draft.graph.at("skill", skill, "name").file if taken else None
    return (*copied, *(mark for mark in taken if draft.graph.at("skill", skill, mark).file != file))


def _and(marks: Sequence[str]) -> str:
    return " and ".join(f"{mark} = true" for mark in marks)


@of_a_day("days-beyond-unit")
def check_days(draft: Draft) -> Iterator[Problem]:
    """A skill does not need more days than its unit has lessons."""
    for skill in draft.skills:
        unit = draft.unit_of(skill)
        if unit is None or skill.days is None or unit.lesson_weeks is None:
            continue
        if skill.days > unit.lesson_weeks:
            message = (
                f'"{skill.id}" needs {skill.days} different days, and unit {unit.number} usually has '
                f"{unit.lesson_weeks} lessons"
            )
            hint = "ask for fewer days, or give the unit more lesson_weeks"
            here, there = skill.days_place or skill.place, unit.weeks_place
            yield Problem("days-beyond-unit", "warning", here, message, hint, there, "the usual length")


LONGEST: Final = 80
"""So many letters of a name fit on a line of a sheet."""


def _names(draft: Draft) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    """Yield the name of everything that has one, and its path; the course first."""
    return (one for one in draft.texts if one[1][-1] == "name")


def _table(path: tuple[str | int, ...]) -> str:
    """Return the table in which a text stands, as it is written."""
    names = [f'"{step}"' if path[0] == "band" and step != "band" else str(step) for step in path[:2]]
    return f"[{'.'.join(names if path[2:] else names[:1])}]" if path[1:] else "the course"


@as_written()
def check_names(draft: Draft) -> Iterator[Problem]:
    """No name is empty or blank, that of the course neither."""
    for name, path in _names(draft):
        if not name.strip():
            message, hint = f"the name of {_table(path)} is empty", "write what it is called on sheets"
            yield Problem("empty-name", "error", draft.graph.at(*path), message, hint)


@as_written("name-is-id", "long-name")
def check_readable_names(draft: Draft) -> Iterator[Problem]:
    """Every name fits on a line, and is one that a parent reads."""
    for name, path in _names(draft):
        if path[1:] and name == path[1]:
            message = f"the name of {_table(path)} is its id"
            hint = "write what it is called on sheets and in letters"
            yield Problem("name-is-id", "warning", draft.graph.at(*path), message, hint)
        if len(name) > LONGEST:
            message = f"the name of {_table(path)} has {len(name)} letters, more than fit on a line"
            hint = f"say it in at most {LONGEST}; the rest belongs in another text"
            yield Problem("long-name", "warning", draft.graph.at(*path), message, hint)


@as_written("odd-phrase")
def check_phrases(draft: Draft) -> Iterator[Problem]:
    """What letters put into their sentences is a part of one."""
    for text, path in draft.texts:
        key = path[-1] if path[0] == "skill" else ""
        is_part = not text.rstrip().endswith(".") and (key == "name" or text[:1].islower())
        if text.strip() and (
            (key in ("name", "said") and not is_part) or (key == "you" and not text.startswith("you "))
        ):
            message = f"{key} of {_table(path)} does not fit into a sentence"
            hint = f"letters put it into one: write it as in {key} = {_FITTING[str(key)]}"
            yield Problem("odd-phrase", "warning", draft.graph.at(*path), message, hint)


_FITTING: Final = {"name": '"Wrist lift"', "said": '"lifting the wrist"', "you": '"you lift your wrist"'}


@of_a_day("same-name")
def check_same_names(draft: Draft) -> Iterator[Problem]:
    """No two of a kind have the same name; what is retired has left its name free."""
    first: dict[tuple[object, str], tuple[str | int, ...]] = {}
    for name, path in _names(draft):
        if not name.strip() or (path[0] == "skill" and path[1] not in draft.skill):
            continue
        earlier = first.setdefault((path[0], " ".join(name.casefold().split())), path)
        if earlier is not path:
            message = f'two {path[0]}s are called "{name.strip()}"'
            hint = "on a sheet nobody could tell them apart: give one of them another name"
            place, other = draft.graph.at(*path), draft.graph.at(*earlier)
            yield Problem("same-name", "warning", place, message, hint, other, "the other one")


@as_written("no-aim")
def check_aims(draft: Draft) -> Iterator[Problem]:
    """Every unit has an aim that says more than its name."""
    for unit in draft.units:
        aim = _plain(draft.graph.text("unit", unit.id, "aim") or "")
        if aim in ("", _plain(unit.name)):
            message = f"{unit_words(unit)} has no aim{' but its name' if aim else ''}"
            yield Problem("no-aim", "warning", unit.place, message, 'say what it is for: aim = "..."')


# What counts as shown.

_FIGURE: Final = rf"(?:\d+|{'|'.join(NUMBERS)})"
_DIGIT: Final = re.compile(r"\d")
_NUMBER: Final = re.compile(rf"\b(?:{_FIGURE}|once|twice|both|half)\b", re.IGNORECASE)
_OPEN: Final = re.compile(r"\b(?:todo|tbd|tbc|fixme|xxx)\b|\?\?|lorem ipsum")
_MARKS: Final = ("todo", "tbd", "tbc", "fixme", "xxx", "??", "lorem ipsum")
_WORD: Final = re.compile(r"\w")
_GAP: Final = re.compile(r"\W+")
_OF: Final = re.compile(rf"\b({_FIGURE}) (?:out )?of (?:the )?({_FIGURE})\b", re.IGNORECASE)
_PERCENT: Final = re.compile(r"(\d+) ?(?:%|per ?cent\b)", re.IGNORECASE)
_LENGTH: Final = re.compile(rf"\b({_FIGURE}) (s|second|minute|hour)s?\b", re.IGNORECASE)
_SECONDS: Final = {"s": 1, "second": 1, "minute": 60, "hour": 3600}
_WEEKS: Final = re.compile(rf"\b({_FIGURE}) (?:different )?(week|lesson|month)s?\b", re.IGNORECASE)


def _is_open(text: str) -> bool:
    """Return whether a text holds a mark of what is still to be written, or no word at all."""
    plain = text.casefold()
    is_marked = _has(plain, _MARKS) and _OPEN.search(plain) is not None
    return is_marked or (bool(text.strip()) and not _WORD.search(text))


def _has(text: str, words: Iterable[str]) -> bool:
    """Return whether a text holds any of these letters: quick, and asked before any pattern."""
    for word in words:  # noqa: SIM110 - a generator takes three times as long
        if word in text:
            return True
    return False


def _found(pattern: re.Pattern[str], text: str, *words: str) -> Iterator[re.Match[str]]:
    """Yield where a pattern is found; a text without any of the words, one of which it needs, is left out."""
    return pattern.finditer(text) if _has(text.casefold(), words) else iter(())


def _value(figure: str) -> int:
    return int(figure) if figure.isdecimal() else NUMBERS.index(figure.lower())


@of_a_day("vague-criterion")
def check_criteria(draft: Draft) -> Iterator[Problem]:
    """What counts as shown is said, with a number, and can be."""
    for skill in draft.skills:
        text = draft.graph.text("skill", skill.id, "shown_when")
        found = None if text is None else _vague(skill.id, " ".join(text.split()))
        if found is not None:
            place = draft.graph.at("skill", skill.id, "shown_when")
            yield Problem("vague-criterion", "warning", place, *found)


_SAY: Final = "write what is to be seen or heard, and how often"


def _vague(skill: str, text: str) -> tuple[str, str] | None:
    """Return what keeps a criterion from being one, and what to do."""
    if not text:
        return f'what counts as shown is not said for "{skill}"', _SAY
    if _is_open(text):
        return f'shown_when of "{skill}" is not finished', _SAY
    for one in _OF.finditer(text) if " of " in text.casefold() else ():
        if not 1 <= _value(one[1]) <= _value(one[2]):
            return f'shown_when of "{skill}" asks for {one[0]}', f"correct it: from 1 to {one[2]} of {one[2]}"
    if more := next((one for one in _found(_PERCENT, text, "%", "cent") if int(one[1]) > 100), None):
        return f'shown_when of "{skill}" asks for {more[0]}', "say it in times, such as 3 of 4"
    if not _DIGIT.search(text) and not _NUMBER.search(text):
        hint = "two teachers should see the same: say how often or how long, such as 3 of 4"
        return f'shown_when of "{skill}" has no number', hint
    return None


@of_a_day("criterion-beyond-unit")
def check_criterion_fits(draft: Draft) -> Iterator[Problem]:
    """What takes weeks to show can be shown often enough while its unit lasts."""
    for skill in draft.skills:
        unit, text = draft.unit_of(skill), draft.graph.text("skill", skill.id, "shown_when") or ""
        weeks = weeks_to_show(text)
        if unit is None or unit.lesson_weeks is None or weeks < 2:
            continue
        days = skill.days or _days_of_kind(draft, skill)
        if weeks * days > unit.lesson_weeks:
            message = (
                f'"{skill.id}" takes {weeks} weeks to show, on {count(days, "day")}: that is '
                f"{weeks * days} weeks, and {unit_words(unit)} has {unit.lesson_weeks}"
            )
            hint = (
                "one showing over weeks is enough: days = 1; or ask for fewer weeks"
                if weeks <= unit.lesson_weeks < weeks * days
                else "ask for fewer weeks, or give the unit more lesson_weeks"
            )
            here = draft.graph.at("skill", skill.id, "shown_when")
            there = unit.weeks_place
            yield Problem("criterion-beyond-unit", "warning", here, message, hint, there, "the usual length")


@of_a_day("criterion-beyond-lesson")
def check_criterion_in_a_lesson(draft: Draft) -> Iterator[Problem]:
    """What is to be done for so many minutes is not longer than any lesson."""
    told = (possible("lesson_minutes", band.lesson_minutes) for band in draft.bands)
    lessons = [minutes for minutes in told if minutes is not None]
    for skill in draft.skills:
        text = draft.graph.text("skill", skill.id, "shown_when") or ""
        seconds = [_value(one[1]) * _SECONDS[one[2].lower()] for one in _LENGTH.finditer(text)]
        if lessons and seconds and max(seconds) > max(lessons) * 60:
            minutes = -(-max(seconds) // 60)
            place = draft.graph.at("skill", skill.id, "shown_when")
            message = f'"{skill.id}" takes {minutes} minutes to show, and no lesson has over {max(lessons)}'
            yield Problem("criterion-beyond-lesson", "warning", place, message, "ask for less at a time")


@of_a_day("same-criterion")
def check_same_criteria(draft: Draft) -> Iterator[Problem]:
    """No two skills are shown by the same thing, word for word: one of the texts was copied."""
    alike: dict[str, list[str]] = {}
    for skill in draft.skills:
        alike.setdefault(_plain(draft.graph.text("skill", skill.id, "shown_when") or ""), []).append(skill.id)
    for text, (first, *others) in alike.items():
        if text and others:
            more = f"; so is that of {count(len(others) - 1, 'other skill')}" if others[1:] else ""
            message = f'shown_when of "{others[0]}" is word for word that of "{first}"{more}'
            hint = "say what is seen or heard of this one"
            here = draft.graph.at("skill", others[0], "shown_when")
            there = draft.graph.at("skill", first, "shown_when")
            yield Problem("same-criterion", "warning", here, message, hint, there, "the other one")


def weeks_to_show(criterion: str) -> int:
    """Return how many weeks, or weekly lessons, one showing takes by its criterion."""
    found = _found(_WEEKS, criterion, "week", "lesson", "month")
    return max((_value(one[1]) * (4 if one[2].lower() == "month" else 1) for one in found), default=1)


def _days_of_kind(draft: Draft, skill: DraftSkill) -> int:
    """Return the most days that any age for which it is asked needs for skills of its kind."""
    kind = draft.graph.text("skill", skill.id, "kind") or ""
    ages = {band.name for band in draft.bands} - {word.text for word in skill.optional_in}
    days = (draft.pacing.number("band", age, "days_needed", kind) for age in ages)
    return max((int(one) for one in days if isinstance(one, int)), default=1)


@of_a_day("few-remedies", "same-remedy")
def check_remedies(draft: Draft) -> Iterator[Problem]:
    """Every skill has two different remedies: what to try when one did not help."""
    for skill in draft.skills:
        written = draft.graph.get("skill", skill.id, "remedies") or []
        if not isinstance(written, list):
            continue  # told by the schema
        texts = [one for one in written if isinstance(one, str) and one.strip()]
        if len({_plain(one) for one in texts}) == len(texts) >= 2:
            continue
        words = draft.graph.texts("skill", skill.id, "remedies")
        filled = [word for word in words if word.text.strip()]
        place = words[0].place if words else skill.place
        if len(filled) < 2:
            message = f'"{skill.id}" has {("no remedy", "one remedy")[len(filled)]}'
            hint = 'write two short activities for when it does not come: remedies = ["...", "..."]'
            yield Problem("few-remedies", "warning", place, message, hint)
        else:
            yield _same_remedy(skill, filled)


def _same_remedy(skill: DraftSkill, words: list[Word]) -> Problem:
    first: dict[str, Word] = {}
    again = next(word for word in words if first.setdefault(_plain(word.text), word) is not word)
    message, hint = f'"{skill.id}" has the same remedy twice', "write another activity in its place"
    other = first[_plain(again.text)].place
    return Problem("same-remedy", "warning", again.place, message, hint, other, "first written here")


def _plain(text: str) -> str:
    return _GAP.sub(" ", text.casefold()).strip()


# Every text that is written is finished, and says something.

_SHORT: Final = ("name", "aim", "shown_when", "remedies")
"""Texts of which it is said elsewhere that they are empty."""
_EMPTY: Final = {"adult_beside": "say how near an adult is to be"}


@as_written("unfinished-text")
def check_unfinished(draft: Draft) -> Iterator[Problem]:
    """No text is left open; what counts as shown is asked by ``check_criteria``."""
    for file, texts in ((draft.graph, draft.texts), (draft.pacing, draft.pacing_texts)):
        is_marked = _has("\n".join(text for text, _ in texts).casefold(), _MARKS)
        for text, path in texts:
            if _WORD.search(text) and not (is_marked and _is_open(text)):
                continue
            key = next(step for step in reversed(path) if isinstance(step, str))
            is_empty = not text.strip()
            if key != "shown_when" and not (is_empty and key in _SHORT):
                message = f"{key} of {_table(path)} is {'empty' if is_empty else 'not finished'}"
                hint = "write it to the end" if not is_empty else _EMPTY.get(key, "write it, or take it out")
                yield Problem("unfinished-text", "warning", file.at(*path), message, hint)


# What tells a child to go on through pain.

_PHRASES: Final = Path(__file__).with_name("through_pain.txt")
_SENTENCE: Final = re.compile(r"[.;!?:]+(?:\s|$)")
_GOES_ON: Final = re.compile(r"\b(?:not|never|without|\w+n't) (?:stop\w*|giv\w+ (?:up|in)|paus\w+|rest\w*)")
_FORBIDS: Final = re.compile(
    r"\b(?:never|not|no|nobody|nor|nothing|without|stop\w*|avoid\w*|rests?|instead|rather|wrong|harm\w*|danger\w*"
    r"|says?|tells?)\b|n't\b"
)


@cache
def _lines() -> list[str]:
    """Return the lines of the list; the first one has the words for pain."""
    return [one for one in _PHRASES.read_text("utf-8").splitlines() if one and not one.startswith("#")]


@cache
def _pain() -> tuple[list[str], re.Pattern[str]]:
    """Return the words for pain without those that hold another one, and all of them as a pattern."""
    words = _lines()[0].partition("=")[2].split()
    stems = [one for one in words if not any(other in one for other in words if other != one)]
    return stems, re.compile(rf"\b(?:{'|'.join(words)})\b")


@cache
def _phrases() -> re.Pattern[str]:
    words = {"PAIN": _pain()[1].pattern, "..": r"\w+", "...": r"(?:\w+ ){0,4}?"}
    phrases = (" ".join(words.get(word, word) for word in line.split()) for line in _lines()[1:])
    return re.compile("|".join(rf"\b{one}".replace("? ", "?") for one in phrases))


def _tells_to_go_on(text: str) -> bool:
    """Return whether a sentence of a text tells to go on through pain, and does not forbid it."""
    for sentence in _SENTENCE.split(text.casefold().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")):
        plain = _GOES_ON.sub("go on", " ".join(re.findall(r"[\w']+", sentence)))
        for found in _phrases().finditer(plain):
            if not _FORBIDS.search(f"{plain[: found.start()]} | {plain[found.end() :]}"):
                return True
    return False


@as_written()
def check_through_pain(draft: Draft) -> Iterator[Problem]:
    """No text tells a child to go on although it hurts."""
    plain = [text.casefold() for text, _ in draft.texts]
    ends = list(accumulate(len(text) + 1 for text in plain))
    whole, (stems, pain) = "\n".join(plain), _pain()
    named = {bisect(ends, found.start()) for stem in stems for found in re.finditer(stem, whole)}
    for text, path in map(draft.texts.__getitem__, sorted(named)):
        if pain.search(text.casefold()) and _tells_to_go_on(text):
            message = "this text tells a child to go on although it hurts"
            hint = "nobody plays or sings through pain: say to stop and to tell an adult"
            yield Problem("through-pain", "error", draft.graph.at(*path), message, hint)
