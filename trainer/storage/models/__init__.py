"""The tables, one module a noun; importing this package makes the metadata complete."""

from trainer.storage.models.account import Account, SignInCode, SignInFailure
from trainer.storage.models.attempt import Attempt, Draft, Evidence
from trainer.storage.models.base import Base
from trainer.storage.models.entry import Entry, Mark
from trainer.storage.models.group import Membership, StudyGroup
from trainer.storage.models.learner import Learner
from trainer.storage.models.paper import Paper
from trainer.storage.models.problem_set import Extension, ProblemSet, SetEdit, SetProblem, SetTry
from trainer.storage.models.review import Complaint, Override, Remark, Remarking, SignOff, Witnessed
from trainer.storage.models.web_session import WebSession

__all__ = [
    "Account",
    "Attempt",
    "Base",
    "Complaint",
    "Draft",
    "Entry",
    "Evidence",
    "Extension",
    "Learner",
    "Mark",
    "Membership",
    "Override",
    "Paper",
    "ProblemSet",
    "Remark",
    "Remarking",
    "SetEdit",
    "SetProblem",
    "SetTry",
    "SignInCode",
    "SignInFailure",
    "SignOff",
    "StudyGroup",
    "WebSession",
    "Witnessed",
]
