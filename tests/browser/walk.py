"""A person in a browser: opens pages, fills fields by their labels, presses buttons by their names.

Every page that is arrived at is held to the same: it has the heading, no accessibility fault by WCAG 2.1 A and
AA at either width, nothing wider than a phone, no console error, no answer above 399 that was not foreseen, and no
request to anybody else. Each is photographed at both widths under `screens`.
"""

import base64
import json
import os
import shutil
import subprocess
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urljoin, urlsplit

from selenium import webdriver
from selenium.common.exceptions import WebDriverException
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By

HERE = Path(__file__).resolve().parent
AXE = (HERE / "axe.min.js").read_text()
AXE_RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]
DESKTOP = (1280, 800)
PHONE = (390, 844)
PATIENCE_S = 10


class Fault(Exception):
    """What a person would call broken."""


def program(name: str) -> str:
    path = shutil.which(name)
    if not path:
        raise Fault(f"{name} is not installed")
    return path


# All of them work on `scope`, the part of the page that a step is about.
FIND_FIELDS = """
const squeeze = text => (text || '').replace(/\\s+/g, ' ').trim();
const named = field => {
  const own = [...(field.labels || [])].map(label => squeeze(label.textContent));
  return own.length ? own : [squeeze(field.getAttribute('aria-label'))];
};
const fields = [...arguments[0].querySelectorAll('input:not([type=hidden]), select, textarea')];
return fields.map(field => {
  const group = field.closest('fieldset');
  const legend = group && group.querySelector('legend');
  const hint = legend && legend.querySelector('.hint');
  const whole = legend ? squeeze(legend.textContent) : '';
  return {
    field, labels: named(field), kind: field.type, open: !field.closest('details:not([open])'),
    group: hint ? squeeze(whole.slice(0, whole.length - squeeze(hint.textContent).length)) : whole,
  };
});
"""
FIND_BUTTONS = """
const squeeze = text => (text || '').replace(/\\s+/g, ' ').trim();
return [...arguments[0].querySelectorAll(arguments[1])].map(button => ({
  button, name: squeeze(button.getAttribute('aria-label') || button.value || button.textContent),
  text: squeeze(button.textContent), seen: button.checkVisibility(), disabled: !!button.disabled, leads: button.getAttribute('href'),
}));
"""
# The part with this heading, else the smallest that has this text.
PART_OF_PAGE = """
const squeeze = text => (text || '').replace(/\\s+/g, ' ').trim(), parts = 'form, fieldset, section, article, li, tr, details, dialog';
const heading = [...document.querySelectorAll('h2, h3, legend, summary')].find(one => squeeze(one.textContent) === arguments[0]);
if (heading && heading.closest(parts)) return heading.closest(parts);
const fitting = [...document.querySelectorAll(parts)]
  .filter(part => squeeze(part.textContent).includes(arguments[0]) && part.querySelector('input, button, select, textarea, a'));
return fitting.sort((a, b) => a.textContent.length - b.textContent.length)[0] || null;
"""
SET_VALUE = """
arguments[0].value = arguments[1];
for (const kind of ['input', 'change']) arguments[0].dispatchEvent(new Event(kind, {bubbles: true}));
"""
LINKS = """
const found = [...document.querySelectorAll('a[href]')].map(link => new URL(link.getAttribute('href'), document.baseURI))
  .filter(url => url.origin === arguments[0]).map(url => url.pathname + url.search);
return [...new Set(found)];
"""
# What sticks out at the right and cannot be scrolled to within a part of its own.
STICKS_OUT = """
const root = document.documentElement, width = root.clientWidth;
if (root.scrollWidth <= width) return [];
const scrolls = part => {
  // What stands in absolute position is clipped by the part it is placed in, not by what is between.
  const around = one => getComputedStyle(one).position === 'absolute' ? one.offsetParent : one.parentElement;
  for (let at = around(part); at && at !== root; at = around(at))
    if (['auto', 'scroll', 'hidden', 'clip'].includes(getComputedStyle(at).overflowX)) return true;
  return false;
};
const out = [...document.querySelectorAll('body *')]
  .filter(part => part.getBoundingClientRect().right > width + 0.5 && !scrolls(part))
  .map(part => part.tagName.toLowerCase() + (part.id ? '#' + part.id : '') + (part.className && part.className.baseVal === undefined ? '.' + part.className : '')
    + ' to ' + Math.round(part.getBoundingClientRect().right) + ' px');
return out.length ? out.slice(0, 5) : ['the page itself, ' + root.scrollWidth + ' px'];
"""
RUN_AXE = """
const done = arguments[arguments.length - 1];
axe.run(document, {runOnly: {type: 'tag', values: arguments[0]}, resultTypes: ['violations']})
  .then(result => done(result.violations.map(v => v.id + ' (' + v.impact + '): ' + v.help + ' at '
    + v.nodes.slice(0, 4).map(node => node.target.join(' ')).join(' | '))),
    error => done(['axe itself failed: ' + error]));
"""


class Browser:
    """Debian's Chromium without a window, shared by all walks of a run."""

    def __init__(self):
        self._folder = Path(tempfile.mkdtemp(prefix="standmast-browser-"))
        self.downloads = self._folder / "downloads"
        self.downloads.mkdir()
        # Selenium looks for drivers and reports its use on the network unless it is told not to.
        os.environ["SE_OFFLINE"] = "true"
        os.environ["SE_AVOID_STATS"] = "true"
        options = Options()
        options.binary_location = program("chromium")
        for argument in [
            "--headless=new",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--no-first-run",
            "--no-default-browser-check",
            f"--user-data-dir={self._folder / 'profile'}",
            "--lang=en-GB",
            # Whatever a page asks of anybody else stays on this machine; that it asked is a fault.
            "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
        ]:
            options.add_argument(argument)
        if os.geteuid() == 0:
            # Chromium's sandbox refuses to run as root.
            options.add_argument("--no-sandbox")
        options.add_experimental_option(
            "prefs",
            {
                "download.default_directory": str(self.downloads),
                "download.prompt_for_download": False,
                "plugins.always_open_pdf_externally": True,
                "profile.default_content_setting_values.automatic_downloads": 1,
                "credentials_enable_service": False,
            },
        )
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        self.driver = webdriver.Chrome(options=options, service=Service(executable_path=program("chromedriver")))
        self.driver.set_page_load_timeout(60)
        self.driver.set_script_timeout(60)

    def close(self) -> None:
        self.driver.quit()
        shutil.rmtree(self._folder, ignore_errors=True)


class Walk:
    """One person's way through the pages of one server."""

    def __init__(self, browser: Browser, base: str, name: str, screens: Path):
        self.browser = browser
        self.driver = browser.driver
        self.base = base
        self.name = name
        self.screens = screens
        self._taken = 0
        self._scope = None
        self._step = "before the first step"
        screens.mkdir(parents=True, exist_ok=True)
        for old in screens.glob(f"{name}-*"):
            old.unlink()
        self._width(DESKTOP)
        self.forget_person()
        self._drain()

    # --- saying what is done -----------------------------------------------------------------------

    def step(self, what: str) -> None:
        """Names what the person does next; a fault quotes it."""
        self._step = what
        print(f"  {what}", flush=True)

    def fault(self, text: str) -> Fault:
        return Fault(f"{self.name}: {self._step}: {text} [{self.driver.current_url}]")

    # --- going somewhere ---------------------------------------------------------------------------

    def open(self, address: str, status: int = 200) -> None:
        """Types an address; `status` is what the server must answer."""
        self.driver.get(urljoin(self.base, address))
        self._settled(status)

    def follow(self, link: str, status: int = 200) -> None:
        """Follows the link with this text."""
        self._press("a[href]", link, status)

    def press(self, button: str, status: int = 200) -> None:
        """Presses the button with this name and waits for the page that comes."""
        self._press("button, input[type=submit]", button, status)

    @contextmanager
    def within(self, text: str):
        """The steps inside are about the part of the page (a form, a section, a row) with this heading, else about the
        smallest that says `text`."""
        part = self.driver.execute_script(PART_OF_PAGE, text)
        if part is None:
            raise self.fault(f"no part of the page says {text!r}")
        outer, self._scope = self._scope, part
        try:
            yield
        finally:
            self._scope = outer

    def unfold(self, summary: str) -> None:
        """Opens a folded note or form."""
        for fold in self._root().find_elements(By.TAG_NAME, "summary"):
            if " ".join(fold.text.split()).startswith(summary):
                if fold.find_element(By.XPATH, "..").get_attribute("open") is None:
                    fold.click()
                return
        raise self.fault(f"nothing to unfold is called {summary!r}")

    def forget_person(self) -> None:
        """Another person sits down: no cookie, no text kept by the pages."""
        self.driver.execute_cdp_cmd("Network.clearBrowserCookies", {})
        self.driver.execute_cdp_cmd("Storage.clearDataForOrigin", {"origin": self.base, "storageTypes": "all"})

    # --- forms -------------------------------------------------------------------------------------

    def fill(self, label: str, text: str) -> None:
        """Types into the field with this label, in place of what stood there."""
        field, kind = self._field(label, lambda f: f["kind"] not in ("radio", "checkbox", "select-one"))
        if kind in ("date", "datetime-local", "time", "month"):
            # What the keys mean in such a field depends on the language of the browser.
            self.driver.execute_script(SET_VALUE, field, text)
            return
        field.clear()
        field.send_keys(text)

    def choose(self, label: str, option: str) -> None:
        """Chooses from a drop-down, or presses one of a group of answers."""
        answers = [f for f in self._fields() if f["kind"] == "radio" and f["group"] == label]
        if answers:
            self._click_label(self._called(option, answers)["field"])
            return
        field, _ = self._field(label, lambda f: f["kind"] == "select-one")
        options = field.find_elements(By.TAG_NAME, "option")
        fitting = [o for o in options if " ".join(o.text.split()) == option]
        # An option may go on with what it means: "engineer: keeps all sites".
        fitting = fitting or [o for o in options if o.text.strip().startswith(option)]
        if len(fitting) != 1:
            raise self.fault(f"{label!r} offers {[o.text for o in options]}, not {option!r}")
        fitting[0].click()

    def tick(self, label: str) -> None:
        """Ticks the box with this label; ticked already, it stays so."""
        field, _ = self._field(label, lambda f: f["kind"] == "checkbox")
        if not field.is_selected():
            self._click_label(field)

    def value(self, label: str) -> str:
        """What stands in the field."""
        return self._field(label, lambda f: True)[0].get_property("value")

    # --- what a page must be -----------------------------------------------------------------------

    def arrives(self, heading: str) -> None:
        """The page has this first heading, and is what every page must be."""
        found = self.heading()
        if found != heading:
            raise self.fault(f"the heading is {found!r}, not {heading!r}")
        self.looks_right()

    def sees(self, *texts: str) -> None:
        """The page shows each of these texts."""
        shown = self._shown()
        for text in texts:
            if text not in shown:
                raise self.fault(f"the page does not say {text!r}; it says: {shown[:1500]}")

    def sees_not(self, *texts: str) -> None:
        """The page shows none of these texts."""
        shown = self._shown()
        for text in texts:
            if text in shown:
                raise self.fault(f"the page says {text!r}")

    def only_button(self, part: str) -> str:
        """The name of the one button whose name has `part` in it."""
        fitting = [b["text"] for b in self._buttons("button") if part in b["text"] and b["seen"]]
        if len(fitting) != 1:
            raise self.fault(f"{len(fitting)} buttons have {part!r} in their name: {fitting}")
        return fitting[0]

    def cannot_press(self, button: str, reason: str = "") -> None:
        """The button is there but cannot be pressed, and the page says why."""
        fitting = [b for b in self._buttons("button") if button in (b["name"], b["text"])]
        if not fitting or not all(b["disabled"] for b in fitting):
            raise self.fault(f"{button!r} is not a button that cannot be pressed")
        self.sees(reason)

    def looks_right(self) -> None:
        """Photographs the page at both widths, and holds it to what this module's head says."""
        self._taken += 1
        faults = []
        for name, size in (("phone", PHONE), ("desktop", DESKTOP)):
            self._width(size)
            self._photograph(self.screens / f"{self.name}-{self._taken:02d}-{name}.png")
            faults += [f"{size[0]} px: sticks out: {part}" for part in self.driver.execute_script(STICKS_OUT)]
            faults += [f"{size[0]} px: {violation}" for violation in self._axe()]
        if faults:
            raise self.fault("\n    ".join(["the page is not right:", *faults]))
        self._settled(None)

    def heading(self) -> str:
        """The page's one first heading."""
        found = [" ".join(h.text.split()) for h in self.driver.find_elements(By.TAG_NAME, "h1")]
        if len(found) != 1:
            raise self.fault(f"the page has {len(found)} first headings: {found}")
        return found[0]

    def links(self) -> list:
        """Where the page leads to on this server: paths, without the part after `#`."""
        return self.driver.execute_script(LINKS, self.base)

    # --- papers ------------------------------------------------------------------------------------

    def download(self, link: str) -> Path:
        """Follows a link to a file, and gives the file, kept under `screens`."""
        return self._fetched(link, self._one(self._buttons("a[href]"), link).click)

    def fetch(self, address: str) -> Path:
        """Types the address of a file, and gives the file."""
        script = "location.href = arguments[0]"
        return self._fetched(address, lambda: self.driver.execute_script(script, urljoin(self.base, address)))

    def _fetched(self, what: str, ask) -> Path:
        for old in self.browser.downloads.iterdir():
            old.unlink()
        ask()
        deadline = time.monotonic() + 30
        while time.monotonic() < deadline:
            whole = [f for f in self.browser.downloads.iterdir() if f.suffix != ".crdownload" and not f.name.startswith(".")]
            if whole:
                kept = self.screens / f"{self.name}-{whole[0].name}"
                shutil.move(whole[0], kept)
                self._settled(None)
                return kept
            time.sleep(0.05)
        raise self.fault(f"{what!r} brought no file")

    def pdf_says(self, file: Path, *texts: str) -> str:
        """The PDF is sound, and a reader finds each of these texts in it; a picture of each page is kept."""
        checked = subprocess.run([program("qpdf"), "--check", str(file)], capture_output=True, text=True)
        if checked.returncode != 0:
            raise self.fault(f"{file.name} is damaged: {checked.stdout}{checked.stderr}")
        read = " ".join(" ".join(self.pdf_pages(file)).split())
        for text in texts:
            if text not in read:
                raise self.fault(f"{file.name} does not say {text!r}; it says: {read[:3000]}")
        picture = [program("pdftoppm"), "-r", "80", "-png", str(file), str(file.with_suffix(""))]
        subprocess.run(picture, check=True, capture_output=True)
        return read

    def pdf_pages(self, file: Path) -> list:
        """What a reader finds on each page, in reading order."""
        command = [program("pdftotext"), "-enc", "UTF-8", str(file), "-"]
        read = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        return read.split("\f")[:-1]

    # --- inside ------------------------------------------------------------------------------------

    def _root(self):
        return self._scope or self.driver.find_element(By.TAG_NAME, "body")

    def _shown(self) -> str:
        return " ".join(self._root().text.split())

    def _fields(self) -> list:
        return self.driver.execute_script(FIND_FIELDS, self._root())

    def _field(self, label: str, fits):
        found = self._called(label, [f for f in self._fields() if fits(f)])
        return found["field"], found["kind"]

    def _called(self, label: str, fields: list) -> dict:
        """The one field that is called so, else the one whose label goes on with its unit or with what it means."""
        for goes_on in ("", ",", " ", ":"):
            fitting = [
                f for f in fields
                if (label in f["labels"] if not goes_on else any(own.startswith(label + goes_on) for own in f["labels"]))
            ]
            fitting = [f for f in fitting if f["open"]] or fitting
            if len(fitting) == 1:
                return fitting[0]
            if fitting:
                break
        known = sorted({own for f in fields for own in f["labels"]})
        raise self.fault(f"{len(fitting)} fields are called {label!r}; there are {known}")

    def _click_label(self, field) -> None:
        # The box itself may be drawn by its label.
        target = self.driver.execute_script("return arguments[0].labels[0] || arguments[0]", field)
        self.driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", target)
        target.click()
        if not field.is_selected():
            raise self.fault("the answer was clicked and is not chosen")

    def _buttons(self, selector: str) -> list:
        return self.driver.execute_script(FIND_BUTTONS, self._root(), selector)

    def _one(self, buttons: list, name: str):
        seen = [b for b in buttons if b["seen"]]
        fitting = [b for b in seen if name in (b["name"], b["text"])]
        # A long name, such as a question, may be called by its beginning.
        fitting = fitting or [b for b in seen if len(name) >= 12 and b["text"].startswith(name)]
        same_place = len({b["leads"] for b in fitting}) == 1 and fitting[0]["leads"]
        if len(fitting) != 1 and not same_place:
            known = [b["text"] for b in buttons if b["seen"]]
            raise self.fault(f"{len(fitting)} things to press are called {name!r}; there are {known}")
        if fitting[0]["disabled"]:
            raise self.fault(f"{name!r} cannot be pressed; the page says: {self._shown()[:1500]}")
        button = fitting[0]["button"]
        self.driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", button)
        return button

    def _press(self, selector: str, name: str, status: int) -> None:
        button = self._one(self._buttons(selector), name)
        self._scope = None
        # A mark on the page that is left: the next one does not bear it.
        self.driver.execute_script("window.left = true")
        button.click()
        deadline = time.monotonic() + PATIENCE_S
        while self._still_there():
            if time.monotonic() > deadline:
                raise self.fault(f"{name!r} was pressed and no page came")
            time.sleep(0.01)
        self._settled(status)

    def _still_there(self) -> bool:
        try:
            return self.driver.execute_script("return window.left === true")
        except WebDriverException:
            # Between two pages there is nothing to ask.
            return True

    def _width(self, size: tuple) -> None:
        self.driver.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": size == PHONE},
        )

    def _photograph(self, file: Path) -> None:
        shot = self.driver.execute_cdp_cmd("Page.captureScreenshot", {"format": "png", "captureBeyondViewport": True})
        file.write_bytes(base64.b64decode(shot["data"]))

    def _axe(self) -> list:
        # Run as the debugger, which the page's security policy does not bind.
        if not self.driver.execute_script("return typeof window.axe === 'object'"):
            self.driver.execute_script(AXE)
        return self.driver.execute_async_script(RUN_AXE, AXE_RULES)

    def _drain(self) -> tuple:
        requests, answers = [], {}
        for entry in self.driver.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            parameters = message.get("params", {})
            if message["method"] == "Network.requestWillBeSent":
                requests.append(parameters["request"]["url"])
            elif message["method"] == "Network.responseReceived":
                answers[parameters["response"]["url"]] = (parameters["type"], parameters["response"]["status"])
        return requests, answers, self.driver.get_log("browser")

    def _settled(self, status) -> None:
        """Reads what the browser noted since the last time. `status`: what the page must have been answered with,
        None when no new page was asked for."""
        deadline = time.monotonic() + PATIENCE_S
        while self.driver.execute_script("return document.readyState") != "complete":
            if time.monotonic() > deadline:
                raise self.fault("the page did not finish loading")
            time.sleep(0.01)
        requests, answers, console = self._drain()
        home = urlsplit(self.base).netloc
        strangers = [url for url in requests if urlsplit(url).scheme not in ("data", "blob") and urlsplit(url).netloc != home]
        if strangers:
            raise self.fault(f"the page asked somebody else: {strangers}")
        pages = [(url, code) for url, (kind, code) in answers.items() if kind == "Document"]
        if status is not None:
            if not pages:
                raise self.fault("no page came")
            url, code = pages[-1]
            if code != status:
                raise self.fault(f"{url} was answered with {code}, not {status}; it says: {self._shown()[:1500]}")
        refused = {url for url, code in pages if status is not None and code == status and code >= 400}
        for entry in console:
            foreseen = entry["source"] == "network" and any(entry["message"].startswith(url) for url in refused)
            if entry["level"] == "SEVERE" and not foreseen:
                raise self.fault(f"the console says: {entry['message']}")
