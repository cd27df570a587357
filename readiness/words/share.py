"""What one reader may see, in words, and below it what was left out; the page of a substitute.

Every text says who it is for. What nobody agreed to is not in it: a consent that is not noted is a no. The
page never says why somebody is paused, and asks for no playing then; blanks stand where nothing is known.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict
from typing import Final

from readiness.advice.after_break import pain_noted
from readiness.advice.handover import Handover, TakeOverBlock
from readiness.course.model import Course
from readiness.record.consents import CONSENT_FOR, CONSENTS, Sharing, is_of_age, kept_on
from readiness.record.model import AGAIN, Lesson, Record, latest
from readiness.terms import LANGUAGES, Verdict
from readiness.words.cautions import (
    GENTLY,
    SHORTEN,
    UNSURE,
    caution,
    ended_lines,
    ends_words,
    forbids_playing,
    hold_section,
    not_done,
    quiet_work,
    without,
)
from readiness.words.english import HELP_WORDS, VERDICT_BRIEF
from readiness.words.entries import behind, decided_to, promise_told, task_told
from readiness.words.grammar import (
    birth_words,
    capital,
    counted,
    date_words,
    ended,
    inside,
    listed,
    quoted,
    seat,
    tidy,
    together,
    uncapital,
    unit_words,
)
from readiness.words.layout import BLANK, Heading, Page, Paragraph, bullets, columns, item, items, plain
from readiness.words.lesson import first_song, own_choice
from readiness.words.phrases import RESTS, SOFTLY, Phrases
from readiness.words.why import brought_along

__all__ = [
    "consent_list_words", "consent_words", "handover_sections", "not_asked", "overview_words",
    "particulars_words", "school_lines", "share_sections", "told_lines",
]  # fmt: skip

_AT_ONCE: Final = 4
"""So many of the parts of a file stand in one sentence."""

# Everything that is kept about one student, in plain words, for the family that may read it all.


def _kept(record: Record, course: Course, day: int) -> Page:
    """Yield all of a student's file; ``day``: when it is read.

    Under a pause of that day to stop playing stands first, and no task is to be done.
    """
    yield hold_section(record, day)
    given = [f"{key} {'yes' if yes else 'no'}" for key, yes in sorted(record.consents.items())]
    spoken = f"Language of the letters: {LANGUAGES.get(record.language, record.language)}."
    yield bullets("What is kept about the student", (
        f"Name: {tidy(record.name)}. Born: {birth_words(record.born)}.",
        f"Family: {tidy(record.family)}." if record.family else "",
        spoken if record.language else "",
        "" if record.home_keys is None else f"Keys of the instrument at home: {record.home_keys}.",
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

    def name(skill: str) -> str:
        return quoted(course.skill[skill].name if skill in course.skill else skill)

    yield Heading("Lessons")
    for lesson in sorted(record.lessons, key=lambda lesson: lesson.on):
        told = "; ".join(_in_lesson(lesson, name)) or "a lesson, nothing noted"
        by = f" (noted by {tidy(lesson.by)})" if lesson.by else ""
        yield item(ended(f"{date_words(lesson.on)}{by}: {told}"))
    yield from _agreed(record, course, day, name)


def _agreed(record: Record, course: Course, day: int, name: Callable[[str], str]) -> Page:
    yield bullets("Noted wrongly, and corrected", (
        f"{date_words(one.of)}: {name(one.skill)}, noted {HELP_WORDS[one.help]}; "
        f"corrected {date_words(one.on)}{behind(one.by, ' by ')}{behind(one.why)}."
        for one in record.corrected
    ))  # fmt: skip
    yield bullets("Paused for care", (
        f"{date_words(one.opened)} ({one.part}): {inside(one.words)}; " + (
            "still open." if one.closed is None
            else f"closed {date_words(one.closed)} by {tidy(one.closed_by)}: {ended(one.closed_words)}"
        ) for one in record.holds
    ))  # fmt: skip
    yield bullets("Agreed", (
        *(f"{date_words(one.on)}: {name(one.skill)} set aside{behind(one.agreed_with, ', agreed with ')}."
          for one in record.set_aside),
        *(f"{date_words(one.on)}: {name(one.skill)} in another way, agreed with {tidy(one.agreed_with)}: "
          f"{tidy(one.text)}" for one in record.alternatives),
        *(f"{date_words(one.on)}: taught by age {course.years(one.band)}{behind(one.reason)}."
          for one in record.band_choices),
    ))  # fmt: skip
    yield bullets("Decisions of the teacher", (
        ended(f"{date_words(one.on)}, {unit_words(course, one.unit)}: {decided_to(one)}; "
              f"the notes said: {VERDICT_BRIEF[one.computed]}.{behind(one.reason, ' Reason: ')}")
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
    yield from (f"about {name(skill)}: {inside(text)}" for skill, text in lesson.remarks.items())
    yield from (f"does not like {name(skill)}" for skill in lesson.disliked)
    yield from (f"likes {name(skill)} again" for skill in lesson.liked_again)
    yield from (f"{name(skill)} again {AGAIN[how]}" for skill, how in lesson.tried_again.items())
    if lesson.note:
        yield f"note: {inside(lesson.note)}"


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
_FAMILY: Final = "Who belongs to the family, also after a parting, is for them and local law to say."


def share_sections(sharing: Sharing, p: Phrases, page: Handover) -> Page:
    """Yield what a reader may see; below it what was left out, over any room to write."""
    whom, is_family = _READER[sharing.reader], sharing.reader == "family"
    grown = "An adult may see all that is kept: give it to the student, who decides who else reads it."
    lacking = f"The consent to share with {whom} is not noted as yes; what is not noted is a no."
    left_out = bullets("Left out for this reader", (
        *_sentences(sharing.left_out),
        grown if is_family and not sharing.sees else "",
        lacking if sharing.is_needed and not sharing.is_given else "",
        _FAMILY if is_family and sharing.sees else "",
    ))  # fmt: skip
    if sharing.reader == "substitute":
        *parts, head, to_write = handover_sections(page, p, sharing)
        yield from (*parts, left_out, head, to_write)
        return
    yield plain(f"For {whom}, {date_words(p.answer.on)}")
    if not sharing.sees:
        yield plain("Nothing is in here.")
    elif sharing.reader == "school":
        yield plain(" ".join(school_lines(p)))
    else:
        yield from _kept(kept_on(p.record.entire, p.answer.on), p.course, p.answer.on)
    yield left_out


def school_lines(p: Phrases) -> list[str]:
    """Return what the school may read: the shipped letter, and the teacher's latest decision in this unit."""
    from readiness.words.letters import school_sentences  # here: it needs models

    answer, told = p.answer, list(school_sentences(p, tidy(p.answer.name)))
    last = latest(one for one in p.record.decisions if one.unit == answer.unit and one.on <= answer.on)
    decided = "" if last is None else f"On {p.day(last.on)} the teacher decided"
    if last is not None and answer.verdict != Verdict.PAUSED and not any(decided in one for one in told):
        told.append(f"{decided} {decided_to(last)}.")
    return told


def overview_words(sharings: Mapping[str, Sharing], p: Phrases) -> Page:
    """Yield who may see what about a student, for the teacher."""
    yield plain(f"Who may see what about {tidy(p.answer.name)}, {date_words(p.answer.on)}")
    for reader, one in sharings.items():
        is_agreed = "yes" if one.is_given else "not noted, so no"
        yield bullets(capital(_READER[reader]), (
            f"Sees {uncapital(' '.join(_sentences(one.sees)))}" if one.sees else "Sees nothing.",
            f"Consent {CONSENT_FOR[reader]}: {is_agreed}." if one.is_needed else "",
            _FAMILY if reader == "family" and one.sees else "",
        ))  # fmt: skip
    others = [f"{key}: {'yes' if given else 'no'}" for key, given in sorted(p.record.consents.items())]
    noted = f"Noted: {listed(others)}." if others else "Nothing is noted."
    yield Heading("Consents")
    yield f"{noted} Whatever is not noted is a no. `readiness consent {p.record.id}` notes one."
    yield plain("" if p.record.consents.get("video") else caution("C7"))


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
    "family": "sharing with the family (only an adult student is asked)",
    "substitute": "sharing with a substitute",
    "school": "sharing with the school",
    "set-aside": "naming what was set aside, or is shown in another way, by agreement",
}


def _any_time(record: Record) -> str:
    back = "A yes can be taken back at any time, and that works at once"
    return f"{back}. Whatever is noted, {tidy(record.name)} may say no on the day."


def consent_words(record: Record, answers: Mapping[str, bool], by: str, on: int) -> Iterator[str]:
    """Yield that answers to some of ``CONSENTS`` are noted, and all that is noted now."""
    for what, said in answers.items():
        to = f"{'yes' if said else 'no'} to {_asked_of(record, on)[what]}"
        yield f"Noted for {tidy(record.name)}: {to}; {tidy(by)}, {date_words(on)}."
        if said != record.consents.get(CONSENTS[what], False):
            yield f"The answer of a later day counts: {what} is still {'no' if said else 'yes'}."
    yes = listed([name for name, key in CONSENTS.items() if record.consents.get(key)]) or "nothing"
    yield f"Agreed to now: {yes}."
    yield _any_time(record)


def _asked_of(record: Record, on: int) -> Mapping[str, str]:
    """Return what can be agreed to, as it is asked of the family, or of an adult."""
    grown = {"family": f"telling a family about {tidy(record.name)}, who is an adult"}
    return _WHAT | (grown if is_of_age(record, on) else {})


def consent_list_words(record: Record, on: int) -> Iterator[Paragraph | str]:
    """Yield everything that can be agreed to, and what is noted of it."""
    yield f"Consents of {tidy(record.name)}"
    told = {None: "not noted, so no", True: "yes", False: "no"}
    for what, words in _asked_of(record, on).items():
        yield Paragraph(f"{what}: {told[record.consents.get(CONSENTS[what])]} - {words}", lead="  - ")
    yield f"`readiness consent {record.id} WHAT yes|no --by NAME` notes an answer."
    yield _any_time(record)


# What whoever teaches a student has to know: listed, and what is another now.


def particulars_words(record: Record, before: Record | None) -> Page:
    """Yield a student's particulars, the ways agreed and who was told; ``before`` any change of just now."""
    yield plain(f"{tidy(record.name)}: what whoever teaches has to know")
    yield Heading("Particulars")
    known = tuple(_known(record, before))
    yield from items(known)
    yield "" if known else "Nothing is noted yet; `readiness particulars --help` says what can be."
    yield bullets("Another way, by agreement", (
        f"{one.skill}, since {date_words(one.on)}, with {tidy(one.agreed_with)}: {tidy(one.text)}"
        for one in sorted(record.alternatives, key=lambda way: way.on)
    ))  # fmt: skip
    yield bullets("Who was told", told_lines(record))
    care = "" if before is None else f". {caution('C9')}"
    yield plain(f"The page for a substitute has them: `readiness handover {record.id}`{care}")


_PARTICULARS: Final = {
    "stop": "Stop sign or word", "bench": "", "footrest": "Footrest", "distance": "Distance",
    "words": "Own words for things", "upsets": "What upsets", "collects": "Who collects",
}  # fmt: skip


def _known(record: Record, before: Record | None) -> Iterator[str]:
    now = asdict(record.particulars)
    then = now if before is None else asdict(before.particulars)
    titles = {**_PARTICULARS, "bench": capital(seat())}
    for name, title in titles.items():
        was = f" (before: {quoted(tidy(then[name]))})" if then[name] and then[name] != now[name] else ""
        if now[name] or was:
            yield f"{title}: {tidy(now[name]) or 'taken out'}{was}"


def told_lines(record: Record) -> Iterator[str]:
    """Yield who was told what, and when."""
    for one in sorted(record.told, key=lambda told: told.on):
        yield f"{date_words(one.on)}, to {tidy(one.to)}: {tidy(one.what)}"


NAMES_AT_MOST: Final = 9
AGREED_AT_MOST: Final = 2
PROMISES_AT_MOST: Final = 3


def not_asked(sharing: Sharing, p: Phrases) -> str:
    """Return what the teacher has to do before giving the page away; empty where all may be seen."""
    ask = f"Ask {'the student' if p.of_age else 'the family'} first; until then give out what"
    share = f"`readiness share {p.record.id} --for substitute` makes, without name"
    told = f"No consent to share with a substitute is noted. {ask} {share}."
    return "" if sharing.is_given or not sharing.may("name") else told


def handover_sections(page: Handover, p: Phrases, sharing: Sharing) -> Page:
    """Yield the page: whose it is, the box, the lesson, where the work is, what helps, what to write."""
    may, own = sharing.may, page.particulars
    who = tidy(p.answer.name) if may("name") else "A student"
    longest = max((block.longest for block in page.blocks), default=0)
    most = "" if page.holds else f", nothing longer than {longest}"
    yield f"For the substitute · {who} · {date_words(p.answer.lesson_told)}"
    yield Heading("Safety first")
    yield from columns(tuple(_safety(page, p, sharing)), 0)
    unit = f"{p.unit(p.answer.unit)} · " if p.answer.unit is not None and may("unit") else ""
    yield Heading(f"The lesson · {unit}{counted(page.minutes, 'minute')}{most}")
    minutes: Counter[str] = Counter()
    for block in page.blocks:  # those that ask for the same are one
        minutes[_block(page, block, p, sharing)] += block.minutes
    yield from columns([(f"{long} min", words) for words, long in minutes.items()], 0)
    checks = "" if p.answer.placing is not None else ", a check"
    resting = without(p.record, p.answer.on)
    yield f"Do not start: {f'any {resting}, ' if page.holds else ''}a new unit, a new piece{checks}."
    yield Heading("Where the work is")
    yield from _where(page, p, sharing) if may("unit") else ()
    if may("promises"):
        yield Heading("Promised, and the home task")
        open_ones = (one for one, _ in page.promises if sharing.may_tell(one.text))
        promises = [capital(promise_told(promise, p.answer.on)) for promise in open_ones]
        yield from _first_few(promises, PROMISES_AT_MOST, "promise")
        task = "" if page.promises else "Nothing is promised, and no home task of the last weeks is noted."
        if page.task is not None:
            told = task_told(page.task, with_report=sharing.may_tell(page.task.reported))
            task = f"Home task, {p.day(page.task.given)}: {told}"
        ends = ends_words(p.record, p.answer.on)
        waits = f"Whatever was promised about {resting} waits until {ends}. No home task."
        yield from items([waits if page.holds else task])
    if may("own-words"):
        yield Heading("Words and help")
        words = [("Own words for things", _filled(own.words)), ("What upsets", _filled(own.upsets))]
        yield from columns(words, 0)
        tries = together((skill, ended(p.activity(remedy))) for skill, remedy in page.tries)
        yield from (f"When stuck, {p.name(one)}: {' Or: '.join(told)}" for one, told in tries.items())
    done = "What was done" if page.holds else f"What was shown, and how ({', '.join(HELP_WORDS)}, not asked)"
    sore = f"Anything sore or tired: tell {'the teacher' if p.of_age else 'the family'} the same day."
    yield Heading("After the lesson write")
    yield f"{done}. {sore}"


def _safety(page: Handover, p: Phrases, sharing: Sharing) -> Iterator[tuple[str, str]]:
    own, agreed = page.particulars, dict(page.consents)
    if page.holds:
        since = p.day(min(hold.opened for hold in page.holds))
        resting, rests = without(p.record, p.answer.on), not_done(p.record, p.answer.on)
        stop = f"NO {resting.upper()}, paused since {since}. Not to try it out, not through pain."
        yield capital(resting), stop
        if rests != "played":
            as_well = "" if rests == "sung" else " as well"
            yield "The voice", f"It rests{as_well}: no singing, humming, whispering or counting aloud."
    if until := max((one.closed or 0 for one in page.lately), default=0):
        ended = ended_lines(p.course, p.record, p.answer.on, who=False)
        asks = "Ask the teacher what the adult said who ended the pause; it comes first."
        ended = ended if sharing.may("pause-ended") else iter([asks])
        tell = f"tell {'' if p.of_age else 'the family and '}the teacher the same day"
        hurts = f"If anything hurts, stop at once, thank them for saying so, and {tell}."
        begin = UNSURE if any(forbids_playing(one.closed_words) for one in page.lately) else GENTLY
        yield "Gently", " ".join((f"Paused until {p.day(until)}.", *ended, SHORTEN, begin, hurts))
    if not page.holds and pain_noted(p.record, p.answer.on):
        yield "Ask first", "How is it today? If something hurts, nothing is played. Tell the teacher today."
    for hold in page.resting:
        yield "Paused elsewhere", f"Another course is paused ({hold.part}). {RESTS[hold.part]}"
    yield "Sore or tired", "Stop at once, thank the student, and write it down."
    video, photo = ("yes" if agreed[key] else "no" for key in ("video", "photo"))
    recorded = "No video or photo" if (video, photo) == ("no", "no") else f"Video {video}, photo {photo}"
    by = f"Agreed by {'the student' if p.of_age else 'the family'}; ask each time."
    how = by if agreed["touch"] else "Show on yourself or an object."
    yield f"Touch: {'yes' if agreed['touch'] else 'no'}", f"{how} {recorded}."
    signs = (p.record.alternative(one.id, p.answer.on) for one in p.course.skills if one.asks_pain)
    yield "Stop sign or word", _filled(own.stop or "; ".join(inside(one.text) for one in signs if one))
    if not page.holds and p.course.uses == "hand":
        places = " · ".join(map(_filled, (own.bench, own.footrest, own.distance)))
        yield f"{capital(seat())}, footrest, distance", places
    if sharing.may("collects"):
        yield from () if p.of_age else [("Who collects", _filled(own.collects))]


def _block(page: Handover, block: TakeOverBlock, p: Phrases, sharing: Sharing) -> str:
    """Return what to do in a block; skills are named to those alone who may know them."""
    asked = block.skills[:NAMES_AT_MOST] if sharing.may("live-skills") else ()
    last = {live: f" ({_last_time(live, p)})" for live in page.live if block.part == "work"}
    named = {skill: f"{p.plain_name(skill)}{last.get(skill, '')}" for skill in asked}
    names, softly = "; ".join(named.values()), ", softly" if p.tender else ""
    match block.part:
        case "opening":
            seen = [p.course.skill[skill] for skill in block.skills if not p.course.skill[skill].asks_pain]
            glance = "; ".join(inside(one.name if names else one.said) for one in seen)
            return f"Ask how it is. {f'At a glance: {glance}. ' if seen else ''}{capital(first_song(p))}."
        case "work":
            how = "See each once." if p.answer.placing is not None else "A few good turns each."
            ways = together((SOFTLY if skill in p.tender else how, words) for skill, words in named.items())
            told = " ".join(f"{'; '.join(words)}. {way}" for way, words in ways.items())
            return told or f"What the student likes to show{softly}."
        case "music":
            turns = f", at most {block.longest} minutes at a time" if block.minutes > block.longest else ""
            pieces = f"{names}, or " if names else ""
            return f"Make music{softly}{turns}: {pieces}something of {own_choice(p)}."
        case "quiet-opening":
            return "Ask how it is today; listen to something together. Stop at any time."
    quiet = names if block.part == "if-comfortable" else ""
    quiet = quiet or listed(quiet_work(plays=not page.holds))
    return f"Without the instrument, only if comfortable: {quiet}."


def _where(page: Handover, p: Phrases, sharing: Sharing) -> Iterator[Paragraph]:
    if p.answer.unit is None and p.answer.placing is not None:
        yield item("New here, no starting unit yet; nothing is decided in this lesson.")
    told = {skill for block in page.blocks if block.part == "work" for skill in block.skills[:NAMES_AT_MOST]}
    others = [live for live in page.live if live not in told]
    yield from (item(f"{p.plain_name(live)}: {_last_time(live, p)}.") for live in others)
    yield from items([brought_along(p)])
    for said in page.said:
        how = f"tried again {AGAIN[said.again]}" if said.again else quoted(tidy(said.text))
        yield item(f"{p.plain_name(said.skill)}, {p.day(said.on)}: {how}")
    if page.set_aside and sharing.may("set-aside"):
        yield item(f"Set aside by agreement, not asked for: {p.inventory(page.set_aside)}.")
    if sharing.may("alternatives"):
        asked = {skill for block in page.blocks for skill in block.skills}
        yield from _first_few([
            f"{p.name(way.skill)} is shown in another way (agreed with {tidy(way.agreed_with)}, "
            f"{p.day(way.on)}): {tidy(way.text)}"
            for way in sorted(page.alternatives, key=lambda way: way.skill not in asked)
        ], AGREED_AT_MOST, "agreed way of showing")  # fmt: skip


def _first_few(texts: Sequence[str], most: int, noun: str) -> Iterator[Paragraph]:
    """Yield the first texts of a list, how many more there are, and on request those."""
    yield from map(item, texts[:most])
    if more := texts[most:]:
        yield item(f"{counted(len(more), f'more {noun}', f'more {noun}s')}.")
        yield from (Paragraph(text, more=True) for text in more)


def _last_time(skill: str, p: Phrases) -> str:
    one = p.standing(skill)
    return f"last {HELP_WORDS[one.last_help or 0]}, {p.day(one.last_note)}"


def _filled(words: str) -> str:
    return inside(words) or BLANK
