"""Worksheets written as data in a question bank: givens, steps and slips with their arithmetic."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, get_args

from trainer import units
from trainer.content.faults import Faults
from trainer.errors import TrainerError
from trainer.worksheets.expressions import node
from trainer.worksheets.kinds import Kind
from trainer.worksheets.notation import formula
from trainer.worksheets.tolerance import Tolerance, absolute, of_span, relative, share_of
from trainer.worksheets.worksheet import FigureUse, Node, Worksheet

KINDS = get_args(Kind)
SHEET_KEYS = ("name", "title", "skill", "version", "figure", "cautions", "sources", "given", "step", "slip", "refuse")
GIVEN_KEYS = ("name", "title", "symbol", "unit", "kind", "options", "hidden", "decimals", "prepare")
STEP_KEYS = (
    "name", "title", "value", "formula", "rule", "symbol", "unit", "kind", "options", "over", "tolerance", "decimals",
    "possible", "ask_unit", "skill", "slip",
)  # fmt: skip
SLIP_KEYS = ("value", "say", "coincides", "replaces", "name", "step", "of")
TOLERANCES: Mapping[str, Callable[..., Tolerance]] = {
    "of_span": lambda percent, lower="lower", upper="upper": of_span(percent, lower, upper),
    "share": lambda share, of: share_of(of, share),
    "relative": lambda percent, at_least=0.0: relative(percent, at_least),
}
UNIT_WORDS = ("as ", "difference as ")


def read_worksheets(tables: Any, known: dict[str, Worksheet], faults: Faults) -> None:
    """Build the worksheets of one bank and add them to those known; what is wrong is added to the faults."""
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        faults.add("worksheet", tables, "is written as [[worksheet]]")
        return
    for number, table in enumerate(tables, 1):
        here = faults.within(str(table.get("name", f"worksheet {number}")))
        before = len(here.lines)
        sheet = _build(table, here)
        if sheet is not None and sheet.name in known:
            here.add("name", sheet.name, "is used already")
        if sheet is not None and len(here.lines) == before:
            known[sheet.name] = sheet


def _build(table: dict[str, Any], faults: Faults) -> Worksheet | None:
    faults.unknown(table, SHEET_KEYS)
    if missing := [key for key in ("name", "title", "skill", "step") if not table.get(key)]:
        faults.add(missing[0], "nothing", "is required")
        return None
    figure = dict(table.get("figure", {}))
    sheet = Worksheet(
        table["name"],
        table["title"],
        table["skill"],
        version=table.get("version", 1),
        figure=FigureUse(figure.pop("name"), figure) if "name" in figure else None,
        cautions=tuple(table.get("cautions", ())),
        sources=tuple(table.get("sources", ())),
    )
    for part, add in (("given", _add_given), ("step", _add_step), ("slip", _add_slip)):
        for entry in table.get(part, ()):
            name = str(entry.get("name", part)) if isinstance(entry, dict) else part
            _try(add, sheet, entry, faults.within(name))
    for text in table.get("refuse", ()):
        _try(_add_refusal, sheet, text, faults.within("refuse"))
    return sheet


def _try(add: Callable[[Worksheet, Any, Faults], None], sheet: Worksheet, entry: Any, faults: Faults) -> None:
    """Add one part; a fault of any kind becomes a line."""
    try:
        add(sheet, entry, faults)
    except (TrainerError, ValueError, TypeError, KeyError, AttributeError) as fault:
        faults.add(
            "entry", entry, str(fault) if isinstance(fault, TrainerError | ValueError) else f"is wrong: {fault!r}"
        )


def _add_given(sheet: Worksheet, entry: dict[str, Any], faults: Faults) -> None:
    faults.unknown(entry, GIVEN_KEYS)
    options = {key: entry[key] for key in GIVEN_KEYS if key in entry and key not in ("name", "title", "prepare")}
    _check(options, faults)
    if "prepare" in entry:
        options["prepare"] = _node("prepare", entry["prepare"], faults)
    sheet.given(entry["name"], entry["title"], **(options | {"options": tuple(options.get("options", ()))}))


def _add_step(sheet: Worksheet, entry: dict[str, Any], faults: Faults) -> None:
    faults.unknown(entry, STEP_KEYS)
    plain = ("name", "title", "value", "formula", "tolerance", "slip", "possible", "options")
    options = {key: entry[key] for key in STEP_KEYS if key in entry and key not in plain}
    _check(options, faults)
    work = _node("value", entry["value"], faults)
    options["formula"] = entry.get("formula", formula(str(entry["value"]), node))
    options["options"] = tuple(entry.get("options", ()))
    if "tolerance" in entry:
        options["tolerance"] = _tolerance(entry["tolerance"])
    if "possible" in entry:
        low, high = entry["possible"]
        options["possible"] = (float(low), float(high))
    sheet.add_step(entry["name"], entry["title"], work, **options)
    for name, slip in entry.get("slip", {}).items():
        _try(_add_slip, sheet, {"name": name, "of": entry["name"]} | slip, faults.within(name))


def _add_slip(sheet: Worksheet, entry: dict[str, Any], faults: Faults) -> None:
    """A slip of one step, or one that replaces any nodes (``replaces``) and shows first at a step."""
    faults.unknown(entry, SLIP_KEYS)
    if "replaces" in entry:
        replaced = {name: _node(name, text, faults) for name, text in entry["replaces"].items()}
        sheet.add_slip(entry["say"], entry["name"], entry["step"], replaced, bool(entry.get("coincides", False)))
        return
    value = _node("value", entry["value"], faults)
    sheet.add_slip_of(entry["of"], entry["say"], entry["name"], value, bool(entry.get("coincides", False)))


def _add_refusal(sheet: Worksheet, text: str, faults: Faults) -> None:
    sheet.refusals.append(_node("refuse", text, faults))


def _node(key: str, text: Any, faults: Faults) -> Node:
    try:
        return node(str(text))
    except TrainerError as fault:
        faults.add(key, text, str(fault))
        raise


def _tolerance(given: Any) -> Tolerance:
    if isinstance(given, dict):
        kind = next(iter(given))
        rest = {key: value for key, value in given.items() if key != kind}
        return TOLERANCES[kind](given[kind], **rest)
    return absolute(float(given))


def _check(options: Mapping[str, Any], faults: Faults) -> None:
    if options.get("kind", KINDS[0]) not in KINDS:
        faults.name("kind", options["kind"], KINDS)
    unit = options.get("unit", "")
    if not unit.startswith(UNIT_WORDS):
        try:
            units.unit(unit)
        except TrainerError as fault:
            faults.add("unit", unit, str(fault))
