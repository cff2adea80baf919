"""Worksheets of strand S10: entity values of an intrinsically safe loop compared line by line. Training arithmetic."""

from __future__ import annotations

from trainer.calculations.intrinsic_safety import Apparatus, Cable, Source, comparisons
from trainer.worksheets.worksheet import Worksheet

NONE = "none of them"
LINES = ("voltage", "current", "power", "capacitance", "inductance")
MAY, MAY_NOT = "by these numbers it may", "it may not"

entity_comparison = Worksheet(
    "entity-comparison",
    "Entity values compared line by line",
    "S10.5",
    cautions=(
        "Training arithmetic only. A real loop is judged by a competent person from the certificates, the descriptive "
        "system document and the standard in force, under the local code.",
    ),
    sources=("IEC 60079-14 and IEC 60079-25: comparison of entity values; clauses from memory",),
)
for _name, _title, _symbol, _unit in (
    ("u_o", "Barrier: highest voltage", r"U_\mathrm{o}", "V"),
    ("i_o", "Barrier: highest current", r"I_\mathrm{o}", "mA"),
    ("p_o", "Barrier: highest power", r"P_\mathrm{o}", "W"),
    ("c_o", "Barrier: permitted capacitance", r"C_\mathrm{o}", "nF"),
    ("l_o", "Barrier: permitted inductance", r"L_\mathrm{o}", "mH"),
    ("u_i", "Transmitter: voltage it withstands", r"U_\mathrm{i}", "V"),
    ("i_i", "Transmitter: current it withstands", r"I_\mathrm{i}", "mA"),
    ("p_i", "Transmitter: power it withstands", r"P_\mathrm{i}", "W"),
    ("c_i", "Transmitter: own capacitance", r"C_\mathrm{i}", "nF"),
    ("l_i", "Transmitter: own inductance", r"L_\mathrm{i}", "mH"),
    ("c_c", "Cable: capacitance", r"C_\mathrm{c}", "nF/km"),
    ("l_c", "Cable: inductance", r"L_\mathrm{c}", "mH/km"),
    ("length", "Length of the run", "L", "m"),
):
    entity_comparison.given(_name, _title, symbol=_symbol, unit=_unit)


@entity_comparison.step(
    "Capacitance of transmitter and cable",
    symbol="C",
    formula=r"<c_i> + <c_c> \times \frac{<length>}{1000}",
    rule="Add the transmitter's own to what the whole run brings.",
    unit="nF",
    tolerance=0.1,
)
def capacitance(c_i: float, c_c: float, length: float) -> float:
    return c_i + c_c * length / 1000.0


@capacitance.slip("The transmitter's own capacitance counts too.")
def own_capacitance_left_out(c_c: float, length: float) -> float:
    return c_c * length / 1000.0


@capacitance.slip("A capacitance per kilometer is for the pair already: do not double it.")
def doubled_capacitance(c_i: float, c_c: float, length: float) -> float:
    return c_i + 2.0 * c_c * length / 1000.0


@entity_comparison.step(
    "Inductance of transmitter and cable",
    symbol="L'",
    formula=r"<l_i> + <l_c> \times \frac{<length>}{1000}",
    rule="Add the transmitter's own to what the whole run brings.",
    unit="mH",
    tolerance=0.005,
    decimals=3,
)
def inductance(l_i: float, l_c: float, length: float) -> float:
    return l_i + l_c * length / 1000.0


@inductance.slip("An inductance per kilometer is for the pair already: do not double it.")
def doubled_inductance(l_i: float, l_c: float, length: float) -> float:
    return l_i + 2.0 * l_c * length / 1000.0


@entity_comparison.prepared("Lines of voltage, current and power that fail", kind="several", hidden=True)
def let_out(u_o: float, i_o: float, p_o: float, u_i: float, i_i: float, p_i: float) -> tuple[str, ...]:
    lines = comparisons(Source(u_o, i_o, p_o, 1.0, 1.0), Apparatus(u_i, i_i, p_i), Cable(1.0, 1.0), 0.0)
    return tuple(name for name, line in zip(LINES[:3], lines, strict=False) if not line.holds)


def _stored(c_o: float, l_o: float, capacitance: float, inductance: float) -> tuple[str, ...]:
    """Lines of stored energy that fail; apparatus and cable are in one sum already."""
    source, nothing = Source(1.0, 1.0, 1.0, c_o, l_o), Apparatus(1.0, 1.0, 1.0)
    lines = comparisons(source, nothing, Cable(capacitance, inductance), 1000.0)[3:]
    return tuple(name for name, line in zip(LINES[3:], lines, strict=True) if not line.holds)


@entity_comparison.step(
    "Lines that do not hold",
    name="failing",
    kind="several",
    options=(*LINES, NONE),
    rule="What the barrier lets out may not exceed what the transmitter withstands; what is stored, what is permitted.",
)
def failing_lines(
    let_out: tuple[str, ...], c_o: float, l_o: float, capacitance: float, inductance: float
) -> tuple[str, ...]:
    return (*let_out, *_stored(c_o, l_o, capacitance, inductance)) or (NONE,)


@failing_lines.slip("Those are about what is stored; voltage, current and power are three lines more.")
def stored_energy_only(
    let_out: tuple[str, ...], c_o: float, l_o: float, capacitance: float, inductance: float
) -> tuple[str, ...] | None:
    return (_stored(c_o, l_o, capacitance, inductance) or (NONE,)) if let_out else None


@failing_lines.slip("Those are about what is let out; what transmitter and cable store is compared as well.")
def stored_energy_left_out(
    let_out: tuple[str, ...], c_o: float, l_o: float, capacitance: float, inductance: float
) -> tuple[str, ...] | None:
    return (let_out or (NONE,)) if _stored(c_o, l_o, capacitance, inductance) else None


@failing_lines.slip("The comparison is turned round: the transmitter has to withstand at least what the barrier gives.")
def turned_round(
    let_out: tuple[str, ...], c_o: float, l_o: float, capacitance: float, inductance: float
) -> tuple[str, ...] | None:
    failing = (*let_out, *_stored(c_o, l_o, capacitance, inductance))
    return tuple(name for name in LINES if name not in failing) or None


@entity_comparison.step(
    "May they be connected?",
    name="verdict",
    kind="choice",
    options=(MAY, MAY_NOT),
    rule="Every one of the five lines has to hold; one that fails is enough.",
)
def verdict(failing: tuple[str, ...]) -> str:
    return MAY if set(failing) == {NONE} else MAY_NOT


@verdict.slip("One line that fails is enough: good margins in the others do not make up for it.")
def outvoted(failing: tuple[str, ...]) -> str | None:
    return MAY if set(failing) != {NONE} else None
