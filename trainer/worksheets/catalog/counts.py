"""Worksheets of strand S3: counts of an analog input and what one of them is worth."""

from __future__ import annotations

import math

from trainer.calculations.counts import top_count
from trainer.calculations.signals import fraction, span_between
from trainer.worksheets.kinds import near
from trainer.worksheets.tolerance import relative
from trainer.worksheets.worksheet import FigureUse, Worksheet

UNSIGNED, SIGNED = "unsigned", "signed"
SOURCES = (
    "Definition of a straight binary word: n bits count from 0 to 2^n - 1",
    "Common practice: an input card counts from zero signal; the live zero is taken off later, in the scaling",
)
LIVE_ZERO = 0.2  # of full scale: 1 V of 5, 4 mA of 20
NOT_FROM_ONE = "Counting starts at zero, so the largest number is one less than the number of patterns."


# Largest number of a word

largest_number = Worksheet("largest-number", "Largest number of a word", "S3.6", sources=SOURCES[:1])
largest_number.given("bits", "Bits of the word", symbol="n", unit="bits", decimals=0)
largest_number.given("sign", "Sign", kind="choice", options=(UNSIGNED, SIGNED))


@largest_number.step(
    "Bits left for the size",
    symbol="k",
    rule="A signed word spends one bit on the sign, an unsigned one none.",
    unit="bits",
    tolerance=0.0,
    decimals=0,
    possible=(0.0, 64.0),
)
def size_bits(bits: float, sign: str) -> float:
    return bits - 1.0 if sign == SIGNED else bits


@size_bits.slip("Read again whether the word is signed: only then one of its bits is the sign.")
def other_sign(bits: float, sign: str) -> float:
    return bits if sign == SIGNED else bits - 1.0


@largest_number.step(
    "Patterns of these bits",
    symbol="p",
    formula="2^{<size_bits>}",
    rule="Every bit doubles the number of patterns: two to the power of the bits.",
    tolerance=0.0,
    decimals=0,
)
def patterns(size_bits: float) -> float:
    return float(top_count(round(size_bits)) + 1)


@patterns.slip("Every bit doubles the number: two to the power of the bits, not twice the bits.")
def twice_the_bits(size_bits: float) -> float:
    return 2.0 * size_bits


@patterns.slip("Two to the power of the bits, not the bits squared.")
def bits_squared(size_bits: float) -> float:
    return size_bits**2


@largest_number.step(
    "Largest number",
    symbol="N_{max}",
    formula="<patterns> - 1",
    rule=NOT_FROM_ONE,
    tolerance=0.0,
    decimals=0,
)
def largest(patterns: float) -> float:
    return patterns - 1.0


@largest.slip(NOT_FROM_ONE)
def counted_from_one(patterns: float) -> float:
    return patterns


# Counts of a signal

signal_counts = Worksheet(
    "counts-of-a-signal",
    "Counts of a signal on an input card",
    "S3.6",
    figure=FigureUse(
        "counts staircase", {"bits": "bits", "full_scale": "full_scale", "signal": "signal", "counts": "count"}
    ),
    sources=SOURCES,
)
signal_counts.given("bits", "Bits of the card", symbol="n", unit="bits", decimals=0)
signal_counts.given("full_scale", "Signal at the largest count", symbol="S_{max}")
signal_counts.given("signal", "Signal at the terminals", symbol="S", unit="as full_scale")


@signal_counts.step(
    "Largest count",
    name="top",
    symbol="N_{max}",
    formula="2^{<bits>} - 1",
    rule="Two to the power of the bits, less one: counting starts at zero.",
    unit="counts",
    tolerance=0.0,
    decimals=0,
    possible=(0.0, 1e6),
)
def top_of_card(bits: float) -> float:
    return float(top_count(round(bits)))


# One count in thousands does not show in the counts of a signal.
@top_of_card.slip(
    "That is the number of patterns: counting starts at zero, so the largest is one less.", coincides=True
)
def all_patterns(bits: float) -> float:
    return top_count(round(bits)) + 1.0


@top_of_card.slip("That leaves one bit for a sign: this card counts from zero up, with all its bits.")
def one_bit_for_sign(bits: float) -> float:
    return float(top_count(round(bits) - 1))


@top_of_card.slip("That is one bit too many: two to the power of the bits, less one.")
def one_bit_too_many(bits: float) -> float:
    return float(top_count(round(bits) + 1))


@signal_counts.step(
    "Fraction of full scale",
    name="share",
    symbol="f",
    formula=r"\frac{<signal>}{<full_scale>}",
    rule="Divide the signal by the signal at the largest count; keep every digit.",
    tolerance=0.00005,
    decimals=4,
    possible=(0.0, 1.0),
)
def share_of_scale(signal: float, full_scale: float) -> float:
    return fraction(signal, 0.0, full_scale)


@share_of_scale.slip("The card knows nothing of a live zero; the scaling deals with it later.")
def live_zero_taken_off(signal: float, full_scale: float) -> float:
    return fraction(signal, LIVE_ZERO * full_scale, full_scale)


@signal_counts.step(
    "Counts",
    name="count",
    symbol="N",
    formula=r"<share> \times <top>",
    rule="Multiply the largest count by the fraction and round to the nearest whole count.",
    unit="counts",
    tolerance=2.0,
    decimals=0,
)
def count_of_signal(share: float, top: float) -> float:
    return float(math.floor(share * top + 0.5))


# Smallest change that the card can show

count_worth = Worksheet(
    "worth-of-a-count",
    "Smallest change that an input card can show",
    "S3.6",
    figure=FigureUse("counts staircase", {"bits": "bits", "full_scale": "full_scale"}),
    sources=SOURCES,
)
count_worth.given("bits", "Bits of the card", symbol="n", unit="bits", decimals=0)
count_worth.given("full_scale", "Signal at the largest count", symbol="S_{max}", unit="as signal_low")
count_worth.given("signal_low", "Signal at the lower range value", symbol="S_0")
count_worth.given("signal_high", "Signal at the upper range value", symbol="S_{100}", unit="as signal_low")
count_worth.given("lower", "Lower range value", symbol="x_0")
count_worth.given("upper", "Upper range value", symbol="x_{100}")


@count_worth.step(
    "Largest count",
    name="top",
    symbol="N_{max}",
    formula="2^{<bits>} - 1",
    rule="Two to the power of the bits, less one: counting starts at zero.",
    unit="counts",
    tolerance=0.0,
    decimals=0,
)
def top_of_word(bits: float) -> float:
    return float(top_count(round(bits)))


@top_of_word.slip("That leaves one bit for a sign: this card counts from zero up, with all its bits.", name="sign_bit")
def one_bit_less(bits: float) -> float:
    return float(top_count(round(bits) - 1))


@count_worth.step(
    "Counts between the ends of the signal",
    symbol="N_s",
    formula=r"<top> \times \frac{<signal_high> - <signal_low>}{<full_scale>}",
    rule="Only the moving part of the signal uses counts: its share of full scale, times the largest count.",
    unit="counts",
    tolerance=2.0,
    decimals=0,
    possible=(0.0, 1e6),
)
def counts_used(top: float, signal_low: float, signal_high: float, full_scale: float) -> float:
    return top * span_between("signal", signal_low, signal_high) / full_scale


@counts_used.slip("The counts below the live zero are never used: take only the moving part of the signal.")
def whole_card(top: float, signal_low: float, signal_high: float, full_scale: float) -> float | None:
    return None if near(signal_high - signal_low, full_scale, 0.0) else top


@counts_used.slip("The moving part is less than full scale, so it uses fewer counts than the card has, not more.")
def share_upside_down(top: float, signal_low: float, signal_high: float, full_scale: float) -> float | None:
    span = signal_high - signal_low
    return None if near(span, full_scale, 0.0) else top * full_scale / span


@count_worth.step(
    "Change for one count",
    name="worth",
    symbol=r"\Delta x",
    formula=r"\frac{<upper> - <lower>}{<counts_used>}",
    rule="Divide the span by the counts that it is spread over.",
    unit="difference as lower",
    tolerance=relative(5.0, 0.00001),
    decimals=4,
)
def worth_of_count(counts_used: float, lower: float, upper: float) -> float:
    return (upper - lower) / counts_used


@worth_of_count.slip("That is counts for each unit of the process value: the span goes on top.")
def worth_upside_down(counts_used: float, lower: float, upper: float) -> float:
    return counts_used / (upper - lower)


@worth_of_count.slip("The counts are spread over the span: upper range value less lower one.")
def upper_for_span(counts_used: float, lower: float, upper: float) -> float | None:
    return upper / counts_used if lower else None
