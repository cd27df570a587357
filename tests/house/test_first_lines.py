"""The first line of a module of commands says which; what is refused below them names no option of theirs."""

from __future__ import annotations

import re
import sys
from inspect import getsource

import pytest

from readiness.cli.commands import COMMANDS
from readiness.record import entries


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.name)
def test_the_first_line_names_each_command_of_the_module(command):
    _, run = command.load()
    first, *_ = sys.modules[run.__module__].__doc__.splitlines()
    assert re.search(rf"``(?:readiness )?{command.name}\b", first)


def test_a_library_says_what_is_lacking_and_the_command_by_which_option():
    """A screen says a key for a command; an option it does not have."""
    assert not re.search(r"--[a-z]", getsource(entries))
