"""What an instructor and learners do in a course, in the words of the pages."""

import re
from dataclasses import dataclass
from pathlib import Path

from sheet_walk import to_number

A, B = 3.9083e-3, -5.775e-7  # IEC 60751:2008, 4.2: R(t) = R0 (1 + A t + B t^2) from 0 °C on


@dataclass(frozen=True)
class Person:
    """Somebody at a browser of their own."""

    name: str
    page: object
    words: str = "four tinned ferrules"

    def open_account(self, address: str, code: str, first: bool = False) -> None:
        """Redeem a code; only the first instructor is asked for a name."""
        self.page.goto(f"{address}code")
        self.page.get_by_label("Code", exact=True).fill(code)
        if first:
            self.page.get_by_label("Your name").fill(self.name)
        self.page.get_by_label("New passphrase").fill(self.words)
        self.page.get_by_label("Once more").fill(self.words)
        press(self.page, "Open the account")
        assert self.name in self.page.locator(".account").inner_text()


class Desk:
    """An instructor's browser, and learners with browsers of their own."""

    def __init__(self, address: str, page, open_page) -> None:
        self.address, self.page, self.open_page = address, page, open_page

    def go(self, place: str) -> None:
        self.page.goto(self.address + place)

    def learner(self, name: str, code: str) -> Person:
        learner = Person(name, self.open_page())
        learner.open_account(self.address, code)
        return learner

    def download(self, link: str) -> str:
        with self.page.expect_download() as started:
            self.page.get_by_role("link", name=link).click()
        return Path(started.value.path()).read_bytes().decode("utf-8")


def press(page, label: str, exact: bool = True) -> None:
    """Press a button or follow a link that leads to another page."""
    button = page.locator("main").get_by_role("button", name=label, exact=exact)
    link = page.locator("main").get_by_role("link", name=label, exact=exact)
    with page.expect_navigation():
        button.or_(link).first.click()


def words(page) -> str:
    """What stands on a page."""
    return " ".join(page.locator("main").inner_text().replace("\u00a0", " ").split())


def part(page, title: str):
    """The part of a sheet with a word in its margin."""
    return page.locator("section.part").filter(has=page.locator("h2", has_text=re.compile(f"^{re.escape(title)}$")))


def given(page) -> dict[str, float]:
    """The given numbers of a sheet by their titles."""
    rows = page.locator(".givens tr:has(td.number)")
    titles = [" ".join(text.split()) for text in rows.locator("th").all_inner_texts()]
    values = [to_number(text) for text in rows.locator("td.number").all_inner_texts()]
    return dict(zip(titles, values, strict=True))


def one(values: dict[str, float], words: str) -> float:
    (found,) = [value for title, value in values.items() if title.startswith(words)]
    return found


def loop_entries(page, forgets_live_zero: bool = False) -> dict[str, str]:
    """What belongs in the boxes for a value from a 4-20 mA signal, by hand; or with the 4 mA left in."""
    values = given(page)
    signal, low, high = (one(values, title) for title in ("Measured signal", "Lower range", "Upper range"))
    fraction = signal / 20 if forgets_live_zero else (signal - 4) / 16
    return {"fraction": f"{fraction:.5f}", "value": f"{low + fraction * (high - low):.3f}"}


def platinum_entries(page) -> dict[str, str]:
    """What belongs in the boxes for the resistance of a platinum sensor, by the standard."""
    values = given(page)
    t, r0 = one(values, "Temperature"), one(values, "Resistance at 0")
    linear, curved = A * t, B * t * t
    ohms = r0 * (1 + linear + curved)
    return {"linear_part": f"{linear:.6f}", "curved_part": f"{curved:.7f}", "resistance": f"{ohms:.3f}"}


def fill(page, entries: dict[str, str]) -> None:
    for step, text in entries.items():
        page.locator(f"#entry-{step}").fill(text)


def hand_in(page) -> None:
    press(page, "Hand in ...")
    press(page, "Hand in now")
