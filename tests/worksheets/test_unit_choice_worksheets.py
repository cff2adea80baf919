"""Worksheets of strand S11: choices decided anew from what is shown, numbers worked by hand."""

import re

import pytest

from trainer.calculations import contacts
from trainer.content.library import check_draws, read_library
from trainer.grading.marking import basis, mark
from trainer.worksheets.catalog import spotting, work_orders
from trainer.worksheets.snapshot import snapshot

LIBRARY = read_library().problems
BANKS = ("choosing_units.toml", "cabinets.toml", "power_up.toml", "copies.toml")
PROBLEMS = [problem for problem in LIBRARY.values() if problem.bank in BANKS]


def of(worksheet):
    return pytest.mark.parametrize(
        "problem", [pytest.param(each, id=each.id) for each in PROBLEMS if each.worksheet.name == worksheet]
    )


def work(problem, **drawn):
    """All givens and steps, and for each slip its value at its own step."""
    sheet = LIBRARY[problem].worksheet
    givens = dict(drawn)
    for given in sheet.givens.values():
        if given.prepare and given.name not in givens:
            givens[given.name] = given.prepare(givens)
    slips = {slip.name: (slip, sheet.solve_slip(slip, givens)) for slip in sheet.slips.values()}
    return sheet.solve(givens), {name: values and values[slip.step] for name, (slip, values) in slips.items()}


def test_every_skill_has_three_problems():
    skills = [problem.skill for problem in PROBLEMS]
    assert all(skills.count(f"S11.{number}") >= 3 for number in range(1, 10))


@pytest.mark.parametrize("problem", PROBLEMS, ids=lambda problem: problem.id)
def test_draws_are_rarely_refused(problem):
    assert list(check_draws(problem, 200)) == []


# S11.1. The need and the five sheets as they are printed, read and judged here by themselves.

SHEET = re.compile(
    r"error (?P<span>[\d.]+) % of span \+ (?P<reading>[\d.]+) % of reading; relays: (?P<relays>\d+); (?P<supply>.+?); "
    r"(?P<island>input .+?); settles in (?P<time>[\d.]+) s; to (?P<rated>\d+) °C; price (?P<price>\d+)"
)


def _fails(values, sheet):
    error = float(sheet["span"]) / 100 * (values["upper"] - values["lower"])
    error += float(sheet["reading"]) / 100 * abs(values["working"])
    return {
        "error": error > values["allowed"],
        "relays": int(sheet["relays"]) < values["alarms"] - values["in_plc"],
        "supply": sheet["supply"] != values["supply"],
        "isolation": sheet["island"] != "input isolated from output",
        "time": float(sheet["time"]) > values["settle"],
        "ambient": float(sheet["rated"]) < values["room"] + values["rise"],
    }


@of("unit-choice")
def test_the_cheapest_sheet_that_meets_every_need_is_the_one(problem):
    letters, lacks = set(), set()
    for seed in range(150):
        values = problem.variant(seed).values
        sheets = {letter: SHEET.fullmatch(values[f"sheet_{letter.lower()}"]) for letter in "ABCDE"}
        fails = {letter: {need for need, fails in _fails(values, sheet).items() if fails}
                 for letter, sheet in sheets.items()}  # fmt: skip
        serving = [letter for letter in "ABCDE" if not fails[letter]]
        assert values["serving"] == tuple(serving)
        assert values["unit"] == min(serving, key=lambda letter: int(sheets[letter]["price"]))
        assert all(len(needs) <= 1 for needs in fails.values())  # a rejection is one number
        letters.add(values["unit"])
        lacks.update(*fails.values())
    assert letters == set("ABCDE")
    assert lacks >= {"error", "supply", "isolation", "time", "ambient"}


# Worked by hand: 0.1 % of 80 °C + 0.1 % of 12 °C = 0.092; 0.35 % of 80 + 0.05 % of 12 = 0.286; halfway 0.19.
def test_percent_of_span_and_of_reading_add():
    need = {"lower": -20.0, "upper": 60.0, "working": 12.0, "room": 33.0, "rise": 12.0, "alarms": 2.0, "in_plc": 0.0}
    more = {"supply": "24 V DC", "settle": 2.0, "letters": tuple("ABCDE"), "deal": 1.0}
    values, slips = work("cheese-cave-unit", **need, **more)
    roles = [offer[0] for offer in values["offers"]]
    assert values["errors"][roles.index("fits")] == pytest.approx(0.092)
    assert values["errors"][roles.index("wide")] == pytest.approx(0.286)
    assert values["allowed"] == 0.19
    assert slips["all_of_span"][roles.index("wide")] == pytest.approx(0.32)
    assert slips["all_of_reading"][roles.index("wide")] == pytest.approx(0.048)
    assert (values["cabinet"], values["relays"], slips["room_alone"]) == (45.0, 2.0, 33.0)


@of("unit-choice")
def test_a_wrong_unit_is_answered_with_its_number(problem):
    for seed in range(40):
        kept = snapshot(problem.variant(seed))
        wide = next(slip for slip in kept.slips if slip.name == "not_accurate_enough")
        said = mark(wide.values["unit"], basis(kept, "unit")).message
        numbers = [float(number) for number in re.findall(r"[\d.]*\d", said)]
        assert len(numbers) == 2
        assert numbers[0] > numbers[1] == kept.given_values["allowed"]


# S11.2. One source in a loop, no more and no less: common practice.
@pytest.mark.parametrize(
    ("output", "input", "extra", "sources", "outcome"),
    [
        ("active, sourcing", "without supply", "nothing", 1, "the signal"),
        ("active, sourcing", "with supply for the loop", "nothing", 2, "two or more sources against each other"),
        ("passive", "without supply", "nothing", 0, "0 mA"),
        ("passive", "with supply for the loop", "an indicator without supply", 1, "the signal"),
        ("loop-powered transmitter", "without supply", "a 24 V supply", 1, "the signal"),
        ("loop-powered transmitter", "with supply for the loop", "a 24 V supply", 2,
         "two or more sources against each other"),
    ],
)  # fmt: skip
def test_pairing_of_output_and_input(output, input, extra, sources, outcome):
    values, slips = work("dye-works-pairing", output=output, input=input, extra=extra)
    assert (values["sources"], values["outcome"]) == (sources, outcome)
    assert (values["remedy"] == "connect it as it is") == (sources == 1)
    assert slips["any_two_fit"] == (None if sources == 1 else "the signal")


# By hand: 0.020 × 600 = 12 V; 250 + 450 + 24 = 724 Ω; 0.019 × 724 = 13.756 V; 12/724 = 16.575 mA; (12 - 10)/724 = 2.76.
def test_active_output_held_back_by_its_load():
    values, slips = work("sugar-works-active-output", rated=600.0, burden=250.0, wire=12.0, second=450.0, asked=19.0)
    assert values["reach"] == pytest.approx(12.0)
    assert values["load"] == 724.0
    assert values["needed"] == pytest.approx(13.756)
    assert values["current"] == pytest.approx(16.575, abs=0.001)
    assert values["verdict"].startswith("no")
    assert slips["one_wire"] == 712.0
    assert slips["second_forgotten"] == 274.0
    assert slips["compliance_forgotten"] == 19.0
    assert slips["lift_off_taken"] == pytest.approx(2.762, abs=0.001)


# S11.3. 0.2 V into 1 to 5 V is 5 % of span, 40 °C of 800 (worked by hand); 4 % of the top, 0.83 % of the supply.
def test_two_earths_put_their_difference_into_the_signal():
    earths = {"earthed_field": "yes", "earthed_input": "yes", "isolated_supply": "yes", "difference": 0.2}
    ranged = {"lower": 100.0, "upper": 900.0, "signal_low": 1.0, "signal_high": 5.0, "reading": 420.0}
    values, slips = work("rolling-mill-earths", **earths, **ranged, isolated="no")
    assert (values["grounds"], values["percent"], values["error"]) == (2, pytest.approx(5.0), pytest.approx(40.0))
    assert slips["of_top"] == pytest.approx(4.0)
    assert slips["of_reading"] == pytest.approx(21.0)
    assert slips["of_upper"] == pytest.approx(45.0)
    assert slips["supply_as_island"] == 1
    values, slips = work("rolling-mill-earths", **earths, **ranged, isolated="yes")
    assert (values["grounds"], values["error"]) == (1, 0.0)
    assert slips["island_overlooked"] == 2


# By hand: 16 mA × 5 Ω = 0.08 V; 16 mA × 250 Ω = 4 V; 2 % of 100 °C is 2 °C.
def test_shared_return():
    values, slips = work(
        "paper-mill-shared-return", other=16.0, own=6.0, common=5.0, burden=250.0, lower=40.0, upper=140.0
    )
    assert (values["volts"], values["percent"]) == (pytest.approx(0.08), pytest.approx(2.0))
    assert values["error"] == pytest.approx(2.0)
    assert slips["own_current"] == pytest.approx(0.03)
    assert slips["twenty_as_span"] == pytest.approx(1.6)


# S11.4. By hand: 8 × 60 + 10 × 20 + 4 × 22 = 768 mA; × 1.3 = 0.9984 A.
def test_supply_budget():
    values, slips = work("brewhouse-supply", units=8.0, each=60.0, relays=10.0, coil=20.0, loops=4.0, reserve=30.0)
    assert (values["sum"], values["needed"], values["supply"]) == (768.0, pytest.approx(0.9984), "1.3 A")
    assert slips["coils_forgotten"] == 568.0
    assert slips["reserve_taken_off"] == pytest.approx(0.5376)
    assert (slips["one_too_small"], slips["one_too_large"]) == ("0.6 A", "2.5 A")


# By hand: 25 (1/0.84 - 1) = 4.762 W; + 20 W; 40 °C for 100 W: 9.905 °C on 36 °C.
def test_heat_in_a_cabinet():
    values, slips = work(
        "glass-house-cabinet",
        units=10.0, power=2.0, given_off=25.0, efficiency=84.0, at_100=40.0, room=36.0, rating=45.0,
    )  # fmt: skip
    assert values["loss"] == pytest.approx(4.762, abs=0.001)
    assert values["inside"] == pytest.approx(45.905, abs=0.001)
    assert values["verdict"].startswith("no")
    assert slips["room_compared"] == "yes"
    assert slips["efficiency_as_loss"] == pytest.approx(21.0)


@of("spot-mistakes")
def test_mistakes_are_the_wrong_halves_of_the_bank(problem):
    answers = set()
    for seed in range(120):
        values = problem.variant(seed).values
        wrong = {line[2]: line[0] for line in values["lines"]}
        found = {letter: wrong[values[letter]] for letter in spotting.LETTERS if values[letter] in wrong}
        assert set(values["wrong"]) == set(found)
        assert 2 <= len(found) <= 4
        assert [letter for letter, rank in found.items() if rank == "grave"] == [values["gravest"]]
        answers.add(values["wrong"])
    assert len(answers) > 25


# S11.5. By hand: 100 + 10 × 25 = 350 against 200, 100 + 10 × 15 = 250 against 220, 100 + 10 × 8 = 180 against 260.
def test_shortest_route_that_keeps_the_separation():
    values, slips = work(
        "saw-mill-route",
        cable="thermocouple cable", base=100.0, per_meter=10.0, routes=tuple("ABCD"),
        alongside=(25.0, 15.0, 8.0, 0.0), apart=(200.0, 220.0, 260.0, 800.0), lengths=(36.0, 44.0, 58.0, 82.0),
    )  # fmt: skip
    assert values["needed"] == (350.0, 250.0, 180.0, 100.0)
    assert values["route"] == "C"
    assert slips["base_forgotten"] == (250.0, 150.0, 80.0, 0.0)
    assert (slips["shortest"], slips["longest"], slips["base_alone"]) == ("A", "D", "B")


# S11.6. By hand: 4 + 16 × 36/100 = 9.76 mA; -15 + 17.5/16 × 100 = 94.375 °C.
READY = {"rated_low": 18.0, "rated_high": 30.0, "ambient": 21.0, "lower": -15.0, "upper": 85.0, "fault_current": 21.5}


def test_readings_at_first_power():
    values, slips = work(
        "bottling-hall-first-readings", **READY, measured=24.1, coil="off in alarm", contact="normally closed"
    )
    assert values["plug"] == "yes"
    assert values["current"] == pytest.approx(9.76)
    assert values["shown"] == pytest.approx(94.375)
    assert slips["no_live_zero"] == pytest.approx(5.76)
    assert slips["twenty_as_span"] == pytest.approx(11.2)
    assert slips["lower_forgotten"] == pytest.approx(7.36)
    assert slips["no_live_zero_at_break"] == pytest.approx(92.5)


@pytest.mark.parametrize(
    ("measured", "verdict"),
    [(-24.1, "no: polarity"), (12.2, "no: too low"), (34.5, "no: too high"), (18.0, "yes"), (30.0, "yes")],
)
def test_supply_comes_before_the_plug(measured, verdict):
    drawn = {**READY, "coil": "on in alarm", "contact": "normally open"}
    assert work("bottling-hall-first-readings", **drawn, measured=measured)[0]["plug"] == verdict


# The relay logic of contact truth, worked by its own calculation.
@pytest.mark.parametrize("coil", ["off in alarm", "on in alarm"])
@pytest.mark.parametrize("contact", ["normally open", "normally closed"])
def test_contact_with_the_sensor_pulled(coil, contact):
    modes = {"off in alarm": "de-energized in alarm", "on in alarm": "energized in alarm"}
    closed = contacts.closed(contacts.energized(True, modes[coil]), contact)
    values, _ = work("bottling-hall-first-readings", **READY, measured=24.1, coil=coil, contact=contact)
    assert values["seen"] == ("closed" if closed else "open")


@of("power-up-order")
def test_supply_is_the_first_of_all_that_is_dealt(problem):
    for seed in range(60):
        values = problem.variant(seed).values
        roles = work_orders.dealt(values["work"], values["deal"])
        letters = dict(zip(roles, work_orders.LETTERS, strict=True))
        full = [letters[role] for role, _ in values["work"] if role in letters]
        assert values["order"] == (tuple(full),)
        assert values["first"] == full[0]


# S11.7. IEC 60751: 107.79 Ω at 20 °C, 96.09 at -10, 119.40 at 50, 18.52 at -200; 20 °C is 12 mA of -10 to 50 °C.
@pytest.mark.parametrize(
    ("ohms", "event", "sensor", "current", "message"),
    [
        (0.4, "nothing", "short", 21.5, "sensor short"),
        (9999.0, "nothing", "break", 21.5, "sensor break"),
        (88.2, "nothing", "below the range", 3.8, "under-range"),
        (132.4, "nothing", "above the range", 20.5, "over-range"),
        (107.79, "nothing", "in the range", 12.0, "none: it measures"),
        (107.79, "wrong setup", "in the range", 13.8, "setup error"),
        (107.79, "loop open", "in the range", 0.0, "output loop open"),
        (9999.0, "loop open", "break", 0.0, "output loop open"),
    ],
)
def test_message_from_ohms_and_current(ohms, event, sensor, current, message):
    drawn = {"r0": 100.0, "ohms": ohms, "lower": -10.0, "upper": 50.0, "fault_current": 21.5}
    values, _ = work("cocoa-store-message", **drawn, event=event, off=1.8)
    assert (values["low_ohms"], values["high_ohms"]) == (96.1, 119.4)
    assert values["current"] == pytest.approx(current, abs=0.006)
    assert (values["sensor"], values["message"]) == (sensor, message)


# S11.8. Approval before code, code before work: common practice.
@pytest.mark.parametrize(
    ("lock", "order", "named", "code", "next_step"),
    [
        ("locked", "none", "yes", "at hand", "change nothing"),
        ("unlocked", "not signed", "yes", "at hand", "change nothing"),
        ("locked", "signed", "no", "at hand", "call someone"),
        ("locked", "signed", "yes", "lost", "have the keeper"),
        ("unlocked", "signed", "yes", "lost", "note as found"),
        ("locked", "signed", "yes", "at hand", "note as found"),
    ],
)
def test_who_may_change_a_setup(lock, order, named, code, next_step):
    drawn = {"wish": "a filter of 20 s", "lock": lock, "order": order, "named": named, "code": code}
    values, slips = work("pasta-dryer-lock", **drawn, match="differs from the signed record")
    assert values["next"].startswith(next_step)
    assert values["approved"] == "no"
    assert slips["locked_means_approved"] == ("yes" if lock == "locked" else None)


# S11.9. By hand: (4.4 - 2.4)/0.385 = 5.195 °C; 3 points, 2 alarms, 1 break.
def test_lead_allowance_of_the_sister():
    loops = LIBRARY["milk-tank-copy"].variant(0).givens["loops"]
    values, slips = work("milk-tank-copy", loops=loops, deal=3.0, sister_lead=2.4, own_lead=4.4, slope=0.385)
    assert (values["missed"], values["error"]) == (pytest.approx(2.0), pytest.approx(5.195, abs=0.001))
    assert slips["wrong_way"] == pytest.approx(-2.0)
    assert slips["multiplied"] == pytest.approx(0.77)


@of("copied-setup")
def test_what_differs_between_the_loops_is_changed(problem):
    for seed in range(60):
        values = problem.variant(seed).values
        differ = {"tag", "lead allowance"}
        for name in ("range", "set point", "deadband", "fault action"):
            sister, own = values[name.replace(" ", "_")].removeprefix("sister ").split(", this loop ")
            if sister != own:
                differ.add(name)
        assert set(values["changes"]) == differ


@of("spare-unit")
def test_only_the_spare_that_is_alike_in_all_four_may_take_the_record(problem):
    for seed in range(80):
        values = problem.variant(seed).values
        label = f"{values['input']}; {values['supply']}; relays: {values['relays']:g}; revision {values['revision']:g}"
        assert [letter for letter in "ABCD" if values[f"spare_{letter.lower()}"] == label] == [values["spare"]]
        assert values["tests"] == {2.0: 6.0, 4.0: 8.0}[values["relays"]]
