"""How a hunt is written on its pages: what can be done at each place, the notebook, the score."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.bench.hunts import Notebook, Score, State
from trainer.bench.measurements import Findings, Measurement
from trainer.bench.plans import remaining
from trainer.language import gettext
from trainer.practice.hunts import OpenHunt
from trainer.web.result_rows import percent
from trainer.web.visits import decimal_sign

# The way of the signal; a place without a measurement is not shown.
PLACES = ("process", "sensor", "cable", "terminals", "conditioner", "relays", "output", "loop", "card", "controller")


@dataclass(frozen=True)
class Line:
    """One act in the notebook: when, what, and what it gave; looking back, the suspects left and a better act."""

    clock: float
    title: str
    findings: tuple[tuple[str, str], ...]
    stopped: str
    unsafe: bool
    left: int = 0
    better: str = ""


def offered(opened: OpenHunt) -> list[tuple[str, list[Measurement]]]:
    """What can be measured, by place along the signal."""
    found = opened.hunt.situation.measurements.values()
    grouped = [(place, [each for each in found if each.place == place]) for place in PLACES]
    return [(gettext(place), measurements) for place, measurements in grouped if measurements]


def states(opened: OpenHunt) -> list[tuple[str, str]]:
    """How the loop stands."""
    state: State = opened.notes.state
    return [
        (gettext("Bypass"), gettext("in place") if state.bypassed else gettext("not arranged")),
        (gettext("Loop"), gettext("isolated, proved dead") if state.isolated else gettext("live")),
    ]


def act_lines(opened: OpenHunt, notes: Notebook | None = None, looking_back: bool = False) -> list[Line]:
    """The notebook, in order; looking back with what each act left and what would have told more."""
    notes = notes or opened.notes
    names = [act.name for act in notes.acts]
    lines = []
    for number, act in enumerate(notes.acts):
        left, better = 0, ""
        if looking_back and act.left is not None:
            left = len(remaining(opened.hunt.situation, act.left))
            better = _better(opened, opened.hunt.replay(names[:number]), act.name) if notes is opened.notes else ""
        lines.append(
            Line(
                act.clock,
                title_of(opened, act.name),
                found(act.findings),
                gettext(act.stopped),
                act.unsafe,
                left,
                better,
            )
        )
    return lines


def _better(opened: OpenHunt, before: Notebook, done: str) -> str:
    """What would have told most in a minute, where it was not what was done."""
    if done not in opened.hunt.situation.measurements:
        return ""
    advice = opened.hunt.advice(before)
    if advice is None or advice.measurement.name == done:
        return ""
    said = gettext("{title}: {bits} bits expected in {minutes} minutes")
    return said.format(
        title=gettext(advice.measurement.title), bits=f"{advice.bits:.1f}", minutes=f"{advice.minutes:g}"
    )


def title_of(opened: OpenHunt, name: str) -> str:
    """What an act is called."""
    known = opened.hunt.preparations | opened.hunt.situation.measurements
    return gettext(known[name].title) if name in known else name


def found(findings: Findings) -> tuple[tuple[str, str], ...]:
    """Findings as label and text with unit."""
    decimal = decimal_sign()
    told = []
    for each in findings:
        unit = "" if isinstance(each.value, str) else each.unit
        parts = (gettext(each.text(decimal)), unit, f"({each.note})" if each.note else "")
        told.append((gettext(each.label), " ".join(part for part in parts if part)))
    return tuple(told)


def score_lines(score: Score, shares: Mapping[str, float]) -> list[tuple[str, str, str]]:
    """Each part of a score: its name, what it was worth, its share."""
    names = {
        "diagnosis": gettext("The fault named"),
        "remedy": gettext("The remedy chosen"),
        "time": gettext("Time against the best plan"),
        "safety": gettext("Safe work"),
    }
    return [(names[part], percent(getattr(score, part)), percent(share)) for part, share in shares.items()]
