"""Bytes that a reader of files once did not stand, found by ``fuzz_loaders.py`` or on the way to it.

The same checks as there, on good files of every kind and on what was found. One line a finding:
what it was about, and the bytes.
"""

import re
from pathlib import Path

import pytest
from faults.any_bytes import KINDS, SEEDS

GRAPHML = SEEDS()["exchange"][0].decode()


def with_data(key: str, value: str) -> bytes:
    """Return the GraphML with the first value of a key replaced."""
    text, count = re.subn(rf'(<data key="{key}">)[^<]*', rf"\g<1>{value}", GRAPHML, count=1)
    assert count == 1
    return text.encode()


def as_number(key: str, value: str) -> bytes:
    """Return the GraphML with a whole number of a link turned into another number."""
    return with_data(key, value).replace(
        f'attr.name="{key}" attr.type="long"'.encode(), f'attr.name="{key}" attr.type="double"'.encode()
    )


PACING = SEEDS()["pacing"][0]
CASE = SEEDS()["exchange"][1]

FOUND = {
    "lists in lists where units and pacing are kept": ("exchange", with_data("pacing", "[" * 5000)),
    "a list where units are kept": ("exchange", with_data("graph", "[]")),
    "lists in lists in what is optional": ("exchange", with_data("optional_in", "[" * 5000)),
    "no number at all": ("exchange", as_number("number", "NaN")),
    "a number without end": ("exchange", as_number("number", "INF")),
    "the group with the number of a thousand million": ("exchange", with_data("group", "1000000000")),
    "a group before the first": ("exchange", with_data("group", "-5")),
    "a place without end in the JSON": ("exchange", CASE.replace(b'Number": 1,', b'Number": 1e999,', 1)),
    "lines of a text that end as on another system": ("places", b"note = '''\ntwo\r\n\nlines'''\r\n"),
    "a zero before very many digits": ("pacing", PACING.replace(b"limit = 2", b"limit = 0" + b"9" * 4400, 1)),
}


@pytest.mark.parametrize(("kind", "data"), FOUND.values(), ids=FOUND)
def test_what_was_found_is_read_or_refused(kind: str, data: bytes, tmp_path: Path):
    KINDS[kind](data, tmp_path)


@pytest.mark.parametrize("kind", KINDS)
def test_good_files_are_good(kind: str, tmp_path: Path):
    for number, data in enumerate(SEEDS()[kind]):
        (tmp_path / str(number)).mkdir()
        KINDS[kind](data, tmp_path / str(number))
