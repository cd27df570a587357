"""A placing round in words: the next look and why, and where the student starts so far.

There is one start, the unit that all looks together fit best, with how early and how late it may
be. Keeps apart what was seen, what is implied by it and what is only taken as there, each skill in
one list. No word about the other teacher, no number about the child.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from readiness.record.model import AGAIN
from readiness.terms import Verdict
from readiness.words.cautions import after_hold, closing, hold_section
from readiness.words.english import HELP_WORDS, glance_words, noted_line
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy, together, wrap
from readiness.words.layout import Heading, Page, Paragraph, Section, bullets, item, noted, plain, under
from readiness.words.phrases import Phrases

if TYPE_CHECKING:
    from readiness.advice.ground import Claim
    from readiness.advice.placing_round import PlacingRound
    from readiness.course.model import Course, Skill
    from readiness.record.noting import NewLesson

__all__ = [
    "SURER", "begin_words", "beside_words", "claim_sections", "closing_words", "counts_words", "keys_words",
    "ladder_words", "next_look", "open_section", "perhaps_words", "question_words", "room_left_words",
    "room_words", "round_sections", "so_far_words", "start_brief", "start_sections", "start_words",
    "what_is_left",
]  # fmt: skip

SURER: Final = "Not begun yet? These looks make the start surer."
"""Said above looks that are still offered once enough was asked."""
_OTHER: Final = "; with --unit another one"
_STOP: Final = {
    "settled": "Enough asked: where to start is clear, give or take a unit.",
    "lesson-full": "Enough for today; a second lesson goes on from here.",
    "two-lessons": "Enough asked: placing never takes more than two lessons. Begin, and watch.",
    "nothing-left": "Nothing is left to ask that would tell more.",
    "paused": "Paused: nothing is played, so nothing is asked.",
}


def round_sections(now: PlacingRound, p: Phrases) -> Page:
    """Yield where a placing round stands, with the answer of the same day."""
    yield plain(f"Where does {tidy(p.record.name)} start? · {date_words(p.answer.on)}")
    yield hold_section(p.record, p.answer.on)
    yield plain(*after_hold(p.course, p.record, p.answer.on))
    yield Heading("Next look" if now.next else "")
    yield from next_look(now, p.course)
    yield from start_sections(now, p)
    yield plain(begin_words(now, p.record.id, p.course, p.answer.unit) if now.may_begin else "")
    yield from closing((), ("C2", "C14"))


def next_look(now: PlacingRound, course: Course) -> Iterator[Paragraph]:
    """Yield the next look and when it counts as shown; or why nothing more is asked."""
    if now.next is None:
        yield Paragraph(_STOP[now.stop])
        if now.seat_unseen and now.stop != Verdict.PAUSED:
            seat = listed([quoted(course.skill[skill].name) for skill in now.seat_unseen])
            yield Paragraph(f"Not looked at yet: {seat}. Look there first of all next time.")
        return
    skills = [course.skill[skill] for skill in now.next.skills]
    if len(skills) > 1:
        yield item(f"{capital(glance_words([tidy(skill.name) for skill in skills]))}.")
    else:
        yield item(f"{tidy(skills[0].name)} ({skills[0].id}).")
        yield under(f"Shown when: {tidy(skills[0].shown_when)}")


def start_sections(now: PlacingRound, p: Phrases) -> Iterator[Section]:
    """Yield where it starts and what that rests on; nothing before the first real look or when paused."""
    if not now.looks or now.stop == Verdict.PAUSED:
        return
    start, strict = p.course.unit[now.start], p.course.unit[now.result.start_unit].number
    enough = f"What was seen, and what it builds on, is enough for unit {strict}; the rest is probably there."
    one_seen = "One lesson was seen; a second one confirms it or moves it." if now.result.provisional else ""
    where = (f"{capital(p.unit(start.id))}.", perhaps_words(now, p.course), one_seen, more_words(now))
    surer = f"To be surer, ask next for {p.few(now.raises)}." if now.next is None and now.raises else ""
    yield Section("Start here, for now", (*plain(" ".join(filter(None, where)), surer).paragraphs, *noted(
        enough if strict < start.number else "",
        "" if now.whole else "This course is so wide that it was worked out more roughly than usual.",
    )))  # fmt: skip
    poor = [skill for skill in now.result.always_look_open if skill not in now.seat_unseen]
    yield open_section(p, "To look at right away, in every check", poor)
    yield open_section(p, "To look after on the way", now.patches)
    for title, skills in (
        ("Probably there, but not seen here yet", now.taken),
        ("Taken as there, because something that builds on it was shown", now.implied),
        ("Seen here", now.seen),
    ):
        of_unit = together((p.course.skill[skill].unit, skill) for skill in skills)
        told = (f"Unit {unit.number}: {p.inventory(of_unit[unit.id])}."
                for unit in p.course.units if unit.id in of_unit)  # fmt: skip
        yield bullets(title, told, more=True)
    names = {strand.id: tidy(strand.name) for strand in p.course.strands}
    closed = (f"{names[one]}: two things in a row clearly did not come." for one in now.strands_closed)
    yield bullets("Left alone today", closed, more=True)


def open_section(p: Phrases, title: str, skills: Sequence[str]) -> Section:
    """Return what did not come yet, and on request when it was seen; those not asked yet are counted."""
    untried = [skill for skill in skills if p.is_unasked(skill)]
    lines: list[Paragraph] = []
    for skill in skills:
        if skill not in untried:
            lines.append(item(f"{p.plain_name(skill)}: {p.state(skill)}"))
            lines += noted(f"{p.with_note(skill)}.", *p.advice(skill), indent=4)
    if untried:
        lines += (item(f"{len(untried)} not asked yet."), *noted(f"{p.inventory(untried)}.", indent=4))
    return Section(title, tuple(lines))


def perhaps_words(now: PlacingRound, course: Course) -> str:
    """Return which other units the start may be; empty where it is one alone, or nothing was seen."""
    here, first, last = (course.unit[one].number for one in (now.start, now.fits[0], now.fits[-1]))
    if not now.looks or first == last:
        return ""
    if first < here < last:
        return f"It may be any unit from {first} to {last}."
    return f"It may be as {f'early as unit {first}' if first < here else f'late as unit {last}'}."


def more_words(now: PlacingRound) -> str:
    """Return that more is to be seen before the start is told; empty once it is clear, and before a look."""
    return "" if now.is_clear or not now.looks else "Look at more before you tell anybody."


def start_words(now: PlacingRound, course: Course) -> str:
    """Return the start in one sentence, as lists and sheets have it; empty under a hold."""
    if now.stop == Verdict.PAUSED:
        return ""
    unit = course.unit[now.start]
    is_first = "" if now.looks else ", where everybody starts"
    words = f"Start so far: unit {unit.number}, {tidy(unit.name)}{is_first}."
    return " ".join(filter(None, (words, perhaps_words(now, course), more_words(now))))


def start_brief(now: PlacingRound, course: Course) -> str:
    """Return the same in the few words that a row has room for."""
    here, first, last = (course.unit[one].number for one in (now.start, now.fits[0], now.fits[-1]))
    may = "" if not now.looks or first == last else f", perhaps {first} to {last}"
    return "" if now.stop == Verdict.PAUSED else f"; so far unit {here}{may}"


def claim_sections(found: tuple[Claim, PlacingRound], p: Phrases) -> Page:
    """Yield how far what was seen bears out that somebody can start in a unit, strand by strand.

    ``found``: the claim held against what was seen, and the round.
    """
    held, now = found
    number = p.course.unit[held.unit].number
    yield plain(f"{tidy(p.record.name)} and unit {number}")
    every = sum(map(len, held.lists.values()))
    told = ", ".join(f"{len(skills)} {_CLAIM_WORDS[name]}" for name, skills in held.lists.items() if skills)
    builds = f"Unit {number} builds on {counted(every, 'skill')}: {told}."
    yield builds if every else "Everybody can start there."
    yield "" if not every else {
        False: f"Not far enough for unit {number} yet: {held.limit} may be missing.",
        True: f"What was seen is enough to start in unit {number}.",
        None: f"Too few were asked for to say more: at most {held.limit} may be missing.",
    }[held.holds]
    here = f"start in unit {p.course.unit[now.start].number}, {tidy(p.course.unit[now.start].name)}"
    yield f"All looks together: {here}. {perhaps_words(now, p.course)}" if now.looks else ""
    names = {strand.id: tidy(strand.name) for strand in p.course.strands}
    yield Heading("By strand", more=True)
    for strand, lists in held.strands.items():  # names only of what may be missing
        named = {name: f": {p.inventory(lists[name])}" for name in ("missing", "not_asked")}
        told = "; ".join(f"{_CLAIM_WORDS[one]} {len(some)}{named.get(one, '')}"
                         for one, some in lists.items() if some)  # fmt: skip
        yield item(f"{names[strand]}: {told}.")
    yield from closing((), ["C14"])


_CLAIM_WORDS: Final = {
    "shown": "shown", "implied": "taken as there", "missing": "did not come", "not_asked": "not asked yet",
}  # fmt: skip


# A placing round told on a screen, where the look and what it comes to stand side by side.


def room_words(now: PlacingRound) -> str:
    """Return how many looks may follow; nothing where it is enough."""
    return "" if now.next is None else f"{capital(room_left_words(now.room))}."


def begin_words(
    now: PlacingRound, student: str, course: Course, begun: str | None = None, other: str = _OTHER
) -> str:
    """Return how the unit is begun, in place of one ``begun``, and an ``other``; nothing in a pause."""
    if now.stop == Verdict.PAUSED or now.start == begun:
        return ""
    number = course.unit[now.start].number
    if begun:
        return f"`readiness decide {student} move --unit {number} --reason WORDS` begins unit {number}."
    return f"`readiness decide {student} move` begins unit {number}{other}. You decide."


def what_is_left(now: PlacingRound | None, p: Phrases, looks: str = "") -> str:
    """Return what is still to be done for a starting unit; empty where there is one, and under a hold.

    ``looks``: what those looks are that stand below it although enough was asked.
    """
    if now is None or now.stop == Verdict.PAUSED:
        return ""
    begin = begin_words(now, p.record.id, p.course) if now.may_begin else ""
    if not now.is_over:
        return f"{p.in_few_looks}. Or begin now: {begin}" if begin else p.in_few_looks
    return " ".join((_STOP[now.stop], begin, looks)).rstrip()


def so_far_words(now: PlacingRound, p: Phrases) -> Iterator[Section]:
    """Yield where the student starts so far and what that rests on; the answer has the same showings."""
    yield from start_sections(now, p)
    if not now.looks and now.next:
        yield plain("Where to start is said after the first look that tells it.")


# What is said while a round asks for one thing after another, one key each.
# How the keys work is said once, before the first question, since a key counts at once and
# somebody used to Enter would answer the next question with it. Nothing here is told as a score.


_KEYS: Final = (
    "Enter not asked", "* small things of every check fine", "s one by one", '" a few words',
    "' about the whole lesson", "( not liked, or liked again", "& tried again", "! something hurts",
    "+ another skill", "u back", "? what counts", "q stop, answers kept", ". note it at once",
)  # fmt: skip


def keys_words(width: int) -> str:
    """Return how a round is answered, and which key says what."""
    letters = "A capital letter goes to its line; of several, the next key answers them all."
    return f"One key answers, and counts at once.\n{ladder_words(_KEYS, width)}\n{letters}"


def ladder_words(more: Sequence[str] = ("Enter not asked", "? all keys"), width: int = 80) -> str:
    """Return the keys of the ladder, and more, in lines between whose words nothing is cut."""
    rows = [""]
    for key in (*(f"{number} {words}" for number, words in enumerate(HELP_WORDS, 1)), *more):
        if len(rows[-1]) + len(key) + 3 > width:
            rows.append("")
        rows[-1] += f"{'   ' * bool(rows[-1])}{key}"
    return "\n".join(rows)


def beside_words(lesson: NewLesson, skills: Sequence[str]) -> str:
    """Return what a lesson says of some things beside how they were shown, if anything.

    >>> from readiness.record.noting import NewLesson
    >>> beside_words(NewLesson(1, disliked=("a-song",), tried_again={"a-song": "slower"}), ["a-song"])
    'not liked, so another where one will do; tried again slower'
    """
    lists = {"not liked, so another where one will do": lesson.disliked, "liked again": lesson.liked_again}
    told = [words for words, noted in lists.items() if any(skill in noted for skill in skills)]
    ways = dict.fromkeys(AGAIN[lesson.tried_again[skill]] for skill in skills if skill in lesson.tried_again)
    return "; ".join([*told, *(f"tried again {way}" for way in ways)])


def question_words(told: str, title: str, why: str, width: int = 80) -> str:
    """Return one question of a round; the answer goes behind it.

    ``told``: which of the questions it is, may be empty; ``title``, ``why``: what is asked for, and why.
    """
    asked = f"{title} ({why}):" if why else f"{title}:"
    return "\n".join(wrap(asked, width - 20, lead=f"{told}  " if told else "")) + " "


def room_left_words(room: int) -> str:
    """Return how many looks may follow the one that is asked for; ``room`` counts it too.

    >>> room_left_words(7), room_left_words(1)
    ('after this at most 6 more', 'the last one today')
    """
    return f"after this at most {room - 1} more" if room > 1 else "the last one today"


def counts_words(skill: Skill, width: int) -> str:
    """Return what counts as showing a skill."""
    return "\n".join(wrap(f"{skill.name}: {skill.shown_when}", width, indent=2))


def closing_words(lesson: NewLesson, open_count: int, width: int) -> str:
    """Return the last question of a round."""
    rest = f"; {counted(open_count, 'thing')} left open, noted as not asked" if open_count else ""
    so_far = wrap(f"So far: {noted_line(lesson)}{rest}.", width)
    keys = 'Enter note it   " a few words about the lesson   u back   q leave it for later'
    return "\n".join([*so_far, keys])
