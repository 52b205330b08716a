"""Every page of the demo region that a link leads to, as each of its people sees it: sound, and never refused."""

import re
from collections import Counter
from pathlib import Path

from people import demo_people, sign_in
from server import Server
from walk import Browser, Fault, Walk

# Pages of one kind differ by names and numbers in their address. So many of each kind are opened; of the first
# role's, and of the contractor's, so many are photographed and held to everything.
OPENED = 4
LOOKED_AT = {"manager": 3, "contractor": 1}
MOST = 1000


def walk(browser: Browser, binary: Path, screens: Path) -> None:
    with Server(binary, command="demo") as server:
        people = demo_people(server)
        roles = {person.role for person in people}
        if not {"contractor", "engineer", "manager"} <= roles:
            raise Fault(f"the demo has only {sorted(roles)}")
        one_of_each_role = {person.role: person for person in reversed(people)}
        for person in one_of_each_role.values():
            w = Walk(browser, server.base, f"demo-{person.login}", screens)
            w.step(f"{person.login}, {person.role}, opens every page there is")
            sign_in(w, person)
            opened, papers = every_page(w, LOOKED_AT.get(person.role, 0))
            print(f"    {opened} pages, {papers} papers", flush=True)
            if opened < 5:
                raise w.fault(f"only {opened} pages were found")


def kind(path: str) -> str:
    """The address without what tells one record from another."""
    path = re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}|\d+", "#", path.split("?")[0])
    path = re.sub(r"^/sites/(?!new\b)[^/]+", "/sites/*", path)
    return re.sub(r"/(checks|gates)/[^/]+", r"/\1/*", path)


def every_page(w: Walk, looked_at: int) -> tuple:
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
            if kinds[kind(path)] <= looked_at:
                papers += 1
                w.pdf_says(w.fetch(path))
            continue
        w.open(path)
        w.heading()
        if kinds[kind(path)] <= looked_at:
            w.looks_right()
        for link in w.links():
            if link not in known:
                known.add(link)
                queue.append(link)
    return sum(min(n, OPENED) for n in kinds.values()), papers
