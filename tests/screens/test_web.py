"""The screens in a browser: this machine alone, our own page alone, nothing from elsewhere."""

from __future__ import annotations

import http.client
import re
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

pytest.importorskip("textual_serve", reason="the extra web is not installed here")


@pytest.fixture(scope="module")
def port(tmp_path_factory):
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        number = one.getsockname()[1]
    command = [sys.executable, "-m", "readiness", "serve", "--port", str(number)]
    command += ["--students", str(ROOT / "demo_students")]
    log = tmp_path_factory.mktemp("web") / "log"
    with log.open("w") as out, subprocess.Popen(command, cwd=ROOT, stdout=out, stderr=out) as server:
        for _ in range(200):
            with socket.socket() as one:
                if one.connect_ex(("127.0.0.1", number)) == 0:
                    break
            assert server.poll() is None, log.read_text()
            time.sleep(0.1)
        yield number
        server.terminate()


def ask(port, path, **headers):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    connection.request("GET", path, headers={name.replace("_", "-"): text for name, text in headers.items()})
    answer = connection.getresponse()
    found = answer.status, answer.read().decode(errors="replace"), dict(answer.getheaders())
    connection.close()
    return found


def test_the_page_asks_nothing_of_another_machine(port):
    status, page, headers = ask(port, "/")
    assert status == 200
    assert set(re.findall(r"(?:https?|wss?)://([^/\"' ]+)", page)) == {f"127.0.0.1:{port}"}
    assert "default-src 'self'" in headers["Content-Security-Policy"]
    for path in re.findall(r'(?:href|src)="http://[^/]+(/[^"]+)"', page):
        assert ask(port, path)[0] == 200


def test_another_page_or_another_name_gets_nothing(port):
    opening = {
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Sec_WebSocket_Version": "13",
        "Sec_WebSocket_Key": "x3JJHMbDL1EzLkh9GBhXDw==",
    }
    assert ask(port, "/ws", Origin="http://elsewhere.example", **opening)[0] == 403
    assert ask(port, "/ws", **opening)[0] == 403
    assert ask(port, "/", Host="elsewhere.example")[0] == 403


def test_only_this_machine_is_listened_to():
    """There is no argument for another address."""
    from readiness.cli.main import main

    assert main(["serve", "--host", "0.0.0.0"]) == 2
