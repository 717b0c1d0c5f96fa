"""Desks that are forked from a process which has its libraries loaded: each starts in no time.

`Forge().command(arguments, environment, errors)` runs the command line as `midneck ARGUMENTS` does
and gives a `Forged` process. The libraries of the desk take seconds to load and are the same for
every desk; folders, caches, environment, signals and streams are each desk's own.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import traceback
from collections.abc import Mapping, Sequence
from importlib import import_module
from typing import IO, Any

#: What a desk loads before it draws its first page.
MODULES = (
    "midneck.render.commands.main",
    "midneck.render.commands.desk",
    "midneck.render.desk.server",
    "midneck.render.desk.share",
    "midneck.render.export",
)
#: How long an answer of the forge may take on a busy machine, in seconds.
PATIENCE_S = 60.0
LONGEST = 1 << 20


class Forged:
    """A process of a forge, with what tests use of a `subprocess.Popen`."""

    def __init__(self, forge: Forge, pid: int, stdout: IO[str]) -> None:
        self.pid = pid
        self.stdout = stdout
        self.returncode = -1
        self._forge = forge

    def send_signal(self, number: int) -> None:
        """Send it a signal; one that has ended waits for `communicate`."""
        os.kill(self.pid, number)

    def communicate(self, timeout: float) -> tuple[str, None]:
        """Wait for its end; gives what it printed and nobody read."""
        self.returncode = self._forge.ask({"end": self.pid}, timeout=timeout)
        with self.stdout:
            return self.stdout.read(), None


class Forge:
    """A process with the libraries of the desk loaded, from which others are forked."""

    def __init__(self) -> None:
        self._here, there = socket.socketpair()
        environment = {name: value for name, value in os.environ.items() if "PYTEST" not in name}
        command = [sys.executable, __file__, str(there.fileno())]
        self._process = subprocess.Popen(command, env=environment, pass_fds=[there.fileno()])
        there.close()

    def command(
        self, arguments: Sequence[str], environment: Mapping[str, str], errors: IO[str]
    ) -> Forged:
        """The command line at work in a process of its own."""
        reader, writer = os.pipe()
        try:
            wanted = {"arguments": arguments, "environment": environment}
            pid = self.ask(wanted, [writer, errors.fileno()])
        finally:
            os.close(writer)
        return Forged(self, pid, os.fdopen(reader, encoding="utf-8"))

    def ask(
        self, request: Mapping[str, Any], handles: Sequence[int] = (), timeout: float = PATIENCE_S
    ) -> int:
        """The number that the forge answers a request with."""
        self._here.settimeout(timeout)
        socket.send_fds(self._here, [json.dumps(request).encode()], handles)
        answer: int = json.loads(self._here.recv(LONGEST))
        return answer

    def close(self) -> None:
        """End it."""
        self._here.close()
        self._process.wait(timeout=PATIENCE_S)


def serve(asked: socket.socket) -> None:
    """Fork a process, or wait for the end of one, at each request, until nobody asks any more."""
    for name in MODULES:
        import_module(name)
    while True:
        data, handles, _, _ = socket.recv_fds(asked, LONGEST, 2)
        if not data:
            return
        request = json.loads(data)
        if "end" in request:
            _, status = os.waitpid(request["end"], 0)
            answer = os.waitstatus_to_exitcode(status)
        else:
            answer = os.fork()
        if answer == 0 and "end" not in request:
            asked.close()
            become(request, handles)
        for handle in handles:
            os.close(handle)
        asked.send(json.dumps(answer).encode())


def become(request: Mapping[str, Any], handles: Sequence[int]) -> None:
    """Be the command line with its own arguments, environment and streams; never returns."""
    for number, handle in enumerate(handles, 1):
        os.dup2(handle, number)
        os.close(handle)
    sys.stdout, sys.stderr = (os.fdopen(number, "w", 1, "utf-8") for number in (1, 2))
    os.environ.clear()
    os.environ.update(request["environment"])
    sys.argv = ["midneck", *request["arguments"]]
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    status = 1
    try:
        import_module("midneck.render.commands.entry").main()
    except SystemExit as end:
        status = end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


if __name__ == "__main__":
    serve(socket.socket(fileno=int(sys.argv[1])))
