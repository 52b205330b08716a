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
        open_job(w)
        describe_chain(w)
        prepare(w)
        tune_on_stand(w)
        build_on_the_mast(w)
        try_cold(w)
        switch_on(w)
        hand_over(w)
        decide(w)
        read_report(w)


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


JOB = "/sites/tern-ridge/jobs/1"


def open_job(w: Walk) -> None:
    w.step("The contractor opens a job")
    w.open("/sites")
    w.arrives("Sites")
    w.follow("Tern Ridge")
    w.arrives("Tern Ridge")
    w.follow("Open a job")
    w.arrives("Open a job")
    w.choose("What the job is for", "new installation")
    w.press("Open the job")
    w.looks_right()


def describe_chain(w: Walk) -> None:
    w.step("The contractor describes the RF chain, part by part")
    w.open("/sites/tern-ridge")
    w.follow("Enter the RF chain of 98.4 MHz")
    w.looks_right()
    with w.within("Transmitter"):
        w.fill("Designation", "FM transmitter, 150 W")
        w.fill("Serial number", "T-118")
        w.fill("Rated power", "150")
    with w.within("Directional meter"):
        w.choose("Is one fitted in the line, or built into the transmitter?", "yes")
        w.fill("Designation", "directional meter, two elements")
        w.fill("Loss, input to output", "0.05")
    with w.within("Jumper"):
        w.choose("Is there a jumper between meter and arrester or feed line?", "yes")
        w.choose("Cable", "RG-213")
        w.fill("Length", "1.5")
        w.fill("SWR by itself", "1.04")
    with w.within("Arrester"):
        w.choose("Is a gas-tube arrester fitted?", "yes")
        w.fill("Designation", "gas-tube arrester, N")
        w.fill("DC spark-over", "350")
        w.fill("Its tolerance", "20")
        w.fill("RF power rating", "200")
        w.fill("Loss", "0.1")
        w.fill("SWR by itself", "1.06")
    with w.within("Feed line"):
        w.choose("Cable", "1/2 in foam corrugated")
        w.fill("Length", "38")
        w.fill("SWR by itself", "1.06")
    with w.within("Connectors"):
        w.choose("Are there joints that are not counted with a cable?", "yes")
        w.fill("Designation", "N, at arrester and antenna")
        w.fill("Joints", "4")
        w.fill("Loss together", "0.1")
        w.fill("SWR together", "1.06")
    with w.within("Antenna"):
        w.choose("Kind", "half-wave dipole")
        w.fill("Designation", "half-wave dipole, adjustable")
        w.fill("Serial number", "D-52")
        w.choose("How is its length set?", "adjustable")
        w.fill("Shortest", "660")
        w.fill("Longest", "790")
        w.fill("Element diameter", "16")
        w.fill("Gain", "0")
        w.choose("What matches it to 50 Ω?", "matching section to 50 Ω")
        w.choose("What does a DC test see at its terminals?", "short (DC-grounded)")
        w.fill("Rated power", "300")
        w.fill("Height of its centre", "41")
        w.fill("From the structure", "1.5")
    w.press("Record revision 1")
    w.arrives("RF chain")
    w.sees("1/2 in foam corrugated", "38")


def answer(w: Walk, question: str, note: str, value: str = "") -> None:
    """Opens a check from the job's page and answers it: with "passed", or with what was measured."""
    w.open(JOB)
    w.follow(question)
    w.choose("Answer", "measured" if value else "passed")
    if value:
        w.fill("Value", value)
    w.fill("Evidence or reason", note)
    w.press("Record the answer")


def release(w: Walk, person: Person, gate: str, stage: str) -> None:
    w.step(f"{person.name}, who did no item of it, releases “{gate}”")
    sign_in(w, person)
    w.open(f"{JOB}/gates/{stage}")
    w.arrives(f"Gate: {gate}")
    w.press(f"Release “{gate}”")
    w.looks_right()


def prepare(w: Walk) -> None:
    w.step("The contractor answers the checks of authority and safety")
    w.open(JOB)
    w.looks_right()
    answer(w, "Is the licence at hand", "Licence TF-2291, compared item by item")
    w.looks_right()
    answer(w, "Is there permission to radiate", "By the manager, 8 March; clear on 98.2 to 98.6")
    answer(w, "Is the stand's supply protected", "30 mA device tested; case bonded")
    answer(w, "Is the exclusion zone around the stand set", "Tape at 5 m; key with the contractor")
    answer(w, "Is the height-work and rescue plan agreed", "Plan 14, lock 3 and 4")

    w.step("The contractor cannot release the own work")
    w.open(f"{JOB}/gates/authority")
    w.arrives("Gate: may start")
    w.cannot_press("Release “may start”")
    release(w, ENGINEER, "may start", "authority")


def tune_on_stand(w: Walk) -> None:
    w.step("The contractor describes the stand")
    sign_in(w, CONTRACTOR)
    w.open(f"{JOB}/stand")
    w.arrives("On the stand")
    w.fill("Centre height", "3")
    w.fill("Nearest metal", "7")
    w.choose("Element", "vertical")
    w.fill("Test jumper", "RG-213, no. 4")
    w.fill("Jumper loss", "0.2")
    w.choose("Supply protected by a residual-current device", "yes")
    w.press("Record the stand")
    w.arrives("On the stand")

    w.step("Trials, each with what the meter shows; a reflected power above the forward is kept out")
    trial(w, 1, "740", "20", "25", status=422)
    w.arrives("On the stand")
    trial(w, 1, "740", "20", "0,84")
    w.arrives("On the stand")
    trial(w, 2, "726", "20", "0.22")
    trial(w, 3, "712", "20", "0.02")
    trial(w, 4, "704", "20", "0.06")
    w.arrives("On the stand")

    w.step("The third trial's setting is kept")
    w.press("Keep the setting of trial 3")
    w.arrives("On the stand")
    answer(w, "Does a DC test at the antenna's connector", "Short, as declared")
    release(w, ENGINEER, "fit to lift", "stand")


def build_on_the_mast(w: Walk) -> None:
    w.step("The antenna goes up; the contractor answers what was seen on the mast")
    sign_in(w, CONTRACTOR)
    answer(w, "Height of the antenna's centre", "Laser, from the plinth", value="41.2")
    answer(w, "Are the feed line's ground kits fitted", "Top, foot and entry; photos 11 to 13")
    answer(w, "Was the open joint at the antenna seen clean", "Photo 14, 2 Nm, sealed and labelled")
    release(w, ENGINEER, "mechanically complete", "mast")


def try_cold(w: Walk) -> None:
    w.step("Cold tests: grounding, bonding, arrester")
    sign_in(w, CONTRACTOR)
    answer(w, "Resistance of the ground electrode system", "Fall of potential, electrode isolated", value="4.6")
    answer(w, "Highest resistance of a bond", "Entry bar to structure", value="18")
    answer(w, "Is an arrester fitted at the entry", "Bond 0.3 m, straight")
    release(w, ENGINEER, "ready for RF", "cold-tests")


def switch_on(w: Walk) -> None:
    w.step("Everybody is down, the lock is off; the installed reading is taken")
    sign_in(w, CONTRACTOR)
    answer(w, "Is everybody off the structure", "Lock 3 removed by its owner at 14:05")
    w.open(f"{JOB}/installed")
    w.arrives("Installed readings")
    w.fill("Forward", "98")
    w.fill("Reflected", "0.3")
    w.choose("Meter", "directional power meter")
    w.fill("Forward range", "100")
    w.fill("Reflected range", "5")
    w.fill("Power set", "100")
    w.fill("Power made", "100")
    w.choose("Folding back", "no")
    w.choose("Weather at the antenna", "dry")
    w.fill("Air", "11")
    w.press("Record the reading")
    w.arrives("Installed readings")
    w.open(JOB)
    w.looks_right()
    release(w, ENGINEER, "ready for service", "rf-on")


def hand_over(w: Walk) -> None:
    w.step("The contractor answers the last checks and declares")
    sign_in(w, CONTRACTOR)
    answer(w, "Are RF warning signs", "Photos 20 and 21")
    answer(w, "Are manuals, spare keys", "To the engineer, list 7")
    w.open(f"{JOB}/declaration")
    w.arrives("Declare the job complete")
    w.fill("Declaration", "Complete as described; nothing is left to the owner.")
    w.press("Declare complete")
    w.looks_right()


def sign(w: Walk, person: Person, password: str) -> None:
    """Whoever decides signs with name and password, whoever is signed in on the device."""
    w.fill("Sign-in name of who signs", person.login)
    w.fill("Password of who signs", password)


def decide(w: Walk) -> None:
    w.step("The draft report says on every page that it is not accepted")
    w.open(JOB)
    draft = w.download("Draft report (PDF)")
    w.pdf_says(draft, "Tern Ridge", "98.4 MHz")
    pages = w.pdf_pages(draft)
    if len(pages) < 2 or not all("not accepted" in page.lower() for page in pages):
        raise w.fault("a page of the draft does not say that it is not accepted")

    w.step("The one who declared cannot accept")
    w.open(f"{JOB}/decision")
    sign(w, CONTRACTOR, CONTRACTOR.password)
    w.press("Accept the job", status=422)
    w.arrives("Accept the job, or return it")

    w.step("The manager returns it with a remark; the contractor declares anew")
    sign_in(w, MANAGER)
    w.open(f"{JOB}/decision")
    w.arrives("Accept the job, or return it")
    sign(w, MANAGER, MANAGER.password)
    w.press("Return with remarks", status=422)
    w.arrives("Accept the job, or return it")
    w.fill("Remarks", "Say which spare keys were handed over.")
    sign(w, MANAGER, MANAGER.password)
    w.press("Return with remarks")
    w.looks_right()
    sign_in(w, CONTRACTOR)
    w.open(JOB)
    w.sees("Say which spare keys were handed over.")
    w.open(f"{JOB}/declaration")
    w.fill("Declaration", "Complete; two spare keys of the hut, tags 7 and 8.")
    w.press("Declare complete")

    w.step("The manager accepts: with a wrong password nothing happens, with the right one the record closes")
    sign_in(w, MANAGER)
    w.open(f"{JOB}/decision")
    sign(w, MANAGER, "not this one at all")
    w.press("Accept the job", status=422)
    w.arrives("Accept the job, or return it")
    sign(w, MANAGER, MANAGER.password)
    w.press("Accept the job")
    w.looks_right()
    w.sees("accepted")

    w.step("The accepted job takes no further facts")
    sign_in(w, CONTRACTOR)
    w.open(f"{JOB}/stand")
    w.arrives("On the stand")
    w.sees_not("Record trial")
    w.open("/sites")
    w.arrives("Sites")


def read_report(w: Walk) -> None:
    w.step("The report is fetched and read")
    w.open(JOB)
    report = w.download("Report (PDF)")
    text = w.pdf_says(
        report,
        "Tern Ridge",
        "98.4 MHz",
        "Ternfold Radio",
        CONTRACTOR.name,
        ENGINEER.name,
        MANAGER.name,
        "DW-0417",
        "4.6 Ω",
        "1.12",
        "Complete; two spare keys of the hut, tags 7 and 8.",
    )
    if "not accepted" in text.lower():
        raise w.fault("the accepted report says that it is not accepted")
    if len(w.pdf_pages(report)) < 2:
        raise w.fault("the report has fewer than two pages")


def trial(w: Walk, number: int, half_mm: str, forward: str, reflected: str, status: int = 200) -> None:
    w.fill("Upper half", half_mm)
    w.fill("Lower half", half_mm)
    w.fill("Forward", forward)
    w.fill("Reflected", reflected)
    w.choose("Meter", "directional power meter")
    w.fill("Forward range", "25")
    w.fill("Reflected range", "1")
    w.press(f"Record trial {number}", status=status)
