"""A lesson and a placing lesson beside the piano: keys of help, a clock, undo, and nothing lost.

After every key the round is kept beside the student's file. It becomes a lesson only when the teacher stops
and says so; one key takes it back. Where it cannot be kept, nobody is led away from it.

In a placing lesson what is asked next is what tells most after all that was shown (``advice.placing_round``).
The start is rule R10's, the same the command ``place`` shows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import ClassVar

from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.events import Key
from textual.widget import Widget
from textual.widgets import Digits, Input, Static

from readiness.advice.offer import KEYS, Answers
from readiness.advice.placing_round import PlacingRound
from readiness.record.noting import NewLesson
from readiness.terms import Verdict
from readiness.words import noting as said
from readiness.words import placing_round as looks
from readiness.words.cautions import ended_lines
from readiness.words.english import WHY_BRIEF, before_and_now, noted_line
from readiness.words.grammar import capital, date_words, tidy, unit_words
from readiness.words.layout import Paragraph, lay_out
from readiness.words.lesson import expected_words
from tui.actions import help_keys, with_keys
from tui.outline import fits, large
from tui.screens.base import BaseScreen
from tui.screens.forms import AreYouSure, TextPage, pick_skill
from tui.view import View
from tui.widgets import Fitted, Pointed, SheetList, WordField, noted_words
from tui.writing import LessonDesk, taken_back

__all__ = ["LessonScreen", "NotingScreen", "PlacingScreen"]


class NotingScreen(BaseScreen):
    """One student's lesson being noted. Whoever derives from it asks, and draws."""

    CALLED: ClassVar[str] = "lesson"
    NOTHING_ASKED: ClassVar[str] = "No line is asked now; an arrow leads to one."

    def __init__(self, lesson: LessonDesk) -> None:
        super().__init__(lesson.row.record.id)
        self.lesson = lesson
        self.round = self._round(lesson.kept)
        self.began: datetime | None = None
        self.noted = False
        self.field, self._held = WordField(lesson.typed), {**lesson.typed}

    # what a lesson and a placing lesson do each in their own way

    def _round(self, kept: NewLesson | None) -> Answers:
        """Return what is asked, with what was kept."""
        raise NotImplementedError

    def _sheet(self) -> Iterator[Widget]:
        """Yield what stands between the head and the field."""
        raise NotImplementedError

    def _draw(self) -> None:
        """Show the round as it stands."""
        raise NotImplementedError

    def _finished(self) -> NewLesson:
        """Return the lesson to be noted."""
        raise NotImplementedError

    def _outcome(self) -> str:
        """Return what the answers so far come to."""
        raise NotImplementedError

    # laying out

    def body(self) -> Iterator[Widget]:
        with Horizontal(id="top"):
            yield Static(id="now")
            yield Digits("0:00", id="clock")
        yield from self._sheet()
        yield self.field
        yield Static(Content(help_keys()), id="help-keys")

    @property
    def other_day(self) -> str:
        """The day of the lesson in words, where it is not the one asked about; else empty."""
        day, asked = self.lesson.row.day, (self.row() or self.lesson.row).day
        return "" if day == asked else f" of {date_words(day, asked)}"

    @property
    def who(self) -> str:
        """What the student is called."""
        return tidy((self.row() or self.lesson.row).record.name)

    def on_mount(self) -> None:
        self.began = self.desk.now()
        self.set_interval(1, self._tick)
        if (was := self.lesson.kept) is not None:
            self.notify(f"Kept from {date_words(was.on)}. Go on, or x to start again.")
        elif left := next(iter(self.lesson.typed.values()), ""):
            self.notify(said.typed_words(left))

    def _tick(self) -> None:
        assert self.began is not None
        seconds = int((self.desk.now() - self.began).total_seconds())
        self.query_one(Digits).update(f"{seconds // 60}:{seconds % 60:02}")
        self.field.hold()
        if self.field.typed != self._held and not self.noted:
            self._keep()

    def show(self, _view: View) -> None:
        """Take a new view; what is being entered stays, and what a pause does not allow is asked no more."""
        row = self.row()
        if row is not None and not self.noted:
            self.lesson.take(row.record)
            self.round.rest(row.record, self.lesson.row.day)
        self._draw()

    # answering

    def _can_change(self) -> bool:
        if self.noted:
            self.notify("This lesson is noted. Key u takes it back, Escape goes back.")
        return not self.noted

    def _keep(self) -> None:
        self._held = {**self.field.typed}
        if why_not := self.lesson.keep(self.round.lesson):
            self.notify(capital(why_not), severity="error")

    def action_press(self, key: str) -> None:
        """Do what a key of the round means (see KEYS); what needs words opens a field for them."""
        if self.noted and KEYS[key] == "back":
            self._take_back()
        elif self._can_change():
            skills, was = self.round.asked_skills, self.round.lesson
            does = self.round.press(key)
            if self.round.lesson is not was:
                self._keep()
            self._draw()
            self._opens(skills).get(does, lambda: None)()
            record = self.lesson.row.record
            if not said.touch_words(record, was) and (told := said.touch_words(record, self.round.lesson)):
                self.notify(told, severity="warning", timeout=15)
            if does is None:
                self.notify(said.NOTHING_THERE.get(KEYS[key], self.NOTHING_ASKED))

    def _opens(self, skills: tuple[str, ...]) -> Mapping[int | str | None, Callable[[], None]]:
        words = self.round.words(skills) if skills else self.round.lesson.note
        return {
            "remark": lambda: self.field.open(skills, words),
            "whole": lambda: self.field.open((), self.round.lesson.note),
            "other": lambda: self.ask(pick_skill(self.desk.course), self._add),
            "stop": self._stop,
            "done": self._note_at_once,
        }

    def _add(self, skill: str) -> None:
        self.round.picked = [self.round.line_of((skill,))]
        self._draw()

    def _take_back(self) -> None:
        if why_not := taken_back(self.lesson.path, self.lesson.mark):
            self.notify(capital(why_not), severity="error")
            return
        what = "correction" if self.lesson.instead else "lesson"
        self.noted, self.lesson.instead = False, ()
        self._keep()
        self.browse.look_now()
        gone = f"The {what} does not count any more; your answers are still here."
        self.notify(f"{gone} {said.CROSSED_OUT}", timeout=15)
        self._draw()

    # words

    def beside(self, skills: tuple[str, ...]) -> str:
        """Return what was noted of some skills beside how they were shown: words, a liking, a second try."""
        words = self.round.words(skills)
        left = self.field.typed.get(skills, "")
        told = (f'"{words}"' if words else "", left and said.typed_words(left))
        return " - ".join(filter(None, (*told, capital(looks.beside_words(self.round.lesson, skills)))))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the words; where they speak of pain, say how to pause."""
        event.stop()
        words = " ".join(event.value.split())
        self.round.remark(self.field.subject, words)
        self.field.close()
        self._keep()
        self._draw()
        self._say_how_to_pause(NewLesson(self.round.lesson.on, note=words))

    def _say_how_to_pause(self, lesson: NewLesson) -> None:
        """Say on a page how to pause, where a few words of a lesson speak of pain."""
        if hurt := said.pausing_words(self.lesson.row.record, lesson):
            self.app.push_screen(TextPage(f"{with_keys(hurt, self.NAME)}\n\nEnter or Escape goes on."))

    # noting, leaving

    def action_afresh(self) -> None:
        """Ask whether to forget what was half entered."""
        if self._can_change() and self._has_something:
            words = f"Forget what was entered ({noted_line(self.round.lesson)}) and start again?"
            self.ask(AreYouSure(words, "Start again", is_usual=False), self._begin_afresh)

    def _begin_afresh(self, _yes: int) -> None:
        if why_not := self.lesson.drop():
            self.notify(capital(why_not), severity="error")
        self.lesson = LessonDesk(self.desk, self.lesson.asked)
        self.round = self._round(None)
        self.field.typed = self.lesson.typed
        self.again()

    @property
    def _has_something(self) -> bool:
        """Whether anything is half entered."""
        return not self.noted and not (self.round.lesson.is_empty and not self.field.typed)

    def _has_answers(self) -> bool:
        """Say so where nothing was entered that could be noted."""
        if is_empty := self.round.lesson.says_nothing:
            self.notify("Nothing was entered yet, so there is nothing to note.")
        return not is_empty

    def _stop(self) -> None:
        """Ask whether to note what was seen."""
        if not self._has_answers():
            return
        lesson = self.round.lesson
        again = () if self.NAME == "placing" else self.lesson.again(lesson)
        doubt, head = self.lesson.doubts(lesson), f"Note this {self.CALLED} of {self.who}"
        told = (doubt or self._outcome(), self.lesson.twice(lesson), said.CORRECTS if again else "")
        words = "\n\n".join(filter(None, (
            f"{head}, {date_words(lesson.on)}", noted_line(self._finished()), *told,
        )))  # fmt: skip
        sure = AreYouSure(words, "Note it", is_usual=not doubt, other="Correct" if again else "")
        self.ask(sure, lambda answer: self._note(doubt, again if answer == 2 else ()))

    def _note_at_once(self) -> None:
        """Note what was seen, without a question where nothing has to be asked."""
        if self._has_answers():
            self._note("")

    def _note(self, doubt: str, instead: Sequence[str] = ()) -> None:
        """Note it, of some skills in place of what the day has; what was not asked about is asked first."""
        if self.lesson.doubts(self.round.lesson) != doubt:
            self._stop()
            return
        if why_not := self.lesson.note(self._finished(), is_placing=self.NAME == "placing", instead=instead):
            self.notify(capital(why_not), severity="error", timeout=10)
            return
        self.noted = True
        self.app.clear_notifications()  # what was said of keeping the answers is settled now
        self.browse.look_now()
        self._draw()
        self._say_how_to_pause(self.round.lesson)

    def unkept(self) -> str:
        """Return what would be lost by leaving, and why it cannot be kept; empty where nothing would."""
        self.field.hold()
        return "" if self.noted else self.lesson.unkept(self.round.lesson)

    def action_back(self) -> None:
        """Go back, if what was entered is kept."""
        if lost := self.unkept():
            self.app.push_screen(TextPage(f"{lost}\n\nEnter or Escape closes this."))
            return
        if self._has_something:
            until = " until you leave the program" if self.desk.is_demo else ""
            self.notify(f"Kept{until}. It is offered again when you open the lesson.")
        super().action_back()
        self.desk.left += 1


class LessonScreen(NotingScreen):
    """One student's sheet of the day."""

    NAME = "lesson"
    ABOUT = (
        "Go down the lesson and press one figure for each line: how it was shown. Enter passes a line by as "
        "not asked. A capital letter goes to its line; of several, one figure answers them all. Every key is "
        "kept at once, also when the terminal closes; it is offered again next time. With q the lesson is "
        "noted in the student's file; where its day has another note, it asks whether that one was wrong."
    )
    AUTO_FOCUS: ClassVar[str] = "#sheet"

    def _round(self, kept: NewLesson | None) -> Answers:
        return self.lesson.round(self.lesson.lines, kept)

    def _sheet(self) -> Iterator[Widget]:
        yield SheetList(id="sheet")
        yield Static(id="about-line")

    # drawing

    def _draw(self) -> None:
        unit = unit_words(self.desk.course, (self.row() or self.lesson.row).answer.unit)
        self.tell_title(f"Lesson{self.other_day} · {self.who} · {unit}")
        self._draw_now()
        self.query_one(SheetList).show(self.round, self.lesson.title, self.lesson.last)
        self._draw_line()

    def _draw_now(self) -> None:
        before, day = self.lesson.row.answer, self.lesson.row.day
        now = self.lesson.supposed(self.round.lesson).answer
        pane, notice = self.query_one("#now", Static), self.lesson.notice
        pane.set_class(bool(notice), "-paused")
        pane.set_class(self.noted, "-noted")
        if self.noted:
            noted = said.noted_quietly(self._finished(), before, now, self.desk.course)
            pane.update(Content(" ".join(filter(None, (noted, self.lesson.twice(self.round.lesson))))))
        elif notice:
            pane.update(Content(notice))
        else:
            minutes = f"{self.lesson.sheet.minutes} minutes · {noted_line(self.round.lesson)}"
            ended = ended_lines(self.desk.course, self.lesson.row.record, day)
            told = (*ended, before_and_now(before, now), minutes, self.lesson.noted)
            pane.update(Content("\n".join(filter(None, told))))

    def _draw_line(self) -> None:
        if skills := self.round.asked_skills:
            told = " - ".join(filter(None, (self.beside(skills), self._about(skills))))
        elif self.noted:
            told = "This lesson is noted. Key u takes it back, Escape goes back."
        elif self.round.lines:
            told = "That was the last line. Key q notes it; a letter or an arrow leads back to one."
        else:
            told = "Nothing needs a look today. Key + finds a skill."
        self.query_one("#about-line", Static).update(Content(told))

    def _about(self, skills: tuple[str, ...]) -> str:
        """Return why a line is there, how it was last, and what counts."""
        if len(asked := self.round.asked) > 1:
            names = "; ".join(self.lesson.title(line.skills) for line in asked)
            return f"{names}. One key answers all of these."
        why = (WHY_BRIEF.get(self.round.asked[0].why, ""), self.lesson.last(skills))
        told = f"{capital('; '.join(filter(None, why)))}."
        if len(skills) > 1:
            return f"{self.lesson.title(skills)}. {told} Key s takes it apart."
        skill = self.desk.course.skill[skills[0]]
        counts = expected_words(self.lesson.sheet.instrument) if skill.counts_groups else ""
        shown = f"Shown when: {tidy(skill.shown_when)}"
        return "  ".join(filter(None, [told, shown, counts, self.lesson.remark(skills)]))

    def on_pointed(self, message: Pointed) -> None:
        at = self.query_one(SheetList).highlighted
        if message.key == str(at) and at not in (self.round.at, *self.round.picked):
            self.round.at, self.round.picked = int(message.key), []
            self._draw_line()

    def on_key(self, event: Key) -> None:
        """A capital letter calls its line."""
        if event.is_printable and event.key.isupper():
            event.stop()
            self.action_press(event.key)

    # noting

    def _finished(self) -> NewLesson:
        lesson = self.round.finished()
        left = (one for one in lesson.not_tried if one not in self.lesson.shown)
        return replace(lesson, not_tried=tuple(left))

    def _outcome(self) -> str:
        return before_and_now(self.lesson.row.answer, self.lesson.supposed(self.round.lesson).answer)


class PlacingScreen(NotingScreen):
    """The looks of a placing lesson."""

    NAME = "placing"
    CALLED = "placing lesson"
    NOTHING_ASKED = "Key q notes what was seen, u goes back, Escape keeps it for later."
    ABOUT = (
        "One look at a time: always the one that tells most about where to start, the easier one where two "
        "tell as much. Ask, watch, press one key. Beside it stands where this student would start so far. It "
        "says when it is enough; with q it ends sooner, and what was seen is noted."
    )
    AUTO_FOCUS: ClassVar[str] = "#question-box"

    def _round(self, kept: NewLesson | None) -> Answers:
        return self.lesson.round((), kept)

    def _sheet(self) -> Iterator[Widget]:
        with Horizontal(id="placing-page"):
            with VerticalScroll(id="question-box"):
                yield Static(id="question")
            with VerticalScroll(id="so-far"):
                yield Fitted(id="so-far-text")

    @property
    def stands(self) -> PlacingRound:
        """Where the round stands."""
        return self.lesson.stands(self.round.lesson)

    # drawing

    def _draw(self) -> None:
        other = self.other_day and f" · Lesson{self.other_day}"
        self.tell_title(f"Where does {self.who} start?{other}")
        look, lines = self.stands.next, self.round.lines
        self.round.at = self.round.line_of(look.skills, look.why) if look else len(lines)
        self._draw_now()
        self.query_one("#question", Static).update(Content("\n").join(self._question()))
        self.query_one(Fitted).tell(self._so_far)

    def _draw_now(self) -> None:
        pane = self.query_one("#now", Static)
        pane.set_class(self.stands.stop == Verdict.PAUSED, "-paused")
        pane.update(Content(f"{noted_line(self.round.lesson)}\n{self._keys()}"))

    def _keys(self) -> str:
        """Return where the round stands, and the key that ends it."""
        if self.noted:
            return "Noted. Key u takes it back."
        if self.stands.stop == Verdict.PAUSED:
            return self.lesson.notice
        if self.round.asked:
            return f"{looks.room_words(self.stands)} Key q stops here and notes what was seen."
        return "" if self.round.lesson.is_empty else "Key q notes what was seen."

    def _question(self) -> Iterator[Content]:
        """Yield what is asked for, or why nothing is, and what was asked before."""
        asked, course = self.round.asked_skills, self.desk.course
        if self.noted or not asked:
            ended: Iterable[Paragraph] = () if self.stands.next else looks.next_look(self.stands, course)
            begins = looks.begin_words(self.stands, self.lesson.row.record.id, course, other="")
            last: Iterable[str] = (begins if self.noted or not begins else self.NOTHING_ASKED,)
        else:
            ended, last = looks.next_look(self._told_now(asked), course), self._more(asked)
        first, *rest = (with_keys(one, self.NAME) for one in (*(one.text for one in ended), *last))
        yield Content.styled(first, "bold" if asked and not self.noted else "")
        yield from (Content(line) for one in rest for line in ("", one))
        lesson = self.round.lesson
        given = [(skill, noted_words(help_)) for skill, help_ in lesson.helps.items()]
        given += [(skill, noted_words("left")) for skill in lesson.not_tried]
        if given:
            yield from (Content(""), Content("Asked so far:"))
        for skill, words in reversed(given):
            yield Content(f"{words:<16} {self.lesson.title((skill,))}")

    def _told_now(self, asked: tuple[str, ...]) -> PlacingRound:
        """Return the round with the look that is shown: a glance may have been taken apart."""
        look = self.stands.next
        return replace(self.stands, next=look and replace(look, skills=asked))

    def _more(self, asked: tuple[str, ...]) -> Iterator[str]:
        """Yield what was noted beside it, and which unit it is from."""
        if beside := self.beside(asked):
            yield beside
        if len(asked) > 1:
            yield "Key s takes the glance apart."
        else:
            unit = self.desk.course.unit[self.desk.course.skill[asked[0]].unit]
            yield f"From unit {unit.number}, {tidy(unit.name)}."

    def _so_far(self, width: int) -> Content:
        now = self.stands
        told = looks.so_far_words(now, self.desk.phrases(self.lesson.supposed(self.round.lesson)))
        text = lay_out(told, max(20, width)).rstrip("\n")
        head = f"UNIT {self.desk.course.unit[now.start].number}"
        big = f"{large(head)}\n\n" if text and now.looks and fits(head, width) else ""
        return Content(big + text)

    # noting

    def _finished(self) -> NewLesson:
        return self.round.lesson

    def _outcome(self) -> str:
        return looks.start_words(self.stands, self.desk.course)
