"""What a standing lacks, what comes next, and what an estimate says, in words."""

from __future__ import annotations

from trainer.language import gettext, ngettext
from trainer.learning.aged import FEWEST, AgedEstimate
from trainer.learning.criteria import MORE_JOBS, MORE_RIGHT, OTHER_ORDER, criterion
from trainer.learning.standing import KEPT_SESSIONS, REFRESH_DUE, Standing
from trainer.units import format_number
from trainer.web.visits import decimal_sign


def lacking(now: Standing, safety: bool, problems: int) -> str:
    """What is still missing to be ready; nothing once it is. ``problems`` is how many there are for the skill."""
    jobs = criterion(safety, problems).jobs
    if now.lacks == MORE_RIGHT:
        n = now.wanted - now.in_a_row
        said = ngettext(
            "{n} more sheet with every first entry right, on fresh numbers and without help.",
            "{n} more sheets in a row with every first entry right, on fresh numbers and without help.",
            n,
        ).format(n=n)
        over = gettext("The {wanted} in a row are to be over {jobs} different problems at least.")
        return said if jobs < 2 else f"{said} {over.format(wanted=now.wanted, jobs=jobs)}"
    if now.lacks == MORE_JOBS:
        return gettext("Enough in a row, but over too few different problems: it takes {jobs}.").format(jobs=jobs)
    if now.lacks == OTHER_ORDER:
        return gettext("The problems came in one and the same order again and again: go on in another order.")
    return ""


def coming(now: Standing) -> str:
    """What a skill that is ready or kept asks for next."""
    if not now.held:
        return ""
    day = "" if now.review is None else now.review.isoformat()
    if now.stage == REFRESH_DUE:
        said = gettext("A refresh has been due since {day}: one sheet with every first entry right renews it.")
        return said.format(day=day)
    told = []
    if now.later_sessions < KEPT_SESSIONS:
        n = KEPT_SESSIONS - now.later_sessions
        told.append(
            ngettext(
                "Right again in {n} later session makes it kept.", "Right again in {n} later sessions makes it kept.", n
            ).format(n=n)
        )
    if day:
        told.append(gettext("Next refresh: {day}.").format(day=day))
    return " ".join(told)


def following(now: Standing, safety: bool, problems: int) -> str:
    """What is missing, or what comes next."""
    return lacking(now, safety, problems) or coming(now)


def estimated(estimate: AgedEstimate) -> tuple[str, str]:
    """The aged estimate, and what stands behind it: how many sheets, how old the newest is."""
    behind = gettext("no sheet that counts")
    if estimate.newest is not None:
        behind = ngettext("n = {n}, newest {days} d old", "n = {n}, newest {days} d old", estimate.entries)
        behind = behind.format(n=estimate.entries, days=estimate.newest.days)
    if estimate.mean is None or estimate.interval is None:
        return gettext("not enough evidence"), behind
    mean, low, high = (format_number(100.0 * each, 0, decimal_sign()) for each in (estimate.mean, *estimate.interval))
    return gettext("{mean} % ({low} to {high} %)").format(mean=mean, low=low, high=high), behind


def too_few() -> str:
    """Why an estimate is not shown."""
    return gettext("Below {n} sheets there is no estimate.").format(n=FEWEST)
