"""What a learner does on a sheet, in the words of the page."""

import re

NUMBER = re.compile(r"[−-]?\d+(?:\.\d+)?")


def to_number(text: str) -> float:
    return float(NUMBER.search(text.replace("\u00a0", ""))[0].replace("−", "-"))


def start(page, address: str, skill: str, problem: str, mode: str = "guided") -> None:
    page.goto(f"{address}skills/{skill}")
    page.locator(f'form[action="/problems/{problem}/start"]:has(input[value="{mode}"]) button').click()
    page.wait_for_url("**/sheets/*")


def enter(page, step: str, text: str) -> None:
    page.locator(f"#entry-{step}").fill(text)
    with page.expect_navigation(url=f"**checked={step}*"):
        page.locator(f"#ask-{step} button").click()


def verdict(page, step: str) -> str:
    return page.locator(f"#verdict-{step} p").inner_text()


class Brine:
    """The loop current problem, worked by hand from what the page gives."""

    def __init__(self, page) -> None:
        text = page.locator(".part .body p").first.inner_text().replace("\u00a0", " ").replace("−", "-")
        self.signal = to_number(re.search(r"shows ([\d.]+) mA", text)[1])
        low, high = re.search(r"ranged (-?\d+) to (-?\d+) °C", text).groups()
        self.lower, self.upper = float(low), float(high)

    @property
    def without_live_zero(self) -> float:
        return self.signal / 20

    @property
    def fraction(self) -> float:
        return (self.signal - 4) / 16

    def value(self, fraction: float) -> float:
        return self.lower + fraction * (self.upper - self.lower)
