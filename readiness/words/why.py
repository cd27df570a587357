"""Why a student moves up, or not yet: the page that the program is for.

First the verdict and its reason, then what is still needed, then the next lesson, and the cautions last.
The notes, lines of the files and rules behind it are shown on request. Other students are never mentioned.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from readiness.advice.after_break import is_unhurt
from readiness.advice.ground import needed_first
from readiness.course.graph import first_needed
from readiness.course.model import Course, Skill
from readiness.judging.answer import GAP_STATES, Answer, Blocker, Remark
from readiness.judging.engine import SHOW, what_if
from readiness.judging.findings import NoteSeen, UnderHold
from readiness.judging.history import known_on
from readiness.judging.reasons import rules_in
from readiness.record.load import shared_skills
from readiness.record.model import Record, latest
from readiness.terms import Help, State, Verdict
from readiness.words.cautions import (
    after_hold,
    brief_cautions,
    caution,
    counts_after,
    hold_section,
    paused_sections,
)
from readiness.words.english import STATE_WORDS, VERDICT_BRIEF, move_words, onward_words, tried_words
from readiness.words.entries import promised_section
from readiness.words.grammar import (
    capital,
    counted,
    date_words,
    few_of,
    inside,
    listed,
    number_words,
    tidy,
    together,
)
from readiness.words.layout import (
    Heading,
    Page,
    Paragraph,
    Section,
    asked_for,
    asking_more,
    bullets,
    cells,
    columns,
    fit,
    item,
    lay_out,
    noted,
    plain,
)
from readiness.words.phrases import Phrases, done_in, passed_over
from readiness.words.placing_round import open_section, start_sections, start_words, what_is_left
from readiness.words.reasons import numbers_section

__all__ = ["ahead_lines", "brought_along", "brought_along_section", "tell_answer", "why_sections"]


def tell_answer(
    answer: Answer, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return an answer of ``judge``, made by ``course`` from ``record``, as a text for the teacher."""
    return lay_out(why_sections(Phrases(answer, course, record)), width, full=full)


def why_sections(p: Phrases) -> Page:
    """Yield an answer in the order it is told, folded until its short form fits a screen."""
    why = _Why(p.given, p.course, p.record)
    if p.answer.verdict == Verdict.PAUSED:
        return paused_sections(p, why.in_a_pause())
    return fit(why.sections, range(ROWS_AT_MOST, 0, -1), LINES_AT_MOST)


ROWS_AT_MOST: Final = 5
"""So many rows of what is needed have room; what is looked at in every check is one where it is alike."""
LINES_AT_MOST: Final = 20
LONG_AGO: Final = 60
"""A day this far before the newest note is looked at from today, and that is said."""


class _Why(Phrases):
    rows = ROWS_AT_MOST

    @property
    def is_folded(self) -> bool:
        """Whether some of what has a line of its own is told together, because all of it has no room."""
        return self.rows < ROWS_AT_MOST

    @property
    def is_short(self) -> bool:
        """Whether all that can be folded is: the first row of what is needed stands alone."""
        return self.rows == 1

    def sections(self, rows: int) -> Page:
        self.rows, answer, after, first = rows, self.answer, self.answer.after_hold, ""
        if after is not None:
            days, needed = after.lesson_days, number_words(after.needed)
            so_far = ", ".join((f"{len(days)} of {after.needed} so far", *map(self.day, days)))
            first = f"No move before {needed} lessons with {done_in(self.course)} after the pause: {so_far}."
        yield from (self.title(), f"{self.verdict}. {self.reason()}".strip())
        yield hold_section(self.record, answer.on)
        ended = counts_after(self.course, self.record, answer.on)
        yield plain(*after_hold(self.course, self.record, answer.on), first, ended)
        yield plain(self.other_age(), more=self.is_short and not self.new_age)
        if (found := self.placing) is not None:
            seat = found.result.always_look_open
            looked_at = open_section(self, "To look at right away, in every check", seat)
            sections = start_sections(found, self) if found.looks else (looked_at,)
            yield from (replace(section, more=True) for section in sections)
            begin = self.listing("Begin with what is looked at in every check", seat)
            yield self.next_lesson((*plain(begin, what_is_left(found, self)).paragraphs, *self.work_on()))
        elif answer.is_ready:
            yield from (*_to_finish(self), _secure(self), self.next_lesson(self.what_now()))
        else:
            yield from (*_needed(self), self.next_lesson(self.next_steps()))
        yield promised_section(self.record, answer.on)
        yield Section("Worth knowing", tuple(self.worth_knowing()))
        yield self.decided()
        yield from self.aside()
        yield from self.shared()
        yield numbers_section(rules_in(answer.findings), self.age)
        yield bullets("Cautions", (caution(one, of_age=self.of_age) for one in answer.cautions), more=True)
        brief = brief_cautions(answer.cautions, of_age=self.of_age)
        yield from asking_more(f"{self.to_tell} · {self.to_prepare}", brief, in_one=self.is_folded)

    def other_age(self) -> str:
        """Return that a birthday before the next lesson, or since the last one, brings other rules."""
        answer, last = self.answer, self.answer.last_lesson
        known = known_on(self.course, self.record, answer.on)
        before = answer.band if last is None else known.band_on(self.course, last).name
        was = f"before: age {self.course.years(before)}" if before != answer.band else ""
        since = f"Since the birthday the rules are those of age {self.age} ({was})." if was else ""
        return self.new_age or since

    def reason(self) -> str:
        answer = self.answer
        if self.placing is not None:
            return start_words(self.placing, self.course)
        if answer.is_ready:
            needed = f"unit {self.next_number} needs" if self.next_number else "of the course"
            return f"Everything{' else' if answer.taken_along else ''} {needed} is secure."
        if answer.away is not None and answer.away_days is not None:
            weeks = counted(answer.away_days // 7, "week")
            back = f"{self.first_back}, after {weeks} away: for looking, not for a new unit."
            away = f"There was no lesson for {weeks}, and a new unit does not start on a break."
            return away if answer.away == "on-a-break" else back
        if not answer.blockers:
            first = f"Two lessons with {done_in(self.course)} come first after the pause."
            after = first if answer.after_hold else ""
            return f"{capital(self.unfinished)}." if self.too_much_open else after
        if self.is_new:
            return "Nothing is noted yet: the first lessons are for looking."
        told = self.too_few_days() or self.by_state()
        is_well = is_unhurt(self.course, self.record, answer.on) and not any(
            blocker.is_gap or blocker.state == State.WOBBLING for blocker in answer.blockers
        ) and not any(self.standing(skill).state in GAP_STATES for skill in answer.open_rest)  # fmt: skip
        return f"Nothing is wrong: {told}." if is_well else f"{capital(told)}."

    def too_few_days(self) -> str:
        """Return that the days are too few or too close, where that alone is missing, and alike of all."""
        standings = [blocker.skill and self.standing(blocker.skill) for blocker in self.answer.blockers]
        now, many = standings[0], len(standings)
        is_alike = len({one and (one.state, one.have, one.need) for one in standings}) == 1
        if not is_alike or not now or now.state != State.BUILDING:
            return ""
        skills = f"{number_words(many)} {'skill was' if many == 1 else 'skills were'}"
        age = "" if self.of_age or self.is_young else " at this age"
        if now.have >= now.need:
            return f"{skills} shown on enough days, but too close together"
        return f"{skills} shown on {counted(now.have, 'day')}, and{age} {now.need} are asked"

    def by_state(self) -> str:
        blockers, told = self.answer.blockers, list[str]()
        states = Counter(self.standing(one.skill).state for one in blockers if one.skill)
        for state, (of_one, of_several) in _CLAUSES.items():
            if count := states[state]:
                noun = "" if told else " skill" if count == 1 else " skills"
                told.append(f"{number_words(count)}{noun} {of_one if count == 1 else of_several}")
        if groups := sum(blocker.group is not None for blocker in blockers):
            choices = "choice" if groups == 1 else "choices"
            told.append(f"too few of {number_words(groups)} {choices} are secure")
        return listed(told)

    def next_lesson(self, steps: Iterable[Paragraph]) -> Section:
        parts, number = [], 0
        for step in steps:
            number += not step.more
            parts.append(step if step.more else replace(step, lead=f"{number}. "))
        return Section(f"Next lesson, {self.to_come}", tuple(parts))

    def next_steps(self) -> Iterator[Paragraph]:
        answer, look = self.answer, self.answer.look_first
        if self.start_unseen:
            yield Paragraph(self.start_unseen)
        if look:
            both = {blocker.skill for blocker in answer.blockers} == set(look) and len(look) == 2
            some = self.names(look, 1 if self.is_short else NAMED)
            see = "both once" if both else f"{some} {'once' if len(look) == 1 else 'once each'}"
            told = (f"See {see}, without help.", self.stale_then(look), *ahead_lines(self))
            yield Paragraph(" ".join(filter(None, told)))
        elif answer.one_thing is None:
            yield Paragraph("Look over what is known, note how each thing is shown, and ask again.")
        every = self.listing("Look first at", look) if len(look) > NAMED + 1 else ""
        yield from noted(every, "" if answer.look_proved else "A shorter list may exist.", indent=3)
        yield from self.work_on()
        if earliest := self.earliest():
            yield Paragraph(earliest)

    def work_on(self) -> Iterator[Paragraph]:
        answer, skill = self.answer, self.answer.one_thing
        if skill is None:
            return
        course_skill, look = self.course.skill[skill], answer.look_first
        first = next(iter(self.to_try(skill)), "Show it once, then ask for a small part of it, slowly.")
        blocking = [blocker.skill for blocker in answer.blockers]
        brought = [one.skill for one in answer.brought_along if one.skill not in blocking][:NAMED]
        is_listed = skill in (*answer.open_rest, *blocking)
        is_told = is_listed or skill in brought or not answer.chain[1:]
        over = "" if is_told else f", which {self.name(answer.chain[-1])} builds on"
        lead = "If it needs help" if look == (skill,) else f"A few minutes for {self.name(skill)}{over}"
        stale = "" if skill in look else f" {self.stale_then((skill,))}".rstrip()
        is_taught = self.standing(skill).state != State.UNTRIED
        is_taught = is_taught or not (answer.away or self.season or self.is_new)
        if is_taught:
            told = f"{lead}: {self.gently(first, skill)}{stale}"
            yield Paragraph(told, about=skill, more=bool(answer.away and look) and is_listed)
        elif skill not in look:  # nothing is taught in that lesson
            others = " Then go on with the check sheet." if self.is_new else ""
            yield Paragraph(f"Look at {self.name(skill)}{over} once, without help.{others}", about=skill)
        if not is_listed:
            where = f"{self.titled(skill)}, {self.unit(course_skill.unit)}: {self.state(skill)}."
            yield from noted(where, indent=3)
            yield from asked_for(columns(self.seen(skill), 3))
            yield from noted(*self.advice(skill), indent=3)
        ways = [way for way in self.to_try(skill) if way != first or not is_taught]
        yield from noted(*self.why_this(), *self.how(course_skill, ways), indent=3)

    def stale_then(self, skills: Sequence[str]) -> str:
        """Return which of some skills are secure today and not seen lately by the next lesson."""
        until = {one: self.standing(one).fresh_until or 0 for one in skills if self.is_met(one)}
        then = [one for one, day in until.items() if 0 < day < (self.answer.next_lesson or 0)]
        which = "" if len(then) == len(skills) else f": {self.few(then)}"
        return f"Secure today, but not seen lately by then{which}." if then else ""

    def why_this(self) -> Iterator[str]:
        answer, chain = self.answer, self.answer.chain
        yield f"The way up: {self.inventory(chain)}." if len(chain) > 1 else ""
        if frees := [skill for skill in answer.frees if skill != answer.one_thing]:
            there = [skill for skill in frees if self.course.skill[skill].unit == answer.next_unit]
            here = self.inventory(skill for skill in frees if skill not in there)
            told = (here, f"of the next unit: {self.inventory(there)}" if there else "")
            yield f"Waiting for it: {'; '.join(filter(None, told))}."

    def how(self, skill: Skill, others: Sequence[str]) -> Iterator[str]:
        yield from (f"To try as well: {way}" for way in others)
        yield f"Teaching it usually takes about {skill.minutes} minutes."
        yield f"Shown when: {tidy(skill.shown_when)}"
        yield f"At this age: {tidy(skill.age_note)}" if skill.age_note and not self.is_grown else ""
        if agreed := self.record.alternative(skill.id, self.answer.on):
            yield f"Another way of showing it, agreed with {tidy(agreed.agreed_with)}: {tidy(agreed.text)}"
        elif skill.alternative:
            yield f"Another way of showing it, where agreed: {tidy(skill.alternative)}"

    def earliest(self) -> str:
        """Return the earliest possible date and what keeps it back; nothing where it was said already."""
        answer = self.answer
        if answer.earliest_told is None and not answer.stays:
            return self.no_date
        if answer.stays or (answer.earliest_told == answer.next_lesson and _ready_if_all_come(self)):
            return ""
        later = self.as_planned or ", if everything needed comes"
        told = answer.next_lesson if answer.away == "on-a-break" else None
        back = "".join(f" {why}" for why in self.kept_back(told))
        return f"The earliest possible move is {move_words(answer)}{later}.{back}"

    def what_now(self) -> Iterator[Paragraph]:
        answer, student = self.answer, self.answer.student
        if answer.closed is None and self.move_waits:
            yield Paragraph(self.move_waits)
        elif answer.closed is None:
            what = "moves on" if answer.next_unit else "has finished the course"
            yield Paragraph(f"Note that {tidy(answer.name)} {what}: `readiness decide {student} move`")
        yield from self.work_on()
        if answer.next_unit is None:
            review = f"`readiness review {student}` says what to look at soon"
            yield Paragraph(f"Playing keeps what is there: {review}.")
        then = "Without a lesson by then it counts as a break, and the first lesson after it is for looking."
        if answer.fades_first is not None:
            then = f"Then look again at {self.name(answer.fades_first)}."
        elif answer.holds_because == "birthday":
            then = "Then a birthday brings the rules of the next age."
        if answer.holds_until is None:
            then = "This answer holds as long as nothing else is noted."
        elif not self.ends_first:
            then = f"If nothing new is noted, this answer holds until {self.day(answer.holds_until)}. {then}"
        yield Paragraph(then)

    def worth_knowing(self) -> Iterator[Paragraph]:
        """Yield the notes beside the verdict; skills over the same weak ones are told together."""
        remarks = self.answer.remarks
        yield from (item(self.remark(one), more=one.id != "young") for one in remarks if one.id != "footing")
        weak = together((self.few(one.other), one.skill or "") for one in remarks if one.id == "footing")
        for under, over in weak.items():
            yield item(f"Secure: {self.few(over)}. Not secure below: {under}.", more=True)

    def remark(self, remark: Remark) -> str:
        if remark.id in ("fast", "long"):
            assert self.answer.unit is not None
            usual = counted(self.course.unit[self.answer.unit].lesson_weeks, "lesson week")
            limit, advice = f"more than {remark.limit} is long", "Smaller steps or another way in may help."
            if remark.id == "fast":
                limit = f"fewer than {remark.limit} is quick"
                advice = "That is no reason to wait; just make sure it was not one good day."
            lessons = counted(remark.days or 0, "lesson")
            return f"{lessons} in this unit so far; it usually takes {usual}, and {limit}. {advice}"
        if remark.id == "young":
            younger = f"{tidy(self.answer.name)} is younger than {remark.limit}"
            rules = f"{younger}, and the rules here were not made for that age"
            return f"{rules}. Keep everything short and playful, with an adult beside."
        name = self.name(remark.skill or "")
        if remark.id == "stuck":
            return f"{name} has been {tried_words(remark.days or 0)}. Try another way in."
        return f"Look again at {name} by {self.day(remark.days)}; a short look is enough."

    def decided(self) -> Section:
        """Return what the teacher decided in this unit last (rule R11), else the move by which it began."""
        answer, unit = self.answer, self.answer.unit
        begun = {start.on for start in self.record.unit_starts if start.unit == unit}
        made = [decision for decision in self.record.decisions if decision.on <= answer.on]
        moves = (decision for decision in made if decision.decided == "move" and decision.on in begun)
        last = latest(decision for decision in made if decision.unit == unit) or latest(moves)
        if unit is None or last is None or last.is_start:
            return plain()
        on = "to move on" if answer.next_unit or last.unit != unit else "to finish the course"
        decided = {"move": on, "stay": "to stay"}.get(last.decided, last.decided)
        computed = VERDICT_BRIEF.get(last.computed, last.computed)
        reason = f" Reason: {last.reason}" if last.reason else ""
        asks = last.decided == "stay" and (answer.is_ready or answer.stays)
        over = passed_over(self.course, self.record, last.on) if last.decided == "move" else ""
        why = f".{over}{reason}" if over or reason else ""
        told = inside(f"On {self.day(last.on)}: {decided}. Computed then: {computed}{why}")
        is_told = answer.stays and answer.is_ready  # by a step of the next lesson
        lapsed = self.how_long() if asks and not is_told else ""
        told = f"{told} ({self.line(last.line)}).{lapsed}"
        return Section("Your own decision", (Paragraph(told),), more=not asks)

    def in_a_pause(self) -> Section:
        """Return what did not count in a pause (rule R1a)."""
        notes = list[str]()
        held = (finding.because for finding in self.answer.findings if isinstance(finding, UnderHold))
        for note in (note for notes in held for note in notes if isinstance(note, NoteSeen)):
            line = self.line(note.place.line if note.place else 0)
            notes.append(f"{self.name(note.skill)}, {self.day(note.day)} ({line})")
        return bullets("Noted during a pause: kept, not counted", notes, more=True)

    def aside(self) -> Iterator[Section]:
        """Yield what did not count in a pause, whose rules an old day goes by, and the unknown."""
        answer, course = self.answer, self.course
        yield self.in_a_pause()
        newest = max((lesson.on for lesson in self.record.lessons), default=0)
        rules = f"are those of now, edition {tidy(course.edition)}, not those of that time"
        told = f"Notes after {date_words(answer.on)} are left out. The course and its rules {rules}."
        yield bullets("Looking back", [told] if newest - answer.on > LONG_AGO else [], more=True)
        here = course.unit[answer.unit].number if answer.unit else 0
        groups = (member for group in answer.groups for member in group.of)
        asked = {*answer.deciding, *answer.rest, *groups, *answer.chain}
        so_far = [skill for skill in course.skills if course.unit[skill.unit].number <= here]
        left = [one.id for one in so_far if one.id not in asked and answer.band not in one.optional_in]
        likely = [skill for skill in left if skill in self.presumed]
        earlier = [*filter(self.is_unasked, left)]
        aside = [one.id for one in so_far if self.standing(one.id).state == State.SET_ASIDE]
        yield bullets("Not known", (
            self.listing("Probably there, and looked at in passing", likely),
            self.listing("Not asked yet in earlier units, and not needed now", earlier),
            self.listing("Set aside by agreement, and not asked for", aside),
        ), more=True)  # fmt: skip

    def shared(self) -> Page:
        """Yield how many skills another course has too, and where they are listed."""
        if shared := shared_skills(self.course):
            yield Heading(f"Shared with {self.others}", more=True)
            which = f"`readiness why {self.answer.student} --list carries-over`"
            yield item(f"{counted(len(shared), 'skill')}: a note of one lesson counts in both. {which}")
            yield item("Units, and skills noted as secure all at once, do not count in both.")


_CLAUSES: Final = {
    State.WITH_HELP: ("still needs help", "still need help"),
    State.NOT_SHOWN: ("is not shown yet", "are not shown yet"),
    State.SLIPPED: ("was secure and is lost since", "were secure and are lost since"),
    State.WOBBLING: ("had an off day", "had an off day"),
    State.BUILDING: ("needs more days", "need more days"),
    State.STALE: ("was not seen lately", "were not seen lately"),
    State.UNTRIED: ("was not seen here yet", "were not seen here yet"),
}
"""Why a skill holds the move up, of one and of several."""

NAMED: Final = 2
"""So many things from before are named; more become a count."""
BLOCKERS_AT_MOST: Final = 4
"""So many blockers are shown at once; of a longer list the others are counted."""
LOOKS_AT_MOST: Final = 2
"""Of more looks only whether all come is told: which of them come has too many answers for three lines."""
ROOM: Final = 76
"""So many columns have a row of what is needed where it is folded."""


def _needed(p: _Why) -> Page:
    ahead, unfinished = p.answer.next_unit, p.answer.open_rest
    needed = f"Still needed {f'for {p.unit(ahead)}' if ahead else 'to finish the course'}"
    yield Heading(needed if p.answer.blockers or p.too_much_open else "")
    safe = {skill.id for skill in p.course.skills if skill.safety}
    skills = [blocker for blocker in needed_first(p.course, p.answer) if blocker.skill is not None]
    glance = _at_a_glance(p, skills) if p.is_folded else []
    apart = [blocker for blocker in skills if blocker not in glance]
    most = min(p.rows, BLOCKERS_AT_MOST)
    shown = [blocker for at, blocker in enumerate(apart) if at < most or blocker.skill in safe]
    folded = [blocker for blocker in apart if blocker not in shown]
    yield from _rows(p, shown, is_folded=p.is_folded)
    if glance:
        ids = [blocker.skill for blocker in glance if blocker.skill]
        states = {_missing(p, skill) for skill in ids}
        alike = states.pop() if len(states) == 1 else f"{STATE_WORDS[State.STALE]}; one look"
        yield Paragraph(f"{p.inventory(ids)}: {alike} each.", brief=True)
        yield from asked_for(_rows(p, glance))
    any_of = f"Also {p.unfinished}." if p.answer.blockers else f"Any of these: {p.few(unfinished)}."
    groups = [blocker.group for blocker in p.answer.blockers if blocker.group is not None]
    many = len(folded) + len(groups) * p.is_short
    more = f"And {number_words(many)} more." if many else ""
    yield " ".join(filter(None, (more, any_of if p.too_much_open else "")))
    yield from asked_for(_rows(p, folded))
    for group in groups:
        still, of = p.still_of(group)
        more = " more" if len(of) < len(group.of) else ""
        some = f"{capital(number_words(still))}{more} of {p.few(of)}."
        yield Paragraph(some, about=group.of[0], more=p.is_short)
        for skill in group.of:
            words = p.with_note(skill) if skill in of else f"{p.titled(skill)}: secure"
            yield Paragraph(words, 4, more=True, about=skill)
        yield from noted(p.stands_on_it(group.of[0], group.needed_by), indent=4)
    if unfinished and not p.too_much_open:
        yield f"May be finished later: {p.few(unfinished)}."
    for skill in unfinished:
        yield Paragraph(p.open_line(skill), 4, more=True, about=skill)
        yield from noted(*p.advice(skill), indent=6)
    before = brought_along_section(p, named=[blocker.skill for blocker in skills]).paragraphs
    is_named = p.is_short and [one.skill for one in p.answer.brought_along] == [p.answer.one_thing]
    yield from asked_for(before) if is_named else before


def _at_a_glance(p: Phrases, blockers: Sequence[Blocker]) -> list[Blocker]:
    """Return what is looked at in every check, of which the same is said."""
    looked_at = {skill.id for skill in p.course.skills if skill.always_look}
    skills = [one.skill for one in blockers if one.skill in looked_at]
    is_stale = {skill: p.standing(skill).state == State.STALE for skill in skills}
    told = together(("" if is_stale[skill] else _missing(p, skill), skill) for skill in skills)
    alike = max(told.values(), key=len, default=[])
    return [one for one in blockers if one.skill in alike] if len(alike) > NAMED else []


def _missing(p: Phrases, skill: str) -> str:
    return f"{p.state_short(skill)}; {p.missing_short(skill)}"


def _rows(p: Phrases, blockers: Sequence[Blocker], *, is_folded: bool = False) -> Iterator[Paragraph]:
    """Yield a row for each of some blockers, with what it rests on; ``is_folded``: in short on one line."""
    needed = {blocker.skill: blocker.needed_by for blocker in blockers if blocker.skill is not None}
    rows = columns([(p.plain_name(skill), _missing(p, skill)) for skill in needed], 0, tuple(needed))
    stuck = {remark.skill: remark.days for remark in p.answer.remarks if remark.id == "stuck"}
    for line, (skill, by) in zip(rows, needed.items(), strict=True):
        days, wide = stuck.get(skill), cells(line.lead)
        short = tried_words(days) if days else line.text
        less = (short, short.removesuffix(", reminders count"))
        short = next((words for words in less if cells(words) + wide <= ROOM), p.state_short(skill))
        is_short = is_folded and short != line.text
        yield from (replace(line, text=short, brief=True),) if is_short else ()
        yield replace(line, more=is_short)
        if days:
            tried = f"{capital(tried_words(days))}: try another way in."
            yield Paragraph(tried, 4, about=skill, more=is_folded)
        is_stale, apart = p.standing(skill).state == State.STALE, p.apart(skill)
        seen = f" {capital(p.state(skill))}; {p.last_seen(skill)}." if is_stale else ""
        yield from noted(f"{skill}.{seen}", indent=4)
        yield from asked_for(columns(p.seen(skill), 4))
        missing = p.missing(skill) if apart else ""
        yield from noted(missing, p.stands_on_it(skill, by), *p.advice(skill), indent=4)


def brought_along_section(
    p: Phrases, beside: Mapping[str, str] = {}, named: Collection[str | None] = ()
) -> Section:
    """Return what is unfinished from earlier units, and where it is first needed (rule R12).

    ``beside``: what else is said of each in a few words; ``named``: what the page has named already.
    """
    brought = [one for one in p.answer.brought_along if one.skill not in named]
    if p.answer.verdict == Verdict.PAUSED or not brought:
        return Section("", ())
    told, more = [], []
    for before in brought:
        unit = before.first_needed
        first = "" if unit is None else f"unit {p.course.unit[unit].number} builds on it"
        needed = "; ".join(filter(None, (first, beside.get(before.skill))))
        needed = f" ({needed})" if needed else ""
        told.append(f"{p.name(before.skill)}{needed}")
        text = f"{p.titled(before.skill)}: {p.state(before.skill)}{needed}."
        more.append(Paragraph(text, 4, more=True, about=before.skill))
    return Section("", (Paragraph(f"Unfinished from before: {few_of(told, NAMED)}."), *more))


def brought_along(p: Phrases, beside: Mapping[str, str] = {}, named: Collection[str] = ()) -> str:
    """Return the same in one sentence; empty where nothing is unfinished."""
    return next((told.text for told in brought_along_section(p, beside, named).paragraphs), "")


def _to_finish(p: Phrases) -> Page:
    if along := p.answer.taken_along:
        yield Heading("To finish on the way")
        rows = []
        for skill in along:
            later = first_needed(p.course, skill, p.answer.unit or "")
            due = f"by unit {p.course.unit[later.unit].number}" if later else "not needed later"
            rows.append((p.plain_name(skill), f"{p.state_short(skill)}; {due}"))
        for row, skill in zip(columns(rows, 0, along), along, strict=True):
            yield from (row, *noted(p.open_line(skill), *p.advice(skill), indent=4))
        things = "1 unfinished thing is" if p.carry_limit == 1 else f"{p.carry_limit} unfinished things are"
        needed = f" or needed straight away in unit {p.next_number}" if p.next_number else ""
        yield f"Why that is still a yes: {things} allowed at this age, and none is about safety{needed}."
    yield from brought_along_section(p).paragraphs


def _secure(p: Phrases) -> Section:
    rows = []
    for skill in p.answer.deciding:
        now = p.standing(skill)
        used = f" (used in {p.name(now.warmed_by)})" if now.warmed_by else ""
        rows.append((p.day(now.last_seen), p.seen_line(skill), f"{p.plain_name(skill)}{used}"))
    told = [*columns(rows, 0)]
    for group in p.answer.groups:
        secure = p.inventory(filter(p.is_met, group.of))
        told.append(Paragraph(f"At least {number_words(group.at_least)} of a group, secure: {secure}."))
    return Section("Needed, and secure; last seen", tuple(told), more=True)


def ahead_lines(p: Phrases) -> Iterator[str]:
    """Yield what the next lesson may settle: if all that is looked at first comes, if one, if none.

    Nothing where what is looked at first does not end in a yes.
    """
    answer, look = p.answer, p.answer.look_first
    is_open = answer.verdict != Verdict.PAUSED and not answer.stays
    if answer.next_lesson is None or not is_open or not _ready_if_all_come(p):
        return
    few = {1: ("it comes", "it does not come"), 2: ("both come", "neither comes")}
    every, none = few.get(len(look), ("all come", ""))
    yield f"If {every}: ready {onward_words(p.next_number)} that day{p.as_planned}."
    if len(look) > LOOKS_AT_MOST:
        return
    if len(look) == LOOKS_AT_MOST:
        days = [day for skill in look if (day := _supposed(p, [skill]).earliest) is not None]
        when = f"on {p.day(max(days))} at the earliest" if days else "in a later lesson"
        yield f"If one: the other {when}."
    skill = answer.one_thing
    second = skill is not None and len(p.to_try(skill)) > 1
    yield f"If {none}: stay in this unit, and try {'the second activity' if second else 'another way in'}."


def _ready_if_all_come(p: Phrases) -> bool:
    """Return whether the next lesson ends with a yes if all that is looked at first comes."""
    return bool(p.answer.look_first) and _supposed(p, p.answer.look_first).is_ready


def _supposed(p: Phrases, shown: Sequence[str]) -> Answer:
    """Return the answer of the next lesson with some skills shown without help."""
    changes = {SHOW + skill: str(Help.ALONE) for skill in shown}
    return what_if(p.course, p.record, p.answer.on, changes, p.answer.calendar)[0]
