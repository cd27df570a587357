"""The one word for each key of the files, short words for one row, and what somebody is called in a list.

Two students of one given name are told apart by their ids wherever more than one student is spoken of.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from typing import TYPE_CHECKING, Final

from readiness.terms import Kind, State, Verdict
from readiness.words.grammar import counted, date_words, listed, number_words, quoted, tidy, uncapital

if TYPE_CHECKING:
    from readiness.course.model import Course
    from readiness.judging.answer import Answer
    from readiness.record.model import Promise, Record
    from readiness.record.noting import NewLesson
    from readiness.record.rhythm import Season
    from readiness.school.counts import Stay
    from readiness.toml.problems import Problem

__all__ = [
    "CODES", "HELP_WORDS", "KIND_WORDS", "NOT_IN_THE_DEMO", "STATE_LETTERS", "STATE_WORDS",
    "VERDICT_BRIEF", "VERDICT_LARGE", "VERDICT_MARKS", "WHY_BRIEF", "before_and_now", "brought_line",
    "called", "days_since", "glance_words", "move_words", "namesake_words", "namesakes", "needed_of",
    "no_date_words", "noted_line", "odd_lines", "one_thing_line", "onward_words", "plain_verdict",
    "promise_line", "season_words", "stay_words", "supposed_line", "tried_words", "verdict_brief",
    "verdict_change", "verdict_large", "verdict_row", "who",
]  # fmt: skip

KIND_WORDS: Final[Mapping[str, str]] = {
    Kind.MOTOR: "movements",
    Kind.KNOWLEDGE: "things to know",
    Kind.EAR: "listening",
    Kind.READING: "reading",
    Kind.HABIT: "habits",
}
"""The kinds of skill as a teacher says them."""

_VERDICTS: Final[Mapping[str, tuple[str, ...]]] = {
    Verdict.PAUSED: ("paused", "||", "PAUSED", "Paused: something hurts"),
    Verdict.NOT_YET: ("not yet", "..", "NOT YET", "Not yet: more time in this unit"),
    Verdict.LOOK_AGAIN: ("look again first", ":|", "LOOK AGAIN", "Look again first"),
    Verdict.READY_TAKING_ALONG: ("ready, some to finish", "+>", "READY +", "Ready"),
    Verdict.READY: ("ready", " >", "READY", "Ready"),
    Verdict.NOT_PLACED: ("no starting unit yet", "|:", "NO UNIT YET", "No starting unit yet"),
}
"""Each verdict where a row has room for a few words only, its mark, in large letters, and as a sentence
begins."""

_STATES: Final[Mapping[str, tuple[str, ...]]] = {
    State.SECURE: ("secure", "S"),
    State.BUILDING: ("some of the days", "D"),
    State.WOBBLING: ("secure, one off day", "O"),
    State.STALE: ("not seen lately", "L"),
    State.UNTRIED: ("not asked yet", "·"),
    State.WITH_HELP: ("with help so far", "H"),
    State.NOT_SHOWN: ("not shown yet", "N"),
    State.SLIPPED: ("was secure, lost since", "W"),
    State.SET_ASIDE: ("set aside by agreement", "A"),
}
"""Each state in a few words, and its letter on the map."""


def _column(table: Mapping[str, tuple[str, ...]], at: int) -> Mapping[str, str]:
    return {key: words[at] for key, words in table.items()}


VERDICT_BRIEF: Final = _column(_VERDICTS, 0)
VERDICT_MARKS: Final = _column(_VERDICTS, 1)
VERDICT_LARGE: Final = _column(_VERDICTS, 2)
STATE_WORDS: Final = _column(_STATES, 0)
STATE_LETTERS: Final = _column(_STATES, 1)
HELP_WORDS: Final = ("without help", "with a reminder", "after being shown", "guided by hand", "not shown")
"""How a skill was shown, in the order of ``readiness.record.HELPS``."""
CODES: Final = "acmhn"
"""The letter of each in the codes of a sheet; - is not asked."""


def verdict_words(verdict: Verdict, next_unit: int | None, unfinished: int) -> str:
    """Return the verdict; the number of the next unit is None in the last one."""
    words = _VERDICTS[verdict][-1]
    ready = f"{words} {onward_words(next_unit)}"
    if verdict == Verdict.READY_TAKING_ALONG:
        return f"{ready}, with {counted(unfinished, 'thing')} to finish on the way"
    return ready if verdict == Verdict.READY else words


def onward_words(next_unit: int | None) -> str:
    """Return what a ready student is ready for."""
    return f"for unit {next_unit}" if next_unit else "to finish the course"


def tried_words(days: int) -> str:
    """Return that a skill is stuck, after its name."""
    return f"tried on {counted(days, 'day')} without getting easier"


def no_date_words(answer: Answer) -> str:
    """Return that no earliest date can be given, and why."""
    if answer.is_unseen:
        return "No date yet: first see what is there."
    if not answer.is_day_known:
        return "No date yet: nothing says when the lessons are."
    return "No move is in sight within a year of lessons: look at the steps, not at the date."


def needed_of(many: int, spare: int) -> str:
    """Return how many skills of a unit are unfinished, and how many of them may wait: ``spare`` at most.

    >>> needed_of(9, 2)
    'unfinished: nine, of which two may be finished later'
    """
    later = f"of which {number_words(spare) if spare else 'none'}" if many > spare else "which"
    return f"unfinished: {number_words(many)}, {later} may be finished later"


def days_since(answer: Answer) -> str:
    """Return how long ago the last lesson was."""
    ago = None if answer.last_lesson is None else answer.on - answer.last_lesson
    return "no lesson" if ago is None else counted(ago, "day") if ago > 0 else "today"


def verdict_brief(answer: Answer) -> str:
    """Return the verdict in a word or two; a decision to stay is said with it (rule R11)."""
    return "ready, you decided to stay" if answer.waits_by_decision else VERDICT_BRIEF[answer.verdict]


def verdict_large(answer: Answer) -> str:
    """Return the verdict for large letters; a decision to stay is said with it (rule R11)."""
    return "READY, STAYING" if answer.waits_by_decision else VERDICT_LARGE[answer.verdict]


def verdict_row(answer: Answer) -> str:
    """Return mark and verdict, for instance ``:| look again``."""
    return f"{VERDICT_MARKS[answer.verdict]} {verdict_brief(answer)}"


def before_and_now(before: Answer, now: Answer) -> str:
    """Return the verdict without and with what was shown, on two lines."""
    return f"Before: {verdict_row(before)}\nNow:    {verdict_row(now)}"


def plain_verdict(answer: Answer, course: Course) -> str:
    """Return a verdict; after the first lesson of a unit nobody is told to take more time in it."""
    is_new = answer.unit is not None and answer.away is None and (answer.lesson_days or 0) < 2
    if answer.verdict == Verdict.NOT_YET and is_new:
        return "Not yet: this unit has just begun"
    following = course.unit[answer.next_unit].number if answer.next_unit else None
    words = verdict_words(answer.verdict, following, len(answer.taken_along))
    if answer.waits_by_decision and answer.decision is not None:
        return f"{words}; on {date_words(answer.decision.on, answer.on)} you decided to stay"
    return words


def supposed_line(plain: Answer, supposed: Answer) -> str:
    """Return for when an answer is supposed: the day asked about, or the next lesson to come."""
    lesson = f"for the lesson on {date_words(supposed.on, plain.on)}"
    return f"Supposed {'for this once' if plain.on == supposed.on else lesson}; nothing is saved"


def verdict_change(before: Answer | None, after: Answer | None, *, is_new: bool = True) -> str:
    """Return how one student's answer changed between two readings of the files."""
    if after is None:
        assert before is not None
        return f"{tidy(before.name)}: cannot be read now, was {verdict_brief(before)}"
    name, now = tidy(after.name), verdict_brief(after)
    if before is None:
        return f"{name}: {'new' if is_new else 'can be read now'}, {now}"
    if (was := verdict_brief(before)) != now:
        return f"{name}: now {now} (before: {was})"
    if before.blockers != after.blockers:
        now += ", what is still needed has changed"
    elif before.one_thing != after.one_thing:
        now += ", something else to start with"
    elif before.earliest_told != after.earliest_told and after.earliest_told is not None:
        now += f", earliest possible now {move_words(after)}"
    return f"{name}: still {now}"


def move_words(answer: Answer) -> str:
    """Return the earliest possible day of a move, and the big day or long break that it waits for."""
    season, day = answer.move_after, date_words(answer.earliest_told, answer.on)
    return day if season is None else f"{day}, after {season_words(season, answer.on)}"


def season_words(season: Season, on: int) -> str:
    """Return a big day or a long break with its day."""
    name = quoted(season.name) if season.name else "the break"
    return f"{name} {'on' if season.kind == 'event' else 'from'} {date_words(season.first, on)}"


def promise_line(promise: Promise, on: int) -> str:
    """Return an open promise; a due one says so."""
    day = promise.due
    due = "" if day is None else f" ({'was ' if day < on else ''}due {date_words(day, on)})"
    return f"Promised to {tidy(promise.to)} on {date_words(promise.given, on)}{due}: {tidy(promise.text)}"


def one_thing_line(answer: Answer, course: Course) -> str:
    """Return the one thing to work on, or what takes its place."""
    if answer.verdict == Verdict.PAUSED:
        return "No playing until an adult ends the pause."
    if answer.one_thing is not None:
        return tidy(course.skill[answer.one_thing].name)
    if answer.taken_along:
        return f"along: {listed([tidy(course.skill[skill].name) for skill in answer.taken_along])}"
    return ""


def brought_line(answer: Answer, course: Course) -> str:
    """Return what is unfinished from earlier units (rule R12); empty where nothing is."""
    names = [tidy(course.skill[brought.skill].name) for brought in answer.brought_along]
    return f"Unfinished from before: {listed(names)}" if names else ""


def odd_lines(odd: Iterable[Problem]) -> Iterator[str]:
    """Yield each day in a student's file that can hardly be, with its place and what to do."""
    for problem in odd:
        hint = f": {problem.hint}" if problem.hint else ""
        yield f"{problem.place.file.name}:{problem.place.line} {problem.message}{hint}."


NOT_IN_THE_DEMO: Final = (
    "Nothing is written into the demo that comes with the program. For a copy that is yours leave with "
    "ctrl+q and type `readiness start my-studio --with-demo`."
)
"""Said where somebody tries out noting without a studio of their own."""

WHY_BRIEF: Final = {
    "sure-success": "an easy start", "always-look": "every check", "blocker": "needed",
    "group": "needed with others", "one-thing": "start here", "look-first": "look first",
    "beneath": "others build on it", "rest": "unfinished", "fading": "review", "between": "easy, and review",
    "favourite": "to finish with", "patch": "to catch up", "stopped": "not far enough yet",
    "probe": "shows where to start", "if-comfortable": "if comfortable",
    "care": "a sign or a nod is enough", "added": "added by you",
    "easy-first": "an easy one to begin with", "halves": "shows most about where to start",
    "must-be-seen": "nothing else can stand for it", "confirm": "settles most of what is only likely",
    "from-before": "unfinished from before", "waited-for": "other things wait for it",
    "in-the-making": "once more", "begin": "new today",
    "keep-warm": "review", "in-passing": "look in passing", "placing": "see it once", "music": "music",
    "new": "of this unit", "review": "review", "opening": "to begin with", "home": "home task",
}  # fmt: skip
"""Why something stands on the sheet, in the plan or in a placing round, by their ids."""


def glance_words(names: Sequence[str]) -> str:
    """Return the title of a line of the sheet: a skill, several in one glance, or a free choice.

    >>> glance_words(["Feet supported", "Sits tall"])
    'At one glance: feet supported, sits tall'
    """
    if len(names) > 1:
        return f"At one glance: {', '.join(map(uncapital, names))}"
    return names[0] if names else "A piece the student likes, to end with"


def noted_line(lesson: NewLesson) -> str:
    """Return what a lesson to be noted holds, counted by help."""
    helps = Counter(lesson.helps.values())
    told = [f"{helps[at]} {words}" for at, words in enumerate(HELP_WORDS) if helps[at]]
    beside = (
        (len(lesson.not_tried), "not asked"),
        (remarks := len(lesson.remarks) + bool(lesson.note), "remark" if remarks == 1 else "remarks"),
        (len(lesson.disliked), "not liked"),
        (len(lesson.liked_again), "liked again"),
        (len(lesson.tried_again), "tried again"),
    )
    return listed([*told, *(f"{count} {words}" for count, words in beside if count)]) or "nothing yet"


# What somebody is called in a list: the given name, and the id where that alone would not say who.


def namesakes(names: Iterable[str]) -> frozenset[str]:
    """Return the given names that more than one student has, folded.

    >>> sorted(namesakes(["Mia", "Ottilie", "ottilie"]))
    ['ottilie']
    """
    return frozenset(name for name, count in Counter(map(_folded, names)).items() if count > 1)


def called(name: str, student: str, shared: AbstractSet[str]) -> str:
    """Return a student's name, with the id where others have it, as ``namesakes`` says.

    >>> called("Ottilie", "ottilie2", {"ottilie"}), called("Mia", "mia-k", {"ottilie"})
    ('Ottilie (ottilie2)', 'Mia')
    """
    return f"{tidy(name)} ({student})" if _folded(name) in shared else tidy(name)


def who(name: str, student: str) -> str:
    """Return the name; with the id where the id is another word.

    >>> who("Temwa", "temwa"), who("Mia", "mia-k")
    ('Temwa', 'Mia (mia-k)')
    """
    words = tidy(name)
    return words if student == words.casefold() else f"{words} ({student})"


def namesake_words(record: Record, everybody: Iterable[Record]) -> str:
    """Return which of several students of one given name it is about; empty where there is only one."""
    name = _folded(record.name)
    others = [other.id for other in everybody if other.id != record.id and _folded(other.name) == name]
    have = f"{listed(others)} {'has' if len(others) == 1 else 'have'} the name {tidy(record.name)} too"
    return f"this is about {record.id}; {have}." if others else ""


def _folded(name: str) -> str:
    return tidy(name).casefold()


def stay_words(stay: Stay) -> str:
    """Return how many lessons a unit took, and for how many students."""
    took = f"{stay.middle:g} lesson{'' if stay.middle == 1 else 's'}"
    spread = f" (half of the students: {stay.low:g} to {stay.high:g})" if stay.low < stay.high else ""
    return f"{took}, from one student only" if stay.cases == 1 else f"{took} in the middle{spread}"
