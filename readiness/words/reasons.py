"""Beside the verdict: one skill, what lies around a student, the reasons as they are, the rules in words.

The tree of findings is an outline of ids, facts and the file and line of each: no sentence is made there, and
nothing is folded.

Was that a one-off? It was there last week and not today: is it lost? When will it be there? Why look at the
seat again? It was shown in another way: does that count? Each answer names the days, the numbers with their
lines and what it means for the move; none is a promise.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from readiness.advice.ground import AroundHere, Standstill, Weak, said_of_all
from readiness.course.graph import first_needed
from readiness.course.model import BAND, BY_KIND, Course
from readiness.days import iso
from readiness.judging.findings import Finding, NeededBy, NoteSeen, NumbersUsed, Rule, SettledOn, SkillOpen
from readiness.judging.reasons import cautions_for, rules_in
from readiness.lazy import fields_of
from readiness.record.load import care_elsewhere
from readiness.record.model import HELPS, as_told, latest
from readiness.terms import Fade, Help, State, Verdict
from readiness.words.cautions import closing, hold_section
from readiness.words.english import HELP_WORDS, KIND_WORDS, move_words
from readiness.words.grammar import capital, counted, ended, listed, number_words, quoted, tidy
from readiness.words.layout import Heading, Page, Paragraph, Section, bullets, columns, item, items, plain
from readiness.words.noting import noted_twice
from readiness.words.phrases import Phrases

__all__ = [
    "around_sections", "numbers_section", "plain_value", "reasons_outline", "rule_section", "rule_value",
    "rules_together", "skill_sections", "standstill_sections",
]  # fmt: skip

_SOURCE = re.compile(r"\b([a-z]+)(\d{4})\b")
"""How pacing.toml names what was published: first author and year in one word."""


def reasons_outline(findings: Sequence[Finding], *, full: bool = False) -> Iterator[Paragraph]:
    """Yield findings a line each and then the rules they used; ``full``: the whole outline they make.

    Each is indented as deep as it goes; what rests on nothing is told only if ``full``.
    """
    waiting = [(0, finding) for finding in reversed(findings) if full or not isinstance(finding, NumbersUsed)]
    while waiting:
        depth, finding = waiting.pop()
        short = f"{finding.skill}: {finding.state}" if isinstance(finding, SkillOpen) else _line(finding)
        yield Paragraph(_line(finding) if full else "; ".join((short, *_leaves(finding))), depth, "- ")
        waiting += [(depth + 2, child) for child in reversed(finding.because) if full or child.because]
    for rule in () if full else dict.fromkeys(rules_in(findings)):
        changed = f", changed; the default is {rule.default}" if rule.changed else ""
        yield item(f"{rule.rule} = {_fact(rule.rule, rule.value)}{_written(rule)}{changed}")


def _leaves(finding: Finding) -> Iterator[str]:
    titles = ("counts", "other days", "needed by", "secure with its unit")
    leaves, apart = {title: list[str]() for title in titles}, list[str]()
    for below in finding.because:
        match below:
            case NoteSeen():
                title = "counts" if below.counts else "other days"
                leaves[title].append(f"{iso(below.day)} {HELPS[below.help]}{_written(below)}")
            case NeededBy():
                leaves["needed by"].append(f"{below.by}{_written(below)}")
            case SettledOn():
                leaves["secure with its unit"].append(f"{iso(below.day)}{_written(below)}")
            case _ if not below.because and not isinstance(below, Rule):
                apart.append(_line(below))
    yield from (f"{title} {', '.join(told)}" for title, told in leaves.items() if told)
    yield from apart


def _written(finding: Finding) -> str:
    return "" if finding.place is None else f" [{finding.place.file.name}:{finding.place.line}]"


def _line(finding: Finding) -> str:
    told = (one for one in fields_of(finding) if one[0] not in ("place", "because"))
    facts = (f"{name}={_fact(name, value)}" for name, value in told)
    return f"{' '.join((finding.id, *facts))}{_written(finding)}"


def _fact(name: str, value: object) -> str:
    if name == "basis":
        return _source(str(value)) or "-"
    match as_told(name, value):
        case bool():
            return "yes" if value else "no"
        case [*parts]:
            return ",".join(map(str, parts)) or "-"
        case told:
            return tidy(str(told)) if told not in (None, "") else "-"


def _source(basis: str) -> str:
    return _SOURCE.sub(lambda found: f"{found[1].capitalize()} {found[2]}", tidy(basis))


# The pacing numbers that decided, in plain words, with the line each stands on.
# A teacher who disagrees with a verdict mostly disagrees with a number. So every number used
# is shown, with whose it is: the default, or changed, and then the default beside it.

_NOUNS: Final = ("day", "week")
_FAMILIES: Final[Mapping[str, tuple[str, Mapping[str, str], Callable[[str, object], str]]]] = {
    "days_needed": (
        "secure after", KIND_WORDS,
        lambda kinds, n: f"{'1 day' if n == 1 else f'{n} different days'} for {kinds}",
    ),
    "accepts": (
        "how it must be shown:", KIND_WORDS,
        lambda kinds, n: f"{'a reminder still' if n == Help.CUE else 'only without help'} counts for {kinds}",
    ),
    "fresh_weeks": (
        "look again:",
        {Fade.FAST: "what is soon lost", Fade.MEDIUM: "most things", Fade.SLOW: "what lasts long"},
        lambda what, n: f"{what} after {n} week{'s' * (n != 1)}",
    ),
}
"""Rules with one number for each kind of skill, or for how soon it fades."""


def rule_value(rule: str, value: object) -> str:
    """Return a rule by its name in the pacing file, with one value, in plain words."""
    family, _, part = rule.partition(".")
    if part and family in _FAMILIES:
        title, names, words = _FAMILIES[family]
        return f"{title} {words(names[part], value)}"
    many = {noun: counted(value, noun) if isinstance(value, int) else f"{value} {noun}s" for noun in _NOUNS}
    said = BAND[rule].said if rule in BAND else f"{rule}: {{n}}"
    return said.format(n=plain_value(value), **many)


def plain_value(value: object) -> str:
    """Return a value as it is said: a range of one number is that number."""
    if isinstance(value, (tuple, list)):
        return " to ".join(dict.fromkeys(map(str, value)))
    return tidy(str(value))


def rule_section(course: Course, rule: Rule) -> Section:
    """Return what one rule of an age says, what it does, where it is written, and its source."""
    whose = f"Changed{_by(rule)}; the default is {rule.default}" if rule.changed else "The default"
    return replace(plain(
        f"{capital(rule_value(rule.rule, rule.value))}.",
        BAND[rule.rule].does if rule.rule in BAND else BY_KIND[rule.rule.partition(".")[0]],
        f"{whose}{_written(rule)}.",
        f"Source: {_source(rule.basis) or '-'}.",
    ), title=f"{rule.rule}, at age {course.years(rule.band)}")  # fmt: skip


def rules_together(rules: Iterable[Rule]) -> Iterator[tuple[str, list[Rule]]]:
    """Yield rules in plain words: the defaults of one family in one sentence, each changed one by itself."""
    families: dict[str, list[Rule]] = {}
    for rule in rules:
        families.setdefault(rule.rule.partition(".")[0], []).append(rule)
    for family, members in families.items():
        kept = [rule for rule in members if not rule.changed]
        if kept and family in _FAMILIES:
            title, names, words = _FAMILIES[family]
            alike: dict[object, list[str]] = {}  # the kinds of one value together
            for rule in kept:
                alike.setdefault(rule.value, []).append(names[rule.rule.partition(".")[2]])
            told = [words(listed(kinds), value) for value, kinds in alike.items()]
            both = any(" and " in each for each in told)
            yield f"{title} {'; '.join(told) if both else listed(told)}", kept
        elif kept:
            yield rule_value(kept[0].rule, kept[0].value), kept
        yield from ((rule_value(rule.rule, rule.value), [rule]) for rule in members if rule.changed)


def numbers_section(rules: Iterable[Rule], age: str) -> Section:
    """Return the numbers that decided, and where each is written and whose it is; shown on request."""
    used, parts = tuple(rules), list[Paragraph]()
    for words, members in rules_together(used):
        places = [rule.place for rule in members if rule.place is not None]
        where = f"{places[0].file.name}:{listed([str(at.line) for at in places])}, " if places else ""
        whose, first = "the default" if len(members) == 1 else "the defaults", members[0]
        if first.changed:
            changed = f"changed{_by(first)}; the default is {first.default}"
            whose = "this course's own number" if first.default is None else changed
        parts.append(item(f"{capital(words)} ({where}{whose})."))
    if used and all(rule.basis.startswith("common practice") for rule in used):
        customs = "These are customs of the trade, not research. Change them if you know better."
        parts.append(Paragraph(customs))
    return Section(f"The rules used (age {age})", tuple(parts), more=True)


def _by(rule: Rule) -> str:
    return f" by {tidy(rule.changed_by)}" if rule.changed_by else ""


def skill_sections(p: Phrases, skill: str) -> Page:
    """Yield all about one skill of one student."""
    answer, record, one, on = p.answer, p.record, p.course.skill[skill], p.answer.on
    yield from (p.title(p.titled(skill), p.unit(one.unit)), f"{capital(p.state(skill))}.")
    yield hold_section(record, on)
    yield Heading("Seen")
    yield from (*columns(p.seen(skill), 0), *items((*noted_twice(record, skill, on), *_counting(p, skill))))
    is_untried = p.standing(skill).state == State.UNTRIED
    yield from items(p.remarks(said_of_all(p.course, record, on, (skill,) * is_untried), (skill,)))
    yield bullets("Agreed", _agreed(p, skill))
    if answer.verdict != Verdict.PAUSED:
        nothing = "No unit has started, so nothing waits for it yet."
        yield bullets("What that means", (
            _STATE_MEANS.get(p.standing(skill).state, ""),
            nothing if answer.unit is None else _for_the_move(p, skill),
            "" if p.is_met(skill) else p.missing(skill),
        ))  # fmt: skip
        yield Section("When", tuple(item(words, more=at != 1) for at, words in enumerate(_when(p, skill))))
    users = [user.id for user in p.course.skills if skill in user.stands_on]
    above = [f"Directly: {p.names(users)}."] if users else []
    if answer.unit is not None:
        later = first_needed(p.course, skill, answer.unit)
        above.append(f"First needed in {p.unit(later.unit)}." if later else "No later unit needs it.")
    yield bullets("What builds on it", above, more=True)
    yield bullets("Looked at again and again", (
        "It is looked at in every check of every unit, at a glance." if one.always_look else "",
        "It is a safety point and is never left unfinished." if one.safety else "",
        "Playing other things does not show it." if one.must_be_seen else "",
    ), more=True)  # fmt: skip
    way = one.alternative or p.course.alternatives_by_kind.get(one.kind, "")
    another = [tidy(way)] if way and record.alternative(skill, on) is None else []
    yield bullets("Another way, where agreed", another, more=True)
    yield bullets("Remarks", _said(p, skill), more=True)
    rules = (f"days_needed.{one.kind}", "spread_days", f"accepts.{one.kind}", f"fresh_weeks.{one.fade}")
    yield numbers_section(p.rules(*rules), p.age)
    yield from closing((), cautions_for(p.course, record, on, (skill,)), of_age=p.of_age)


def _counting(p: Phrases, skill: str) -> Iterator[str]:
    now = p.standing(skill)
    if now.state == State.SET_ASIDE:
        return
    if now.settled_on is None and now.secure_since is not None:
        yield f"Secure since {p.day(now.secure_since)}."
    if now.settled_on is None or now.secure_since is None:
        yield _counted_days(p, skill)
    if now.last_seen is not None and now.fresh_until is not None:
        yield f"{capital(p.last_seen(skill))}; look again by {p.day(now.fresh_until)}."


def _counted_days(p: Phrases, skill: str) -> str:
    now = p.standing(skill)
    days = [note.day for note in now.evidence if note.counts]
    if now.secure_since is None:
        days = days[-now.have :] if now.have else []
    if not days:
        since = "since it was lost" if now.slipped else "so far"
        return f"No day counts {since}; {counted(now.need, 'day is', 'days are')} needed."
    told = f"{counted(len(days), 'day counts', 'days count')}, {now.need} needed"
    spread = p.course.band[p.answer.band].whole("spread_days")
    apart = f"{counted(days[-1] - days[0], 'day')} apart{f' ({spread} or more are asked)' if spread else ''}"
    several = f" to {p.day(days[-1])}, {apart}" if len(days) > 1 else ""
    return f"{told}: {p.day(days[0])}{several}."


def _agreed(p: Phrases, skill: str) -> Iterator[str]:
    on, may_know = p.answer.on, "That is for those alone who may know."
    if block := latest(one for one in p.record.set_aside if one.skill == skill and one.on <= on):
        who = f" with {tidy(block.agreed_with)}" if block.agreed_with else ""
        where = f"on {p.day(block.on)} ({p.line(block.line)})"
        yield f"Set aside by agreement{who} {where}: neither asked for nor counted. {may_know}"
    if way := p.record.alternative(skill, on):
        where = f"agreed with {tidy(way.agreed_with)} on {p.day(way.on)} ({p.line(way.line)})"
        yield f"Shown in another way, {where}: {ended(way.text)} It counts like the usual one. {may_know}"


def _for_the_move(p: Phrases, skill: str) -> str:
    answer = p.answer
    blocking = next((blocker for blocker in answer.blockers if blocker.skill == skill), None)
    if blocking is not None:
        how = "holds the move up" if blocking.is_gap else "needs a look before the move"
        return f"It {how}. {p.stands_on_it(skill, blocking.needed_by)}"
    if skill in answer.deciding:
        return "It is needed for the move, and it is there."
    if any(not group.met and skill in group.of for group in answer.groups):
        return "It is one of several, some of which are needed."
    if skill in answer.chain[:-1]:
        return f"{p.name(answer.chain[-1])} builds on it, and that is needed for the move."
    if skill in answer.open_rest:
        return f"It may be finished later; {number_words(p.carry_limit)} such things are allowed at most."
    return "It is of this unit, and there." if skill in answer.rest else "The move does not need it now."


def _when(p: Phrases, skill: str) -> Iterator[str]:
    answer = p.answer
    if p.is_met(skill) or answer.unit is None or skill not in (*answer.deciding, *answer.rest):
        return
    yield f"Next lesson: {p.to_come}."
    if answer.earliest_told is None:
        yield p.no_date
        return
    shown = "if everything open is shown without help each time"
    yield f"Earliest possible move, {shown}: {move_words(answer)}{p.as_planned}."
    yield from p.kept_back()
    yield "It gets later with a lesson missed, a day with more help, or something else not seen for too long."


def _said(p: Phrases, skill: str) -> Iterator[str]:
    for lesson in (lesson for lesson in p.record.lessons if lesson.on <= p.answer.on):
        day, line = p.day(lesson.on), p.line(lesson.line)
        if skill in lesson.remarks:
            yield f"{day}: {tidy(lesson.remarks[skill])} ({line})"
        yield from (f"{capital(how)} on {day} ({line})." for about, how in p.beside(lesson) if about == skill)


_STATE_MEANS: Final = {
    State.WOBBLING: "One off day: look on another day before concluding anything.",
    State.SLIPPED: (
        "Two days in a row did not count, so its days are counted again from the start. Look on another day "
        "before concluding anything."
    ),
}


def around_sections(found: AroundHere, which: str, p: Phrases) -> Page:
    """Yield one list of what lies around a student: optional, untried, startable or carries-over."""
    is_paused = p.answer.verdict == Verdict.PAUSED
    waits = which in _IN_PLAY and (is_paused or p.answer.unit is None)
    yield plain(p.title())
    if waits and not is_paused:
        yield plain(f"No starting unit yet. First: `readiness place {p.answer.student}`")
    elif is_paused or _AROUND[which] is not _carries_over:  # which says itself what rests
        yield hold_section(p.record, p.answer.on)
    yield from () if waits else _AROUND[which](p, found)


def _optional(p: Phrases, found: AroundHere) -> Page:
    yield Heading(f"May be left out at age {p.age}")
    for skill, band in found.optional:
        back = f"asked for at age {p.course.years(band)}" if band else "not asked for later either"
        yield item(f"{p.with_unit(skill)}: {back}.")
        yield Paragraph(tidy(p.course.skill[skill].age_note) or "The course does not say why.", 4)
    yield from items(() if found.optional else ["Nothing: all is asked for."])


def _untried(p: Phrases, found: AroundHere) -> Page:
    never, missed = ([f"{p.titled(one)}." for one in some] for some in (found.untried, found.not_shown))
    yield bullets("Never tried", never or ["Nothing."])
    yield bullets("Asked, and not shown yet", missed or ["Nothing."])


def _startable(p: Phrases, found: AroundHere) -> Page:
    now = [f"{p.with_unit(skill)}." for skill in found.startable]
    most = counted(found.at_most, "new skill")
    yield bullets(f"Could be started now, at most {most} a lesson", now or ["Nothing."])
    yield bullets("Started and not there yet", (f"{p.with_unit(one)}." for one in found.going_on))
    waiting = (f"{p.with_unit(one)}." for one in found.after_the_move)
    yield bullets("Ready to start, but part of the next unit", waiting)


def _carries_over(p: Phrases, found: AroundHere) -> Page:
    same = f"The same in {p.others}: {counted(len(found.shared), 'skill')}; a note counts in both"
    lines = [f"The {part} has been resting since {p.day(on)}: it is not used." for part, on in found.rests]
    for words, is_there in (("Not secure here yet", False), ("Secure here", True)):
        if skills := [skill for skill, state in found.shared if (state == State.SECURE) is is_there]:
            lines.append(f"{words}: {p.names(skills, len(skills))}.")
    if found.care:
        beside = {skill.id: skill for skill in care_elsewhere(p.course)}
        names = listed([quoted(beside[skill].name) for skill in found.care])
        lines.append(f"Looked after there alone: {names}.")
    yield bullets(same if p.others else "Carries over", lines or ["There is one course only."])


_IN_PLAY: Final = ("untried", "startable")
_AROUND: Final[dict[str, Callable[[Phrases, AroundHere], Page]]] = {
    "optional": _optional, "untried": _untried, "startable": _startable, "carries-over": _carries_over,
}  # fmt: skip


# The words for a standstill: what waits for what, what gets better, what asks for another way.
# The playing is described, not the child. Taking time is fine; the weeks without a lesson do not count; and
# it ends with one thing to do and a day to look again.


def standstill_sections(found: Standstill, p: Phrases) -> Page:
    """Yield what holds other things up, and whether it changes."""
    answer, pace, first = p.answer, found.pace, p.answer.one_thing
    yield p.title(lead="Stuck, or taking time?")
    if answer.verdict == Verdict.PAUSED:
        yield hold_section(p.record, answer.on)
        return
    if pace is not None:
        without = f" {counted(pace.without, 'week')} had none." if pace.without else ""
        usual = f"usually {pace.usual}, and {pace.least} to {pace.most} are fine"
        yield f"{counted(pace.lessons, 'lesson')} in this unit; {usual}.{without}"
    yield Heading("Not there yet")
    for weak in sorted(found.weak, key=lambda weak: not weak.stuck):
        yield from (item(_weak(p, weak), more=not weak.stuck),) if weak.tries else ()
    if pace is not None and pace.short:
        yield item(f"Shown well, on too few days so far: {p.names(pace.short)}.")
    if first is not None:
        minutes = counted(p.course.skill[first].minutes, "minute")
        yield Heading(f"Start here: {p.plain_name(first)}, about {minutes} of teaching")
        waiting = [other for other in answer.frees if other != first]
        yield from items([p.listing("Waiting for it", waiting)])
        yield from items(f"To try: {way}" for way in p.to_try(first))
    stuck, ways = [weak.skill for weak in found.weak if weak.stuck], "a smaller step, or the step under it"
    yield bullets("Next", (
        f"Change the way for {p.names(stuck)}: another place, another sense, {ways}." if stuck else "",
        f"Look again over the next three lessons, the first on {p.to_come}." if found.weak else "",
    ))  # fmt: skip
    yield numbers_section(p.rules("stuck_tries", "min_unit_factor", "max_unit_factor"), p.age)
    cautions = cautions_for(p.course, p.record, answer.on, (first,) if first else ())
    yield from closing((), cautions, of_age=p.of_age)


def _weak(p: Phrases, weak: Weak) -> str:
    assert weak.late is not None
    best = HELP_WORDS[weak.late]
    if weak.early is not None and weak.early != weak.late:
        best = f"{HELP_WORDS[weak.early]} at first, {best} in the latest three"
    row = f"tried on {counted(weak.tries, 'day')} from {p.day(weak.first)} on, at best {best}"
    judged = "It gets easier." if weak.improves else "Too few tries to call it stuck."
    judged = "No change for a while." if weak.stuck else judged
    others = [skill for skill in weak.waiting if skill != weak.skill]
    wait = f" {counted(len(others), 'other thing waits', 'other things wait')} for it." if others else ""
    return f"{p.plain_name(weak.skill)}: {row}. {judged}{wait}"
