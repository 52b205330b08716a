"""Prints what the release binary costs, beside what the machine can do at best in the same run.

    python3 tests/bench/run.py target/release/standmast [path ..]

Only prints: a machine with something else to do must not fail a check. What it does fail on is an answer
other than 200, or a server that does not start. Paths given are timed too, as a signed-in manager gets them
from the demo region. Needs nothing beside Python's own library and rustc.
"""

import http.client
import os
import re
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlencode

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "browser"))

from server import Server, ServerFault, free_port  # noqa: E402

# Aims of the project for a small machine.
AIM_START = "< 200 ms"
AIM_MEMORY_IDLE = "< 40 MiB"
AIM_MEMORY_REPORT = "< 80 MiB"
AIM_PAGE = "< 5 ms"
AIM_REPORT = "< 150 ms"
AIM_BINARY = "< 25 MB"

STARTS = 7
PAGE_ROUNDS = 200
REPORT_ROUNDS = 20


class Links(HTMLParser):
    """Links and form fields of a page."""

    def __init__(self, text: str):
        super().__init__()
        self.links: list = []
        self.fields: list = []
        self.action = None
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        values = dict(attributes)
        if tag == "a" and values.get("href"):
            self.links.append(values["href"])
        elif tag == "form" and self.action is None:
            self.action = values.get("action")
        elif tag == "input":
            self.fields.append(values)


class Visitor:
    """One kept-alive connection with the cookies of one person."""

    def __init__(self, base: str):
        self.base = base
        self.connection = http.client.HTTPConnection(base.removeprefix("http://"), timeout=60)
        self.connection.connect()
        self.connection.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self.cookie = ""

    def ask(self, path: str, form=None) -> tuple:
        headers = {"Cookie": self.cookie} if self.cookie else {}
        body = None
        if form is not None:
            body = urlencode(form)
            headers |= {
                "Content-Type": "application/x-www-form-urlencoded",
                "Origin": self.base,
                "Sec-Fetch-Site": "same-origin",
            }
        self.connection.request("GET" if form is None else "POST", path, body, headers)
        answer = self.connection.getresponse()
        content = answer.read()
        for name, value in answer.getheaders():
            if name.lower() == "set-cookie":
                self.cookie = value.split(";")[0]
        return answer.status, content

    def page(self, path: str) -> bytes:
        status, content = self.ask(path)
        if status != 200:
            raise SystemExit(f"bench: {path} was answered with {status}")
        return content

    def sign_in(self, login: str, password: str) -> None:
        form = Links(self.page("/sign-in").decode())
        sent = {}
        for field in form.fields:
            kind = field.get("type", "text")
            if field.get("name"):
                sent[field["name"]] = {"password": password, "text": login}.get(kind, field.get("value", ""))
        status, _ = self.ask(form.action or "/sign-in", sent)
        if status != 303:
            raise SystemExit(f"bench: signing in as {login} was answered with {status}")


def timed_ms(visitor: Visitor, path: str, rounds: int) -> list:
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        visitor.page(path)
        times.append((time.perf_counter() - begun) * 1000)
    return sorted(times)


def median_and_p99(times: list) -> str:
    last = times[max(0, int(len(times) * 0.99) - 1)]
    return f"{statistics.median(times):.2f} / {last:.2f} ms"


def show(figure: str, value: str, aim: str = "", beside: str = "") -> None:
    print(f"  {figure:<46} {value:>18}  {aim:<10} {beside}".rstrip(), flush=True)


# --- the machine ------------------------------------------------------------------------------------


def compile_ceilings(folder: Path) -> Path:
    program = folder / "ceilings"
    subprocess.run(["rustc", "-O", "--edition", "2024", "-o", str(program), str(HERE / "ceilings.rs")], check=True)
    return program


def show_ceilings(program: Path, folder: Path) -> None:
    print("the machine at its best")
    printed = subprocess.run([str(program), "figures", str(folder)], check=True, capture_output=True, text=True)
    words = {
        "integer_loop": "one core, dependent integer steps",
        "memory_copy": "memory, copied",
        "disk_sync": "disk, 4 KiB appended and synced",
    }
    for line in printed.stdout.splitlines():
        name, value, unit = line.split(maxsplit=2)
        show(words[name], f"{value} {unit}")
    show("loopback TCP, one byte there and back (median)", f"{bare_tcp_us():.0f} µs")


def bare_tcp_us() -> float:
    """Round trip of one byte between two processes, median in microseconds."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        child = os.fork()
        if child == 0:
            connection, _ = listener.accept()
            connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            while byte := connection.recv(1):
                connection.sendall(byte)
            os._exit(0)
        times = []
        with socket.create_connection(listener.getsockname()) as connection:
            connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            for _ in range(2000):
                begun = time.perf_counter()
                connection.sendall(b"x")
                connection.recv(1)
                times.append(time.perf_counter() - begun)
        os.waitpid(child, 0)
    return statistics.median(times) * 1e6


def bare_http_ms(program: Path, size: int, rounds: int) -> list:
    """The same requests by the same client to a server that only sends bytes."""
    process = subprocess.Popen(
        [str(program), "answer", str(size)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    try:
        visitor = Visitor(f"http://127.0.0.1:{process.stdout.readline().strip()}")
        timed_ms(visitor, "/", 20)
        return timed_ms(visitor, "/", rounds)
    finally:
        process.stdin.close()
        process.wait(timeout=10)


# --- the program ------------------------------------------------------------------------------------


@contextmanager
def started(binary: Path, home: str):
    """A server without waiting for it: process, address, when it was started."""
    listen = f"127.0.0.1:{free_port()}"
    begun = time.perf_counter()
    process = subprocess.Popen(
        [str(binary), "serve", "--data", f"{home}/data", "--listen", listen],
        cwd=home,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield process, listen, begun
    finally:
        process.terminate()
        process.wait(timeout=15)


def until(process: subprocess.Popen, attempt):
    """Repeats what fails only because the server does not listen yet."""
    deadline = time.monotonic() + 30
    while process.poll() is None and time.monotonic() < deadline:
        try:
            return attempt()
        except OSError:
            time.sleep(0.001)
    raise ServerFault("bench: the server did not start")


def start_ms(binary: Path, home: str) -> float:
    with started(binary, home) as (process, listen, begun):

        def ask():
            connection = http.client.HTTPConnection(listen, timeout=5)
            connection.request("GET", "/")
            connection.getresponse().read()

        until(process, ask)
        return (time.perf_counter() - begun) * 1000


def show_start(binary: Path, folder: Path) -> None:
    first, later = [], []
    for _ in range(STARTS):
        with tempfile.TemporaryDirectory(dir=folder) as home:
            first.append(start_ms(binary, home))
            later.append(start_ms(binary, home))
    show("start to first answer, new folder (median)", f"{statistics.median(first):.0f} ms", AIM_START)
    show("start to first answer, known folder (median)", f"{statistics.median(later):.0f} ms", AIM_START)


def rss_mib(process: subprocess.Popen, field: str = "VmRSS") -> float:
    for line in Path(f"/proc/{process.pid}/status").read_text().splitlines():
        if line.startswith(field + ":"):
            return int(line.split()[1]) / 1024
    raise SystemExit(f"bench: the kernel does not tell {field}")


def show_idle_memory(binary: Path, folder: Path) -> None:
    """Before any request: a connection is made and closed, nothing is asked."""
    with tempfile.TemporaryDirectory(dir=folder) as home, started(binary, home) as (process, listen, _):
        host, port = listen.split(":")
        until(process, lambda: socket.create_connection((host, int(port))).close())
        time.sleep(0.3)
        show("memory before the first request", f"{rss_mib(process):.1f} MiB", AIM_MEMORY_IDLE)


def find_job_and_report(visitor: Visitor) -> tuple:
    """The first job whose page leads to a report."""
    seen, queue = {"/sites"}, ["/sites"]
    while queue:
        path = queue.pop(0)
        links = Links(visitor.page(path).decode()).links
        if re.fullmatch(r"/sites/[^/]+/jobs/\d+", path):
            papers = [link for link in links if link.endswith(".pdf")]
            if papers:
                return path, papers[0]
        for link in links:
            if link not in seen and re.fullmatch(r"/sites/[^/]+(/jobs/\d+)?", link):
                seen.add(link)
                queue.append(link)
    raise SystemExit("bench: the demo has no job with a report")


def show_pages(binary: Path, ceilings: Path, more: list) -> None:
    with Server(binary, command="demo") as demo:
        _, _, _, login, password = next(one for one in demo.accounts() if one[1] == "manager")
        # Measured on a server that opens the demo's record, not on the one that has just made it.
        demo.stop()
        with Server(binary, data=demo.home / "standmast-demo") as server:
            visitor = Visitor(server.base)
            visitor.sign_in(login, password)
            job, report = find_job_and_report(visitor)
            size = len(visitor.page(report))
            after_one = rss_mib(server.process)
            for name, path in [("sites page", "/sites"), ("job page", job), *((path, path) for path in more)]:
                show_times(name, AIM_PAGE, visitor, path, PAGE_ROUNDS, ceilings)
            show_times("report, warm", AIM_REPORT, visitor, report, REPORT_ROUNDS, ceilings)
            show(f"memory after one report of {size / 1000:.0f} kB", f"{after_one:.1f} MiB", AIM_MEMORY_REPORT)
            show(f"memory after {REPORT_ROUNDS * 11 // 10 + 2} reports", f"{rss_mib(server.process):.1f} MiB", AIM_MEMORY_REPORT)
            show("memory at the highest", f"{rss_mib(server.process, 'VmHWM'):.1f} MiB")


def show_times(name: str, aim: str, visitor: Visitor, path: str, rounds: int, ceilings: Path) -> None:
    size = len(visitor.page(path))
    timed_ms(visitor, path, rounds // 10)
    times = median_and_p99(timed_ms(visitor, path, rounds))
    bare = median_and_p99(bare_http_ms(ceilings, size, rounds))
    show(f"{name}, {size / 1000:.0f} kB (median / p99)", times, aim, f"sent bare: {bare}")


def main() -> int:
    if len(sys.argv) < 2 or not Path(sys.argv[1]).is_file():
        print("usage: run.py path/to/standmast [path ..]", file=sys.stderr)
        return 2
    binary = Path(sys.argv[1]).resolve()
    # Beside the binary, so that the disk measured is one that is written to, and no memory file system.
    with tempfile.TemporaryDirectory(prefix="bench-", dir=binary.parent) as name:
        folder = Path(name)
        ceilings = compile_ceilings(folder)
        show_ceilings(ceilings, folder)
        print("the program, beside what it is meant to keep to")
        show("binary", f"{binary.stat().st_size / 1e6:.1f} MB", AIM_BINARY)
        show_start(binary, folder)
        show_idle_memory(binary, folder)
        show_pages(binary, ceilings, sys.argv[2:])
    return 0


if __name__ == "__main__":
    sys.exit(main())
