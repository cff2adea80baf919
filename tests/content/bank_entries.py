"""A sound entry of a question bank, and the same with changes."""

HEAD = {
    "id": '"kiln-current"',
    "worksheet": '"value-from-signal"',
    "title": '"Kiln"',
    "level": '"F"',
    "place": '"kiln"',
    "text": '"A meter shows {signal} on a loop ranged {lower:bare} to {upper}."',
}
GIVENS = {
    "lower": "0",
    "upper": "{ choose = [160, 250] }",
    "signal_low": "4",
    "signal_high": "20",
    "signal": "{ low = 5.3, high = 18.8, step = 0.01, avoid = [[11.4, 12.6]] }",
}
UNITS = {"lower": '"kPa"', "upper": '"kPa"', "signal": '"mA"', "signal_low": '"mA"', "signal_high": '"mA"'}


def entry(head=(), givens=(), units=(), more=""):
    def lines(table, changes):
        return "".join(f"{key} = {value}\n" for key, value in (table | dict(changes)).items() if value is not None)

    return (
        f"[[problem]]\n{lines(HEAD, head)}{more}\n[problem.givens]\n{lines(GIVENS, givens)}"
        f"[problem.units]\n{lines(UNITS, units)}\n"
    )
