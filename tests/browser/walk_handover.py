"""One installation from an empty folder to its accepted report, by three people."""

from pathlib import Path

from people import CONTRACTOR, ENGINEER, MANAGER, Person, sign_in
from server import Server
from walk import Browser, Walk


def walk(browser: Browser, binary: Path, screens: Path) -> None:
    with Server(binary) as server:
        w = Walk(browser, server.base, "handover", screens)
        set_up(w, server)
        add_people(w)


def set_up(w: Walk, server: Server) -> None:
    w.step("A manager opens the one-time address and makes the first account")
    address = server.printed(r"http://\S+/set-up/\S+")[0]
    w.open(address)
    w.arrives("Set up this record")
    w.fill("Firm", MANAGER.firm)
    w.fill("Name", MANAGER.name)
    w.fill("Sign-in name", MANAGER.login)
    w.fill("Password", "short")
    w.fill("Password again", "short")
    w.press("Make the account and sign in", status=422)
    w.arrives("Set up this record")
    w.sees("Nothing was saved.")
    w.fill("Password", MANAGER.password)
    w.fill("Password again", MANAGER.password)
    w.press("Make the account and sign in")

    w.step("The address is closed from then on")
    w.open(address, status=404)


def add_people(w: Walk) -> None:
    for person in (ENGINEER, CONTRACTOR):
        w.step(f"The manager adds {person.name}, {person.role}")
        w.open("/people")
        w.arrives("People")
        w.follow("Add a person")
        w.arrives("New person")
        fill_in_person(w, person)
        w.press("Add this person")
        w.arrives(person.name)
        w.sees("The account is made.")

    w.step("Each signs in")
    for person in (CONTRACTOR, ENGINEER, MANAGER):
        sign_in(w, person)
        w.open("/me")
        w.arrives(person.name)


def fill_in_person(w: Walk, person: Person) -> None:
    w.fill("Name", person.name)
    w.fill("Firm", person.firm)
    w.fill("Sign-in name", person.login)
    w.choose("Role", person.role)
    w.fill("Password", person.password)

