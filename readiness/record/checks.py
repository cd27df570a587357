"""What a student file must agree with: the course it names, its own dates, and days that can hardly be.

Each check yields problems at the very word that is wrong. Nothing here judges the student,
and nothing raises: a file with problems is shown to its owner, never guessed at.

What is dated after the day asked about counts for nothing, so such an entry would quietly be
left out - a hold among them; and a lesson a year too early would be taken for a long break. It is named
wherever the student is asked about, and nothing is changed.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from functools import partial
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from readiness.course.model import TAKEN_OUT, Course, Skill, Unit
from readiness.days import age_on, birth_day, iso
from readiness.record.consents import ADULT_AGE
from readiness.record.marks import entry_around
from readiness.record.model import SHOWN, Record, as_written, corrected, is_id
from readiness.terms import LANGUAGES
from readiness.toml.problems import Place, Problem, few, told_again
from readiness.toml.read import Loaded
from readiness.toml.texts import DidYouMean, composed, did_you_mean, is_slip

if TYPE_CHECKING:
    from readiness.record.schema import StudentFile

__all__ = [
    "AGES", "DOUBLED", "before_the_unit", "check_names", "check_record", "odd_days", "units_by_number",
    "why_no_adult",
]  # fmt: skip

_SKILLS: Final = (
    "skill", "for_skill", *SHOWN, "not_tried", "disliked", "liked_again", "remarks", "tried_again",
)  # fmt: skip
_NAMING: Final = {**dict.fromkeys(_SKILLS, "skill"), "unit": "unit", "through": "unit", "band": "band"}
"""What the words behind a key name, in every block that has it."""
_SAID: Final = {
    "hold": ("words",), "task": ("text",), "promise": ("to", "text"), "told": ("to", "what"),
    "alternative": ("text", "agreed_with"),
}  # fmt: skip
"""The texts that must be there, by the kind of block."""
DOUBLED: Final = "doubled-entry"
"""An entry of ours that is there twice: what :mod:`readiness.studio.doctor` can take back."""
_TAKE_BACK: Final = "`readiness doctor --fix` takes the second back; or leave it, if it was meant twice"
_FEW: Final = 14
_SKILL_ID: Final = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def check_record(loaded: Loaded[StudentFile], course: Course) -> tuple[Problem, ...]:
    """Return the problems of a student file that keeps to the schema."""
    file = loaded.value
    assert file is not None
    return few(
        chain(
            _check_file_name(loaded.path),
            check_names(loaded, course),
            _check_settled(loaded, file, course),
            _check_birth(loaded, file),
            _check_age(loaded, file),
            _check_orders(loaded),
            _check_closing(loaded, file),
            _check_starts(loaded, file, course),
            _check_lists(loaded),
            _check_texts(loaded),
            _check_twice(loaded, file),
            _check_pain_is_asked(loaded, file, course),
            _check_corrections(loaded, file),
            _check_language(loaded, file),
        )
    )


def _check_language(loaded: Loaded[StudentFile], file: StudentFile) -> Iterator[Problem]:
    """Letters go home in a language that there is, else in English."""
    if file.language and file.language not in LANGUAGES:
        told = f'there are no letters in "{file.language}", so they are in English'
        hint = f"there are: {', '.join(f'{code} ({name})' for code, name in LANGUAGES.items())}"
        yield Problem("unknown-language", "warning", loaded.value_place("language"), told, hint)


def _check_file_name(path: Path) -> Iterator[Problem]:
    """A file's name is the student's id, so it must be one."""
    if not is_id(path.stem):
        message = "the name of this file cannot serve as a student's id"
        hint = "name it with letters, digits, hyphens and underscores, beginning with a letter or a digit"
        yield Problem("file-name", "error", Place(path, 1, 1), message, hint)


def check_names(loaded: Loaded[StudentFile], course: Course) -> Iterator[Problem]:
    """Yield every skill, unit and band that is named and not in a course of the studio."""
    taught = (course, *course.beside)
    known = {
        what: dict.fromkeys(id_ for one in taught for id_ in one.nameable[what]) for what in course.nameable
    }
    named = [(path, what, value) for path, value in _values(loaded.data) if (what := _NAMING.get(path[2]))]
    uses = Counter(word for *_, value in named for word in _words(value))
    for path, what, value in named:
        place = loaded.key_place if isinstance(value, dict) else loaded.value_place
        for at, word in enumerate(_words(value)):
            if isinstance(word, str) and word not in known[what]:
                last = () if isinstance(value, str) else (at,) if isinstance(value, list) else (word,)
                message = f'there is no {what} "{word}" in the course'
                id_ = next((id_ for one in taught for id_ in _called(one, what, word)), None)
                meant = _meant(word, what, known[what], once=uses[word] == 1)
                hint = f'that is its name; its id is "{id_}"' if id_ else meant
                yield Problem(f"unknown-{what}", "error", place(*path, *last), message, hint, word=word)


def units_by_number(loaded: Loaded[StudentFile], course: Course) -> Iterator[tuple[Place, str]]:
    """Yield each place where the number of a unit stands in place of its id, with what to write there."""
    for path, number in _values(loaded.data):
        is_unit = _NAMING.get(path[2]) == "unit" and type(number) is int
        for unit in (one for one in course.units if is_unit and one.number == number):
            yield loaded.value_place(*path), f'write the id of unit {number}: "{unit.id}"'


def _words(value: object) -> tuple[object, ...]:
    """Return what a value names: of another kind than a name or several, nothing."""
    return (value,) if isinstance(value, str) else tuple(value) if isinstance(value, (list, dict)) else ()


def _called(course: Course, what: str, name: str) -> Iterator[str]:
    """Yield the ids of the skills or units of a name."""
    tables: dict[str, Iterable[Skill | Unit]] = {"skill": course.skills, "unit": course.units}
    return (one.id for one in tables.get(what, ()) if one.name.casefold() == name.strip().casefold())


def _meant(word: str, what: str, known: Collection[str], *, once: bool) -> str:
    """Return the nearest name, or all of them where they are few.

    A skill that is named more than once is called so, unless another one is a slip of the finger away.
    """
    if what == "skill" and _SKILL_ID.fullmatch(word):
        meant = did_you_mean(word, known, f" or {TAKEN_OUT}")
        return meant if isinstance(meant, DidYouMean) and (once or is_slip(word, meant.name)) else TAKEN_OUT
    return did_you_mean(word, known) or (f"the {what}s are {', '.join(known)}" if len(known) <= _FEW else "")


def _values(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str, int, str], Any]]:
    """Yield every value that is written in a block, with the kind of block, its number and the key."""
    for kind, blocks in data.items():
        for i, block in enumerate(blocks if isinstance(blocks, list) else ()):
            for key, value in block.items() if isinstance(block, Mapping) else ():
                yield (kind, i, key), value


def _check_birth(loaded: Loaded[StudentFile], file: StudentFile) -> Iterator[Problem]:
    """Nothing happened before the student was born."""
    born = birth_day(file.born)
    # A month alone counts as its last day, but nobody minds what was noted in that month.
    first, place = born if len(file.born) == 10 else born - 30, loaded.value_place("born")
    days = [(path, day) for path, day in _values(loaded.data) if isinstance(day, date)]
    early = [(path, day) for path, day in days if day.toordinal() < first]
    hint = "one of the two years is probably a slip of the finger"
    if len(early) > 1 and 2 * len(early) > len(days):  # then it is the birth that is wrong
        path, day = min(early, key=lambda one: one[1])
        message = f"born {file.born}: that is after {len(early)} of the {len(days)} days noted here"
        there, label = loaded.value_place(*path), "the first of them"
        yield Problem("before-birth", "error", place, message, "is the year right?", there, label)
        return
    for path, day in early:
        message = f"{day.isoformat()} is before the birth date, {file.born}"
        here = loaded.value_place(*path)
        yield Problem("before-birth", "error", here, message, hint, place, "the birth date")


AGES: Final = range(3, 100)
"""How old somebody is who has lessons: common practice, no source."""


def _check_age(loaded: Loaded[StudentFile], file: StudentFile) -> Iterator[Problem]:
    """Whoever has a first lesson is neither a baby nor over a hundred."""
    days = [*(block.on for block in file.lesson), *(block.on for block in file.unit_start)]
    first = min(map(date.toordinal, days), default=0)
    born = birth_day(file.born)
    if born <= first and (age := age_on(born, first)) not in AGES:
        message = f"born {file.born}, this student was {age} on {iso(first)}, the first day noted here"
        hint = "is the year right? Every number of the pacing goes by age"
        yield Problem("odd-age", "warning", loaded.value_place("born"), message, hint)


def _check_settled(loaded: Loaded[StudentFile], file: StudentFile, course: Course) -> Iterator[Problem]:
    """What is settled comes before what was begun."""
    for taught in (course, *course.beside):
        number = {unit.id: unit.number for unit in taught.units}
        begun = [(number[block.unit], i) for i, block in enumerate(file.unit_start) if block.unit in number]
        for i, block in enumerate(file.settled):
            furthest, start = max(begun, default=(len(number), 0))
            if number.get(block.through, 0) > furthest:
                last = file.unit_start[start].unit
                message = (
                    f'"{block.through}" is settled, and comes after "{last}", the last unit that was begun'
                )
                hint = "name the unit before the one begun, or add the [[unit_start]] that is missing"
                here = loaded.value_place("settled", i, "through")
                there = loaded.value_place("unit_start", start, "unit")
                yield Problem(
                    "settled-ahead", "warning", here, message, hint, there, "the unit that was begun"
                )


_ORDERS: Final = (
    ("hold", "opened", "closed", "closed before it was opened"),
    ("hold", "since", "opened", "opened before it had begun to hurt"),
    ("decision", "on", "until", "to end before it was decided"),
    ("promise", "given", "answered", "answered before it was given"),
    ("promise", "given", "due", "due before it was given"),
    ("placing", "on", "confirmed", "confirmed before it took place"),
)
"""Of a kind of block two days in their order, and what it would be if they were not."""


def _check_orders(loaded: Loaded[StudentFile]) -> Iterator[Problem]:
    """What ends does not end before it began."""
    for kind, first, last, what in _ORDERS:
        for i, block in enumerate(loaded.data.get(kind, ())):
            if first in block and last in block and block[last] < block[first]:
                message, hint = f"this was {what}, on {block[first].isoformat()}", "look at both days"
                here, there = (loaded.value_place(kind, i, key) for key in (last, first))
                yield Problem("wrong-order", "error", here, message, hint, there, "the earlier step")


def _check_closing(loaded: Loaded[StudentFile], file: StudentFile) -> Iterator[Problem]:
    """A hold is closed by a person, with words; and only with a day."""
    for i, hold in enumerate(file.hold):
        said = {"closed_by": hold.closed_by, "closed_words": hold.closed_words}
        missing = [key for key, words in said.items() if not words.strip()]
        if hold.closed is not None and missing:
            message = f"a closed hold also says {' and '.join(missing)}"
            hint = "an adult closes a hold: write who, and in what words"
            here = loaded.key_place("hold", i, "closed")
            yield Problem("hold-closed-by-nobody", "error", here, message, hint)
        elif hold.closed is not None:
            message = why_no_adult(hold.closed_by, file.name, birth_day(file.born), hold.closed.toordinal())
            if message:
                here = loaded.value_place("hold", i, "closed_by")
                yield Problem("hold-closed-by-nobody", "error", here, message)
        if hold.closed is None and len(missing) < 2:
            message = "this hold says how it was closed, but not on which day"
            hint = "the hold is still open; add the day, as in closed = 2025-12-20, or take these words out"
            here = loaded.key_place("hold", i, "closed_by" if hold.closed_by.strip() else "closed_words")
            yield Problem("hold-without-closing-day", "error", here, message, hint)


_NOBODY: Final = frozenset({"i", "me", "myself", "self", "us", "we", "ourselves"})
"""Words that name nobody once somebody else reads them."""
_SELF: Final = frozenset(
    ("himself", "herself", "themself", "themselves", "self", "the", "a", "child", "student", "pupil")
)
"""Words that say no more than that it was the student."""
_WORDS: Final = re.compile(r"\w+")


def why_no_adult(by: str, name: str, born: int, on: int) -> str:
    """Return why a pause is not ended by who is named, empty where it is.

    Args:
        by: who ends it, as it is written.
        name, born: those of the student; born is 0 where it could not be read.
        on: the day of the ending.
    """
    if by.strip(" .").casefold() in _NOBODY or not any(letter.isalpha() for letter in by):
        by_name = "please give a name, or who it is to the student, such as her mother"
        return f'"{by.strip()}" does not say which adult ends the pause; {by_name}'
    words = [word for word in _WORDS.findall(composed(by).casefold()) if word not in _SELF]
    is_same = words in ([], _WORDS.findall(composed(name).casefold()))
    if is_same and not (born > 0 and age_on(born, on) >= ADULT_AGE):
        return f"{name} is not of age: an adult ends the pause, by name"
    return ""


def _check_starts(loaded: Loaded[StudentFile], file: StudentFile, course: Course) -> Iterator[Problem]:
    """One unit of a course begins on a day, unless a decision of that day moved on from it."""
    moved = {one.on for one in file.decision if one.decided == "move"}
    for taught in (course, *course.beside):
        first: dict[date, int] = {}
        for i, block in enumerate(file.unit_start):
            if block.unit not in taught.unit or block.on in moved:
                continue
            other = first.setdefault(block.on, i)
            if file.unit_start[other].unit != block.unit:
                day, hint = block.on.isoformat(), "take one of them out"
                message = f'two units begin on {day}; "{block.unit}" is later in the file, so it holds'
                here, there = (loaded.value_place("unit_start", one, "unit") for one in (i, other))
                yield Problem("two-starts", "warning", here, message, hint, there, "the other")


def _check_lists(loaded: Loaded[StudentFile]) -> Iterator[Problem]:
    """No list of a lesson names a skill twice; a correction names each note that it takes out."""
    for i, block in enumerate(loaded.data.get("lesson", ())):
        for field, listed in ((key, one) for key, one in block.items() if isinstance(one, list)):
            place = partial(loaded.value_place, "lesson", i, field)
            yield from told_again(listed, place, "double-entry", '"{}" is in this list twice')


def _check_texts(loaded: Loaded[StudentFile]) -> Iterator[Problem]:
    """A text that must be there says something."""
    for (kind, i, key), words in _values(loaded.data):
        if isinstance(words, str) and not words.strip() and key in _SAID.get(kind, ()):
            message, hint = f"{key} of this [[{kind}]] is empty", "write it in a few words"
            yield Problem("empty-text", "warning", loaded.value_place(kind, i, key), message, hint)


def _check_twice(loaded: Loaded[StudentFile], file: StudentFile) -> Iterator[Problem]:
    """No entry counts twice, word for word; each of two corrections alike may take a note out."""
    lines, told = loaded.text.encode().split(b"\n"), dict[range | None, list[Problem]]()
    taken = corrected(loaded.data).taken
    idle = {loaded.key_place("correction", i) for i, notes in enumerate(taken) if not notes}
    for kind in type(file).model_fields:
        if isinstance(blocks := loaded.data.get(kind), list):
            said = (one and str(one) for one in (as_written(loaded.data) if kind == "lesson" else blocks))
            message = f"this [[{kind}]] is here twice, word for word"
            for one in told_again(said, partial(loaded.key_place, kind), "same-entry", message):
                if kind != "correction" or one.place in idle:
                    told.setdefault(entry_around(lines, one.place.line - 1), []).append(one)
    for ours, found in told.items():
        whole = ours is not None and len(found) == sum(lines[at].startswith(b"[[") for at in ours)
        first = min(found, key=lambda one: one.place.line)
        yield from [replace(first, id=DOUBLED, hint=_TAKE_BACK)] if whole else found


def _check_corrections(loaded: Loaded[StudentFile], file: StudentFile) -> Iterator[Problem]:
    """A correction names notes as they stand in the file, or it would quietly take nothing out."""
    for i in (i for i, notes in enumerate(corrected(loaded.data).taken) if not notes):
        message = f"no note of {file.correction[i].of} is as this correction says, so it takes nothing out"
        hint = "was the lesson changed by hand since? take the correction out, or name the note as it is now"
        yield Problem("corrects-nothing", "warning", loaded.value_place("correction", i, "of"), message, hint)


def _check_pain_is_asked(loaded: Loaded[StudentFile], file: StudentFile, course: Course) -> Iterator[Problem]:
    """Saying that something hurts is never set aside (rule R9)."""
    asks = {skill.id for taught in (course, *course.beside) for skill in taught.skills if skill.asks_pain}
    for i, block in enumerate(file.set_aside):
        if block.skill in asks:
            message = f'"{block.skill}" is how a child says that something hurts: it cannot be set aside'
            hint = "agree on another sign with the family and write it down here, as [[alternative]]"
            here = loaded.value_place("set_aside", i, "skill")
            yield Problem("pain-set-aside", "error", here, message, hint)


_FAR: Final = 180
"""So many days from every other lesson, a lesson may have the wrong year; a summer is shorter (a guess)."""
_NEAR: Final = 35
"""A lesson that many days from another, in the next year, is where it was meant (a guess)."""
_YEARS: Final = 3 * 365
"""So many days from every lesson, anything may have the wrong year: no break is as long (a guess)."""


def odd_days(record: Record, latest: int) -> Iterator[Problem]:
    """Yield a warning for each entry after the ``latest`` possible day, or far from all lessons."""
    if record.path is not None:
        yield from _ahead(record.path, record, latest)
        yield from _far_away(record.path, record, latest)


def _dated(record: Record) -> Iterator[tuple[str, int, int]]:
    """Yield what is noted with a day: what it is, the day, the line."""
    seen = record.entire.seen
    yield from (("lesson", *one) for one in seen.lesson_lines)
    yield from (("hold", one.opened, one.line) for one in seen.holds)
    yield from (("end of a hold", one.closed, one.line) for one in seen.holds if one.closed is not None)
    yield from (("unit start", one.on, one.line) for one in seen.unit_starts)
    yield from (("settled block", one.on, one.line) for one in seen.settled)
    yield from (("agreement", one.on, one.line) for one in seen.set_aside)
    yield from (("band choice", one.on, one.line) for one in seen.band_choices)
    yield from (("decision", one.on, one.line) for one in seen.decisions)


def _ahead(path: Path, record: Record, latest: int) -> Iterator[Problem]:
    for what, day, line in _dated(record):
        if day > latest:
            message = f"this {what} is dated {iso(day)}, which has not come yet, so it does not count"
            hint = "correct the date; the clock of the machine it was noted on may be wrong"
            yield Problem(f"future-{what.replace(' ', '-')}", "warning", Place(path, line, 1), message, hint)


def _far_away(path: Path, record: Record, latest: int) -> Iterator[Problem]:
    """Something years from every lesson, or a lesson months from every other, but for a year."""
    lessons = {day for day, _ in record.entire.seen.lesson_lines if day <= latest}
    for what, day, line in _dated(record):
        others = lessons - {day} if what == "lesson" else lessons
        if day > latest or not others or (gap := _nearest(day, others)) < _FAR:
            continue
        meant = [year for year in (day + 365, day - 365) if _nearest(year, others) <= _NEAR]
        if gap >= _YEARS or (meant and what == "lesson"):
            message = f"{iso(day)} is {'years' if gap >= _YEARS else 'months'} away from every other lesson"
            among = f" About {iso(meant[0])} it would be among them" if meant else ""
            yield Problem(
                "far-away-day", "warning", Place(path, line, 1), message, f"is the year wrong?{among}"
            )


def before_the_unit(record: Record, course: Course) -> Iterator[Problem]:
    """Yield that lessons with skills of the first unit come before it, and so are no lessons of it.

    Of somebody who was placed, the lessons before that are meant to be.
    """
    first = min(record.unit_starts, key=lambda one: one.on, default=None)
    if first is None or record.placings or record.path is None:
        return
    own = {one.id for one in course.skills if one.unit == first.unit}
    before = (one for one in record.lessons if 0 < first.on - one.on < _FAR)
    days = {one.on for one in before if any(each.skill in own for each in one.showings)}
    if days:
        lessons = "1 lesson" if len(days) == 1 else f"{len(days)} lessons"
        counted = f"{lessons} with its skills before that {'is' if len(days) == 1 else 'are'} not counted"
        message = f'"{first.unit}" begins on {iso(first.on)}, so {counted} as its own'
        hint = f"did it begin with the first of them? Then write here: on = {iso(min(days))}"
        yield Problem("before-the-unit", "warning", Place(record.path, first.line, 1), message, hint)


def _nearest(day: int, others: Iterable[int]) -> int:
    return min(abs(day - one) for one in others)
