"""What a skill is like in a lesson, in which order a few are done, and what the instrument has.

The check sheet and the lesson plan both take turns between kinds of things, so what the
kinds are is said once, here. They are fields of the skill (``kind``, ``fade``, ``quiet``, ``uses``); of its
texts an activity alone is read, while a part of the body rests. Common practice, no source.

In which order a handful of things is asked for or done: of all orders in which nothing
that can wait stands before something that decides, the one that has, compared in this sequence,

1. the fewest hard things directly after hard ones (or parts of the same thing directly after each other);
2. the things that decide earliest (the smallest sum of their places);
3. the fewest quiet things after quiet ones and moving ones after moving ones;
4. the earlier things of the list first.

It is found exactly: things that are alike in all this are interchangeable, so of all
ways to begin only the best one counts for each number of things left of each kind and each last
thing. Where these are too many, as in a lesson of days, only the most promising ways are followed,
and that is said. Nothing here knows a skill or a student.

How many black-key groups the instrument in use has, which is not always a piano of 88 keys. The counts
follow from the two end notes alone. Where only the number of keys is known, the usual end notes for it are
taken; a number that is not usual has no expected counts, for a guess would make a right answer look wrong.
Notes are MIDI note numbers (middle C is 60), since octave names differ between makers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final, NamedTuple

from readiness.course.model import Course, Skill
from readiness.judging.answer import GAP_STATES, Answer, Standing
from readiness.judging.history import known_on
from readiness.lazy import dataclass, regex
from readiness.record.model import Record
from readiness.terms import Fade, Kind, State, Verdict

__all__ = [
    "MET_STATES", "USUAL_ENDS", "KeyCounts", "Order", "Thing", "activities", "without_resting", "best_order",
    "count_keys", "expected_counts", "is_hard", "left_out", "may_be_done", "played_under_hold",
    "resting_skills", "single_keys", "uses_part", "waiting_for", "works",
]  # fmt: skip

MET_STATES: Final = frozenset({State.SECURE, State.SET_ASIDE})
"""States that count as met, as rule R6 has it."""


_GROWING_UP_AGE: Final = 11
"""From here on an activity made for small children is offered to nobody."""


_USES: Final = {
    "voice": regex(
        r"(?i)\b(?:s[au]ng|words|(?:sing|hum|say|speak|spoke|whisper|chant|shout|call|count(?!er)|song|rhyme"
        r"|aloud|voice|cant[ao]|tarare|dec[ií]r|dic|dig|habl|susurr|contar|cuent|voz)\w*)\b"
    ),
    "hand": regex(
        r"(?i)\b(?:play|clap|tap|pat(?!tern)|drum|knock|press|draw|writ|hand|finger|arm|wrist|key|piano"
        r"|toca|palm|golpe|dibuj|escrib|mano|ded|brazo|muñeca|tecla)\w*"
    ),
}
"""Words of an activity that may use a part of the body; no list is sure, so one of them is enough."""


def uses_part(text: str, part: str) -> bool:
    """Return whether the words of an activity may use what a hold names: hand, voice or all."""
    return any(words.search(text) for name, words in _USES.items() if part in (name, "all"))


def activities(skill: Skill, record: Record, answer: Answer) -> tuple[int, ...]:
    """Return the numbers, from 1, of a skill's remedies that are fit for the student's age, in their order.

    None that may use what rests for another course, whatever skill it is for. Where the skill is stuck
    (rule R8) the first comes last: "try another way in" is to name another one.
    """
    left_out = skill.for_children if answer.age >= _GROWING_UP_AGE else ()
    rests = [hold.part for hold in record.resting(answer.on)]
    texts = [(number, text) for number, text in enumerate(skill.remedies, 1) if number not in left_out]
    fit = tuple(number for number, text in texts if not any(uses_part(text, part) for part in rests))
    is_stuck = any(note.id == "stuck" and note.skill == skill.id for note in answer.remarks)
    return (*fit[1:], *fit[:1]) if is_stuck else fit


def is_hard(skill: Skill, standing: Standing, *, is_likely: bool = False) -> bool:
    """Return whether asking for a skill now is asking for something hard.

    Hard is what was tried and is not there, what was never asked and is not likely to be there, and any
    movement that goes soon without use. Everything else is easy, however much work it once was.
    """
    is_new = standing.state == State.UNTRIED and not is_likely
    return standing.state in GAP_STATES or is_new or (skill.kind == Kind.MOTOR and skill.fade == Fade.FAST)


def may_be_done(skill: Skill, part: str) -> bool:
    """Return whether a skill may be shown under a hold of a ``part``: it is quiet and does not use that."""
    return skill.quiet and not works(skill, part)


def works(skill: Skill, part: str) -> bool:
    """Return whether a skill works the part that a hold names: hand, voice or all; the seat works none."""
    return not skill.always_look and (part in skill.uses or (part == "all" and bool(skill.uses)))


def resting_skills(course: Course, record: Record, day: int) -> frozenset[str]:
    """Return the skills that use a part of the body on hold for another course.

    Such a hold does not pause this course, but what needs that part waits here too.
    """
    parts = {hold.part for hold in record.resting(day)}
    return frozenset(skill.id for skill in course.skills if parts.intersection(skill.uses))


def without_resting(course: Course, record: Record, answer: Answer) -> Answer:
    """Return an answer as texts tell it while a part of the body rests for another course (rule R7).

    Nothing that uses that part is asked for, and a move that waits for it has no day. The verdict, what is
    needed and the plain values of the answer are as they were.
    """
    rests = resting_skills(course, record, answer.on)
    if not rests or answer.verdict == Verdict.PAUSED:
        return answer
    waits = not rests.isdisjoint(blocker.skill for blocker in answer.blockers)
    return replace(
        answer,
        one_thing=None if answer.one_thing in rests else answer.one_thing,
        look_first=tuple(skill for skill in answer.look_first if skill not in rests),
        earliest=None if waits else answer.earliest,
        move_on=None if waits else answer.move_on,
    )


def left_out(skill: Skill, answer: Answer) -> str:
    """Return why a skill is asked of nobody here: optional, set-aside, or nothing.

    A group that is not met keeps all its members, optional ones too (rule R7).
    """
    if answer.standings[skill.id].state == State.SET_ASIDE:
        return "set-aside"
    asked = any(skill.id in group.of for group in answer.groups if not group.met)
    return "optional" if answer.band in skill.optional_in and not asked else ""


def waiting_for(course: Course, answer: Answer, skill: str) -> int:
    """Return how many skills of this and the next unit are it or stand on it, and are not met.

    The number behind "frees most" of the one thing; those left out at this age do not wait.
    """
    plan = course.plan
    here = {answer.unit, answer.next_unit}
    return sum(
        1
        for other in plan.names(plan.descendants[plan.index[skill]] | 1 << plan.index[skill])
        if course.skill[other].unit in here
        and answer.standings[other].state not in MET_STATES
        and not left_out(course.skill[other], answer)
    )


# What a lesson holds that was played, or used the sore part, while a hold was open.
#
# The rules count every note, and nothing here changes that; it is known so that it can be said.


def played_under_hold(course: Course, record: Record, day: int, skills: Iterable[str]) -> tuple[str, ...]:
    """Return those of the skills that no open hold of the day allows, in their order."""
    parts = {hold.part for hold in record.holds if hold.is_open(day)}
    resting = resting_skills(course, record, day)

    def is_allowed(skill: str) -> bool:
        one = course.skill[skill]
        return one.asks_pain or all(may_be_done(one, part) for part in parts)

    return tuple(skill for skill in skills if skill in resting or not is_allowed(skill))


def days_freed(course: Course, before: Record, after: Record) -> tuple[int, ...]:
    """Return the days of which some notes are evidence once a hold is closed, and were not before (R1a)."""
    days = [lesson.on for lesson in after.lessons]
    was, now = (_evidence(course, record, max(days)) if days else set() for record in (before, after))
    return tuple(sorted({day for _, day in now - was}))


def _evidence(course: Course, record: Record, day: int) -> set[tuple[int, int]]:
    """Return of which skills, by number, there is evidence up to a day, and on which days."""
    known, plan = known_on(course, record, day), course.on(day).plan
    kept = known.evidence(plan, known.band_on(course.on(day), day))
    return {(skill, one[0]) for skill, notes in kept.items() for one in notes}


DECIDES, ANYWHERE, CAN_WAIT = range(3)
"""Ranks: what decides, what may stand anywhere between, what never stands before what decides."""

_STEPS: Final = 600_000
"""How many ways to go on are looked at, in all, before only the most promising are followed."""


@dataclass(frozen=True)
class Thing:
    """Something to put in order. ``whole`` names what it is a part of, empty for none."""

    rank: int
    hard: bool
    quiet: bool
    whole: str = ""


class Order(NamedTuple):
    """Places in the best order. ``proved`` is false where not all orders were compared."""

    places: tuple[int, ...]
    proved: bool


class _Way(NamedTuple):
    """A way to begin: what counts against it, compared from the left, and how it came about."""

    hard: int
    early: int
    alike: int
    turn: int
    place: int
    parent: _Way | None


_Ways = dict[tuple[int, int], _Way]
"""The best way for what is left, a number of things for each kind in one integer, and the last kind."""


def best_order(things: Sequence[Thing], before: Thing | None = None, after: Thing | None = None) -> Order:
    """Return the places in ``things`` in the best order.

    Args:
        things: what to order, what matters more first.
        before: what comes directly before all of them, if anything.
        after: what comes directly after.
    """
    kinds = tuple(dict.fromkeys(things))
    members: dict[Thing, list[int]] = {kind: [] for kind in kinds}
    for i, thing in enumerate(things):
        members[thing].append(i)
    search = _OrderSearch((*kinds, before), tuple(members.values()), len(things).bit_length())
    left = sum(len(own) << k * search.bits for k, own in enumerate(search.members))
    ways: _Ways = {(left, len(kinds)): _Way(0, 0, 0, 0, 0, None)}
    width = max(1, _STEPS // max(1, len(things) * len(kinds)))
    proved = True
    for place in range(len(things)):
        ways = _best(search.longer(ways, place))
        proved = proved and len(ways) <= width
        ways = dict(sorted(ways.items(), key=lambda one: one[1][:5])[:width])
    return Order(_places(min(search.ended(ways, after))), proved)


def _best(longer: Iterable[tuple[tuple[int, int], _Way]]) -> _Ways:
    found: _Ways = {}
    for state, way in longer:
        if state not in found or way < found[state]:
            found[state] = way
    return found


def _places(way: _Way | None) -> tuple[int, ...]:
    places: list[int] = []
    while way is not None and way.parent is not None:
        places.append(way.place)
        way = way.parent
    return tuple(reversed(places))


class _OrderSearch(NamedTuple):
    """The kinds of things, then what came before all of them; the places of each kind; bits of a number."""

    kinds: tuple[Thing | None, ...]
    members: tuple[list[int], ...]
    bits: int

    def longer(self, ways: _Ways, place: int) -> Iterator[tuple[tuple[int, int], _Way]]:
        """Yield every way with one thing more; of ways alike, the one with earlier things wins."""
        turns = {id(way): turn for turn, way in enumerate(sorted(ways.values(), key=lambda way: way[3:5]))}
        for (left, last), way in ways.items():
            for k, kind, thing in self._open(left):
                hard, alike = _between(self.kinds[last], kind)
                early = place if kind.rank == DECIDES else 0
                yield (
                    (left - (1 << k * self.bits), k),
                    _Way(way.hard + hard, way.early + early, way.alike + alike, turns[id(way)], thing, way),
                )

    def _open(self, left: int) -> list[tuple[int, Thing, int]]:
        """Return what may come next: its kind and the first thing of it that is left."""
        some = (1 << self.bits) - 1
        found = [
            (k, kind, own[-count])
            for k, (kind, own) in enumerate(zip(self.kinds, self.members, strict=False))
            if kind is not None and (count := left >> k * self.bits & some)
        ]
        waits = any(kind.rank == DECIDES for _, kind, _ in found)
        return [one for one in found if not (waits and one[1].rank == CAN_WAIT)]

    def ended(self, ways: _Ways, after: Thing | None) -> Iterator[_Way]:
        for (_, last), way in ways.items():
            hard, alike = _between(self.kinds[last], after)
            yield way._replace(hard=way.hard + hard, alike=way.alike + alike)


def _between(before: Thing | None, after: Thing | None) -> tuple[int, int]:
    """Return whether two neighbours are both hard (or one whole), and both quiet or both moving."""
    if before is None or after is None:
        return 0, 0
    is_one_whole = before.whole != "" and before.whole == after.whole
    return int((before.hard and after.hard) or is_one_whole), int(before.quiet == after.quiet)


OCTAVE = 12
TWO: Final = (1, 3)
"""Half steps above C of the keys in a group of two."""
THREE: Final = (6, 8, 10)
"""Half steps above C of the keys in a group of three."""
LAST_NOTE = 127
_NAMES: Final = {1: "C sharp", 3: "D sharp", 6: "F sharp", 8: "G sharp", 10: "A sharp"}

USUAL_ENDS: Final[Mapping[int, tuple[int, int]]] = MappingProxyType({
    88: (21, 108),  # A0 to C8
    85: (21, 105),  # A0 to A7
    76: (28, 103),  # E1 to G7
    73: (28, 100),  # E1 to E7; C1 to C7 is made too and has the same counts
    61: (36, 96),  # C2 to C7
    54: (36, 89),  # C2 to F6
    49: (36, 84),  # C2 to C6
    44: (53, 96),  # F3 to C7
    37: (48, 84),  # C3 to C6; F3 to F6 is made too and has the same counts
    32: (53, 84),  # F3 to C6
    25: (48, 72),  # C3 to C5
})
"""The usual lowest and highest note by number of keys. Common practice, no source: makers
are free to choose, so the end notes of the instrument itself are always the better answer."""


@dataclass(frozen=True)
class KeyCounts:
    """What there is to count on an instrument.

    Attributes:
        twos, threes: complete groups of two and of three black keys.
        stray: black keys at an end whose group is cut off.
        black, white: all black and all white keys.
    """

    twos: int
    threes: int
    stray: int
    black: int
    white: int


def count_keys(low: int, high: int) -> KeyCounts:
    """Return the counts for an instrument from its lowest and highest note.

    Args:
        low: the lowest note, as a MIDI note number.
        high: the highest note; the same as ``low`` for an instrument of one key.

    Raises:
        ValueError: the notes are not between 0 and 127, lowest first.

    >>> count_keys(36, 96)
    KeyCounts(twos=5, threes=5, stray=0, black=25, white=36)
    """
    if not 0 <= low <= high <= LAST_NOTE:
        raise ValueError(f"no keyboard goes from note {low} to note {high}")
    keys = range(low, high + 1)
    twos, threes = _groups(keys, TWO), _groups(keys, THREE)
    black = sum(1 for key in keys if key % OCTAVE in TWO + THREE)
    return KeyCounts(twos, threes, black - len(TWO) * twos - len(THREE) * threes, black, len(keys) - black)


def _groups(keys: range, group: tuple[int, ...]) -> int:
    """Return how many groups have all their keys on the instrument."""
    width = group[-1] - group[0]
    return sum(1 for key in keys if key % OCTAVE == group[0] and key + width in keys)


def single_keys(keys: int) -> tuple[tuple[str, str], ...]:
    """Return the black keys at an end whose group is cut off, by name and end, left first.

    Empty where there is none, or where the number of keys is not usual.

    >>> single_keys(88), single_keys(76), single_keys(61)
    ((('A sharp', 'left'),), (('F sharp', 'right'),), ())
    """
    if keys not in USUAL_ENDS:
        return ()
    low, high = USUAL_ENDS[keys]
    whole = {
        octave + step
        for octave in range(low - low % OCTAVE, high + 1, OCTAVE)
        for group in (TWO, THREE)
        if octave + group[0] >= low and octave + group[-1] <= high
        for step in group
    }
    black = [key for key in range(low, high + 1) if key % OCTAVE in _NAMES and key not in whole]
    return tuple((_NAMES[key % OCTAVE], "left" if key < low + OCTAVE else "right") for key in black)


def expected_counts(keys: int) -> KeyCounts | None:
    """Return the usual counts for a number of keys, None where the number is not usual.

    >>> expected_counts(61) == count_keys(36, 96), expected_counts(60)
    (True, None)
    """
    ends = USUAL_ENDS.get(keys)
    return None if ends is None else count_keys(*ends)
