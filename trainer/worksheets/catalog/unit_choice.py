"""Worksheets of strand S11: the conditioner that serves, out of five invented data sheets.

One sheet fits; each of the others fails by one number or costs more than it has to. Which ones they are, and under
which letters, is dealt anew in each draw.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import NamedTuple

from trainer.calculations.calibration import specification_limit
from trainer.worksheets.worksheet import Node, Worksheet

LETTERS = ("A", "B", "C", "D", "E")
FITS, DEAR = "fits", "dear"
WIDE, FEW, HOT, SLOW, SUPPLY, JOINED = "wide", "few relays", "hot", "slow", "supply", "not isolated"
OTHER_SUPPLY = {"24 V DC": "230 V AC", "120 V AC": "24 V DC", "230 V AC": "24 V DC"}
ACCURATE = (0.1, 0.1)  # percent of span, percent of reading
MOST_ACCURATE = (0.05, 0.05)
DEGREES = "°C (difference)"


class Offer(NamedTuple):
    """One invented data sheet, and what is wrong with it for this need."""

    role: str
    of_span: float
    of_reading: float
    relays: float
    supply: str
    isolated: str
    settles: float
    rated: float
    price: float

    @property
    def text(self) -> str:
        """The sheet on one line."""
        island = "input isolated from output" if self.isolated == "yes" else "input and output not isolated"
        return (
            f"error {self.of_span:g} % of span + {self.of_reading:g} % of reading; relays: {self.relays:g}; "
            f"{self.supply}; {island}; settles in {self.settles:g} s; to {self.rated:g} °C; price {self.price:g}"
        )


Kept = tuple[tuple[str, float, float, float, str, str, float, float, float], ...]


def _sheets(offers: Kept) -> tuple[Offer, ...]:
    """The sheets again from what an attempt keeps of them."""
    return tuple(Offer(*offer) for offer in offers)


unit_choice = Worksheet(
    "unit-choice",
    "Choosing the conditioner",
    "S11.1",
    sources=(
        "Percent of span and percent of reading of one specification add: common practice of data sheets",
        "The data sheets are invented",
    ),
)
unit_choice.given("lower", "Lower range value", symbol="x_0", unit="°C")
unit_choice.given("upper", "Upper range value", symbol="x_{100}", unit="°C")
unit_choice.given("working", "Working point", symbol="x", unit="°C")
unit_choice.given("room", "Hottest room", symbol=r"t_\mathrm{room}", unit="°C")
unit_choice.given("rise", "Cabinet above the room", symbol=r"\Delta t", unit=DEGREES)
unit_choice.given("alarms", "Alarms wanted", symbol="n", decimals=0)
unit_choice.given("in_plc", "Of these, made by the PLC", symbol=r"n_\mathrm{PLC}", decimals=0)
unit_choice.given("supply", "Supply in the cabinet", kind="choice", options=tuple(OTHER_SUPPLY))
unit_choice.given("settle", "Has to settle within", symbol="T", unit="s")
unit_choice.given("letters", "Units on offer", kind="several")
unit_choice.given("deal", "Deal", hidden=True)


@unit_choice.prepared("Error allowed at the working point", symbol="e_{max}", unit=DEGREES, decimals=2)
def allowed(lower: float, upper: float, working: float, deal: float) -> float:
    """Halfway between an error that serves and one that does not."""
    ends = (_error(*pair, lower, upper, working) for pair in (ACCURATE, _looks_accurate(deal)))
    return round(sum(ends) / 2.0, 2)


@unit_choice.prepared("Error of the unit that is not accurate enough", unit=DEGREES, decimals=2, hidden=True)
def error_of_wide(lower: float, upper: float, working: float, deal: float) -> float:
    return _error(*_looks_accurate(deal), lower, upper, working)


def _rating(room: float, rise: float) -> float:
    """A step of 5 °C below what the cabinet reaches."""
    return 5.0 * ((room + rise - 1.0) // 5.0)


def _time(settle: float) -> float:
    return round(1.5 * settle, 1)


unit_choice.given(
    "rating_of_hot", "Highest temperature of the unit rated too low", unit="°C", hidden=True, decimals=0,
    prepare=Node.of(_rating),
)  # fmt: skip
unit_choice.given(
    "time_of_slow", "Time of the unit that is too slow", unit="s", hidden=True, decimals=1, prepare=Node.of(_time)
)


@unit_choice.prepared("Relays of the unit that has too few", decimals=0, hidden=True)
def relays_of_few(alarms: float, in_plc: float) -> float:
    return alarms - in_plc - 1.0


def _looks_accurate(deal: float) -> tuple[float, float]:
    """The smaller percent of reading, and the greater error."""
    return (0.3, 0.35, 0.4)[int(deal) % 3], 0.05


def _error(of_span: float, of_reading: float, lower: float, upper: float, working: float) -> float:
    return float(specification_limit(working, upper - lower, of_reading=of_reading, of_span=of_span))


@unit_choice.prepared("The five sheets", kind="several", hidden=True)
def offers(deal: float, alarms: float, in_plc: float, supply: str, settle: float, room: float, rise: float) -> Kept:
    rng = random.Random(int(deal))
    wanted = alarms - in_plc
    good = Offer(FITS, *ACCURATE, wanted, supply, "yes", round(0.5 * settle, 1), room + rise + 10.0, 300.0)
    spoiled = {
        FEW: good._replace(relays=wanted - 1.0, of_span=MOST_ACCURATE[0], of_reading=MOST_ACCURATE[1], price=260.0),
        HOT: good._replace(of_span=0.05, of_reading=0.2, rated=_rating(room, rise), price=240.0),
        SLOW: good._replace(of_reading=0.05, settles=_time(settle), price=210.0),
        SUPPLY: good._replace(of_span=0.15, supply=OTHER_SUPPLY[supply], price=250.0),
        JOINED: good._replace(of_reading=0.15, isolated="no", price=180.0),
        DEAR: good._replace(of_span=0.05, relays=wanted + 2.0, price=420.0),
    }
    if wanted == 0:
        del spoiled[FEW]
    of_span, of_reading = _looks_accurate(deal)
    wide = good._replace(role=WIDE, of_span=of_span, of_reading=of_reading, price=230.0)
    roles = sorted(spoiled, key=lambda role: rng.random())[:3]
    five = [good, wide, *(spoiled[role]._replace(role=role) for role in roles)]
    level = 0.5 + 0.1 * int(rng.random() * 12)
    priced = [offer._replace(price=float(round(level * offer.price))) for offer in five]
    return tuple(sorted(priced, key=lambda offer: rng.random()))


def _text_at(place: int) -> Callable[[Kept], str]:
    def text(offers: Kept) -> str:
        return _sheets(offers)[place].text

    return text


for _place, _letter in enumerate(LETTERS):
    unit_choice.given(f"sheet_{_letter.lower()}", f"Unit {_letter}", kind="choice", prepare=Node.of(_text_at(_place)))


@unit_choice.step(
    "Temperature at the unit",
    symbol="t",
    formula="<room> + <rise>",
    rule="The unit lives in the cabinet: the hottest room plus what the cabinet adds.",
    unit="°C",
    tolerance=0.5,
    decimals=0,
)
def cabinet(room: float, rise: float) -> float:
    return room + rise


@cabinet.slip("That is the room: the cabinet is warmer than the room it stands in.")
def room_alone(room: float) -> float:
    return room


@unit_choice.step(
    "Alarm relays wanted on the unit",
    symbol="k",
    formula="<alarms> - <in_plc>",
    rule="An alarm that the PLC makes needs no relay on the unit.",
    tolerance=0.1,
    decimals=0,
)
def relays(alarms: float, in_plc: float) -> float:
    return alarms - in_plc


@relays.slip("Some of the alarms are made by the PLC: they need no relay here.")
def relays_for_all(alarms: float, in_plc: float) -> float | None:
    return alarms if in_plc else None


@unit_choice.step(
    "Error of each unit at the working point",
    kind="row",
    over="letters",
    rule="Percent of span times the span plus percent of reading times the working point, without its sign.",
    unit=DEGREES,
    tolerance=0.01,
    decimals=2,
)
def errors(offers: Kept, lower: float, upper: float, working: float) -> tuple[float, ...]:
    return tuple(_error(offer.of_span, offer.of_reading, lower, upper, working) for offer in _sheets(offers))


@errors.slip("The first percentage is of the span, the second of the reading: only the second goes with the value.")
def all_of_reading(offers: Kept, working: float) -> tuple[float, ...]:
    return tuple(_error(offer.of_span + offer.of_reading, 0.0, 0.0, abs(working), working) for offer in _sheets(offers))


@errors.slip("That takes both percentages of the span; the second is of the reading.")
def all_of_span(offers: Kept, lower: float, upper: float, working: float) -> tuple[float, ...]:
    return tuple(_error(offer.of_span + offer.of_reading, 0.0, lower, upper, working) for offer in _sheets(offers))


@errors.slip("The span is from the lower to the upper range value: the upper one alone is not the span.")
def upper_as_span(offers: Kept, upper: float, lower: float, working: float) -> tuple[float, ...] | None:
    if lower == 0:
        return None
    return tuple(_error(offer.of_span, offer.of_reading, 0.0, upper, working) for offer in _sheets(offers))


@unit_choice.step(
    "Units that serve",
    kind="several",
    options=LETTERS,
    rule="Every line of the need has to be met: error, relays, supply, isolation, time and temperature.",
)
def serving(
    offers: Kept, errors: tuple[float, ...], cabinet: float, relays: float,
    supply: str, settle: float, allowed: float,
) -> tuple[str, ...]:  # fmt: skip
    return tuple(
        letter
        for letter, offer, error in zip(LETTERS, _sheets(offers), errors, strict=True)
        if error <= allowed and offer.relays >= relays and offer.supply == supply and offer.isolated == "yes"
        if offer.settles <= settle and offer.rated >= cabinet
    )  # fmt: skip


@serving.slip("The error serves with all of these; relays, supply, isolation, time and temperature are needs as well.")
def by_error_alone(offers: Kept, errors: tuple[float, ...], allowed: float) -> tuple[str, ...]:
    return tuple(letter for letter, error in zip(LETTERS, errors, strict=True) if error <= allowed)


@serving.slip("All but the error was looked at: one of these has {error_of_wide}, and {allowed} is allowed.")
def error_not_looked_at(offers: Kept) -> tuple[str, ...]:
    return tuple(
        letter for letter, offer in zip(LETTERS, _sheets(offers), strict=True) if offer.role in (FITS, DEAR, WIDE)
    )


def _with(role: str) -> Callable[[Kept], str | None]:
    """The unit of a role, if it was dealt."""

    def letter(offers: Kept) -> str | None:
        return next((one for one, offer in zip(LETTERS, _sheets(offers), strict=True) if offer.role == role), None)

    return letter


# The unit is told from the sheets alone, so that each wrong one is answered with its own number, whatever went before.
unit_to_buy = unit_choice.step(
    "Unit to buy",
    name="unit",
    kind="choice",
    options=LETTERS,
    rule="Of the units that serve, the one that costs least: what nobody needs is not paid for.",
)(_with(FITS))
for _role, _name, _message in (
    (WIDE, "not_accurate_enough", "Its error is {error_of_wide}, the need is {allowed}."),
    (FEW, "most_accurate", "Its error is the smallest, but it has {relays_of_few} relays and {relays} are wanted."),
    (HOT, "too_hot_for_it", "It is rated to {rating_of_hot}, and the cabinet reaches {cabinet}."),
    (SLOW, "too_slow", "It settles in {time_of_slow}, and {settle} are allowed."),
    (SUPPLY, "wrong_supply", "It is made for another supply than the {supply} that the cabinet has."),
    (JOINED, "not_isolated", "Its input and output are joined: two grounds put their difference into the signal."),
    (DEAR, "relays_nobody_needs", "It serves, but {relays} relays are wanted: the others are paid for nothing."),
):
    unit_to_buy.slip(_message, name=_name)(_with(_role))
