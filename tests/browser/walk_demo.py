"""Every page of the demo region that a link leads to, as each of its people sees it: sound, and never refused."""

import re
from collections import Counter
from pathlib import Path

from people import demo_people, sign_in
from server import Server
from walk import Browser, Fault, Walk

# Pages of one kind differ by names and numbers in their address; so many of each kind are photographed and held
# to everything, and so many are opened at all.
LOOKED_AT = 4
OPENED = 12
MOST = 400


def walk(browser: Browser, binary: Path, screens: Path) -> None:
    with Server(binary, command="demo") as server:
        people = demo_people(server)
        roles = {person.role for person in people}
        if not {"contractor", "engineer", "manager"} <= roles:
            raise Fault(f"the demo has only {sorted(roles)}")
        for person in people:
            w = Walk(browser, server.base, f"demo-{person.login}", screens)
            w.step(f"{person.login}, {person.role}, opens every page there is")
            sign_in(w, person)
            opened, papers = every_page(w, closely=person.role in ("manager", "contractor"))
            print(f"    {opened} pages, {papers} papers", flush=True)
            if opened < 5:
                raise w.fault(f"only {opened} pages were found")


def kind(path: str) -> str:
    """The address without what tells one record from another."""
    path = re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}|\d+", "#", path.split("?")[0])
    return re.sub(r"^/sites/(?!new\b)[^/]+", "/sites/*", path)


def every_page(w: Walk, closely: bool) -> tuple:
    queue, known, kinds = ["/"], {"/"}, Counter()
    papers = 0
    while queue:
        path = queue.pop(0)
        kinds[kind(path)] += 1
        if kinds[kind(path)] > OPENED or path.startswith("/static/"):
            continue
        if len(known) > MOST:
            raise w.fault(f"more than {MOST} pages")
        if path.endswith(".pdf"):
            if closely and kinds[kind(path)] <= LOOKED_AT:
                papers += 1
                w.pdf_says(w.fetch(path))
            continue
        w.open(path)
        w.heading()
        if closely and kinds[kind(path)] <= LOOKED_AT:
            w.looks_right()
        for link in w.links():
            if link not in known:
                known.add(link)
                queue.append(link)
    return sum(min(n, OPENED) for n in kinds.values()), papers
