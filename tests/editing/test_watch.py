"""Watching a course that is edited: told after each save, once, and never half-way."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from itertools import count
from pathlib import Path

import pytest

from readiness.days import day_number
from readiness.editing.dry_run import CourseWatcher
from readiness.judging import judge
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio
from readiness.terms import Verdict

ROOT = Path(__file__).parents[2]
LINK = 'stands_on = ["rounded-hand-keys", "finger-numbers-shown"]'
NEW_LINK = 'stands_on = ["rounded-hand-keys", "finger-numbers-shown", "separate-touch"]'


@pytest.fixture
def folder(tmp_path, course_folder):
    return shutil.copytree(course_folder, tmp_path / "course")


@pytest.fixture
def watcher(folder, demo_folder):
    studio = load_studio(find_studio(folder, demo_folder, folder, {}))
    return CourseWatcher(studio, folder, studio.today)


@pytest.fixture
def save(folder):
    """Return a function that saves the graph with something replaced, some time after the last save."""
    seconds = count(2_000_000_000)

    def carry_out(old, new, after="[skill.thumb-on-side-tip]"):
        path = folder / "graph.toml"
        text = path.read_text(encoding="utf-8")
        at = text.index(after)
        path.write_text(text[:at] + text[at:].replace(old, new, 1), encoding="utf-8")
        now = next(seconds)
        os.utime(path, (now, now))

    return carry_out


def test_nothing_is_told_without_a_save(watcher):
    assert [watcher.look() for _ in range(3)] == [None, None, None]


def test_a_save_is_told_once(watcher, save):
    save(LINK, NEW_LINK)
    assert watcher.look() is None  # the editor may not have finished
    trial = watcher.look()
    assert [change.after.student for change in trial.comparison.changed] == ["chikondi"]
    assert [watcher.look() for _ in range(2)] == [None, None]


def test_a_mistake_is_told_and_then_that_it_is_mended(watcher, save):
    save('"rounded-hand-keys"', '"rounded-hand-kezs"')
    watcher.look()
    refused = watcher.look()
    assert refused.course is None
    assert [p.id for p in refused.problems] == ["unknown-skill"]
    save('"rounded-hand-kezs"', '"rounded-hand-keys"')
    watcher.look()
    mended = watcher.look()
    assert mended.problems == ()
    assert not mended.comparison.changed


def test_a_file_that_is_away_for_a_moment_is_waited_for(watcher, save, folder):
    path = folder / "graph.toml"
    text = path.read_text(encoding="utf-8")
    path.unlink()
    assert watcher.look() is None
    path.write_text(text, encoding="utf-8")
    save(LINK, NEW_LINK)
    assert watcher.look() is None
    assert watcher.look().comparison.changed


def test_a_course_that_was_away_longer_is_watched_again_when_it_is_back(watcher, save, folder):
    folder.rename(folder.with_name("x"))
    assert [watcher.look(), watcher.look().course, watcher.look()] == [None] * 3
    folder.with_name("x").rename(folder)
    watcher.look()
    assert not watcher.look().comparison.changed
    save(LINK, NEW_LINK)
    watcher.look()
    assert watcher.look().comparison.changed


def test_what_studio_toml_says_meanwhile_counts_and_a_mistake_in_it_is_told(folder, demo_folder, tmp_path):
    students = shutil.copytree(demo_folder, tmp_path / "students")
    settings = students / "studio.toml"
    text = f'format = 1\nname = "A"\ncourse = "{folder.as_posix()}"\nstudents = "."\n'
    settings.write_text(text, "utf-8")
    where, on = find_studio(None, students, folder, {}), day_number("2025-12-02")
    watcher = CourseWatcher(load_studio(where), folder, on)
    day = 'lesson_dates.all = [2026-02-03]\n[[event]]\nname = "Away"\nfrom = 2025-12-03\nto = 2026-01-31\n'
    settings.write_text(text + day, "utf-8")
    watcher.look()
    found = watcher.look().comparison
    assert (found.changed, found.advised) == ((), ())
    assert watcher.studio.calendar("temwa").planned == (day_number("2026-02-03"),)
    assert [one.name for one in watcher.studio.events] == ["Away"]
    settings.write_text(text.replace("name", "nmae") + day, "utf-8")
    watcher.look()
    assert [one.id for one in watcher.look().problems] == ["unknown-key"]
    settings.write_text(text, "utf-8")
    watcher.look()
    assert watcher.look().problems == ()
    assert watcher.studio.events == ()


def test_what_is_noted_meanwhile_counts_on_both_sides(folder, demo_folder, tmp_path):
    """The lesson that settles both skills is noted while the course is watched, and then a number changes."""
    students = shutil.copytree(demo_folder, tmp_path / "students")
    where, on = find_studio(folder, students, folder, {}), day_number("2025-12-02")
    watcher = CourseWatcher(load_studio(where), folder, on)
    lesson = '\n[[lesson]]\non = 2025-11-27\nalone = ["wrist-lift", "rounded-hand-keys"]\n'
    with (students / "temwa.toml").open("a", encoding="utf-8") as file:
        file.write(lesson)
    pacing = folder / "pacing.toml"
    text = pacing.read_text(encoding="utf-8").replace("motor = 3", "motor = 4", 1)
    pacing.write_text(text, encoding="utf-8")
    watcher.look()
    told = watcher.look().comparison
    one = next(one for one in told.changed if one.after.student == "temwa")
    now = judge(watcher.studio.course, load_studio(where).records["temwa"], on).verdict
    assert one.before.verdict == now == Verdict.READY_TAKING_ALONG
    assert one.after.verdict == Verdict.LOOK_AGAIN


@pytest.fixture
def watching(folder, demo_folder):
    """Return a function that starts a watch, with the signals of its own."""
    words = [sys.executable, "-m", "readiness", "watch", str(folder), "--students", str(demo_folder)]
    environ = {**os.environ, "PYTHONPATH": str(ROOT)}

    def start(**more):
        running = subprocess.Popen(
            words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environ, **more
        )
        assert running.stdout.readline().startswith("Watching ")
        return running

    return start


def deaf():
    """Ignore what a program begun in the background of a script ignores."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGHUP, signal.SIG_IGN)


needs_signals = pytest.mark.skipif(sys.platform == "win32", reason="another way to interrupt")


@needs_signals
def test_ctrl_c_ends_it_quietly(watching):
    with watching() as running:
        time.sleep(0.1)
        running.send_signal(signal.SIGINT)
        _, err = running.communicate(timeout=60)
    assert (running.returncode, err) == (0, "")


@needs_signals
def test_the_end_of_its_input_ends_it_where_signals_are_ignored(watching):
    with watching(stdin=subprocess.PIPE, preexec_fn=deaf) as running:
        running.send_signal(signal.SIGINT)
        running.stdin.write("nothing that counts\n")
        _, err = running.communicate(timeout=60)
    assert (running.returncode, err) == (0, "")


@needs_signals
def test_a_termination_ends_it_where_signals_are_ignored_and_no_input_is_there(watching, folder):
    before = {path: path.read_bytes() for path in folder.iterdir()}
    with watching(stdin=subprocess.DEVNULL, preexec_fn=deaf) as running:
        time.sleep(0.1)
        assert running.poll() is None
        running.terminate()
        _, err = running.communicate(timeout=60)
    assert (running.returncode, err) == (-signal.SIGTERM, "")
    assert {path: path.read_bytes() for path in folder.iterdir()} == before
