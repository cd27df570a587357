"""``readiness place ID``: where a new student starts, one look at a time.

In a terminal it asks and notes; everywhere else, and with ``--next`` or ``--json``, it says what
to look at next and what all looks so far come to.
"""

from __future__ import annotations

import argparse
from dataclasses import replace

from readiness.advice.as_json import claim_to_dict, placing_to_dict
from readiness.advice.placing_round import PlacingRound, placing_round
from readiness.advice.presumed import claim
from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import add_full_option, day_asked, student_options
from readiness.cli.inputs import Entry, never_the_demo, open_entry, print_json, refuse, respond, unit_typed
from readiness.cli.keys import Keys, Round, Typist, is_terminal
from readiness.cli.note import drop_kept_lesson, pause_at_once
from readiness.cli.output import aside, say, text_width
from readiness.days import iso
from readiness.record import draft_entry as half_done
from readiness.record.noting import NewLesson, note_lesson
from readiness.words.english import WHY_BRIEF
from readiness.words.layout import lay_out
from readiness.words.noting import KEPT, NOTHING_SHOWN
from readiness.words.phrases import Phrases
from readiness.words.placing_round import claim_sections, next_look, room_left_words, round_sections

__all__ = ["Asking", "ask_now"]


@command(
    "place",
    option("--next", action="store_true", help="only the next look and why; asks nothing"),
    option("--claimed", metavar="UNIT", help="the unit somebody says they have reached"),
    option("--by", metavar="INITIALS", default="", help="who noted it"),
    student_options("the day of the placing lesson"),
    add_full_option,
)
def run_place(args: argparse.Namespace) -> Exit:
    """Ask in a terminal, else say where the round stands."""
    asks = is_terminal() and not args.next and not args.json and not args.claimed
    entry = open_entry(args, writes=False)
    entry.refuse_begun(entry.answer())
    today = day_asked(None, entry.studio.today) if asks else 0
    now = placing_round(entry.course, entry.record, entry.on, today=today)
    if args.claimed:
        held = claim(entry.course, entry.record, entry.on, unit_typed(entry.course, args.claimed))
        return respond(
            args,
            lambda: {"student": entry.record.id, "on": iso(entry.on), **claim_to_dict(held)},
            claim_sections((held, now), Phrases(entry.answer(), entry.course, entry.record)),
        )
    if asks and now.next is not None:
        never_the_demo(entry.studio.where, args)
        return ask_now(entry, args.by)
    if args.json:
        print_json({"student": entry.record.id, "on": iso(entry.on), **placing_to_dict(now)})
    elif args.next:
        say(next_look(now, entry.course))
    else:
        _tell(entry, now, full=args.full)
    return Exit.READY


def ask_now(entry: Entry, by: str = "") -> Exit:
    """Ask one look at a time in this terminal, and note the lesson; ``by`` is who notes it."""
    with Keys() as keys:
        entry.check_day()
        asking = Asking(entry, _begun(entry, by), keys)
        try:
            done = asking.go()
        except KeyboardInterrupt:
            keys.say(f"\n{KEPT.format('place', entry.record.id)}")
            raise
    if done is None or replace(done, not_tried=()).is_empty:
        keys.say(KEPT.format("place", entry.record.id) if done is None else NOTHING_SHOWN)
        return Exit.READY
    if refusal := half_done.keep(entry.path, done, entry.record):
        aside(refusal.message)
    refuse(note_lesson(entry.course, entry.record, done, entry.folder, entry.latest, is_placing=True))
    drop_kept_lesson(entry)
    _tell(replace(entry, record=entry.again()), None)
    return Exit.READY


def _begun(entry: Entry, by: str) -> NewLesson:
    """Return the lesson to go on with: what was half entered that day, else an empty one."""
    refuse(half_done.why_unreadable(entry.path))
    kept = half_done.offered(entry.path)
    if kept is None or kept.is_empty:
        return NewLesson(entry.on, by=by)
    if kept.on != entry.on or not {*kept.helps, *kept.not_tried} <= set(entry.course.skill):
        raise CommandError(
            f"a half-entered lesson of {iso(kept.on)} is kept. `readiness note {entry.record.id}` finishes "
            "it, with --drop it is forgotten."
        )
    return half_done.understood(entry.course, kept)


def _tell(entry: Entry, now: PlacingRound | None, *, full: bool = False) -> None:
    now = now or placing_round(entry.course, entry.record, entry.on)
    say(round_sections(now, Phrases(entry.answer(), entry.course, entry.record)), full=full)


class Asking(Round):
    """A round whose next question follows from the answers so far."""

    def __init__(self, entry: Entry, lesson: NewLesson, typist: Typist) -> None:
        """Begin, or go on where a half-entered round stopped."""
        self.entry = entry
        self.room = 0
        disliked = entry.record.disliked(entry.on)
        super().__init__(entry.course, (), lesson, typist, self._answered, text_width(), disliked)
        self.pause = lambda words: pause_at_once(entry, words)
        self._grow()

    def _which(self) -> tuple[str, str]:
        """Return why a look is asked for, and how many may follow: what comes next, nobody knows yet."""
        return "", f"{WHY_BRIEF[self.answers.asked[0].why]}; {room_left_words(self.room)}"

    def _answered(self, lesson: NewLesson) -> None:
        refusal = half_done.keep(self.entry.path, lesson, self.entry.record)
        if refusal is not None:
            self.typist.say(refusal.message)
        self._grow()

    def _grow(self) -> None:
        answers, entry = self.answers, self.entry
        lesson = answers.lesson
        now = placing_round(self.course, entry.record, entry.on, lesson.helps, lesson.not_tried)
        self.room = now.room
        if now.next is not None:
            answers.at = answers.line_of(now.next.skills, now.next.why)
        else:
            answers.lines = [line for line in answers.lines if answers.given(line) is not None]
            answers.at = len(answers.lines)
            self.typist.say(lay_out(next_look(now, self.course), self.width), end="")
