"""Alarms that cannot come, or cannot go, are told in one sentence: by the calculation, and by the check of a bank."""

import pytest

from trainer.calculations.alarms import check_range
from trainer.content.banks import read_banks
from trainer.content.library import check_draws, read_library
from trainer.errors import OutOfRange, TrainerError

WORKSHEETS = read_library().worksheets

OUTSIDE = "{} is outside -10 to 50"


# By hand: of a range of −10 to 50 °C, an alarm at 40 °C has 50 °C below it and 10 °C above it
@pytest.mark.parametrize(
    ("set_point", "deadband", "direction", "message"),
    [
        (50.5, 1.0, "rising", "set point 50.5 °C is outside -10 to 50 °C"),
        (-10.5, 1.0, "falling", "set point -10.5 °C is outside -10 to 50 °C"),
        (40.0, 50.5, "rising", "reset value, a deadband of 50.5 from the set point, -10.5 °C is outside -10 to 50 °C"),
        (40.0, 10.5, "falling", "reset value, a deadband of 10.5 from the set point, 50.5 °C is outside -10 to 50 °C"),
        (40.0, -1.0, "rising", "deadband -1 is outside 0 to inf"),
        (float("nan"), 1.0, "rising", "set point nan °C is outside -10 to 50 °C"),
    ],
)
def test_settings_beyond_the_range_are_refused(set_point, deadband, direction, message):
    with pytest.raises(OutOfRange) as refused:
        check_range(set_point, deadband, direction, -10.0, 50.0, "°C")
    assert str(refused.value) == message


@pytest.mark.parametrize(
    ("set_point", "deadband", "direction"),
    [(50.0, 1.0, "rising"), (-10.0, 0.0, "falling"), (40.0, 50.0, "rising"), (40.0, 10.0, "falling")],
)
def test_settings_up_to_the_ends_of_the_range_are_taken(set_point, deadband, direction):
    check_range(set_point, deadband, direction, -10.0, 50.0)
    check_range(set_point, deadband, direction, 50.0, -10.0)


def test_rounding_at_the_end_of_the_range_is_no_fault():
    check_range(0.3, 0.2, "rising", 0.1, 1.0)  # 0.3 - 0.2 is a hair less than 0.1


# Banks


SIGNALS = {
    "worksheet": "alarm-signals",
    "givens": {
        "direction": '"rising"',
        "lower": "-10",
        "upper": "50",
        "signal_low": "4",
        "signal_high": "20",
        "set_point": "40",
        "deadband": "2",
    },
    "units": {
        "lower": "°C",
        "upper": "°C",
        "set_point": "°C",
        "deadband": "°C (difference)",
        "signal_low": "mA",
        "signal_high": "mA",
    },
}
PERCENT = {
    "worksheet": "alarm-reset-percent",
    "givens": {"direction": '"falling"', "lower": "-10", "upper": "50", "set_point": "40", "percent": "5"},
    "units": {"lower": "°C", "upper": "°C", "set_point": "°C"},
}
TRACE = {
    "worksheet": "relay-states",
    "givens": {
        "direction": '"rising"',
        "set_point": "38",
        "deadband": "1",
        "on_delay": "10",
        "off_delay": "6",
        "times": "{ value = [0, 4, 28, 34, 58, 82, 92, 104, 110, 128] }",
        "excursion": "{ value = [-2, 0.5, -1.6, 0.8, -0.5, -0.4, -0.5, -1.6, -2.5, -2] }",
        "asked": "{ value = [4, 18, 28, 40, 64, 86, 98, 124] }",
    },
    "units": {"set_point": "°C", "deadband": "°C (difference)"},
}


@pytest.fixture
def read(tmp_path):
    def read(problem, **changes):
        """The problem of a bank whose givens are changed."""
        tables = {"givens": problem["givens"] | changes, "units": {k: f'"{v}"' for k, v in problem["units"].items()}}
        head = f'id = "kiln-alarm"\nworksheet = "{problem["worksheet"]}"\ntitle = "Kiln"\nlevel = "F"\nplace = "kiln"\n'
        lines = [f'[[problem]]\n{head}text = "A kiln has an alarm at {{set_point}}."']
        for name, table in tables.items():
            lines += [f"[problem.{name}]", *(f"{key} = {value}" for key, value in table.items())]
        (tmp_path / "bank.toml").write_text("\n".join(lines), "utf-8")
        problems, faults = read_banks([tmp_path], WORKSHEETS)
        assert not faults
        return problems["kiln-alarm"]

    return read


@pytest.mark.parametrize("problem", [SIGNALS, PERCENT, TRACE], ids=lambda problem: problem["worksheet"])
def test_sound_settings_have_no_fault(read, problem):
    assert list(check_draws(read(problem), 20)) == []


@pytest.mark.parametrize(
    ("problem", "changes", "why"),
    [
        (SIGNALS, {"set_point": "52"}, OUTSIDE.format("set point 52")),
        (SIGNALS, {"set_point": "-12", "direction": '"falling"'}, OUTSIDE.format("set point -12")),
        (SIGNALS, {"deadband": "51"}, OUTSIDE.format("reset value, a deadband of 51 from the set point, -11")),
        (PERCENT, {"set_point": "60"}, OUTSIDE.format("set point 60")),
        (PERCENT, {"percent": "20"}, OUTSIDE.format("reset value, a deadband of 12 from the set point, 52")),
        (TRACE, {"on_delay": "200"}, "on-delay on a trace of 128 s: 200 s is outside 0 to 128 s"),
        (TRACE, {"off_delay": "130"}, "off-delay on a trace of 128 s: 130 s is outside 0 to 128 s"),
    ],
)
def test_the_check_of_a_bank_says_what_lies_outside(read, problem, changes, why):
    bad = read(problem, **changes)
    (line,) = check_draws(bad, 20)
    assert line == f"bank.toml: kiln-alarm: givens: 20 of 20 draws are refused, at most 20% may be; for one, {why}"
    with pytest.raises(TrainerError, match="kiln-alarm: no draw out of 400 can be used: check its ranges"):
        bad.variant(1)


def test_a_negative_deadband_or_delay_cannot_be_worked(read):
    for changes in ({"deadband": "-1"}, {"on_delay": "-5"}):
        (line,) = check_draws(read(TRACE, **changes), 20)
        assert line.startswith("bank.toml: kiln-alarm: givens: 20 of 20 draws are refused")


@pytest.mark.parametrize("name", ["loop-check-sheet", "proof-test-current"])
def test_worksheets_written_as_data_refuse_by_the_same_sentence(name):
    library = read_library()
    problem = next(each for each in library.problems.values() if each.worksheet.name == name)
    variant = problem.variant(5)
    beyond = dict(variant.values) | {"set_point": variant.values["upper"] + 5.0}
    with pytest.raises(OutOfRange, match="set point"):
        [node(beyond) for node in problem.worksheet.refusals]
    assert not any(node(variant.values) for node in problem.worksheet.refusals)
