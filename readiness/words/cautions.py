"""The cautions C1 to C14, and what is said while a student is paused or some part of the body rests.

Which of them apply is decided in ``judging.reasons`` and by the outputs they belong to;
here are only their words. They are teaching information. None of them diagnoses, names a
cause or prescribes an exercise; where somebody may be hurt they point to a licensed
clinician, and where a law may bind they say "local law" and no more.

The hold comes before everything: what to do now, what not to do, and who ends it. No activity, no one
thing, no date; no cause is guessed at, and the family's words about the body stay in the file. What the
notes would say otherwise is the last line, for the teacher alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from readiness.advice.after_break import UNPLAYED, closed_lately, pain_noted
from readiness.course.model import Course
from readiness.judging.answer import LESSONS_AFTER_A_HOLD
from readiness.lazy import regex
from readiness.record.consents import is_of_age
from readiness.record.model import PAIN, Hold, Record, mentions_pain
from readiness.words.english import VERDICT_BRIEF, verdict_words
from readiness.words.grammar import MORE, date_words, ended, joined, listed, quoted, tidy
from readiness.words.layout import Heading, Page, Paragraph, Section, asking_more, bullets, item, noted, plain
from readiness.words.phrases import RESTS, Phrases

__all__ = [
    "ASK_FIRST", "CAUTIONS", "GENTLE", "GENTLY", "PARTS", "SHORTEN", "UNSURE", "after_hold",
    "ask_first", "at_rest", "brief_cautions", "care_words", "caution", "closing", "counts_after",
    "earlier_pause", "ended_lines", "ends_words", "forbids_playing", "hold_notice", "hold_section",
    "if_it_hurts", "lesson_notice", "may_play_but", "not_done", "pause_first", "pause_question",
    "paused_sections", "quiet_work", "resting_section", "resume_question", "stop_first", "stop_now",
    "without",
]  # fmt: skip

_SEE: Final = "seeing a licensed clinician, if possible one who knows musicians."
_STOP: Final = (
    f"Stop playing now. Do not play through pain. Tell the family the same day and advise {_SEE}",
    f"Stop playing now. Do not play through pain. Advise {_SEE}",
)
"""What comes first, and for a student who is of age."""
_ENDS: Final = "an adult ends the pause", "{} says that the pause can end"
"""Who ends a pause, and of a student who is of age that nobody else does."""

CAUTIONS: Final[Mapping[str, str]] = {
    "C1": f"{_STOP[False]} No playing tasks are given until {_ENDS[False]}.",
    "C2": (
        "What is said here about posture, hands and touch is general teaching information, not medical "
        "advice."
    ),
    "C3": (
        "Fingertips that fold in are common. Lighten the sound and support the finger; "
        "never force or squeeze. If joints hurt or tire easily, tell the family; a licensed "
        "clinician decides."
    ),
    "C4": (
        "This may be too much or too sudden. The numbers are common practice only; comfort decides. Add a "
        "little at a time, with rests."
    ),
    "C5": "Look at the seat before anything else: feet, height, distance.",
    "C6": (
        "Touch only after asking, every time, and only where the family has agreed; showing on yourself or "
        "using an object is always another way."
    ),
    "C7": "No consent for video or photos is noted: do not record.",
    "C8": (
        "Before this leaves your hands: who is it for, does that reader need the names, and is everything "
        "left out that they do not need?"
    ),
    "C9": (
        "Keep as little as the lessons need, in words that the student and the family could read. Whoever "
        "it is about may see all of it. "
        "Set a day to delete it; local law decides how long it may be kept."
    ),
    "C10": "This is a draft for you to edit. Compare with nobody, and end with what to do next.",
    "C11": "A number of the pacing here is not the default, which stands beside it.",
    "C12": "Fewer than 5 cases: too few to conclude anything.",
    "C13": (
        "Rest the voice: no pushing and no whispering, and water to drink. If it stays hoarse for two weeks, "
        "see a licensed clinician."
    ),
    "C14": "This is advice to a teacher. It knows only what was noted; the teacher decides.",
}


_OF_AGE: Final[Mapping[str, tuple[str, str]]] = {
    "C1": (
        CAUTIONS["C1"],
        f"{_STOP[True]} No playing tasks are given until {_ENDS[True].format('the student')}.",
    ),
    "C3": ("tell the family; a", "a"),
    "C6": ("the family", "the student"),
}
"""What is said in place of what in the cautions that speak of a family, to a student who is of age."""


def caution(id: str, *, of_age: bool = False) -> str:  # noqa: A002 - it is an id
    """Return the words of C1 to C14; of an adult (``of_age``) no family is spoken of."""
    return CAUTIONS[id].replace(*_OF_AGE.get(id, ("", ""))) if of_age else CAUTIONS[id]


_BRIEF: Final[Mapping[str, str]] = {
    "C3": "Fingertips that fold in are common: lighten, support, never force.",
    "C4": "Add a little at a time, with rests; comfort decides.",
    "C5": "Look at the seat first.",
    "C6": "Touch only after asking, where the family agreed.",
    "C7": "No consent for video or photos is noted: do not record.",
    "C11": "A number of the pacing here is not the default.",
    "C12": "Fewer than 5 cases: too few to conclude anything.",
    "C13": "Rest the voice: no pushing, no whispering, water to drink.",
    "C14": "Teaching advice, not medical; you decide.",
}
"""The cautions once they have been read in full; the last one holds C2 too."""


def brief_cautions(ids: Iterable[str], *, of_age: bool = False) -> str:
    """Return cautions in a few words each."""
    brief = {**_BRIEF, "C6": "Touch only after asking and with consent."} if of_age else _BRIEF
    return " ".join(brief[one] for one in ids if one in brief)


def closing(texts: Iterable[str], ids: Iterable[str], *, of_age: bool = False) -> Iterator[Section]:
    """Yield what a page ends with, and its cautions: in full, or each in a few words.

    C1 stands above everything else and is not among them.
    """
    told, last = [one for one in ids if one != "C1"], " ".join(filter(None, texts))
    brief = " ".join(filter(None, (last, brief_cautions(told, of_age=of_age), MORE)))
    yield Section("", (Paragraph(brief, brief=True), *noted(last)))
    yield Section("Cautions", tuple(item(caution(one, of_age=of_age)) for one in told), more=True)


PARTS: Final = {"hand": "hand and arm", "voice": "the voice", "all": "everything"}
"""What may rest, by the part that a hold names."""

SHORTEN = "The minutes below do not take these words into account: shorten them to what was said."
GENTLY = "Play a small part of what was played before, with rests, and build it up over a few weeks."
UNSURE: Final = "These words may not allow playing yet: ask before anything is played."
ASK_FIRST: Final = "Ask first how it is today"
"""Said of a student wherever the notes of the last lesson may speak of pain."""
GENTLE: Final = "Gently, after a pause"
"""Said of a student who comes, as long as little is played after a pause."""
_PAUSE: Final = "`readiness pause {}` keeps everything without playing until an adult says so"
_QUIET: Final = {"page": "looking at the page", "words": "learning words"}


def if_it_hurts(record: Record, day: int, *words: str) -> str:
    """Return how to pause where some words that are kept speak of something that hurts, else nothing."""
    kept = "leave the pause as it is; the words are kept"
    then = kept if record.open_holds(day) else _PAUSE.format(record.id)
    return _stop(then, of_age=is_of_age(record, day)) if any(map(mentions_pain, words)) else ""


def ask_first(student: str, *, of_age: bool) -> str:
    """Return that it is asked first how it is, and how to pause, where notes may speak of pain."""
    return f"{ASK_FIRST}. {_stop(_PAUSE.format(student), of_age=of_age)}"


def _stop(then: str, *, of_age: bool) -> str:
    return f"If something hurts: stop playing,{'' if of_age else ' tell the family,'} and {then}."


def paused_sections(p: Phrases, not_counted: Section) -> Page:
    """Yield the page of a student with an open pause: safety first, in full, and nothing to play."""
    answer, holds = p.answer, p.record.open_holds(p.answer.on)
    yield from (p.title(), f"{verdict_words(answer.verdict, None, 0)}. {stop_first(p.record, answer.on)}")
    here = (hold for hold in p.record.holds if hold.is_open(answer.on))
    since = (f"Paused since {p.day(hold.opened)} ({hold.part}, {p.line(hold.line)})." for hold in here)
    before = earlier_pause(p.record, answer.on)
    again = "" if before is None else (
        f"There was a pause before, from {p.day(before.opened)} to {p.day(before.closed)}: say so to whoever "
        "looks at it."
    )  # fmt: skip
    ends = f"{tidy(answer.name)} says when the pause ends" if p.of_age else "Only an adult ends the pause"
    ends = f"{ends}: note who it was, the day and the words."
    yield plain(*since, again, *care_words(holds), f"{ends} Then begin with a little, and add to it slowly.")
    yield resting_section(p.record, p.answer.on)
    yield Heading(f"Next lesson, {p.to_come}, if it is comfortable")
    yield f"Without the instrument and with nothing that uses the sore part: {listed(quiet_work())}."
    told = (one for one in answer.cautions if one in ("C5", "C7", "C13", "C14"))  # not those about playing
    yield bullets("Cautions", map(caution, told), more=True)
    yield not_counted
    would = f'without the pause the notes would say "{VERDICT_BRIEF[answer.underlying]}".'
    yield from noted(f"For the teacher only, and not a reason to hurry: {would}")
    yield from asking_more(p.to_tell)


def earlier_pause(record: Record, day: int) -> Hold | None:
    """Return the latest pause that ended before one that is open, of a part that rests now."""
    parts = {hold.part for hold in record.open_holds(day)}
    parts = {*PARTS} if "all" in parts else {*parts, "all"} if parts else parts
    ended = [one for one in record.holds if one.part in parts and one.closed and one.closed <= day]
    return max(ended, key=lambda one: (one.closed or 0, one.line), default=None)


def resting_section(record: Record, day: int) -> Section:
    """Return the pauses of another course: that part of the body rests here too."""
    return bullets("Paused in another course", (
        f"The {hold.part} has been resting since {date_words(hold.opened, day)} ({record.file}:{hold.line}). "
        f"It rests until {ends_words(record, day)}. {RESTS[hold.part]}"
        for hold in record.resting(day)
    ))  # fmt: skip


def may_play_but(rests: Iterable[str]) -> str:
    """Return that there is playing while parts of the body rest for another course; empty without any."""
    parts = sorted({*rests})
    return f"May play; the {listed(parts)} {'rests' if len(parts) == 1 else 'rest'}" if parts else ""


def care_words(holds: Sequence[Hold]) -> Iterator[str]:
    """Yield what to leave alone and what to look at, for the parts that are sore."""
    parts = {hold.part for hold in holds}
    if "voice" in parts:
        yield "The voice rests: no singing, no humming along and no whispering in place of speaking."
        yield "On your side: check range, loudness, rests and water, and whether singing rose too fast."
    if parts != {"voice"}:
        yield "On your side: check the seat, its height and the breaks, and whether practice rose too fast."


def at_rest(holds: Sequence[Hold], *, sings: bool) -> str:
    """Return what nobody does under some holds, play, sing or both; ``sings``: in a course of singing."""
    parts = {hold.part for hold in holds}
    if sings and parts == {"voice"}:
        return "sing"
    return "both" if parts & {"voice", "all"} else "play"


def not_done(record: Record, day: int) -> str:
    """Return what nobody does under the open holds."""
    done = {"play": "played", "sing": "sung", "both": "played or sung"}
    return done[at_rest(record.open_holds(day), sings=record.sings)]


def without(record: Record, day: int) -> str:
    """Return what is done without under the open holds: playing, and where that goes on singing alone."""
    return "singing" if not_done(record, day) == "sung" else "playing"


def quiet_work(*, plays: bool = False) -> tuple[str, ...]:
    """Return what may be done without playing, whatever part is sore: what the plan offers."""
    return tuple(_QUIET.get(part, part) for part in (UNPLAYED[:-1] if plays else UNPLAYED))


def hold_notice(record: Record, day: int) -> str:
    """Return in one sentence that a student is paused; empty without an open hold.

    Neither the part of the body nor anybody's words about it: what it stands on may be printed.
    """
    since = min((hold.opened for hold in record.holds if hold.is_open(day)), default=None)
    paused = f"{tidy(record.name)} has been paused since {date_words(since, day)}"
    what = f"nothing is {not_done(record, day)} until {ends_words(record, day)}"
    return "" if since is None else f"{paused}: {what}."


def ends_words(record: Record, day: int) -> str:
    """Return who ends a pause: an adult, and where the student is one, the student."""
    return _ENDS[is_of_age(record, day)].format(tidy(record.name))


def stop_first(record: Record, day: int) -> str:
    """Return what to do first: C1, or what rests where only another course is paused; no family of adults."""
    is_adult, rests = is_of_age(record, day), {hold.part for hold in record.resting(day)}
    if not rests or any(hold.is_open(day) for hold in record.holds):
        return _as_done(caution("C1", of_age=is_adult), record, day)
    told = f"Advise {_SEE}" if is_adult else f"Tell the family the same day and advise {_SEE}"
    stop = f"Stop all that uses the {listed(sorted(rests))} now. Do not go on through pain. {told}"
    return f"{stop} {may_play_but(rests)} until {ends_words(record, day)}."


def stop_now(record: Record, day: int) -> str:
    """Return C1 where it is said already that, and how long, nothing is played."""
    return _as_done(_STOP[is_of_age(record, day)], record, day)


def _as_done(words: str, record: Record, day: int) -> str:
    """Return words about playing, and of a pause of the voice in a course of singing about singing."""
    return words.replace("play", "sing") if without(record, day) == "singing" else words


def hold_section(record: Record, day: int) -> Section:
    """Return what is paused, here (with C1) or in another course, to stand above all; else nothing."""
    notice, elsewhere = hold_notice(record, day), resting_section(record, day)
    if not notice:
        return elsewhere
    return Section("", (Paragraph(f"{notice} {stop_now(record, day)}"), *elsewhere.paragraphs))


def lesson_notice(record: Record, day: int, today: int) -> str:
    """Return what comes first where a lesson of a day is noted during a pause; empty without one.

    One of an earlier day is remembered: of what was seen then nothing is asked for ``today``.
    """
    then, seen = hold_notice(record, day), date_words(day, today)
    here = "From now on no playing is noted. Ask only for what is still asked for here, if it is comfortable."
    earlier = f"Note only what was seen on {seen}, and ask for nothing now."
    notice = hold_notice(record, max(day, today)) or then
    return notice and f"{notice} {here if then else earlier}"


def ended_lines(course: Course, record: Record, day: int, *, who: bool = True) -> Iterator[str]:
    """Yield what the adults said who ended pauses, as long as a student comes back from them.

    Every answer says it, and to a substitute not ``who`` it was. No words are read, so it stands above all
    minutes that are planned.
    """
    said = []
    for hold in closed_lately(course, record, day):
        by = f" ({tidy(hold.closed_by)}, {date_words(hold.closed or day, day)})" if who else ""
        said.append(f"{quoted(hold.closed_words)}{by}")
    said = [*dict.fromkeys(said)]
    whose = "with which the pauses ended" if len(said) > 1 else "of the adult who ended the pause"
    yield from [ended(f"The words {whose} come first: {joined(said)}")] if said else ()


_FORBIDS: Final = regex(
    r"\b(?:no|not|never|without|stop|cannot|dont|\w+n\Wt)(?: (?:yet|be|start|to|allowed|more|puede|debe))*"
    r" (?:play(?:s|ed|ing)?|sing(?:s|ing)?|piano|practi[sc]\w*|tocar|cantar)\b"
    r"|\b(?:rest\w*|reposo)(?: \w+){0,5} (?:until|hasta)\b|\btodavía no\b"
    r"|\b(?:not|\w+n\Wt) (?:(?:yet|before|until|till|ready|better|healed)\b"
    r"|(?:to )?use \w+(?: \w+)? (?:hand|arm|wrist|finger|thumb|voice)s?\b)"
    r"|\b(?:still|todavía|aún)(?: (?!(?:no|not|never|without|sin)\b)\w+){0,4}"
    r" (?:hurt\w*|ach\w+|sore|numb|swollen|pain\w*|stiff|weak|tingl\w*|duelen?|dolor\w*)\b"
    r"|^\W*(?:no|nope|nein|non|never|nunca|(?:from |only )?next (?:week|month|lesson))\W*$"
    r"|\b(?:not sure|unsure|no idea|(?:not|\w+n\Wt) know|ask (?:me|us|again)|will (?:say|decide|see|tell))\b"
    r"|\blet (?:\w+ ){1,2}rest\b|\brest (?:\w+ ){1,3}(?:days?|weeks?)\b"
    r"|\b(?:not with|except|cries|crying|maybe|perhaps|quizá|no answer|unclear)\b"
    r"|\b(?:says?|said|wants?|wanted)(?: (?!no\b|not\b)\w+){0,3} (?:rest|x-?rays?|scans?|tests?)\b"
    r"|\b(?:has|have|had|did)(?: not|n\Wt) (?:yet )?(?:seen?|been|asked?|gone|go|heard?|called?|decided?)\b",
    re.IGNORECASE,
)
_NOW: Final = regex(
    rf"{PAIN}|"
    r"\bwait(?:s|ing)?\b|\bworse\b|\btoo (?:early|soon)\b|\bappointment\b|\bwants to see\b|\besper[aeo]r?\b"
    r"|\b(?:sees?|seeing|asks?|visits?|going to)(?: \w+){0,2} (?:doctor|clinician|physio\w*|specialist)\b"
    r"(?!.* if\b)|\b(?:only|just)(?: \w+)? listen\w*|\blisten\w*(?: \w+)? only\b|\bsolo escuchar\b"
    r"|\b(?:must|should|to|keep) rest(?:ing)?\b|\brest for\b",
    re.IGNORECASE,
)
_NOT_SO: Final = regex(
    r"(?:\b(?:no|not|never|none|nothing|nowhere|without|longer|free|if|when|once|unless|until|should|stop\w*"
    r"|after|from|sin|nada|si|cuando)|\w+n\Wt)\b(?:\W+\w+){0,3}\W*$|\b(?:was|were|had|did)(?:\W+\w+)?\W*$",
    re.IGNORECASE,
)
"""What may stand before words of pain or of waiting where they are not so."""
_OVER: Final = regex(
    r"\W+(?:\w+\W+){0,3}(?:gone|over|away|free|healed|stopped|no (?:more|longer))\b", re.IGNORECASE
)
_CLAUSE: Final = regex(rf"[.;:!?\n]+|\bbut\b|,(?! {PAIN})", re.IGNORECASE)


def forbids_playing(words: str) -> bool:
    """Return whether the words of whoever ended a pause seem not to allow playing yet; no list is sure.

    >>> forbids_playing("no playing until January"), forbids_playing("all well, she may play")
    (True, False)
    >>> forbids_playing("she says it hurts"), forbids_playing("it no longer hurts; stop if it hurts")
    (True, False)
    """
    return _FORBIDS.search(words) is not None or any(
        not _NOT_SO.search(clause[: found.start()]) and not _OVER.match(clause, found.end())
        for clause in _CLAUSE.split(words)
        for found in _NOW.finditer(clause)
        if found[0].lower() != "hurt"  # of which nobody knows when
    )


def after_hold(course: Course, record: Record, day: int) -> Iterator[str]:
    """Yield that to the teacher, and how to begin again; and how to pause, where notes ask for it."""
    holds = closed_lately(course, record, day)
    again = [f'`readiness pause {record.id} "it hurts again" --part {hold.part}`' for hold in holds]
    begin = UNSURE if any(forbids_playing(hold.closed_words) for hold in holds) else GENTLY
    for words in ended_lines(course, record, day):
        yield f"{words} {begin} If it comes back, stop at once: {listed(again, 'or')}."
    if hurts := if_it_hurts(record, day, *pain_noted(record, day)):
        yield f"{ASK_FIRST}. {hurts}"


def counts_after(course: Course, record: Record, day: int) -> str:
    """Return that a lesson of the day on which a pause ended counts as one after it; empty without one."""
    closed = {hold.closed for hold in closed_lately(course, record, day) if hold in record.holds}
    last = max((on for on in closed if on is not None), default=day + 1)
    since = [on for on in record.seen.lesson_days if last <= on <= day]
    if last not in since or len(since) > LESSONS_AFTER_A_HOLD:
        return ""
    counts = f"The lesson of {date_words(last, day)} counts as one after it"
    return f"{counts}; if it came before the pause ended, wait for one more."


# What a page says on which a pause is noted: stop first, then the words, then whether it is meant.


def pause_first(record: Record, day: int) -> tuple[str, ...]:
    """Return what comes before anything is typed, in paragraphs."""
    first = f"Stop playing now, and thank {tidy(record.name)} for saying so."
    ask = (
        "What rests? Key 1: hand and arm. Key 2: the voice. Key 3: everything, if you are not sure. Then "
        "type what was said, in the words it was said in."
    )
    notice, stop = hold_notice(record, day), stop_now(record, day)
    return tuple(filter(None, (first, notice, stop if notice else stop_first(record, day), ask)))


def pause_question(record: Record, part: str, words: str) -> str:
    """Return the one question before a hold is kept."""
    return (
        f"Pause {tidy(record.name)} ({PARTS[part]}): {quoted(words)}?\n\n"
        "From then on no playing. Only an adult, by name, ends the pause or takes it back."
    )


def resume_question(record: Record, words: str) -> str:
    """Return the one question before a pause ends: no list of words is sure, so whoever is there says it."""
    return f"{quoted(words)}\n\nDo these words allow {tidy(record.name)} to play again?"
