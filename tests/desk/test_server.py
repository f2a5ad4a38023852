"""The real process: opened, asked over a socket, killed, closed."""

from __future__ import annotations

import http.client
import json
import re
import shutil
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from tests.cli.terminal import Terminal
from tests.schemas.checking import check_document

from primecoat.reading.decisions import read_decisions


class Process:
    """A desk in a process of its own."""

    def __init__(self, scene: Path, *options: str) -> None:
        command = [sys.executable, "-m", "primecoat", "desk", str(scene), "--no-open", *options]
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        assert self.process.stdout is not None
        self.said = ""
        for line in self.process.stdout:
            self.said += line
            if line in ("}\n", "Ctrl-C closes it.\n"):
                break
        found = re.search(r"http://\S+/", self.said)
        assert found, (self.said, self.process.stderr and self.process.stderr.read())
        self.address = found[0]
        self.parts = urlsplit(self.address)

    def ask(self, path: str, body: object = None) -> tuple[int, dict[str, Any]]:
        connection = http.client.HTTPConnection("127.0.0.1", self.parts.port or 0, timeout=60)
        headers = {"Content-Type": "application/json", "X-Primecoat": "1"} if body else {}
        method = "POST" if body else "GET"
        text = json.dumps(body) if body else None
        connection.request(method, self.parts.path + path, text, headers)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        return answer.status, json.loads(content)

    def raw(self, text: bytes) -> bytes:
        with socket.create_connection(("127.0.0.1", self.parts.port or 0), timeout=60) as out:
            out.sendall(text)
            got = b""
            while piece := out.recv(65_536):
                got += piece
            return got

    def end(self, sig: signal.Signals) -> tuple[int, str, str]:
        self.process.send_signal(sig)
        out, err = self.process.communicate(timeout=60)
        return self.process.returncode, out, err


@pytest.fixture(scope="module")
def folder(kept_scene: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(kept_scene, tmp_path_factory.mktemp("served") / "tea"))


@pytest.fixture(scope="module")
def process(folder: Path) -> Iterator[Process]:
    """One process for all tests that leave it as it is; the last one closes it."""
    desk = Process(folder / "tea.gltf", "--json")
    yield desk
    if desk.process.poll() is None:
        desk.process.kill()
    desk.process.communicate()


def test_one_document_with_the_address(process: Process):
    document = json.loads(process.said)
    check_document(document)
    assert (document["document"], document["address"]) == ("primecoat.desk/1", process.address)
    assert process.parts.hostname == "127.0.0.1"
    assert process.ask("api/scene")[0] == 200
    assert process.ask("api/none")[0] == 404


def test_it_listens_on_this_machine_only(process: Process):
    """/proc/net/tcp (proc_pid_net(5)): local address 0100007F is 127.0.0.1, state 0A listens."""
    table = Path("/proc/net/tcp")
    if not table.exists():
        pytest.skip("no /proc here")
    port = f"{process.parts.port:04X}"
    rows = [line.split() for line in table.read_text().splitlines()[1:]]
    listening = [row[1] for row in rows if row[3] == "0A" and row[1].endswith(f":{port}")]
    assert listening == [f"0100007F:{port}"]
    table6 = Path("/proc/net/tcp6")
    assert not table6.exists() or f":{port} 0000" not in table6.read_text()


def test_raw_paths_lead_nowhere(process: Process):
    key = process.parts.path.strip("/").encode()
    host = f"127.0.0.1:{process.parts.port}".encode()
    for path in (
        *(b"/" + key + b"/../app.py", b"/" + key + b"/./../../desk/app.py", b"/../" + key + b"/"),
        *(
            b"/" + key + b"//etc/passwd",
            b"/x/../" + key + b"/api/scene",
            b"/" + key + b"/..;/app.py",
        ),
        b"/" + key + b"/api/image/../../../tea.gltf",
    ):
        answer = process.raw(
            b"GET " + path + b" HTTP/1.1\r\nHost: " + host + b"\r\nConnection: close\r\n\r\n"
        )
        assert answer.startswith(b"HTTP/1.1 404"), (path, answer)
        assert b"import" not in answer
        assert b"server:" not in answer.lower()
    two_hosts = b"GET /" + key + b"/ HTTP/1.1\r\nHost: " + host + b"\r\nHost: kiln.example\r\n\r\n"
    assert b" 200 " not in process.raw(two_hosts + b"Connection: close\r\n").partition(b"\r\n")[0]
    absolute = b"GET http://kiln.example/" + key + b"/api/scene HTTP/1.1\r\nHost: kiln.example\r\n"
    answer = process.raw(absolute + b"Connection: close\r\n\r\n")
    assert answer.split(b" ", 2)[1] in (b"403", b"404")


def test_events_are_told_to_every_window_and_streams_end_with_the_server(
    process: Process, folder: Path
):
    scene = folder / "tea.gltf"
    streams = [_Stream(process) for _ in range(2)]
    assert [stream.next() for stream in streams] == [("hello", {"version": 1})] * 2
    _, listed = process.ask("api/images")
    body = {"version": 1, "ids": [listed["rows"][0]["id"]], "reading": "data"}
    assert process.ask("api/decide", body)[0] == 200
    for stream in streams:
        event, facts = stream.next()
        assert (event, facts["version"], facts["stale"]) == ("changed", 2, False)
    scene.write_text(scene.read_text() + " ")
    for stream in streams:
        event, facts = stream.next()
        assert (event, facts["stale"]) == ("changed", True)
        assert "tea.gltf" in facts["words"]
    assert process.end(signal.SIGINT) == (0, "", "")
    assert all(stream.ended() for stream in streams)
    with pytest.raises(ConnectionRefusedError):
        process.ask("api/scene")


def test_a_killed_desk_leaves_the_decisions_and_the_next_one_finds_them(scene: Path):
    process = Process(scene, "--json")
    _, listed = process.ask("api/images")
    row = listed["rows"][0]
    process.ask("api/decide", {"version": 1, "ids": [row["id"]], "reading": "data"})
    assert process.end(signal.SIGKILL)[0] == -signal.SIGKILL
    assert list(read_decisions(scene.parent)) == [row["path"]]
    after = Process(scene)
    try:
        assert after.said.startswith("The desk is open at http://127.0.0.1:")
        assert after.address != process.address
        assert after.ask(f"api/image/{row['id']}")[1]["standing"] == "overruled"
        status, told = after.ask("api/undecide", {"version": 1})
        assert (status, told["undecided"]) == (200, [row["path"]])
    finally:
        assert after.end(signal.SIGINT)[0] == 0


def test_wrong_use_is_said_before_anything_is_opened(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    terminal = Terminal(capsys)
    assert terminal("desk", tmp_path / "none.gltf", "--no-open").code == 2
    assert terminal("desk", scene, "--no-open", "--old", "a.exr").code == 2
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        told = terminal("desk", scene, "--no-open", "--port", str(taken.getsockname()[1]))
    assert (told.code, told.out) == (2, "")
    assert "Cannot listen" in told.err
    assert terminal("desk", scene, "--no-open", "--port", "70000").code == 2


def test_nothing_of_the_server_is_loaded_unless_the_desk_is_opened():
    code = (
        "import sys; import primecoat.cli.main; "
        "print(*(m for m in ('fastapi', 'starlette', 'uvicorn', 'pydantic', 'anyio') "
        "if m in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""


class _Stream:
    """A window that listens."""

    def __init__(self, process: Process) -> None:
        self._connection = http.client.HTTPConnection(
            "127.0.0.1", process.parts.port or 0, timeout=60
        )
        self._connection.request("GET", process.parts.path + "events")
        self._answer = self._connection.getresponse()
        assert self._answer.status == 200
        assert self._answer.headers["content-type"].startswith("text/event-stream")

    def next(self) -> tuple[str, dict[str, Any]]:
        event = ""
        while line := self._answer.readline().decode().rstrip("\n"):
            if line.startswith("event: "):
                event = line.removeprefix("event: ")
            if line.startswith("data: "):
                self._answer.readline()
                return event, json.loads(line.removeprefix("data: "))
        raise AssertionError("the stream ended")

    def ended(self) -> bool:
        try:
            return self._answer.read() == b""
        except (http.client.IncompleteRead, ConnectionError):
            return True
        finally:
            self._connection.close()
