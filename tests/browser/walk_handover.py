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
        enter_site(w)
        grant_site(w)
        enter_instruments(w)


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



def enter_site(w: Walk) -> None:
    w.step("The engineer enters the site; a wrong position is told and nothing typed is lost")
    sign_in(w, ENGINEER)
    w.open("/sites/new")
    w.arrives("New site")
    w.fill("Name", "Tern Ridge")
    w.fill("Code", "tern-ridge")
    w.fill("Latitude", "524.711")
    w.fill("Longitude", "-7,1204")
    w.fill("Time zone", "Europe/Lisbon")
    w.choose("Structure", "guyed mast")
    w.fill("Height of the structure", "45")
    w.fill("Access, hazards, emergency numbers", "Key with the farm at the gate. Bees in the base in summer.")
    w.press("Add this site", status=422)
    w.arrives("New site")
    w.sees("Nothing was saved.")
    if w.value("Longitude, °") != "-7,1204":
        raise w.fault("the longitude was lost")
    w.fill("Latitude", "52.4711")
    w.press("Add this site")
    w.arrives("Tern Ridge")
    w.sees("Enter the frequency assignment.")

    w.step("The engineer copies the assignment from the authority's paper")
    w.follow("Enter the assignment")
    w.looks_right()
    w.fill("Station name", "Ternfold Radio")
    w.fill("Call sign", "TFR")
    w.fill("Frequency", "98.4")
    w.fill("Antenna height", "41")
    w.fill("Transmitter power", "100")
    w.fill("ERP", "100")
    w.choose("Polarization", "vertical")
    w.press(w.only_button("assignment"))
    w.arrives("Tern Ridge")
    w.sees("98.4", "Ternfold Radio")


def grant_site(w: Walk) -> None:
    w.step("The manager grants the contractor the site; before, it is not to be known of")
    sign_in(w, CONTRACTOR)
    w.open("/sites/tern-ridge", status=404)
    sign_in(w, MANAGER)
    w.open("/people")
    w.follow(CONTRACTOR.name)
    w.arrives(CONTRACTOR.name)
    w.tick("Tern Ridge")
    w.press("Save")
    sign_in(w, CONTRACTOR)
    w.open("/sites/tern-ridge")
    w.arrives("Tern Ridge")


def enter_instruments(w: Walk) -> None:
    w.step("The contractor enters the firm's power meter as its papers state it")
    w.open("/instruments")
    w.arrives("Instruments")
    w.follow("Add an instrument")
    w.arrives("New instrument")
    w.fill("What it is", "directional power meter, two elements")
    w.fill("Serial number", "DW-0417")
    w.fill("Certificate number", "C-2291")
    w.fill("Calibrated on", "2026-03-02")
    w.fill("Next due on", "2027-03-01")
    w.fill("Accuracy", "5")
    w.fill("Directivity", "30")
    for number, watts in enumerate(("1", "5", "25", "100", "250"), start=1):
        w.fill(f"Full scale {number}", watts)
    w.press("Add this instrument")
    w.arrives("directional power meter, two elements")
    w.sees("C-2291", "30 dB")
