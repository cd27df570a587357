"""What is written of one student: a decision, a pause, a lesson.

What is written is what the commands write, by the same functions of the library; in the demo that comes with
the program nothing is, and the desk keeps what was half entered. Knows no screen, like :mod:`tui.desk`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cached_property
from pathlib import Path

from readiness.advice.ground import decision_on, unit_begun
from readiness.advice.offer import Answers, Offer, Offered, far_skills, lesson_offer
from readiness.advice.placing_round import PlacingRound, placing_round
from readiness.advice.sheet import CheckSheet, check_sheet
from readiness.advice.skill_traits import played_under_hold
from readiness.judging.answer import Answer
from readiness.record import draft_entry as half_done
from readiness.record.entries import decide, open_hold
from readiness.record.model import HELPS, Record
from readiness.record.noting import NewLesson, note_lesson, odd_day
from readiness.record.undo import take_back
from readiness.toml.write import Refusal
from readiness.words.english import NOT_IN_THE_DEMO, glance_words, noted_line
from readiness.words.entries import unpaused_words
from readiness.words.grammar import capital, tidy
from readiness.words.noting import far_words, last_words, played_words
from readiness.words.paused import lesson_notice
from readiness.words.phrases import Phrases
from tui.desk import Desk
from tui.view import StudentRow

__all__ = ["LessonDesk", "keep_decision", "keep_pause", "taken_back"]


def keep_decision(desk: Desk, row: StudentRow, decided: str, reason: str = "") -> Refusal | None:
    """Keep a decision beside the answer it was made at; return why it was not, if so."""
    record, answer, course = row.record, row.answer, desk.course
    if refusal := desk.refused(record, answer.on, reason):
        return refusal
    decision = decision_on(course, record, answer, decided, reason)
    return decide(record, row.path.parent, decision, unit_begun(course, record, answer))


def keep_pause(desk: Desk, row: StudentRow, part: str, words: str) -> str:
    """Keep a hold; return why it was not, with what comes first all the same."""
    record, day = row.record, row.answer.on
    refusal = desk.refused(record, day, words) or open_hold(record, row.path.parent, day, words, part)
    return unpaused_words(refusal.message, refusal, record.id) if refusal is not None else ""


def taken_back(path: Path, kind: str) -> str:
    """Take back what was noted last, if it is a decision, a lesson ...; return why not, if so."""
    found = take_back(path, path.parent, kind)
    return found.message if isinstance(found, Refusal) else ""


class LessonDesk:
    """One student's lesson on a day: the one asked for, or that of what is half entered already.

    ``kept`` is what was half entered before, if anything was.
    """

    def __init__(self, desk: Desk, asked: StudentRow) -> None:
        self.desk, self.asked, self.path = desk, asked, asked.path
        begun = desk.begun(asked)
        self.kept = None if begun is None else half_done.understood(desk.course, begun)
        self.row = asked if begun is None else replace(asked, day=begun.on)
        self.today = max(asked.day, desk.today)
        self.folder = self.path.parent
        self.unfinished = desk.unfinished.setdefault(self.path, {})
        self._placing: tuple[object, PlacingRound] | None = None

    @cached_property
    def sheet(self) -> CheckSheet:
        """Today's sheet."""
        return check_sheet(self.desk.course, self.row.record, self.row.answer)

    @property
    def notice(self) -> str:
        """What comes first during a pause; empty without one."""
        notice = lesson_notice(self.row.record, self.row.day, self.today)
        return notice and f"NO PLAYING. {notice}"

    def take(self, record: Record) -> None:
        """Go on with the file as it is now: a pause may be open since."""
        if record is not self.row.record:
            self.row, self._placing = replace(self.row, record=record), None

    @cached_property
    def offer(self) -> Offer:
        """What the day has to be noted, in the order of its plan and its sheet."""
        row = self.row
        return lesson_offer(self.desk.course, row.record, row.day, row.calendar)

    def round(self, lines: Iterable[Offered], kept: NewLesson | None = None) -> Answers:
        """Return the answers to some lines, with what was kept of them."""
        return Answers(self.desk.course, lines, kept or NewLesson(self.row.answer.on), self.disliked)

    def last(self, skills: tuple[str, ...]) -> str:
        """Return how the skills of a line were shown last, else their state, as the sheet has it."""
        last = {self.desk.course.skill[one].name: self.offer.last.get(one) for one in skills}
        say = Phrases(self.offer.before, self.desk.course, self.row.record)
        return last_words(last, say.state(skills[0]))

    def remark(self, skills: tuple[str, ...]) -> str:
        """Return what was last remarked about the skills of a line, empty for nothing."""
        say = Phrases(self.row.answer, self.desk.course, self.row.record)
        return "  ".join(say.remarks(self.sheet.said, skills))

    @cached_property
    def disliked(self) -> frozenset[str]:
        """What was noted as not liked, up to the day of the lesson."""
        return self.row.record.disliked(self.row.answer.on)

    def title(self, skills: tuple[str, ...]) -> str:
        """Return what a line of the sheet is called."""
        return glance_words([tidy(self.desk.course.skill[skill].name) for skill in skills])

    def keep(self, lesson: NewLesson) -> str:
        """Keep a half-entered lesson safe; return why it could not be, if so."""
        if lesson.is_empty:
            return self.drop()
        if self.desk.is_demo:
            self.desk.in_hand[self.path] = lesson
            return ""
        refusal = half_done.keep(self.path, lesson, self.row.record)
        return refusal.message if refusal else ""

    def unkept(self, lesson: NewLesson) -> str:
        """Return what would be lost by leaving it, and why it cannot be kept; empty where nothing would."""
        why_not = "" if lesson.is_empty else self.keep(lesson)
        if not why_not:
            return ""
        return (
            f"Not kept: {noted_line(lesson)}. {capital(why_not)} It is still here. "
            "Key q notes it; key x forgets it, and then Escape leads back."
        )

    def drop(self) -> str:
        """Forget what was half entered; return why it is still there, if so."""
        self.desk.in_hand.pop(self.path, None)
        if self.desk.is_demo:
            return ""
        refusal = half_done.drop(self.path)
        return refusal.message if refusal else ""

    def held(self, lesson: NewLesson) -> str:
        """Return what comes first where something was played while a hold is open; empty elsewhere."""
        course = self.desk.course
        played = played_under_hold(course, self.row.record, lesson.on, lesson.helps)
        return " ".join(played_words(course, played, was_noted=False))

    def doubts(self, lesson: NewLesson) -> str:
        """Return what is odd about a lesson's day, or for whom it may be; empty where nothing is."""
        record, answer = self.row.record, self.row.answer
        odd = [one.message for one in odd_day(record, lesson.on, self.desk.today, self.row.calendar.events)]
        if far := far_skills(self.desk.course, record, answer, lesson.helps):
            odd.append(far_words(self.desk.course, record, answer, far))
        return "\n".join(map(capital, odd))

    def supposed(self, helps: Mapping[str, int]) -> Answer:
        """Return the answer with what was shown so far."""
        if not helps:
            return self.row.answer
        changes = {f"show.{skill}": HELPS[given] for skill, given in helps.items()}
        return self.desk.supposed(self.row, changes)[0]

    def stands(self, lesson: NewLesson) -> PlacingRound:
        """Return where a placing lesson stands with these answers, and its next look."""
        asked = (lesson.on, tuple(lesson.helps.items()), lesson.not_tried)
        if self._placing is None or self._placing[0] != asked:
            found = placing_round(
                self.desk.course, self.row.record, lesson.on, lesson.helps, lesson.not_tried, self.today
            )
            self._placing = (asked, found)
        return self._placing[1]

    def note(self, lesson: NewLesson, *, is_placing: bool = False) -> str:
        """Note the finished lesson, or a placing lesson; return why it was not, if so."""
        if self.desk.is_demo:
            return NOT_IN_THE_DEMO
        self.keep(lesson)
        course, latest = self.desk.course, self.desk.latest_day
        refusals = note_lesson(course, self.row.record, lesson, self.folder, latest, is_placing=is_placing)
        if refusals:
            return " ".join(one.message for one in refusals)
        self.drop()
        return ""

    def take_back(self) -> str:
        """Take the lesson that was noted last back; return why not, if so."""
        return taken_back(self.path, "lesson")
