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
def page(tmp_path_factory):
    """Serve; return the port, and the path that is said once."""
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
        said = re.search(r"http://127[.]0[.]0[.]1:\d+(/[\w-]{20,}/) ", log.read_text())
        yield number, said[1]
        server.terminate()


def ask(port, path, **headers):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    connection.request("GET", path, headers={name.replace("_", "-"): text for name, text in headers.items()})
    answer = connection.getresponse()
    found = answer.status, answer.read().decode(errors="replace"), dict(answer.getheaders())
    connection.close()
    return found


def test_the_page_asks_nothing_of_another_machine(page):
    port, path = page
    status, text, headers = ask(port, path)
    assert status == 200
    assert set(re.findall(r"(?:https?|wss?)://([^/\"' ]+)", text)) == {f"127.0.0.1:{port}"}
    assert "default-src 'self'" in headers["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
    for one in re.findall(r'(?:href|src)="http://[^/]+(/[^"]+)"', text):
        assert ask(port, one)[0] == 200


def test_another_page_another_name_or_another_user_gets_nothing(page):
    port, path = page
    opening = {
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Sec_WebSocket_Version": "13",
        "Sec_WebSocket_Key": "x3JJHMbDL1EzLkh9GBhXDw==",
    }
    ours = f"http://127.0.0.1:{port}"
    assert ask(port, f"{path}ws", Origin="http://elsewhere.example", **opening)[0] == 403
    assert ask(port, f"{path}ws", **opening)[0] == 403
    assert ask(port, path, Host="elsewhere.example")[0] == 403
    for one in ("/", "/ws", "/static/js/textual.js", f"{path[:-2]}/", f"{path[:-2]}/ws"):
        assert ask(port, one, Origin=ours, **opening)[0] == 404, one


def test_only_this_machine_is_listened_to():
    """There is no argument for another address."""
    from readiness.cli.main import main

    assert main(["serve", "--host", "0.0.0.0"]) == 2
