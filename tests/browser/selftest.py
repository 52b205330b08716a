"""Proves on pages made for it that the walk finds what it is there to find, and leaves a sound page alone."""

import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from walk import Browser, Fault, Walk

POLICY = "default-src 'self'; img-src 'self' data: http://records.example.org; style-src 'self'"

SOUND = """<h1>Tern Ridge</h1>
<p>A sound page.</p>
<form method="post" action="/echo">
<p><label for="a">Upper, mm</label> <input id="a" name="a" value="712"></p>
<p><label for="b">Measured</label> <input id="b" name="b" type="datetime-local"></p>
<p><label for="c">Weather</label> <select id="c" name="c"><option>dry</option><option>rain</option></select></p>
<fieldset><legend>Zone kept <span class="hint">both sides</span></legend>
<label><input type="radio" name="d" value="1"> Yes</label> <label><input type="radio" name="d" value="0"> No</label></fieldset>
<p><label><input type="checkbox" name="e" value="yes"> Joint sealed</label></p>
<button>Record trial</button> <button disabled>Release</button> <span>the zone is not set</span>
</form>
<ul><li>First <a href="/sound">see</a></li><li>Second <a href="/refused">see</a></li></ul>
<details><summary>More</summary><p>Folded away.</p></details>
<p><a href="/paper.pdf" download>Report</a></p>"""

PAGES = {
    "/sound": SOUND,
    "/no-alt": '<h1>Tern Ridge</h1><img src="data:image/gif;base64,R0lGODlhAQABAAAAACw=">',
    "/pale": '<h1>Tern Ridge</h1><p class="pale">Barely there.</p>',
    "/pale-phone": '<h1>Tern Ridge</h1><p class="pale-phone">Barely there on a phone.</p>',
    "/unlabelled": '<h1>Tern Ridge</h1><input name="a">',
    "/wide": '<h1>Tern Ridge</h1><p class="wide">Too wide for a phone.</p>',
    "/wide-scrolls": '<h1>Tern Ridge</h1><div class="scroll" tabindex="0"><p class="wide">Scrolls by itself.</p></div>',
    "/wide-unseen": '<h1>Tern Ridge</h1><div class="scroll" tabindex="0"><p class="wide end">a <span class="unseen">unseen</span></p></div>',
    "/inline": '<h1>Tern Ridge</h1><p style="color: navy">Refused by the policy.</p>',
    "/script-error": '<h1>Tern Ridge</h1><script src="/broken.js"></script>',
    "/stranger": '<h1>Tern Ridge</h1><img alt="" src="http://records.example.org/a.png">',
    "/missing-file": '<h1>Tern Ridge</h1><img alt="" src="/nowhere.png">',
    "/refused": "<h1>Not saved</h1>",
    "/two-heads": "<h1>Tern Ridge</h1><h1>Gull Head</h1>",
}
FILES = {
    "/page.css": (
        "text/css",
        ".pale { color: #ddd; background: #fff } .wide { width: 900px } .scroll { overflow-x: auto }"
        " .end { text-align: right } .unseen { position: absolute; width: 1px; height: 1px; overflow: hidden }"
        " @media (max-width: 500px) { .pale-phone { color: #ddd; background: #fff } }",
    ),
    "/broken.js": ("text/javascript", "throw new Error('broken on purpose')"),
}
PDF = b"""%PDF-1.4
1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj
2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj
3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 300 100]/Contents 4 0 R/Resources<</Font<</F 5 0 R>>>>>>endobj
4 0 obj<</Length 46>>stream
BT /F 12 Tf 20 40 Td (Accepted, edition A) Tj ET
endstream endobj
5 0 obj<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>endobj
trailer<</Root 1 0 R/Size 6>>
"""


class Pages(BaseHTTPRequestHandler):
    def do_GET(self):
        if self.path in FILES:
            kind, text = FILES[self.path]
            self._answer(200, kind, text.encode())
        elif self.path == "/paper.pdf":
            self._answer(200, "application/pdf", sound_pdf())
        elif self.path in PAGES:
            self._page(422 if self.path == "/refused" else 200, PAGES[self.path])
        else:
            self._page(404, "<h1>Not found</h1>")

    def do_POST(self):
        body = self.rfile.read(int(self.headers["Content-Length"])).decode()
        self._page(200, f"<h1>Recorded</h1><p>{body.replace('&', ' ')}</p>")

    def _page(self, status: int, body: str):
        text = (
            '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Page</title>'
            '<meta name="viewport" content="width=device-width, initial-scale=1"><link rel="icon" href="data:,">'
            f'<link rel="stylesheet" href="/page.css"></head><body><main>{body}</main></body></html>'
        )
        self._answer(status, "text/html; charset=utf-8", text.encode())

    def _answer(self, status: int, kind: str, body: bytes):
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Content-Security-Policy", POLICY)
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_):
        pass


def sound_pdf() -> bytes:
    """The page above with a cross-reference table, so that a strict reader has nothing to mend."""
    body, _, trailer = PDF.partition(b"trailer")
    stream = body.split(b"stream\n")[1].split(b"\nendstream")[0]
    body = body.replace(b"/Length 46", b"/Length %d" % len(stream))
    table = b"xref\n0 6\n0000000000 65535 f \n"
    for number in range(1, 6):
        table += b"%010d 00000 n \n" % body.index(b"%d 0 obj" % number)
    return body + table + b"trailer" + trailer + b"startxref\n%d\n%%%%EOF\n" % len(body)


@contextmanager
def page_server():
    server = ThreadingHTTPServer(("127.0.0.1", 0), Pages)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()


def catches(walk: Walk, says: str, action) -> None:
    """The action ends in a fault that says `says`."""
    try:
        action()
    except Fault as fault:
        if says not in str(fault):
            raise AssertionError(f"a fault was found, but not the one that says {says!r}: {fault}") from fault
        # What the browser noted about the broken page must not be held against the next one.
        walk._drain()
        return
    raise AssertionError(f"nothing was found where a fault should say {says!r}")


def self_test(browser: Browser, screens: Path) -> None:
    with page_server() as base:
        walk = Walk(browser, base, "selftest", screens)

        walk.step("A sound page passes, is filled in and sent")
        walk.open("/sound")
        walk.arrives("Tern Ridge")
        walk.fill("Upper", "702.5")
        walk.fill("Measured", "2031-03-08T14:05")
        walk.choose("Weather", "rain")
        walk.choose("Zone kept", "No")
        walk.tick("Joint sealed")
        walk.cannot_press("Release", "the zone is not set")
        if walk.value("Upper, mm") != "702.5":
            raise AssertionError("the field does not hold what was typed")
        walk.press("Record trial")
        walk.arrives("Recorded")
        walk.sees("a=702.5 b=2031-03-08T14%3A05 c=rain d=0 e=yes")
        walk.sees_not("712")

        walk.step("A paper is fetched and read")
        walk.open("/sound")
        paper = walk.download("Report")
        walk.pdf_says(paper, "Accepted, edition A")
        walk.pdf_says(walk.fetch("/paper.pdf"), "Accepted, edition A")
        if [page.strip() for page in walk.pdf_pages(paper)] != ["Accepted, edition A"]:
            raise AssertionError(f"the pages say {walk.pdf_pages(paper)}")
        catches(walk, "edition B", lambda: walk.pdf_says(paper, "edition B"))
        paper.write_bytes(paper.read_bytes()[:300])
        catches(walk, "damaged", lambda: walk.pdf_says(paper))

        walk.step("Links are listed")
        walk.open("/sound")
        if walk.links() != ["/sound", "/refused", "/paper.pdf"]:
            raise AssertionError(f"the links are {walk.links()}")

        walk.step("Parts of a page are told apart, folds are opened")
        walk.open("/sound")
        walk.sees_not("Folded away.")
        walk.unfold("More")
        walk.sees("Folded away.")
        catches(walk, "2 things to press", lambda: walk.follow("see"))
        with walk.within("Second"):
            walk.follow("see", status=422)
        walk.arrives("Not saved")
        walk.open("/wide-scrolls")
        walk.arrives("Tern Ridge")

        walk.step("Faults are found")
        for path, says in [
            ("/no-alt", "image-alt"),
            ("/pale", "1280 px: color-contrast"),
            ("/pale-phone", "390 px: color-contrast"),
            ("/unlabelled", "label"),
            ("/wide", "390 px: sticks out: p.wide"),
            ("/wide-unseen", "390 px: sticks out: span.unseen"),
            ("/two-heads", "2 first headings"),
        ]:
            walk.open(path)
            catches(walk, says, lambda: walk.arrives("Tern Ridge"))
        for path, says in [
            ("/inline", "Content Security Policy"),
            ("/script-error", "broken on purpose"),
            ("/stranger", "somebody else"),
            ("/missing-file", "nowhere.png"),
            ("/refused", "answered with 422, not 200"),
            ("/nowhere", "answered with 404, not 200"),
        ]:
            catches(walk, says, lambda: walk.open(path))
        walk.open("/sound")
        catches(walk, "the heading is", lambda: walk.arrives("Gull Head"))
        catches(walk, "does not say", lambda: walk.sees("An unsound page"))
        catches(walk, "says 'A sound page", lambda: walk.sees_not("A sound page"))
        catches(walk, "0 fields are called", lambda: walk.fill("Lower", "1"))
        catches(walk, "0 things to press", lambda: walk.press("Accept"))
        catches(walk, "cannot be pressed", lambda: walk.press("Release"))
        catches(walk, "is not a button", lambda: walk.cannot_press("Record trial"))
        catches(walk, "offers", lambda: walk.choose("Weather", "hail"))
