"""What one reader may see, in words, and below it what was left out for that reader.

Every text says who it is for. What nobody agreed to is not in it: a consent that is not
noted is a no.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from typing import Final

from readiness.advice.handover import Handover
from readiness.course.model import Course
from readiness.record.consents import CONSENT_FOR, CONSENTS, Sharing, is_of_age, kept_on
from readiness.record.model import AGAIN, Lesson, Record, latest
from readiness.terms import LANGUAGES, Verdict
from readiness.words.cautions import caution
from readiness.words.english import HELP_WORDS, VERDICT_BRIEF
from readiness.words.entries import decided_to, promise_told, task_told
from readiness.words.grammar import capital, date_words, listed, quoted, tidy, uncapital, unit_words
from readiness.words.handover import handover_sections
from readiness.words.layout import Paragraph, Section, bullets, item, plain
from readiness.words.letters import school_sentences
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases
from readiness.words.wording import seat

__all__ = [
    "consent_list_words", "consent_words", "kept_sections", "overview_words", "particular_titles",
    "particulars_words", "school_lines", "share_sections", "told_lines",
]  # fmt: skip

_AT_ONCE: Final = 4
"""So many of the parts of a file stand in one sentence."""

# Everything that is kept about one student, in plain words, for the family that may read it all.


def kept_sections(record: Record, course: Course, day: int) -> tuple[Section, ...]:
    """Return all of a student's file as titled sections; ``day``: when it is read.

    Under a pause of that day to stop playing stands first, and no task is to be done.
    """
    parts = (
        ("What is kept about the student", _header(record)),
        ("Particulars", _known(record, None)),
        ("Units", _units(record, course)),
        ("Lessons", _lessons(record, course)),
        ("Noted wrongly, and corrected", _corrected(record, course)),
        ("Paused for care", _holds(record)),
        ("Agreed", _agreed(record, course)),
        ("Decisions of the teacher", _decisions(record, course)),
        ("Home tasks", _tasks(record, course, day)),
        ("Promises", _promises(record)),
        ("Who was told", told_lines(record)),
    )
    return (hold_section(record, day), *(bullets(title, told) for title, told in parts))


def _header(record: Record) -> Iterator[str]:
    yield f"Name: {tidy(record.name)}. Born: {date_words(record.born)}."
    if record.family:
        yield f"Family: {tidy(record.family)}."
    if record.language:
        yield f"Language of the letters: {LANGUAGES.get(record.language, record.language)}."
    if record.home_keys is not None:
        yield f"Keys of the instrument at home: {record.home_keys}."
    given = [f"{key} {'yes' if yes else 'no'}" for key, yes in sorted(record.consents.items())]
    yield f"Consents: {f'{listed(given)}; ' if given else ''}what is not noted is a no."


def _units(record: Record, course: Course) -> Iterator[str]:
    for start in record.unit_starts:
        yield f"{date_words(start.on)}: began {unit_words(course, start.unit)}."
    for block in record.settled:
        yield f"{date_words(block.on)}: everything up to {unit_words(course, block.through)} was settled."
    for placing in record.placings:
        second = f"; confirmed {date_words(placing.confirmed)}" if placing.confirmed is not None else ""
        yield f"{date_words(placing.on)}: lesson to find the place to start{second}."


def _lessons(record: Record, course: Course) -> Iterator[str]:
    for lesson in sorted(record.lessons, key=lambda lesson: lesson.on):
        by = f" (noted by {tidy(lesson.by)})" if lesson.by else ""
        told = "; ".join(_in_lesson(lesson, course)) or "a lesson, nothing noted"
        yield f"{date_words(lesson.on)}{by}: {told}."


def _in_lesson(lesson: Lesson, course: Course) -> Iterator[str]:
    for help_given, words in enumerate(HELP_WORDS):
        if names := [_name(course, one.skill) for one in lesson.showings if one.help == help_given]:
            yield f"{words}: {listed(names)}"
    if lesson.not_tried:
        yield f"not asked: {listed([_name(course, skill) for skill in lesson.not_tried])}"
    yield from (f"about {_name(course, skill)}: {tidy(text)}" for skill, text in lesson.remarks.items())
    yield from (f"does not like {_name(course, skill)}" for skill in lesson.disliked)
    yield from (f"likes {_name(course, skill)} again" for skill in lesson.liked_again)
    yield from (f"{_name(course, skill)} again {AGAIN[how]}" for skill, how in lesson.tried_again.items())
    if lesson.note:
        yield f"note: {tidy(lesson.note)}"


def _name(course: Course, skill: str) -> str:
    found = course.skill.get(skill)
    return quoted(found.name if found is not None else skill)


def _corrected(record: Record, course: Course) -> Iterator[str]:
    for one in record.corrected:
        noted = f"{date_words(one.of)}: {_name(course, one.skill)}, noted {HELP_WORDS[one.help]}"
        who = f" by {tidy(one.by)}" if one.by else ""
        why = f": {tidy(one.why)}" if one.why else ""
        yield f"{noted}; corrected {date_words(one.on)}{who}{why}."


def _holds(record: Record) -> Iterator[str]:
    for hold in record.holds:
        end = "still open"
        if hold.closed is not None:
            end = f"closed {date_words(hold.closed)} by {tidy(hold.closed_by)}: {tidy(hold.closed_words)}"
        yield f"{date_words(hold.opened)} ({hold.part}): {tidy(hold.words)}; {end}."


def _agreed(record: Record, course: Course) -> Iterator[str]:
    for aside in record.set_aside:
        who = f", agreed with {tidy(aside.agreed_with)}" if aside.agreed_with else ""
        yield f"{date_words(aside.on)}: {_name(course, aside.skill)} set aside{who}."
    for way in record.alternatives:
        who = f"agreed with {tidy(way.agreed_with)}"
        yield f"{date_words(way.on)}: {_name(course, way.skill)} in another way, {who}: {tidy(way.text)}"
    for choice in record.band_choices:
        why = f": {tidy(choice.reason)}" if choice.reason else ""
        yield f"{date_words(choice.on)}: taught by age {choice.band}{why}."


def _decisions(record: Record, course: Course) -> Iterator[str]:
    for one in record.decisions:
        why = f" Reason: {tidy(one.reason)}" if one.reason else ""
        what = f"{unit_words(course, one.unit)}: {decided_to(one)}"
        yield f"{date_words(one.on)}, {what}; the notes said: {VERDICT_BRIEF[one.computed]}.{why}"


def _tasks(record: Record, course: Course, day: int) -> Iterator[str]:
    if record.tasks and any(hold.is_open(day) for hold in record.holds):
        yield "During the pause none of these is to be done: no playing."
    for one in record.tasks:
        yield f"{date_words(one.given)}, for {_name(course, one.for_skill)}: {task_told(one)}"


def _promises(record: Record) -> Iterator[str]:
    for one in record.promises:
        end = "open" if one.answered is None else f"answered {date_words(one.answered)}: {tidy(one.answer)}"
        yield f"{capital(promise_told(one, None))} ({end})"


_PART: Final[Mapping[str, str]] = {
    "name": "the name",
    "born": "the day of birth",
    "family": "the family",
    "instrument": "the instrument at home",
    "no-playing": 'whether it is "no playing" at present',
    "hold-words": "what was said about the body",
    "pause-ended": "what the adult said who ended a pause",
    "unit": "the unit",
    "live-skills": "how the skills in work were last shown",
    "results": "the verdict and its reasons",
    "lesson-notes": "lesson notes",
    "remarks": "the latest remark on each skill",
    "plan": "what to do in the lesson",
    "tasks": "home tasks",
    "promises": "promises",
    "decisions": "what the teacher decided",
    "set-aside": "what was set aside by agreement",
    "consents": "consents",
    "stop-and-seat": "stop sign, seat, footrest and distance",
    "own-words": "own words for things and what upsets",
    "collects": "who collects",
    "alternatives": "what is shown in another way by agreement",
    "told": "who was told what",
    "other-students": "other students, also of the same family",
}
_READER: Final[Mapping[str, str]] = {
    "family": "the family", "substitute": "the substitute", "school": "the school",
}  # fmt: skip


def share_sections(sharing: Sharing, p: Phrases, page: Handover) -> Iterator[Section]:
    """Yield what a reader may see as titled sections; below it what was left out, over any room to write."""
    left_out = bullets("Left out for this reader", _left_out(sharing))
    if sharing.reader == "substitute":
        *sections, to_write = handover_sections(page, p, sharing)
        yield from (*sections, left_out, to_write)
        return
    whom, is_family = _READER[sharing.reader], sharing.reader == "family"
    yield plain(f"For {whom}, {date_words(p.answer.on)}")
    if not sharing.sees:
        grown = "This student is an adult and has not agreed to share with a family"
        none = grown if is_family else f"No consent to share with {whom} is noted"
        yield plain(f"{none}, so nothing is in here.")
    elif sharing.reader == "school":
        yield plain(" ".join(school_lines(p)))
    else:
        yield from kept_sections(kept_on(p.record.entire, p.answer.on), p.course, p.answer.on)
    yield left_out


def school_lines(p: Phrases) -> list[str]:
    """Return what the school may read: the shipped letter, and the teacher's latest decision in this unit."""
    answer, told = p.answer, list(school_sentences(p, tidy(p.answer.name)))
    last = latest(one for one in p.record.decisions if one.unit == answer.unit and one.on <= answer.on)
    if last is not None and answer.verdict != Verdict.PAUSED:
        told.append(f"The teacher decided on {p.day(last.on)} {decided_to(last)}.")
    return told


def _left_out(sharing: Sharing) -> Iterator[str]:
    yield from _sentences(sharing.left_out)
    if sharing.reader == "family" and not sharing.sees:
        yield "An adult may see all that is kept: give it to the student, who decides who else reads it."
    if sharing.is_needed and not sharing.is_given:
        whom = _READER[sharing.reader]
        yield f"The consent to share with {whom} is not noted as yes; what is not noted is a no."
    if sharing.reader == "family" and sharing.sees:
        yield (
            "A family may read all that is kept about their child. Who belongs to it, also after a parting, "
            "is for the family and local law to say."
        )


def overview_words(sharings: Mapping[str, Sharing], p: Phrases) -> Iterator[Section]:
    """Yield who may see what about a student, for the teacher."""
    yield plain(f"Who may see what about {tidy(p.answer.name)}, {date_words(p.answer.on)}")
    yield from (bullets(capital(_READER[reader]), _overview(reader, one)) for reader, one in sharings.items())
    others = [f"{key}: {'yes' if given else 'no'}" for key, given in sorted(p.record.consents.items())]
    noted = f"Noted: {listed(others)}. " if others else "Nothing is noted. "
    how = f"`readiness consent {p.record.id}` notes one."
    yield Section("Consents", (Paragraph(f"{noted}Whatever is not noted is a no. {how}"),))
    yield plain("" if p.record.consents.get("video") else caution("C7"))


def _overview(reader: str, sharing: Sharing) -> Iterator[str]:
    yield _in_breaths("Sees ", sharing.sees) if sharing.sees else "Sees nothing."
    if sharing.is_needed:
        yield f"Consent {CONSENT_FOR[reader]}: {'yes' if sharing.is_given else 'not noted, so no'}."
    if reader == "family" and sharing.sees:
        yield "Who belongs to the family, also after a parting, is for them and local law to say."
    yield _in_breaths("Left out: ", sharing.left_out)


def _in_breaths(lead: str, parts: Sequence[str]) -> str:
    first, *others = _sentences(parts)
    return f"{lead}{' '.join((uncapital(first), *others))}"


def _sentences(parts: Sequence[str]) -> Iterator[str]:
    """Yield so many parts a sentence that it is read in one breath."""
    names = [_PART[part] for part in parts]
    for start in range(0, len(names), _AT_ONCE):
        yield f"{capital(listed(names[start : start + _AT_ONCE]))}."


# What is said when a consent is noted: the answer, all that is noted, and that a yes can be taken back.

_WHAT = {
    "touch": "touching a hand or an arm in the lesson, asked for each time",
    "video": "video in the lesson",
    "photo": "photos in the lesson",
    "family": "sharing with the family",
    "substitute": "sharing with a substitute",
    "school": "sharing with the school",
    "set-aside": "naming what was set aside, or is shown in another way, by agreement",
}


def _any_time(record: Record) -> str:
    back = "A yes can be taken back at any time, and that works at once"
    return f"{back}. Whatever is noted, {tidy(record.name)} may say no on the day."


def consent_words(record: Record, what: str, by: str, on: int, *, is_given: bool) -> Iterator[str]:
    """Yield that the answer to one of ``CONSENTS`` is noted, and all that is noted now."""
    to = f"{'yes' if is_given else 'no'} to {_asked_of(record, on)[what]}"
    yield f"Noted for {tidy(record.name)}: {to}; {tidy(by)}, {date_words(on)}."
    yes = listed([name for name, key in CONSENTS.items() if record.consents.get(key)]) or "nothing"
    yield f"Agreed to now: {yes}."
    yield _any_time(record)


def _asked_of(record: Record, on: int) -> Mapping[str, str]:
    """Return what can be agreed to, as it is asked of the family, or of an adult."""
    family = f"{_WHAT['family']} (only an adult student is asked)"
    grown = f"telling a family about {tidy(record.name)}, who is an adult"
    return {**_WHAT, "family": grown if is_of_age(record, on) else family}


def consent_list_words(record: Record, on: int) -> Iterator[Paragraph | str]:
    """Yield everything that can be agreed to, and what is noted of it."""
    yield f"Consents of {tidy(record.name)}"
    told = {None: "not noted, so no", True: "yes", False: "no"}
    for what, words in _asked_of(record, on).items():
        yield Paragraph(f"{what}: {told[record.consents.get(CONSENTS[what])]} - {words}", lead="  - ")
    yield f"`readiness consent {record.id} WHAT yes|no --by NAME` notes an answer."
    yield _any_time(record)


# What whoever teaches a student has to know: listed, and what is another now.


def particular_titles() -> Mapping[str, str]:
    """Return what each of the particulars is called."""
    return {
        "stop": "Stop sign or word",
        "bench": capital(seat()),
        "footrest": "Footrest",
        "distance": "Distance",
        "words": "Own words for things",
        "upsets": "What upsets",
        "collects": "Who collects",
    }


def particulars_words(record: Record, before: Record | None) -> Iterator[Section]:
    """Yield a student's particulars, the ways agreed and who was told; ``before`` any change of just now."""
    yield plain(f"{tidy(record.name)}: what whoever teaches has to know")
    nothing = (Paragraph("Nothing is noted yet; `readiness particulars --help` says what can be."),)
    yield Section("Particulars", tuple(map(item, _known(record, before))) or nothing)
    yield bullets("Another way, by agreement", (
        f"{one.skill}, since {date_words(one.on)}, with {tidy(one.agreed_with)}: {tidy(one.text)}"
        for one in sorted(record.alternatives, key=lambda way: way.on)
    ))  # fmt: skip
    yield bullets("Who was told", told_lines(record))
    page = f"The page for a substitute has them: `readiness handover {record.id}`"
    yield plain(page if before is None else f"{page}. {caution('C9')}")


def _known(record: Record, before: Record | None) -> Iterator[str]:
    now = asdict(record.particulars)
    then = now if before is None else asdict(before.particulars)
    for name, title in particular_titles().items():
        was = f" (before: {quoted(tidy(then[name]))})" if then[name] and then[name] != now[name] else ""
        if now[name] or was:
            yield f"{title}: {tidy(now[name]) or 'taken out'}{was}"


def told_lines(record: Record) -> Iterator[str]:
    """Yield who was told what, and when."""
    for one in sorted(record.told, key=lambda told: told.on):
        yield f"{date_words(one.on)}, to {tidy(one.to)}: {tidy(one.what)}"


