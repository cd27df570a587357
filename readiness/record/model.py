"""What was seen, as plain values: one student's record.

Made from a file that has been checked (``record.load``). Days are day numbers (``readiness.days``). Every
entry keeps the line it stands on, so that every reason can name its source.
"""

from __future__ import annotations

import re
from bisect import bisect
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field, replace
from functools import cached_property
from itertools import islice
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, NamedTuple, Protocol, TypeVar

from readiness.days import iso
from readiness.lazy import LazyFields, dataclass, regex
from readiness.record.rhythm import Rhythm
from readiness.terms import Help, Verdict

__all__ = [
    "AGAIN", "BLOCKS", "DAYS", "HELPS", "PAIN", "SHOWN", "WITHOUT_WORDS", "Alternative", "BandChoice",
    "Corrected", "Correction", "Decision", "Hold", "Lesson", "Note", "OnADay", "Particulars", "Placing",
    "Promise", "Record", "Said", "Seen", "SetAside", "Settled", "Showing", "Showings", "Task", "Told",
    "UnitStart", "as_told", "as_written", "corrected", "is_id", "latest", "mentions_pain", "one_a_day",
    "seen_in",
]  # fmt: skip

# What judging looks at in a record: days, skills, helps and lines, no word that anybody wrote.
#
# Everything that is asked of a whole school is answered from this. It is small, it can be kept
# between two readings (``studio.cache``): then no remark is, only the days on which one may speak of pain.

WITHOUT_WORDS: Final = ("born", "rhythm", "consents", "unit_starts", "settled", "placings")
"""What is the same in a record and in what is seen of it, because nobody writes words there."""

Note = tuple[int, int, int]
"""A day, the help (an index into HELPS) and the line of the student's file."""


Showings = tuple[int, tuple["Showing", ...]]
"""What one lesson noted, and by whom: a number among those of the file, in order of initials; 0: nobody."""


class OnADay(Protocol):
    """An entry of a student's file that is about one day."""

    @property
    def on(self) -> int:
        """The day."""


_Entry = TypeVar("_Entry", bound=OnADay)


@dataclass(frozen=True)
class Seen(LazyFields):
    """A record without words: the texts in its blocks are empty.

    Attributes:
        notes: by skill id, one note a day, oldest first (rule R1).
        lesson_lines: the day and the line of every lesson, in the order of the file.
        lesson_notes: what each of these lessons noted.
        days_beside: those of ``lesson_days`` on which another course alone was taught, that notes here too.
        pain_days: those of ``lesson_days`` whose words may speak of something that hurts, and those between
            which a report or a promise does.
        named: everything of a course that the file names: a skill, unit or band, and which.
    """

    born: int
    rhythm: Rhythm | None
    consents: Mapping[str, bool]
    unit_starts: tuple[UnitStart, ...]
    settled: tuple[Settled, ...]
    holds: tuple[Hold, ...]
    set_aside: tuple[SetAside, ...]
    band_choices: tuple[BandChoice, ...]
    decisions: tuple[Decision, ...]
    promises: tuple[Promise, ...]
    placings: tuple[Placing, ...]
    lesson_lines: tuple[tuple[int, int], ...]
    lesson_days: tuple[int, ...]
    days_beside: tuple[int, ...]
    notes: Mapping[str, tuple[Note, ...]]
    lesson_notes: tuple[Showings, ...]
    pain_days: tuple[int, ...]
    named: frozenset[tuple[str, str]]

    def lessons(self) -> Iterator[tuple[int, int, tuple[Showing, ...]]]:
        """Yield the day of every lesson, who noted it, and what."""
        for (day, _), (by, showings) in zip(self.lesson_lines, self.lesson_notes, strict=True):
            yield day, by, showings


def seen_in(record: Record) -> Seen:
    """Return what judging looks at in a record."""
    lines = tuple((lesson.on, lesson.line) for lesson in record.lessons)
    own = {lesson.on for lesson in record.lessons if not lesson.is_beside}
    who = ["", *sorted({by for one in record.lessons if (by := _initials(one))})]
    return Seen(
        born=record.born, rhythm=record.rhythm, consents=record.consents, unit_starts=record.unit_starts,
        settled=record.settled, placings=record.placings,
        holds=tuple(replace(one, words="", closed_by="", closed_words="") for one in record.holds),
        set_aside=tuple(replace(one, agreed_with="") for one in record.set_aside),
        band_choices=tuple(replace(one, reason="") for one in record.band_choices),
        decisions=tuple(replace(one, reason="") for one in record.decisions),
        promises=tuple(replace(one, to="", text="", answer="") for one in record.promises),
        lesson_lines=lines,
        lesson_days=tuple(sorted({day for day, _ in lines})),
        days_beside=tuple(sorted({day for day, _ in lines} - own)),
        notes=one_a_day(
            (showing.skill, (lesson.on, showing.help, showing.line))
            for lesson in record.lessons
            for showing in lesson.showings
        ),
        lesson_notes=tuple((who.index(_initials(one)), one.showings) for one in record.lessons),
        pain_days=tuple(sorted({one.on for one in record.lessons if one.pain} | _pain_reported(record))),
        named=frozenset(_named_in(record)),
    )  # fmt: skip


def _pain_reported(record: Record) -> set[int]:
    """Return the lessons before and after what was said between them of something that hurts."""
    days = sorted({lesson.on for lesson in record.lessons})
    after = (bisect(days, day) for day, _ in record.pain_beside)
    return {day for at in after for day in days[max(0, at - 1) : at + 1]}


def _initials(lesson: Lesson) -> str:
    return lesson.by.strip().casefold()


def _named_in(record: Record) -> Iterator[tuple[str, str]]:
    for lesson in record.lessons:
        yield from (("skill", one.skill) for one in lesson.showings)
        yield from (("skill", name) for name in lesson.named)
    yield from (("skill", entry.skill) for entry in record.set_aside)
    yield from (("skill", entry.skill) for entry in record.alternatives)
    yield from (("skill", entry.skill) for entry in record.corrected)
    yield from (("skill", task.for_skill) for task in record.tasks)
    yield from (("unit", start.unit) for start in record.unit_starts)
    yield from (("unit", block.through) for block in record.settled)
    yield from (("unit", decision.unit) for decision in record.decisions)
    yield from (("band", choice.band) for choice in record.band_choices)


_PART: Final = r"(?:wrist|hand|arm|forearm|elbow|shoulder|neck|finger|fingertip|thumb|knuckle|throat|voice)s?"
_FELT: Final = r"(?:tired|fatigued?|weakness|stiffness|broken|shaky|trembl\w*)"
_CANNOT: Final = r"(?:can(?:not| not|\Wt|t)|could(?: not|n\Wt|nt))"
PAIN: Final = (
    r"(?i:\b(?:ach(?:es?|ing|y)|burn(?:s|ing)?|cramp\w*|hurt(?:s|ing)?|numb(?:ness)?|ouch|ow|pain(?:s|ful)?"
    r"|sore(?:ness)?|st(?:ings?|inging|ung)|swell\w*|swollen|tingl\w*|pins and needles|hoarse(?:ness)?"
    r"|stiff (?:neck|shoulders?|back)|bandag\w*|sprain\w*|splints?|bruis\w*|injur\w*|due(?:le|len)|dolor\w*"
    r"|hormigue\w*|slings?|in (?:a|an? \w+|plaster) cast|in plaster|no (?:feeling|strength) in|weak grip"
    rf"|grip \w+ weak|{_PART} (?:felt|feels?|is|are|was|were|went|got|goes|gets)(?: \w+)? weak"
    rf"|{_PART}(?: \w+)? (?:shook|shak(?:es?|ing))|{_CANNOT} feel(?! \w+ (?:beat|pulse|rhythm|metre|phrase))"
    rf"|{_PART}(?: \w+){{0,3}} {_FELT}|{_FELT}(?: \w+){{0,3}} {_PART})\b)"
)
"""Words for what stops playing: pain, numbness, tingling, weakness, swelling, soreness (C1), and as they are
said; of a part of the body also tired. A stiff wrist or a weak finger is more often a matter of technique.
Common practice, no source: a hint, and never sure. What is kept between two readings has it as its key."""
_PAIN: Final = regex(PAIN)


def mentions_pain(words: str) -> bool:
    """Return whether a remark speaks of something that hurts, so that pausing is offered.

    >>> [mentions_pain(one) for one in ("left wrist sore", "hand felt weak", "weak beat", "shook hands")]
    [True, True, False, False]
    """
    return _PAIN.search(words) is not None


def latest(entries: Iterable[_Entry]) -> _Entry | None:
    """Return the entry of the latest day, of equals the later in the file (rules, section 1)."""
    return max(enumerate(entries), key=lambda at: (at[1].on, at[0]), default=(0, None))[1]


def one_a_day(noted: Iterable[tuple[str, Note]]) -> dict[str, tuple[Note, ...]]:
    """Return, by skill, one note a day, oldest first: the one with most help (rule R1).

    Of two with as much help the one on the earlier line stays.

    >>> one_a_day([("wrist", (9, 0, 5)), ("wrist", (2, 0, 3)), ("wrist", (9, 1, 6))])
    {'wrist': ((2, 0, 3), (9, 1, 6))}
    """
    by_skill: dict[str, dict[int, Note]] = {}
    for skill, note in noted:
        of_skill = by_skill.setdefault(skill, {})
        held = of_skill.get(note[0])
        if held is None or (note[1], -note[2]) > (held[1], -held[2]):
            of_skill[note[0]] = note
    return {skill: tuple(sorted(of_skill.values())) for skill, of_skill in by_skill.items()}


HELPS: Final = tuple(Help)
"""Help from least to most (rule R1). The order is that of published prompting ladders."""
DAYS: Final = frozenset({
    "answered", "born", "closed", "confirmed", "day", "due", "earliest", "given", "last_check", "last_lesson",
    "move_on", "next_lesson", "of", "on", "opened", "since", "stay_decided", "until",
})  # fmt: skip
"""The fields of values that are told, which hold a day."""


def as_told(name: str, value: object) -> object:
    """Return the value of a field as it is told: a day as written, a help by its name, a list for a tuple."""
    if isinstance(value, int) and name in DAYS:
        return iso(value)
    if isinstance(value, int) and name in ("help", "best_help"):
        return HELPS[value]
    return [*value] if isinstance(value, tuple) else value


SHOWN: Final = ("alone", "cue", "model", "hands_on", "not_shown")
"""The lists of a lesson that are evidence, from least help to most (the order of ``HELPS``)."""
AGAIN: Final[Mapping[str, str]] = MappingProxyType({
    "slower": "slower",
    "one-hand": "with one hand",
    "shorter": "a shorter part of it",
    "on-the-lid": "on the closed lid",
    "hand-away": "without the teacher's hand",
})
"""How something is tried again with less, by the word in the file. Common practice, no source."""


_ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")


def is_id(text: str) -> bool:
    """Return whether a text may serve as a student's id, and so as the name of a file.

    >>> is_id("temwa"), is_id("../temwa"), is_id("")
    (True, False, False)
    """
    return _ID.fullmatch(text) is not None


class Showing(NamedTuple):
    """One skill noted in one lesson: ``help`` is an index into HELPS. A school has very many."""

    skill: str
    help: int
    line: int


@dataclass(frozen=True)
class Lesson:
    """One ``[[lesson]]`` block; ``is_beside``: it is of another course, and names what both have."""

    on: int
    showings: tuple[Showing, ...] = ()
    not_tried: tuple[str, ...] = ()
    by: str = ""
    note: str = ""
    remarks: Mapping[str, str] = field(default_factory=dict)
    disliked: tuple[str, ...] = ()
    liked_again: tuple[str, ...] = ()
    tried_again: Mapping[str, str] = field(default_factory=dict)
    line: int = 0
    is_beside: bool = False

    @property
    def pain(self) -> tuple[str, ...]:
        """What is written in it that may speak of something that hurts."""
        return tuple(filter(mentions_pain, (self.note, *self.remarks.values())))

    @property
    def named(self) -> tuple[str, ...]:
        """The skills it names beside those that were shown."""
        return (*self.not_tried, *self.remarks, *self.disliked, *self.liked_again, *self.tried_again)


class Said(NamedTuple):
    """What was last remarked about a skill and when; ``again`` is one of AGAIN, in place of words."""

    skill: str
    on: int
    text: str
    again: str = ""


@dataclass(frozen=True)
class UnitStart:
    """The student began a unit."""

    unit: str
    on: int
    line: int = 0


@dataclass(frozen=True)
class Settled:
    """Everything of the units up to and including ``through`` was secure on that day."""

    through: str
    on: int
    line: int = 0


@dataclass(frozen=True)
class Hold:
    """Paused for care: no playing until an adult closes it."""

    opened: int
    words: str
    part: str = "all"
    closed: int | None = None
    closed_by: str = ""
    closed_words: str = ""
    since: int | None = None
    line: int = 0

    def is_open(self, day: int) -> bool:
        """Return whether the hold is open on a day (rule R7, verdict 1)."""
        return self.opened <= day and (self.closed is None or self.closed > day)

    def covers(self, day: int) -> bool:
        """Return whether a day is under the hold (rule R1a)."""
        begun = day > self.opened if self.since is None else day >= self.since
        return begun and (self.closed is None or day < self.closed)


@dataclass(frozen=True)
class SetAside:
    """A skill neither asked for nor counted, by agreement."""

    skill: str
    on: int
    agreed_with: str = ""
    line: int = 0


@dataclass(frozen=True)
class BandChoice:
    """The teacher sets another band than the age gives, with a reason."""

    band: str
    on: int
    reason: str = ""
    line: int = 0


@dataclass(frozen=True)
class Decision:
    """What the teacher decided, beside what was computed."""

    on: int
    unit: str
    computed: Verdict
    decided: str
    reason: str = ""
    line: int = 0
    until: int | None = None

    @property
    def is_start(self) -> bool:
        """Whether it says where a new student begins: no unit was left, so it is no move."""
        return self.computed == Verdict.NOT_PLACED

    @property
    def is_move(self) -> bool:
        """Whether a unit was left by it."""
        return self.decided == "move" and not self.is_start


@dataclass(frozen=True)
class Task:
    """Home practice."""

    given: int
    for_skill: str
    text: str
    minutes_day: int = 0
    days_planned: int = 0
    days_reported: int | None = None
    reported: str = ""
    line: int = 0


@dataclass(frozen=True)
class Promise:
    """Something promised to somebody."""

    given: int
    to: str
    text: str
    due: int | None = None
    answered: int | None = None
    answer: str = ""
    line: int = 0


@dataclass(frozen=True)
class Placing:
    """A transfer student's placing lesson."""

    on: int
    confirmed: int | None = None
    line: int = 0


@dataclass(frozen=True)
class Particulars:
    """What whoever teaches the student has to know, in the teacher's words; empty where it is not noted.

    Attributes:
        stop: the stop sign or word; bench, footrest, distance: of the seat.
        words: own words for things; upsets: what upsets; collects: who collects, a relation and no name.
    """

    stop: str = ""
    bench: str = ""
    footrest: str = ""
    distance: str = ""
    words: str = ""
    upsets: str = ""
    collects: str = ""


@dataclass(frozen=True)
class Alternative:
    """Another way of showing a skill, agreed on with somebody; it counts like the usual one."""

    skill: str
    text: str
    agreed_with: str
    on: int
    line: int = 0


@dataclass(frozen=True)
class Told:
    """Who was told what."""

    to: str
    what: str
    on: int
    line: int = 0


BLOCKS: Final[Mapping[str, type[Any]]] = MappingProxyType({
    "unit_starts": UnitStart, "settled": Settled, "holds": Hold, "set_aside": SetAside,
    "band_choices": BandChoice, "decisions": Decision, "tasks": Task, "promises": Promise,
    "placings": Placing, "alternatives": Alternative, "told": Told,
})  # fmt: skip
"""The blocks of a file that a record has as they are, by its field: their kind, in the plural."""


@dataclass(frozen=True)
class Correction:
    """A note of the day ``of`` that was said on a later one to be wrong; ``help`` as it was noted."""

    skill: str
    help: int
    of: int
    on: int
    by: str = ""
    why: str = ""
    line: int = 0


@dataclass(frozen=True)
class Record(LazyFields):
    """Everything kept about one student. ``id`` is the file's name without its ending.

    Where a student takes several courses this is the file as one of them sees it
    (``record.load``): ``whole`` is then the file itself, and holds of the parts in
    ``elsewhere`` are not among ``holds``. ``corrected`` are the notes that were
    said to be wrong: they are in no lesson, and whoever brings in a table does not bring them back.
    """

    id: str
    name: str
    born: int
    family: str = field(default_factory=str)
    language: str = field(default_factory=str)
    home_keys: int | None = field(default_factory=lambda: None)
    rhythm: Rhythm | None = field(default_factory=lambda: None)
    consents: Mapping[str, bool] = field(default_factory=dict)
    unit_starts: tuple[UnitStart, ...] = field(default_factory=tuple)
    settled: tuple[Settled, ...] = field(default_factory=tuple)
    lessons: tuple[Lesson, ...] = field(default_factory=tuple)
    holds: tuple[Hold, ...] = field(default_factory=tuple)
    set_aside: tuple[SetAside, ...] = field(default_factory=tuple)
    band_choices: tuple[BandChoice, ...] = field(default_factory=tuple)
    decisions: tuple[Decision, ...] = field(default_factory=tuple)
    tasks: tuple[Task, ...] = field(default_factory=tuple)
    promises: tuple[Promise, ...] = field(default_factory=tuple)
    placings: tuple[Placing, ...] = field(default_factory=tuple)
    particulars: Particulars = field(default_factory=Particulars)
    alternatives: tuple[Alternative, ...] = field(default_factory=tuple)
    told: tuple[Told, ...] = field(default_factory=tuple)
    corrected: tuple[Correction, ...] = field(default_factory=tuple)
    path: Path | None = None
    elsewhere: frozenset[str] = frozenset()
    whole: Record | None = None

    @cached_property
    def seen(self) -> Seen:
        """What judging looks at."""
        return seen_in(self)

    @property
    def file(self) -> str:
        """The name of the student's file."""
        return self.path.name if self.path else f"{self.id}.toml"

    @property
    def own_path(self) -> Path:
        """The student's file, of a record that was read from one."""
        assert self.path is not None
        return self.path

    @property
    def entire(self) -> Record:
        """Return all the file holds, for whoever counts its blocks."""
        return self.whole or self

    @property
    def pain_beside(self) -> Iterator[tuple[int, str]]:
        """The day and the words of what may speak of something that hurts and is told of no lesson.

        A report about home practice has no day of its own: it is that on which the task was given.
        """
        told = [(one.given, one.reported) for one in self.tasks]
        for one in self.promises:
            told += [(one.given, one.text), (one.answered or one.given, one.answer)]
        return ((day, words) for day, words in told if mentions_pain(words))

    @property
    def sings(self) -> bool:
        """Return whether this course uses the voice, and another one of the studio the hands."""
        return "hand" in self.elsewhere

    def alternative(self, skill: str, day: int) -> Alternative | None:
        """Return the way of showing a skill that was agreed on last, up to a day."""
        return latest(one for one in self.alternatives if one.skill == skill and one.on <= day)

    def said(self, day: int, skills: Iterable[str]) -> tuple[Said, ...]:
        """Return the latest remark on each of some skills up to a day, and how it was last tried again."""
        words, again = dict[str, Said](), dict[str, Said]()
        for lesson in self._until(day):
            words |= {skill: Said(skill, lesson.on, text) for skill, text in lesson.remarks.items()}
            again |= {skill: Said(skill, lesson.on, "", how) for skill, how in lesson.tried_again.items()}
        asked = dict.fromkeys(skills)
        return tuple(found[skill] for skill in asked for found in (words, again) if skill in found)

    def disliked(self, day: int) -> frozenset[str]:
        """Return what a student was noted not to like up to a day, and not to like again since."""
        found = frozenset[str]()
        for lesson in self._until(day):
            found = found.union(lesson.disliked).difference(lesson.liked_again)
        return found

    def _until(self, day: int) -> list[Lesson]:
        """Return the lessons up to a day, in order of days; those of one day as they stand in the file."""
        return sorted((one for one in self.lessons if one.on <= day), key=lambda one: one.on)

    def resting(self, day: int) -> tuple[Hold, ...]:
        """Return the open holds that pause another course; here that part of the body rests."""
        if not self.elsewhere:
            return ()
        return tuple(one for one in self.entire.holds if one.part in self.elsewhere and one.is_open(day))

    def open_holds(self, day: int) -> tuple[Hold, ...]:
        """Return every open hold of the student, those first that pause this course."""
        return (*(one for one in self.holds if one.is_open(day)), *self.resting(day))


class Corrected(NamedTuple):
    """What corrections take out of the lessons of a file: rules and answers never see it.

    Attributes:
        whole: which lessons (from 0) were none.
        shown: lesson, skill and help (an index into SHOWN) of each note that was wrong.
        taken: what each correction takes out, of a whole lesson without a skill; nothing where it is idle.
    """

    whole: frozenset[int] = frozenset()
    shown: frozenset[tuple[int, str, int]] = frozenset()
    taken: tuple[frozenset[tuple[int, str, int]], ...] = ()


def corrected(file: Mapping[str, Any]) -> Corrected:
    """Return what the corrections of a file take out: each note once, the first of its day that is left.

    ``file`` holds the plain values of a file that keeps to the schema.
    """
    if not file.get("correction"):
        return Corrected()
    lessons = file.get("lesson", ())
    left = {i: [list(one.get(name, ())) for name in SHOWN] for i, one in enumerate(lessons)}
    taken = list[frozenset[tuple[int, str, int]]]()
    for one in file["correction"]:
        noted = [list(one.get(name, ())) for name in SHOWN]
        days = [i for i in left if lessons[i]["on"] == one["of"]]
        if one.get("whole", False):  # the first lesson with just these lists, as one note of it
            same = (i for i in days if [*map(sorted, left[i])] == [*map(sorted, noted)])
            found = {(i, "", 0) for i in islice(same, 1)}
            left = {i: lists for i, lists in left.items() if (i, "", 0) not in found}
        else:
            found = _single_ones(left, days, noted)
        taken.append(frozenset(found))
    gone = frozenset(range(len(lessons))) - left.keys()
    shown = frozenset[tuple[int, str, int]]().union(*taken)
    return Corrected(gone, frozenset(one for one in shown if one[0] not in gone), tuple(taken))


def as_written(file: Mapping[str, Any]) -> list[Mapping[str, Any] | None]:
    """Return the lessons of a file that count as they stand there; None for one that was corrected."""
    wrong = corrected(file)
    gone = wrong.whole.union(at for at, _, _ in wrong.shown)
    return [None if at in gone else one for at, one in enumerate(file.get("lesson", ()))]


def _single_ones(
    left: Mapping[int, list[list[str]]], days: list[int], noted: list[list[str]]
) -> set[tuple[int, str, int]]:
    """Return each note that is named, and take it out of what is left."""
    found = set()
    for given, skills in enumerate(noted):
        for skill in skills:
            if (i := next((i for i in days if skill in left[i][given]), None)) is not None:
                left[i][given].remove(skill)
                found.add((i, skill, given))
    return found
