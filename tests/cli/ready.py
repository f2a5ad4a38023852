"""A ``primecoat`` command that starts at once: a process that has imported all forks for each call.

Shells call the command for every Tab, and most of a call is importing. The child that answers has
the caller's arguments, environment, folder and streams, and runs what the installed command runs.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

CALLER = """#!{python} -IS
import json, os, socket, sys
with socket.socket(socket.AF_UNIX) as line:
    line.connect({address!r})
    said = {{"words": sys.argv, "env": dict(os.environ), "folder": os.getcwd()}}
    socket.send_fds(line, [json.dumps(said).encode() + b"\\n"], [0, 1, 2])
    sys.exit(line.recv(1)[0])
"""


@contextmanager
def ready_command(folder: Path) -> Iterator[Path]:
    """Make the command in a folder; it can be called while the block runs."""
    address = folder / "line"
    command = folder / "primecoat"
    command.write_text(CALLER.format(python=sys.executable, address=str(address)), encoding="utf-8")
    command.chmod(0o755)
    server = subprocess.Popen(
        [sys.executable, __file__, str(address)], stdout=subprocess.PIPE, text=True
    )
    assert server.stdout is not None
    try:
        assert server.stdout.readline() == "ready\n"
        yield command
    finally:
        server.kill()
        server.wait()
        server.stdout.close()


def serve(address: str) -> None:
    """Answer calls one after the other, for ever."""
    from primecoat.cli.main import run

    with socket.socket(socket.AF_UNIX) as door:
        door.bind(address)
        door.listen()
        print("ready", flush=True)
        while True:
            line, _ = door.accept()
            with line:
                said, streams, _, _ = socket.recv_fds(line, 1 << 20, 3)
                while not said.endswith(b"\n"):
                    said += line.recv(1 << 20)
                child = os.fork()
                if child == 0:
                    os._exit(_answered(run, json.loads(said), streams))
                for stream in streams:
                    os.close(stream)
                _, status = os.waitpid(child, 0)
                line.sendall(bytes([os.waitstatus_to_exitcode(status)]))


def _answered(run: Callable[[], int], call: dict[str, Any], streams: list[int]) -> int:
    for stream, of_caller in enumerate(streams):
        os.dup2(of_caller, stream)
    os.environ.clear()
    os.environ.update(call["env"])
    os.chdir(call["folder"])
    sys.argv = call["words"]
    with open(1, "w", closefd=False) as sys.stdout, open(2, "w", closefd=False) as sys.stderr:
        try:
            return run()
        except SystemExit as end:  # how the parser ends after what completes a line
            return end.code if isinstance(end.code, int) else 0


if __name__ == "__main__":
    serve(sys.argv[1])
