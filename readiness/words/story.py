"""The story of an answer: what is said, in which order, and what is left unsaid.

First the verdict, then what decides, then what to do about it, then what it rests on, and
the cautions last. Every fact is said once. Other students are never mentioned.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.model import Course
from readiness.judging.answer import GAP_STATES, Answer, Remark
from readiness.judging.findings import NoteSeen, UnderHold
from readiness.judging.reasons import rules_in
from readiness.record.model import Decision, Record
from readiness.record.seen import latest
from readiness.words.asked import looking_back
from readiness.words.beginning import NOTHING_NOTED, first_lesson_sections, is_blank
from readiness.words.blocking import along_section, away_section, blockers_section, settled_section
from readiness.words.both import carried_section, resting_section
from readiness.words.cautions import caution
from readiness.words.grammar import VERDICT_WORDS, capital, counted, date_words, number_words, tidy
from readiness.words.numbers import numbers_section
from readiness.words.onward import next_lesson_section, one_thing_section
from readiness.words.page import Paragraph, Section, item, lay_out
from readiness.words.paused import after_hold, paused_sections
from readiness.words.phrases import Phrases
from readiness.words.placing import placing_sections
from readiness.words.promises import promised_section
from readiness.words.verdicts import verdict_words

__all__ = ["headline", "tell_answer", "tell_sections"]


def tell_answer(answer: Answer, course: Course, record: Record, width: int = 80) -> str:
    """Return an answer as a text for the teacher.

    Args:
        answer: what was judged.
        course: the course it was judged by.
        record: the student's record, for the lines it rests on.
        width: the widest line.
    """
    return lay_out(tell_sections(answer, course, record), width)


def tell_sections(answer: Answer, course: Course, record: Record) -> tuple[Section, ...]:
    """Return an answer as titled sections, in the order they are told."""
    say = Phrases(answer, course, record)
    if answer.verdict == "paused":
        return tuple(paused_sections(say))
    if answer.placing is not None:
        promised = promised_section(say.record, answer.on)
        both = resting_section(say), carried_section(say)
        return (
            both[0], _after_hold(say), *placing_sections(say), both[1], promised, _under_hold(say),
            looking_back(say), *_grounds(say),
        )  # fmt: skip
    return (*_placed(say), *_grounds(say))


def _placed(say: Phrases) -> Iterator[Section]:
    yield Section("", tuple(map(Paragraph, headline(say))))
    yield resting_section(say)
    yield _after_hold(say)
    if is_blank(say.answer):
        yield from first_lesson_sections(say)
        yield promised_section(say.record, say.answer.on)
        yield _decided(say)
        yield carried_section(say)
        return
    yield away_section(say)
    yield blockers_section(say)
    yield along_section(say)
    yield _brought_along(say)
    yield one_thing_section(say)
    if say.answer.is_ready:
        yield _holds(say)
        yield settled_section(say)
        yield _after_the_last(say)
    else:
        yield next_lesson_section(say)
    yield promised_section(say.record, say.answer.on)
    yield _under_hold(say)
    yield Section("Worth knowing", tuple(map(item, _worth_knowing(say))))
    yield _decided(say)
    yield looking_back(say)
    yield _unknown(say)
    yield carried_section(say)


def _grounds(say: Phrases) -> Iterator[Section]:
    if not is_blank(say.answer):
        yield numbers_section(rules_in(say.answer.findings), say.answer.band)
    yield Section("Cautions", tuple(item(caution(one)) for one in say.answer.cautions))


def headline(say: Phrases) -> tuple[str, ...]:
    """Return the student, the unit and the day, and under it the verdict."""
    answer = say.answer
    assert answer.unit is not None
    return (
        f"{tidy(answer.name)} - {say.unit(answer.unit)} - {date_words(answer.on)}",
        NOTHING_NOTED if is_blank(answer) else f"{capital(verdict_words(say))}.{_comfort(say)}",
    )


def _comfort(say: Phrases) -> str:
    """Return what a "look again" does not mean, where the notes allow to say so."""
    answer = say.answer
    states = {say.standing(skill).state for skill in (*answer.deciding, *answer.open_rest)}
    states |= {say.standing(skill).state for group in answer.groups if not group.met for skill in group.of}
    if answer.verdict != "look-again" or states & GAP_STATES or "wobbling" in states:
        return ""
    if answer.blockers or answer.open_rest:
        return " The notes are too few or too old; nothing in them says no."
    return ""


def _after_hold(say: Phrases) -> Section:
    """Return how to begin again after a pause, and how many lessons come before a move (rule R7)."""
    lines = list(after_hold(say.record, say.answer.on))
    after = say.answer.after_hold
    if after is not None:
        lines.append(
            f"No move before {number_words(after.needed)} lessons with playing after the pause; "
            f"there {_so_many(len(after.lesson_days))} so far."
        )
    return Section("After the hold", tuple(map(item, lines)))


def _so_many(lessons: int) -> str:
    return "was none" if not lessons else "was one" if lessons == 1 else f"were {number_words(lessons)}"


def _under_hold(say: Phrases) -> Section:
    """Return what was noted during a pause: kept, and never counted (rule R1a)."""
    kept = [one for one in say.answer.findings if isinstance(one, UnderHold)]
    notes = [note for one in kept for note in one.because if isinstance(note, NoteSeen)]
    lines = (
        f"{say.name(note.skill)}, {say.day(note.day)} ({say.line(note.place.line if note.place else 0)})"
        for note in notes
    )
    return Section("Noted during a pause: kept, not counted", tuple(map(item, lines)))


def _holds(say: Phrases) -> Section:
    """Return until when a yes stands, and what ends it."""
    answer = say.answer
    if answer.holds_until is None:
        text = "This stands as long as nothing else is noted."
    else:
        text = f"With nothing new noted, this stands until {say.day(answer.holds_until)}; then {_ends(say)}."
    return Section("How long this stands", (Paragraph(text),))


def _ends(say: Phrases) -> str:
    answer = say.answer
    if answer.fades_first is not None:
        return f"look again at {say.name(answer.fades_first)}"
    if answer.holds_because == "birthday":
        return "a birthday brings the numbers of the next age"
    return "it is a break, and the first lesson after it is for looking"


def _after_the_last(say: Phrases) -> Section:
    """Return what there is to do where no unit follows."""
    answer = say.answer
    if answer.next_unit is not None:
        return Section("", ())
    first = f"To close it, and to keep that you did: `readiness decide {answer.student} move`"
    fresh = (
        f"What is there keeps by playing it: `readiness fading {answer.student}` says what is due soon, "
        f"`readiness plan {answer.student}` plans a lesson of it."
    )
    told = (first, fresh) if answer.closed is None else (fresh,)
    return Section("What comes now", tuple(map(item, told)))


def _worth_knowing(say: Phrases) -> Iterator[str]:
    """Return the notes beside the verdict; skills over the same weak ones are told together."""
    told: set[tuple[str, ...]] = set()
    for one in say.answer.remarks:
        if one.id != "footing":
            yield _remark(say, one)
        elif one.other not in told:
            told.add(one.other)
            same = [each for each in say.answer.remarks if each.other == one.other]
            over = [each.skill for each in same if each.skill is not None]
            are, them = ("is", "it") if len(over) == 1 else ("are", "them")
            yield (
                f"{say.names(over)} {are} settled, but {say.names(one.other)} under {them} is not: "
                "worth a little time, so that what is there keeps."
            )


def _remark(say: Phrases, one: Remark) -> str:
    """Return a note beside the verdict in kind words."""
    if one.id in ("fast", "long"):
        return _pace(say, one)
    if one.id == "young":
        return (
            f"{tidy(say.answer.name)} is younger than {one.limit}, and the numbers here were not made for "
            "that age. Keep everything short and playful, with an adult beside."
        )
    assert one.skill is not None
    name = say.name(one.skill)
    if one.id == "stuck":
        return (
            f"{name} was tried on {counted(one.days or 0, 'day')} with no change for a while. "
            "More of the same seldom helps: try another way in."
        )
    assert one.days is not None
    return f"{name} is seen as fresh until {say.day(one.days)}; a short look before then keeps it so."


def _pace(say: Phrases, one: Remark) -> str:
    assert say.answer.unit is not None
    lessons = counted(one.days or 0, "lesson")
    usual = counted(say.course.unit[say.answer.unit].lesson_weeks, "lesson week")
    if one.id == "fast":
        return (
            f"{lessons} in this unit so far; it usually takes {usual}, and fewer than {one.limit} is "
            "quick. That is no bar, only a reason to look at days as well as at skill."
        )
    return (
        f"{lessons} in this unit so far; it usually takes {usual}, and more than {one.limit} is long. "
        "Smaller steps or another way in may help; the time itself is no fault."
    )


def _decided(say: Phrases) -> Section:
    """Return what the teacher decided in this unit, or by which it began; the latest only."""
    answer = say.answer
    last = _made(say)
    if last is None or last.is_start:
        return Section("", ())
    on = "to move on" if answer.next_unit or last.unit != answer.unit else "to close this unit"
    decided = {"move": on, "stay": "to stay"}.get(last.decided, last.decided)
    computed = VERDICT_WORDS.get(last.computed, last.computed)
    reason = f" Reason: {tidy(last.reason)}" if last.reason else ""
    text = f"On {say.day(last.on)}: {decided}. Computed then: {computed}.{reason} ({say.line(last.line)})"
    if last.decided == "stay" and answer.is_ready:
        text += _how_long(say)
    return Section("Your own decision", (Paragraph(text),))


def _how_long(say: Phrases) -> str:
    """Return until when a decision to stay is in force, or that it is time for a new one (rule R11)."""
    now = say.answer.decision
    if now is None or not now.in_force:
        return " It no longer holds, so please decide again."
    return f" It holds until {say.day(now.until)}." if now.until else " It holds for four lessons."


def _brought_along(say: Phrases) -> Section:
    """Return what is unfinished from earlier units, and where it is first needed (rule R12)."""
    return Section(
        "Unfinished from before",
        tuple(
            item(f"{say.titled(one.skill)}: {say.state(one.skill)}{_needed_in(say, one.first_needed)}.")
            for one in say.answer.brought_along
        ),
    )


def _needed_in(say: Phrases, unit: str | None) -> str:
    return "" if unit is None else f"; first needed in {say.unit(unit)}"


def _made(say: Phrases) -> Decision | None:
    """Return what was decided in this unit last (rule R11), else by what it began."""
    answer = say.answer
    begun = {start.on for start in say.record.unit_starts if start.unit == answer.unit}
    made = [one for one in say.record.decisions if one.on <= answer.on]
    return latest(one for one in made if one.unit == answer.unit) or latest(
        one for one in made if one.decided == "move" and one.on in begun
    )


def _unknown(say: Phrases) -> Section:
    """Return what the notes do not say and the sections before did not mention."""
    answer, course = say.answer, say.course
    assert answer.unit is not None
    here = course.unit[answer.unit].number
    asked = {*answer.deciding, *answer.rest, *(member for group in answer.groups for member in group.of)}
    earlier = [
        skill.id
        for skill in course.skills
        if course.unit[skill.unit].number <= here
        and skill.id not in asked
        and say.standing(skill.id).state == "untried"
        and answer.band not in skill.optional_in
    ]
    aside = [
        skill.id
        for skill in course.skills
        if course.unit[skill.unit].number <= here and say.standing(skill.id).state == "set-aside"
    ]
    lines = []
    if earlier:
        lines.append(
            f"No note on {number_words(len(earlier))} of the units before: {say.names(earlier)}. "
            "The next unit does not name them, so they did not decide."
        )
    if aside:
        lines.append(f"Set aside by agreement, and not asked for: {say.names(aside)}.")
    return Section("What the notes do not say", tuple(map(item, lines)))
