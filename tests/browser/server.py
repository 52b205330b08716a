"""Runs the release binary on a free port with a data folder of its own, and ends it with SIGTERM."""

import re
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from pathlib import Path


class ServerFault(Exception):
    """The server did not start, or did not end as it should."""


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Server:
    """`with Server(binary) as server:` serves until the block ends.

    The working folder is a temporary one, so that nothing is left in the source; `home` is that folder. The record
    is made in it, unless `data` names the folder of one.
    """

    def __init__(self, binary: Path, command: str = "serve", data: Path | None = None):
        self.binary = Path(binary).resolve()
        self.command = command
        self.data = data
        self.home = Path(tempfile.mkdtemp(prefix="standmast-"))
        self.process = None
        self.base = ""
        self.started_in_s = 0.0

    def __enter__(self) -> "Server":
        listen = f"127.0.0.1:{free_port()}"
        self.base = f"http://{listen}"
        arguments = [self.command, "--listen", listen]
        if self.command == "serve":
            arguments += ["--data", str(self.data or self.home / "data")]
        self._output = open(self.home / "output.txt", "wb")
        begun = time.monotonic()
        self.process = subprocess.Popen(
            [str(self.binary), *arguments],
            cwd=self.home,
            stdin=subprocess.DEVNULL,
            stdout=self._output,
            stderr=subprocess.STDOUT,
        )
        self._wait_for_an_answer(listen)
        self.started_in_s = time.monotonic() - begun
        return self

    def __exit__(self, *exception) -> None:
        try:
            self.stop()
        finally:
            shutil.rmtree(self.home, ignore_errors=True)

    def stop(self) -> None:
        """Ends the server as a service manager would, and holds it to ending well."""
        if self.process is None:
            return
        process, self.process = self.process, None
        process.send_signal(signal.SIGTERM)
        try:
            code = process.wait(timeout=15)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
            raise ServerFault(f"the server did not end within 15 s of SIGTERM:\n{self.output()}")
        finally:
            self._output.close()
        if code != 0:
            raise ServerFault(f"the server ended with {code}:\n{self.output()}")

    def output(self) -> str:
        """All that the server has printed."""
        return (self.home / "output.txt").read_text(errors="replace")

    def printed(self, pattern: str) -> re.Match:
        """Waits until a line that fits `pattern` has been printed."""
        deadline = time.monotonic() + 10
        while time.monotonic() < deadline:
            found = re.search(pattern, self.output())
            if found:
                return found
            time.sleep(0.05)
        raise ServerFault(f"the server printed nothing that fits {pattern!r}:\n{self.output()}")

    def accounts(self) -> list:
        """The accounts that the demo printed: name, role, firm, login, password."""
        self.printed(r"serves the demo")
        found = re.findall(
            r"(?m)^(\S.*?)\s{2,}(contractor|engineer|manager|reader)\s{2,}(\S.*?)\s{2,}(\S+)\s{2,}(\S+)$", self.output()
        )
        if not found:
            raise ServerFault(f"the demo printed no account:\n{self.output()}")
        return found

    def _wait_for_an_answer(self, listen: str) -> None:
        host, port = listen.split(":")
        # The demo region is made before it is served.
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            if self.process.poll() is not None:
                self._output.close()
                raise ServerFault(f"the server ended at its start:\n{self.output()}")
            try:
                with socket.create_connection((host, int(port)), timeout=5) as connection:
                    connection.sendall(f"GET / HTTP/1.1\r\nHost: {listen}\r\nConnection: close\r\n\r\n".encode())
                    if connection.recv(12).startswith(b"HTTP/1.1"):
                        return
            except OSError:
                pass
            time.sleep(0.002)
        self.process.kill()
        self.process.wait()
        raise ServerFault(f"the server did not answer within 60 s:\n{self.output()}")
