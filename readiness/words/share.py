"""What one reader may see, in words, and below it what was left out for that reader.

Every text says who it is for. What nobody agreed to is not in it: a consent that is not
noted is a no.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
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
from readiness.words.layout import Heading, Page, Paragraph, Section, bullets, item, plain
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


def kept_sections(record: Record, course: Course, day: int) -> Page:
    """Yield all of a student's file; ``day``: when it is read.

    Under a pause of that day to stop playing stands first, and no task is to be done.
    """

    def name(skill: str) -> str:
        return quoted(course.skill[skill].name if skill in course.skill else skill)

    def because(words: str, lead: str = ": ") -> str:
        return f"{lead}{tidy(words)}" if words else ""

    yield hold_section(record, day)
    keys = f"Keys of the instrument at home: {record.home_keys}." if record.home_keys is not None else ""
    given = [f"{key} {'yes' if yes else 'no'}" for key, yes in sorted(record.consents.items())]
    spoken = f"Language of the letters: {LANGUAGES.get(record.language, record.language)}."
    yield bullets("What is kept about the student", (
        f"Name: {tidy(record.name)}. Born: {date_words(record.born)}.",
        f"Family: {tidy(record.family)}." if record.family else "",
        spoken if record.language else "",
        keys,
        f"Consents: {f'{listed(given)}; ' if given else ''}what is not noted is a no.",
    ))  # fmt: skip
    yield bullets("Particulars", _known(record, None))
    yield bullets("Units", (
        *(f"{date_words(one.on)}: began {unit_words(course, one.unit)}." for one in record.unit_starts),
        *(f"{date_words(one.on)}: everything up to {unit_words(course, one.through)} was settled."
          for one in record.settled),
        *(f"{date_words(one.on)}: lesson to find the place to start"
          f"{f'; confirmed {date_words(one.confirmed)}' if one.confirmed is not None else ''}."
          for one in record.placings),
    ))  # fmt: skip
    yield Heading("Lessons")
    for lesson in sorted(record.lessons, key=lambda lesson: lesson.on):
        told = "; ".join(_in_lesson(lesson, name)) or "a lesson, nothing noted"
        by = f" (noted by {tidy(lesson.by)})" if lesson.by else ""
        yield item(f"{date_words(lesson.on)}{by}: {told}.")
    yield bullets("Noted wrongly, and corrected", (
        f"{date_words(one.of)}: {name(one.skill)}, noted {HELP_WORDS[one.help]}; "
        f"corrected {date_words(one.on)}{because(one.by, ' by ')}{because(one.why)}."
        for one in record.corrected
    ))  # fmt: skip
    yield bullets("Paused for care", (
        f"{date_words(one.opened)} ({one.part}): {tidy(one.words)}; " + (
            "still open." if one.closed is None
            else f"closed {date_words(one.closed)} by {tidy(one.closed_by)}: {tidy(one.closed_words)}."
        ) for one in record.holds
    ))  # fmt: skip
    yield bullets("Agreed", (
        *(f"{date_words(one.on)}: {name(one.skill)} set aside{because(one.agreed_with, ', agreed with ')}."
          for one in record.set_aside),
        *(f"{date_words(one.on)}: {name(one.skill)} in another way, agreed with {tidy(one.agreed_with)}: "
          f"{tidy(one.text)}" for one in record.alternatives),
        *(f"{date_words(one.on)}: taught by age {one.band}{because(one.reason)}."
          for one in record.band_choices),
    ))  # fmt: skip
    yield bullets("Decisions of the teacher", (
        f"{date_words(one.on)}, {unit_words(course, one.unit)}: {decided_to(one)}; "
        f"the notes said: {VERDICT_BRIEF[one.computed]}.{because(one.reason, ' Reason: ')}"
        for one in record.decisions
    ))  # fmt: skip
    is_paused = record.tasks and any(hold.is_open(day) for hold in record.holds)
    yield bullets("Home tasks", (
        "During the pause none of these is to be done: no playing." if is_paused else "",
        *(f"{date_words(one.given)}, for {name(one.for_skill)}: {task_told(one)}" for one in record.tasks),
    ))  # fmt: skip
    yield bullets("Promises", (
        f"{capital(promise_told(one, None))} (" + (
            "open)" if one.answered is None else f"answered {date_words(one.answered)}: {tidy(one.answer)})"
        ) for one in record.promises
    ))  # fmt: skip
    yield bullets("Who was told", told_lines(record))


def _in_lesson(lesson: Lesson, name: Callable[[str], str]) -> Iterator[str]:
    for help_given, words in enumerate(HELP_WORDS):
        if names := [name(one.skill) for one in lesson.showings if one.help == help_given]:
            yield f"{words}: {listed(names)}"
    if lesson.not_tried:
        yield f"not asked: {listed([name(skill) for skill in lesson.not_tried])}"
    yield from (f"about {name(skill)}: {tidy(text)}" for skill, text in lesson.remarks.items())
    yield from (f"does not like {name(skill)}" for skill in lesson.disliked)
    yield from (f"likes {name(skill)} again" for skill in lesson.liked_again)
    yield from (f"{name(skill)} again {AGAIN[how]}" for skill, how in lesson.tried_again.items())
    if lesson.note:
        yield f"note: {tidy(lesson.note)}"


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


def share_sections(sharing: Sharing, p: Phrases, page: Handover) -> Page:
    """Yield what a reader may see; below it what was left out, over any room to write."""
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


def overview_words(sharings: Mapping[str, Sharing], p: Phrases) -> Page:
    """Yield who may see what about a student, for the teacher."""
    yield plain(f"Who may see what about {tidy(p.answer.name)}, {date_words(p.answer.on)}")
    for reader, one in sharings.items():
        is_agreed = "yes" if one.is_given else "not noted, so no"
        belongs = "Who belongs to the family, also after a parting, is for them and local law to say."
        yield bullets(capital(_READER[reader]), (
            _in_breaths("Sees ", one.sees) if one.sees else "Sees nothing.",
            f"Consent {CONSENT_FOR[reader]}: {is_agreed}." if one.is_needed else "",
            belongs if reader == "family" and one.sees else "",
            _in_breaths("Left out: ", one.left_out),
        ))  # fmt: skip
    others = [f"{key}: {'yes' if given else 'no'}" for key, given in sorted(p.record.consents.items())]
    noted = f"Noted: {listed(others)}. " if others else "Nothing is noted. "
    how = f"`readiness consent {p.record.id}` notes one."
    yield Section("Consents", (Paragraph(f"{noted}Whatever is not noted is a no. {how}"),))
    yield plain("" if p.record.consents.get("video") else caution("C7"))


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


