"""Why a student moves up, or not yet: the page that the program is for.

First the verdict and its reason, then what is still needed, then the next lesson, and the cautions last.
The notes, lines of the files and rules behind it are shown on request. Other students are never mentioned.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING, Final

from readiness.course.model import Course
from readiness.judging.answer import GAP_STATES, Answer, Remark
from readiness.judging.dates import review_lessons
from readiness.judging.findings import NoteSeen, UnderHold
from readiness.judging.reasons import rules_in
from readiness.record.model import Record, latest
from readiness.record.multi_course import shared_skills
from readiness.terms import State, Verdict
from readiness.words.blocking import (
    ahead_lines,
    needed_section,
    ready_if_all_come,
    secure_section,
    to_finish_section,
)
from readiness.words.cautions import brief_cautions
from readiness.words.english import ENGLISH, VERDICT_BRIEF
from readiness.words.entries import promised_section
from readiness.words.grammar import capital, counted, date_words, joined, listed, number_words, quoted, tidy
from readiness.words.layout import (
    Paragraph,
    Section,
    asked_for,
    asking_more,
    bullets,
    columns,
    item,
    lay_out,
    noted,
    plain,
)
from readiness.words.paused import after_hold, paused_sections, resting_section
from readiness.words.phrases import Phrases, passed_over
from readiness.words.placing_round import open_section, start_sections, start_words
from readiness.words.reasons import numbers_section

if TYPE_CHECKING:
    from readiness.advice.placing.round import PlacingRound

__all__ = ["tell_answer", "tell_sections"]


def tell_answer(
    answer: Answer, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return an answer of ``judge``, made by ``course`` from ``record``, as a text for the teacher."""
    return lay_out(tell_sections(answer, course, record), width, full=full)


def tell_sections(answer: Answer, course: Course, record: Record) -> tuple[Section, ...]:
    """Return an answer as titled sections, in the order they are told."""
    page = _Why(answer, course, record)
    return tuple(paused_sections(page) if answer.verdict == Verdict.PAUSED else page.sections())


LONG_AGO: Final = 60
"""A day this far before the newest note is looked at from today, and that is said."""


class _Why(Phrases):
    """The page."""

    def sections(self) -> Iterator[Section]:
        answer, after = self.answer, self.answer.after_hold
        first = "" if after is None else (
            f"No move before {number_words(after.needed)} lessons with playing after the pause: "
            f"{len(after.lesson_days)} of {after.needed} so far."
        )  # fmt: skip
        yield plain(self.title(), f"{self.verdict}. {self.reason()}".strip())
        yield resting_section(self)
        yield plain(*after_hold(self.course, self.record, answer.on), first)
        if self.placing is not None:
            yield from self.where_to_start(self.placing)
        elif answer.is_ready:
            yield from (to_finish_section(self), secure_section(self), self.next_lesson(self.what_now()))
        else:
            yield from (needed_section(self), self.next_lesson(self.next_steps()))
        yield promised_section(self.record, answer.on)
        yield Section("Worth knowing", tuple(self.worth_knowing()))
        yield self.decided()
        yield from self.aside()
        yield self.shared()
        yield numbers_section(rules_in(answer.findings), answer.band)
        yield bullets("Cautions", self.in_full(answer.cautions), more=True)
        brief = brief_cautions(answer.cautions, of_age=self.of_age)
        yield Section("", asking_more(f"{self.to_tell} · {self.to_prepare}", brief))

    @cached_property
    def placing(self) -> PlacingRound | None:
        if self.answer.placing is None:
            return None
        from readiness.advice.placing.round import placing_round  # here, since few are asked where to begin

        return placing_round(self.course, self.record, self.answer.on)

    # The reason of the verdict

    def reason(self) -> str:
        """Return why the verdict is what it is, and that nothing is wrong where that is so."""
        answer = self.answer
        if self.placing is not None:
            return start_words(self.placing, self.course)
        if answer.is_ready:
            rest = "Everything else" if answer.taken_along else "Everything"
            needed = f"unit {self.next_number} needs" if self.next_number else "of the course"
            return f"{rest} {needed} is secure."
        if answer.away is not None and answer.away_days is not None:
            weeks = counted(answer.away_days // 7, "week")
            back = f"This is the first lesson after {weeks} away: for looking, not for a new unit."
            away = f"There was no lesson for {weeks}, and a new unit does not start on a break."
            return away if answer.away == "on-a-break" else back
        if not answer.blockers:
            after = "Two lessons with playing come first after the pause." if answer.after_hold else ""
            return f"Needed: {self.unfinished}." if self.too_much_open else after
        if self.is_new:
            return "Nothing is noted yet: the first lessons are for looking."
        told = self.too_few_days() or self.by_state()
        open_states = {self.standing(skill).state for skill in answer.open_rest}
        wrong = any(blocker.is_gap or blocker.state == State.WOBBLING for blocker in answer.blockers)
        return f"{capital(told)}." if wrong or open_states & {*GAP_STATES} else f"Nothing is wrong: {told}."

    def too_few_days(self) -> str:
        """Return that the days are too few or too close, where that alone is missing, and alike of all."""
        standings = [blocker.skill and self.standing(blocker.skill) for blocker in self.answer.blockers]
        now, many = standings[0], len(standings)
        if len({one and (one.state, one.have, one.need) for one in standings}) > 1:
            return ""
        if not now or now.state != State.BUILDING:
            return ""
        skills = f"{number_words(many)} {'skill was' if many == 1 else 'skills were'}"
        if now.have >= now.need:
            return f"{skills} shown on enough days, but too close together"
        age = "" if self.is_adult else " at this age"
        return f"{skills} shown on {counted(now.have, 'day')}, and{age} {now.need} are asked"

    def by_state(self) -> str:
        """Return how many skills of each state hold the move up, and how many groups."""
        blockers, told = self.answer.blockers, list[str]()
        states = Counter(self.standing(blocker.skill).state for blocker in blockers if blocker.skill)
        for state, (for_single, for_several) in _CLAUSES.items():
            if count := states[state]:
                noun = "" if told else " skill" if count == 1 else " skills"
                told.append(f"{number_words(count)}{noun} {for_single if count == 1 else for_several}")
        if groups := sum(blocker.group is not None for blocker in blockers):
            choices = "choice" if groups == 1 else "choices"
            told.append(f"too few of {number_words(groups)} {choices} are secure")
        return listed(told)

    # The next lesson

    def next_lesson(self, steps: Iterable[Paragraph]) -> Section:
        """Return the next lesson, its steps numbered."""
        parts, number = [], 0
        for step in steps:
            number += not step.more
            parts.append(step if step.more else replace(step, lead=f"{number}. "))
        return Section(f"Next lesson, {self.to_come}", tuple(parts))

    def next_steps(self) -> Iterator[Paragraph]:
        """Yield what to look at first, what to work on, and the earliest possible date."""
        answer, look = self.answer, self.answer.look_first
        if self.start_unseen:
            yield Paragraph(self.start_unseen)
        if look:
            both = {blocker.skill for blocker in answer.blockers} == set(look) and len(look) == 2
            see = "both once" if both else f"{self.few(look)} {'once' if len(look) == 1 else 'once each'}"
            yield Paragraph(" ".join((f"See {see}, without help.", *ahead_lines(self))))
        elif answer.one_thing is None:
            yield Paragraph("Look over what is known, note how each thing is shown, and ask again.")
        if len(look) > 1:
            shorter = "" if answer.look_proved else " A shorter list may exist."
            yield from noted(f"Look first at: {self.inventory(look)}.{shorter}", indent=3)
        yield from self.work_on()
        if earliest := self.earliest():
            yield Paragraph(earliest)

    def work_on(self) -> Iterator[Paragraph]:
        """Yield the one thing to work on with its first activity; on request why it, and the others."""
        answer, skill = self.answer, self.answer.one_thing
        if skill is None:
            return
        course_skill, look = self.course.skill[skill], answer.look_first
        first = next(iter(self.to_try(skill)), tidy(course_skill.shown_when))
        lead = "If it needs help" if look == (skill,) else f"A few minutes for {self.name(skill)}"
        yield Paragraph(f"{lead}: {first}", about=skill, more=bool(answer.away and look))
        if skill not in {*answer.open_rest, *(blocker.skill for blocker in answer.blockers)}:
            where = f"{self.titled(skill)}, {self.unit(course_skill.unit)}: {self.state(skill)}."
            yield from noted(where, indent=3)
            yield from asked_for(columns(self.seen(skill), 3))
            yield from noted(*self.advice(skill), indent=3)
        yield from noted(*self.why_this(), *self.how(skill), indent=3)

    def why_this(self) -> Iterator[str]:
        """Yield why the one thing is what to work on, and what waits for it."""
        answer, chain = self.answer, self.answer.chain
        asked = [blocker.skill for blocker in answer.blockers if blocker.skill is not None]
        asked += [member for blocker in answer.blockers if blocker.group for member in blocker.group.of]
        asked += answer.open_rest if self.too_much_open else ()
        if not any(self.standing(skill).state in GAP_STATES for skill in asked):
            lowest = "Start here: of all that is unfinished, it comes first in the course."
            yield "Start here." if answer.look_first else lowest
        elif len(chain) < 2:
            yield "Everything below it is in place, so start here."
        else:
            yield f"{self.name(chain[-1])} builds on this, and everything below it is in place."
            yield from [f"The way up: {self.inventory(chain)}."] if len(chain) > 2 else ()
        if frees := [skill for skill in answer.frees if skill != answer.one_thing]:
            there = [skill for skill in frees if self.course.skill[skill].unit == answer.next_unit]
            here = self.inventory(skill for skill in frees if skill not in there)
            told = (here, f"of the next unit: {self.inventory(there)}" if there else "")
            yield f"Waiting for it: {'; '.join(filter(None, told))}."

    def how(self, skill: str) -> Iterator[str]:
        """Yield what to try, when a skill counts as shown, and how else it may be."""
        course_skill = self.course.skill[skill]
        if tries := self.to_try(skill):
            yield f"To try (teaching it usually takes about {course_skill.minutes} minutes):"
            yield from (f"{number}. {remedy}" for number, remedy in enumerate(tries, 1))
        yield f"Shown when: {tidy(course_skill.shown_when)}"
        if course_skill.age_note and not self.is_adult:
            yield f"At this age: {tidy(course_skill.age_note)}"
        if agreed := self.record.alternative(skill, self.answer.on):
            yield f"Another way of showing it, agreed with {tidy(agreed.agreed_with)}: {tidy(agreed.text)}"
        elif course_skill.alternative:
            yield f"Another way of showing it, where agreed: {tidy(course_skill.alternative)}"

    def earliest(self) -> str:
        """Return the earliest possible date and what keeps it back; nothing where it was said already."""
        answer = self.answer
        is_next = answer.earliest_told == answer.next_lesson
        if answer.earliest_told is None:
            return ENGLISH.no_date(unseen=answer.is_unseen)
        if is_next and ready_if_all_come(self):
            return ""
        asked = (*(blocker.skill for blocker in answer.blockers if blocker.skill), *answer.open_rest)
        untried = any(self.standing(skill).state == State.UNTRIED for skill in asked)
        all_come = ", if all that is needed comes each time" if asked else ""
        later = ", if more of this unit is shown too" if is_next else all_come
        later = "; usually later" if untried else later
        back = "".join(f" {why}" for why in self.kept_back())
        return f"The earliest possible move is {self.day(answer.earliest_told)}{later}.{back}"

    def what_now(self) -> Iterator[Paragraph]:
        """Yield what to do with a yes, and how long it holds."""
        answer, student = self.answer, self.answer.student
        if answer.waits_by_decision:
            yield Paragraph(f"Go on in this unit.{self.how_long()}")
        elif answer.closed is None:
            what = "moves on" if answer.next_unit else "has finished the course"
            yield Paragraph(f"Note that {tidy(answer.name)} {what}: `readiness decide {student} move`")
        yield from self.work_on()
        if answer.next_unit is None:
            review = f"`readiness review {student}` says what to look at soon"
            yield Paragraph(f"Playing keeps what is there: {review}.")
        then = "Then comes a break, and the first lesson after it is for looking."
        if answer.fades_first is not None:
            then = f"Then look again at {self.name(answer.fades_first)}."
        elif answer.holds_because == "birthday":
            then = "Then a birthday brings the rules of the next age."
        until = f"If nothing new is noted, this answer holds until {self.day(answer.holds_until)}. {then}"
        always = "This answer holds as long as nothing else is noted."
        yield Paragraph(always if answer.holds_until is None else until)

    def where_to_start(self, found: PlacingRound) -> Iterator[Section]:
        """Yield where a student would start who has not begun a unit, as a placing round says it."""
        student, seat, steps = self.answer.student, found.result.always_look_open, list[str]()
        looked_at = open_section(self, "To look at right away, in every check", seat)
        sections = start_sections(found, self) if found.looks else (looked_at,)
        yield from (replace(section, more=True) for section in sections)
        if seat:
            steps.append(f"Begin with what is looked at in every check: {self.inventory(seat)}.")
        if found.next is not None or found.raises:
            steps.append(self.in_few_looks)
        elif found.stop != "paused":
            steps.append(f"Enough was asked: begin the unit with `readiness decide {student} move`.")
        yield self.next_lesson((*map(Paragraph, steps), *self.work_on()))

    # Beside the verdict

    def worth_knowing(self) -> Iterator[Paragraph]:
        """Yield the notes beside the verdict; skills over the same weak ones are told together."""
        remarks, away = self.answer.remarks, self.answer.away_days
        if away is not None:
            lessons = counted(review_lessons(away), "lesson")
            yield item(f"Common practice after {away} days is about {lessons} of review.", more=True)
        yield from (item(self.remark(one), more=one.id != "young") for one in remarks if one.id != "footing")
        weak = [remark for remark in remarks if remark.id == "footing"]
        for under in dict.fromkeys(remark.other for remark in weak):
            over = [remark.skill for remark in weak if remark.other == under and remark.skill]
            build = "is secure, but builds" if len(over) == 1 else "are secure, but build"
            lacking = f"{self.few(under)}, which {'is' if len(under) == 1 else 'are'} not"
            little = "A little time there keeps what was learned."
            yield item(f"{self.few(over)} {build} on {lacking}. {little}", more=True)

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
            return f"{name} has been {ENGLISH.tried(remark.days or 0)}. Try another way in."
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
        reason = f" Reason: {tidy(last.reason)}" if last.reason else ""
        asks = last.decided == "stay" and (answer.is_ready or answer.stays)
        over = passed_over(self.course, self.record, last.on) if last.decided == "move" else ""
        told = f"On {self.day(last.on)}: {decided}. Computed then: {computed}.{over}{reason}"
        told = f"{told} ({self.line(last.line)}){self.how_long() if asks else ''}"
        return Section("Your own decision", (Paragraph(told),), more=not asks)

    def how_long(self) -> str:
        """Return until when a decision to stay is in force, or that it is time for a new one (rule R11)."""
        now = self.answer.decision
        if now is None or not now.in_force:
            return " It no longer holds, so please decide again."
        return f" Your decision holds {f'until {self.day(now.until)}' if now.until else 'for four lessons'}."

    def aside(self) -> Iterator[Section]:
        """Yield what did not count in a pause (rule R1a), whose rules an old day goes by, and the unknown."""
        answer, notes = self.answer, list[str]()
        for finding in answer.findings:
            for note in finding.because if isinstance(finding, UnderHold) else ():
                if isinstance(note, NoteSeen):
                    line = self.line(note.place.line if note.place else 0)
                    notes.append(f"{self.name(note.skill)}, {self.day(note.day)} ({line})")
        yield bullets("Noted during a pause: kept, not counted", notes, more=True)
        newest = max((lesson.on for lesson in self.record.lessons), default=0)
        rules = f"are those of now, edition {tidy(self.course.edition)}, not those of that time"
        told = f"Notes after {date_words(answer.on)} are left out. The course and its rules {rules}."
        yield bullets("Looking back", [told] if newest - answer.on > LONG_AGO else [], more=True)
        yield bullets("Not known", self.unknown(), more=True)

    def unknown(self) -> Iterator[str]:
        """Yield what the notes do not say and the sections before did not mention."""
        answer, course = self.answer, self.course
        if answer.unit is None:
            return
        here = course.unit[answer.unit].number
        groups = (member for group in answer.groups for member in group.of)
        asked = {*answer.deciding, *answer.rest, *groups}
        so_far = [skill for skill in course.skills if course.unit[skill.unit].number <= here]
        left = [one.id for one in so_far if one.id not in asked and answer.band not in one.optional_in]
        if earlier := [skill for skill in left if self.standing(skill).state == State.UNTRIED]:
            yield f"Not asked yet in earlier units, and not needed now: {self.inventory(earlier)}."
        if aside := [one.id for one in so_far if self.standing(one.id).state == State.SET_ASIDE]:
            yield f"Set aside by agreement, and not asked for: {self.inventory(aside)}."

    def shared(self) -> Section:
        """Return the skills of the units so far, and the next, that another course has too."""
        number = {skill.id: self.course.unit[skill.unit].number for skill in self.course.skills}
        upto = self.course.unit[self.answer.unit].number + 1 if self.answer.unit else max(number.values())
        shared = [skill for skill in shared_skills(self.course) if number[skill] <= upto]
        if not shared:
            return plain()
        parts = [item(
            f"{counted(len(shared), 'skill is', 'skills are')} the same there: a note of one lesson counts "
            "in both. Units, and skills noted as secure all at once, do not count in both."
        )]  # fmt: skip
        for title, states in _CARRIED:
            if skills := [skill for skill in shared if self.standing(skill).state in states]:
                parts.append(item(f"{title}: {counted(len(skills), 'skill')}."))
                parts += (Paragraph(self.plain_name(skill), 4) for skill in skills)
        others = joined([quoted(other.name) for other in self.course.beside])
        return Section(f"Shared with {others}", tuple(parts), more=True)


_CLAUSES: Final = {
    State.WITH_HELP: ("still needs help", "still need help"),
    State.NOT_SHOWN: ("is not shown yet", "are not shown yet"),
    State.SLIPPED: ("was secure and is lost since", "were secure and are lost since"),
    State.WOBBLING: ("had an off day", "had an off day"),
    State.BUILDING: ("needs more days", "need more days"),
    State.STALE: ("was not seen lately", "were not seen lately"),
    State.UNTRIED: ("was not asked yet", "were not asked yet"),
}
"""Why a skill holds the move up, of one and of several."""

_CARRIED: Final = (
    ("Secure, or set aside by agreement", (State.SECURE, State.SET_ASIDE)),
    ("With help so far, not shown yet, or lost since", GAP_STATES),
    ("Some of the days, one off day, or not seen lately", (State.BUILDING, State.WOBBLING, State.STALE)),
    ("Not asked yet", (State.UNTRIED,)),
)
