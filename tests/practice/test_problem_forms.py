"""Forms of problems: typed text becomes an entry, faults stand beside their boxes, and an entry becomes text again."""

import pytest

from trainer.errors import TrainerError
from trainer.practice.problem_forms import asked_givens, read_form, shown_names, unit_choices
from trainer.practice.problem_texts import texts_of
from trainer.worksheets.draw import Choice, Fixed, Grid, Within

KILN = {
    "worksheet": "value-from-signal",
    "id": "tile-kiln",
    "title": "Tile kiln: draft from the loop current",
    "text": "A meter shows {signal} on a loop ranged {lower:bare} to {upper}. What is the draft?",
    "level": "W",
    "place": "tile kiln",
    "skill": "S3.2",
    "how-lower": "table 1",
    "how-upper": "table 1",
    "rows-1": "-250 | 100\r\n-300|100\r\n",
    "unit-lower": "Pa",
    "unit-upper": "pascal",
    "how-signal_low": "fixed",
    "value-signal_low": "4",
    "unit-signal_low": "mA",
    "how-signal_high": "one of",
    "choose-signal_high": "20",
    "unit-signal_high": "mA",
    "how-signal": "range",
    "low-signal": "5.7",
    "high-signal": "19,2",
    "step-signal": "0.01",
    "avoid-signal": "11.4 to 12.6; 14 to 14.5",
    "unit-signal": "mA",
    "keep-low-value": "−240",
    "keep-high-value": "90",
    "tolerance-value": "1",
}


def form(library, decimal=".", taken=(), **changes):
    texts = {key: value for key, value in (KILN | changes).items() if value is not None}
    return read_form(texts, library.worksheets, "own.toml", decimal, dict.fromkeys(taken, "other.toml"))


def test_a_form_becomes_an_entry(library):
    read = form(library)
    assert read.faults == {}
    assert read.entry == {
        "id": "tile-kiln",
        "worksheet": "value-from-signal",
        "title": "Tile kiln: draft from the loop current",
        "text": KILN["text"],
        "level": "W",
        "place": "tile kiln",
        "together": [{"givens": ["lower", "upper"], "rows": [[-250, 100], [-300, 100]]}],
        "keep": {"value": [-240, 90]},
        "tolerance": {"value": 1},
        "givens": {
            "signal_low": 4,
            "signal_high": {"choose": [20]},
            "signal": {"low": 5.7, "high": 19.2, "step": 0.01, "avoid": [[11.4, 12.6], [14, 14.5]]},
        },
        "units": {"lower": "Pa", "upper": "Pa", "signal_low": "mA", "signal_high": "mA", "signal": "mA"},
    }
    assert read.problem.draws == (
        Choice(("lower", "upper"), ((-250.0, 100.0), (-300.0, 100.0))),
        Fixed("signal_low", 4.0),
        Fixed("signal_high", 20.0),
        Grid("signal", 5.7, 19.2, 0.01, ((11.4, 12.6), (14.0, 14.5))),
    )


def test_percents_of_a_range_come_after_the_range(library):
    read = form(
        library,
        worksheet="signal-from-value",
        text="Which signal at {value}?",
        **{"how-value": "share", "low-value": "10", "high-value": "90", "step-value": "1"},
        **{"from-value": "lower", "to-value": "upper", "unit-value": "Pa", "how-signal": None},
        **{"keep-low-value": "", "keep-high-value": "", "tolerance-value": ""},
    )
    assert read.faults == {}
    assert read.problem.draws[-1] == Within("value", ("lower", "upper"), 10.0, 90.0, 1.0)


@pytest.mark.parametrize(
    ("changes", "box", "told"),
    [
        ({"title": " "}, "title", "required"),
        ({"place": None}, "place", "required"),
        ({"text": "It reads {reading}."}, "text", "reading is not known"),
        ({"text": "It reads {signal."}, "text", "no place for a given"),
        ({"id": "../kiln"}, "id", "small letters"),
        ({"id": "Kiln"}, "id", "small letters"),
        ({"id": "taken-one"}, "id", "used already in other.toml"),
        ({"level": "X"}, "level", "is not known (F, W, A)"),
        ({"how-signal": ""}, "given-signal", "Choose how"),
        ({"how-signal": "shouted"}, "given-signal", "Choose how"),
        ({"low-signal": ""}, "given-signal", "low: Nothing is typed"),
        ({"low-signal": "five"}, "given-signal", "low: five is not a number"),
        ({"low-signal": "5.7 mA"}, "given-signal", "its unit has a box"),
        ({"low-signal": "1,250"}, "given-signal", "two ways"),
        ({"low-signal": "1e400"}, "given-signal", "power of ten"),
        ({"low-signal": "1e20"}, "given-signal", "needs numbers low"),
        ({"low-signal": "30"}, "given-signal", "low under high"),
        ({"step-signal": "0"}, "given-signal", "step above zero"),
        ({"step-signal": "0.00000001"}, "given-signal", "at most 1000000 steps"),
        ({"avoid-signal": "12"}, "avoid-signal", "like 11.5 to 12"),
        ({"avoid-signal": "12.6 to 11.4"}, "avoid-signal", "from not above to"),
        ({"avoid-signal": "0 to 30"}, "given-signal", "leaves no value"),
        ({"value-signal_low": ""}, "given-signal_low", "required"),
        ({"choose-signal_high": "\n"}, "given-signal_high", "one a line"),
        ({"choose-signal_high": "20\nx"}, "given-signal_high", "x is not a number"),
        ({"rows-1": ""}, "rows-1", "one a line"),
        ({"rows-1": "1 | 2\n3"}, "rows-1", "Row 2 has 1 values"),
        ({"rows-1": "1 | 2\n3 | x"}, "rows-1", "Row 2: x is not a number"),
        ({"rows-2": "1 | 2"}, "rows-2", "No given is drawn"),
        ({"unit-signal": "mm Apples"}, "unit-signal", "no unit"),
        ({"keep-low-value": "100"}, "keep-value", "low not above high"),
        ({"keep-high-value": ""}, "keep-value", "Nothing is typed"),
        ({"tolerance-value": "-1"}, "tolerance-value", "above zero"),
        ({"text": "x" * 2001}, "text", "At most 2000"),
        ({"rows-1": "1 | 2\n" * 5000}, "rows-1", "At most 20000"),
    ],
)
def test_a_fault_stands_beside_its_box(library, changes, box, told):
    read = form(library, taken=("taken-one",), **changes)
    assert read.problem is None
    assert any(told in line for line in read.faults[box]), read.faults
    assert set(read.faults) == {box}


def test_all_faults_come_at_once(library):
    read = form(library, title="", text="{x}", **{"how-signal": "", "rows-1": "1", "unit-lower": "zz", "id": "A"})
    assert set(read.faults) == {"title", "text", "given-signal", "rows-1", "unit-lower", "id"}


def test_numbers_are_read_with_the_persons_own_decimal_sign(library):
    read = form(library, ",", **{"low-signal": "5,725", "avoid-signal": "11,4 to 12,6"})
    assert read.faults == {}
    assert read.entry["givens"]["signal"]["low"] == 5.725


def test_without_a_worksheet_there_is_no_form(library):
    with pytest.raises(TrainerError, match="worksheet first"):
        form(library, worksheet="no-such-sheet")


def same_draws(problem):
    """Draws by given, rows with the givens in the order of the worksheet."""
    draws = set()
    for draw in problem.draws:
        if isinstance(draw, Choice):
            order = sorted(range(len(draw.names)), key=lambda n: list(problem.worksheet.givens).index(draw.names[n]))
            rows = tuple(tuple(row[n] for n in order) for row in draw.rows)
            draw = Choice(tuple(draw.names[n] for n in order), rows)
        draws.add(draw)
    return draws


@pytest.mark.parametrize("decimal", [".", ","])
def test_every_shipped_problem_comes_back_from_its_boxes(library, decimal):
    without_boxes = []
    for problem in library.problems.values():
        try:
            texts = texts_of(problem, decimal)
        except TrainerError:
            without_boxes.append(problem.worksheet.name)
            continue
        read = read_form(texts, library.worksheets, "own.toml", decimal)
        assert read.faults == {}, problem.id
        again = read.problem
        assert same_draws(again) == same_draws(problem)
        kept = ("title", "text", "level", "place", "skill", "keep", "tolerances", "cautions")
        assert all(getattr(again, name) == getattr(problem, name) for name in kept), problem.id
        variant = again.variant(1)
        units = [
            (variant.unit(given.unit) or again.units.get(name)) for name, given in variant.worksheet.givens.items()
        ]
        drawn = problem.variant(1)
        assert units == [
            drawn.unit(given.unit) or problem.units.get(name) for name, given in drawn.worksheet.givens.items()
        ]
    assert len(without_boxes) < 0.1 * len(library.problems)


def test_hidden_and_worked_out_givens(library):
    sheet = next(
        sheet
        for sheet in library.worksheets.values()
        if any(given.hidden for given in sheet.givens.values())
        and any(given.prepare for given in sheet.givens.values())
    )
    assert all(given.prepare is None for given in asked_givens(sheet))
    assert not any(sheet.givens[name].hidden for name in shown_names(sheet))


def test_units_are_those_of_the_quantity(library):
    sheet = library.worksheets["value-from-signal"]
    assert "V" in unit_choices(sheet.givens["signal"], library.problems)
    assert "kPa" not in unit_choices(sheet.givens["signal"], library.problems)
    assert {"°C", "kPa"} <= set(unit_choices(sheet.givens["lower"], library.problems))
    assert {"pH", "rpm"} <= set(unit_choices(sheet.givens["lower"], {}))
