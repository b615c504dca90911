"""A tablet for journeys: a real Chromium that checks each page it opens with axe."""

import os
import re
from dataclasses import dataclass, field
from pathlib import Path

from axe_playwright_python.base import AXE_SCRIPT
from django.conf import settings
from django.test import Client
from playwright.sync_api import CDPSession, Page, expect

SIZES = {"portrait": (800, 1280), "landscape": (1280, 800)}
SLOWER = 4  # times, as a tablet of years ago is
VARIES = re.compile(r"[0-9]+|\b[0-9A-HJKMNP-TV-Z]{4}\b")
CHECKED: set[str] = set()
KEEPS_PICTURES = bool(os.environ.get("PICTURES"))
PICTURES = Path(__file__).parents[2] / "build" / "screenshots"


def violations(page: Page, *rules: str) -> list[dict]:
    """Return what axe finds on a page, by all of its rules or by those that are named.

    What passed stays in the browser: it is a hundred times as much, and takes most of the time.
    """
    options = {"preload": False, "resultTypes": ["violations"]}
    if rules:
        options["runOnly"] = {"type": "rule", "values": list(rules)}
    page.evaluate(AXE_SCRIPT)
    asked = "options => axe.run(document, options).then(found => found.violations)"
    return page.evaluate(asked, options)


@dataclass
class Tablet:
    """A page of 800 x 1280 that somebody works on."""

    page: Page
    address: str
    violations: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    seen: int = 0
    brake: CDPSession | None = None

    def slow_down(self, size: str) -> None:
        """Hold it upright or across from now on, and slow its processor down."""
        width, height = SIZES[size]
        self.page.set_viewport_size({"width": width, "height": height})
        self.brake = self.page.context.new_cdp_session(self.page)
        self.set_speed(SLOWER)

    def set_speed(self, slower: int) -> None:
        """Slow the processor down so many times, where it is slowed down at all."""
        if self.brake:
            self.brake.send("Emulation.setCPUThrottlingRate", {"rate": slower})

    def set_network(self, *, is_on: bool) -> None:
        """Take the network away, or give it back.

        It goes only when the page is there with its scripts: a button that is tapped
        before would be sent by the browser itself, and the page be lost for the error.
        """
        self.page.wait_for_load_state()
        self.page.context.set_offline(not is_on)

    def sign_in(self, person) -> None:
        """Let the person be signed in, without going through the page for it."""
        client = Client()
        client.force_login(person)
        name = settings.SESSION_COOKIE_NAME
        cookie = {"name": name, "value": client.cookies[name].value, "url": self.address}
        self.page.context.add_cookies([cookie])

    def open(self, path: str) -> None:
        """Open an address of the workshop and look at it."""
        self.page.goto(self.address + path)
        self.look(path)

    def tap(self, name: str, role: str = "button") -> None:
        """Tap a button, or a link, by what is written on it, and look at where that leads."""
        self.page.get_by_role(role, name=name, exact=True).first.click()
        expect(self.page.locator("form[data-sent]")).to_have_count(0, timeout=20_000)
        self.page.wait_for_load_state()
        self.look(name)

    def fill(self, name: str, text: str) -> None:
        """Type into the field of a name."""
        self.page.locator(f"main [name={name}]").fill(text)

    def pick(self, name: str, label: str) -> None:
        """Choose what is called so: in a list, or one of a group of large boxes."""
        first = self.page.locator(f"main [name={name}]").first
        if first.evaluate("box => box.tagName") == "SELECT":
            first.select_option(label=label)
        else:
            boxes = self.page.locator(f"main label:has([name={name}])")
            boxes.filter(has_text=label).first.click()

    def look(self, name: str) -> None:
        """Check the page with axe, unless one that says the same was; PICTURES=1 keeps a picture."""
        self.seen += 1
        self.set_speed(1)
        said = VARIES.sub("", self.page.locator("body").inner_text())
        if said not in CHECKED:
            CHECKED.add(said)
            self.violations += [f"{name}: {found['id']}" for found in violations(self.page)]
        if KEEPS_PICTURES:
            self.keep_picture(name)
        self.set_speed(SLOWER)

    def keep_picture(self, name: str) -> None:
        """Keep a picture of the page, numbered as it was seen."""
        PICTURES.mkdir(parents=True, exist_ok=True)
        safe = "".join(letter if letter.isalnum() else "-" for letter in name).strip("-") or "home"
        self.page.screenshot(path=PICTURES / f"{self.seen:02d}-{safe[:40]}.png")

    def text(self) -> str:
        """Return what the page says."""
        return self.page.locator("main").inner_text()
