"""A problem set in plain sentences: what its learners will see, and what may still be changed."""

from __future__ import annotations

from trainer.language import gettext, ngettext
from trainer.storage.models import ProblemSet
from trainer.storage.problem_sets import ASSESSED, CLOSED, DRAFT, OPEN, SAME
from trainer.web.due_times import due_words


def summary(problem_set: ProblemSet, problems: int) -> str:
    """What learners will see, in one paragraph."""
    minutes, tries = problem_set.minutes, problem_set.tries
    what = [
        ngettext("{n} problem", "{n} problems", problems).format(n=problems),
        ngettext("{n} minute", "{n} minutes", minutes).format(n=minutes) if minutes else gettext("no time limit"),
        gettext("one try") if tries == 1 else gettext("{n} tries").format(n=tries),
    ]
    if problem_set.kind == ASSESSED:
        what.append(gettext("no hints; handed in as a whole"))
    else:
        what.append(gettext("each step checked at once, with help on request"))
    due = gettext("due {when}").format(when=due_words(problem_set.due)) if problem_set.due else gettext("no due time")
    same, own = gettext("Everybody gets the same numbers."), gettext("Everybody gets numbers of their own.")
    passes = gettext("{percent:g} % of the marks pass.").format(percent=round(100 * problem_set.pass_mark, 6))
    return f"{', '.join(what)}; {due}. {same if problem_set.numbers == SAME else own} {passes}"


def state_words(problem_set: ProblemSet) -> str:
    """What the state of a set means for its learners."""
    return {
        DRAFT: gettext("A draft: learners do not see it."),
        OPEN: gettext("Open: learners of the group can start it."),
        CLOSED: gettext("Closed: nobody can start it, and results stay."),
    }[problem_set.state]


def may_change(problem_set: ProblemSet, started: bool) -> str:
    """What an edit may change; nothing to say of a draft."""
    if started:
        return gettext(
            "Learners have started this set: its problems, their order and what is asked of them, the kind and the "
            "numbers stay as they are. Title, note, weights, due time, pass mark, tries and time limit may change; the "
            "limits hold at once for tries under way, and results are weighed anew. For other problems copy the set."
        )
    if problem_set.state == OPEN:
        return gettext(
            "This set is open, and nobody has started it: everything may change. It keeps at least one problem, and a "
            "new due time lies ahead."
        )
    said = gettext("This set is closed, and nobody has started it: everything may change.")
    return said if problem_set.state == CLOSED else ""
