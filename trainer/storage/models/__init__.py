"""The tables, one module a noun; importing this package makes the metadata complete."""

from trainer.storage.models.attempt import Attempt, Draft, Evidence
from trainer.storage.models.base import Base
from trainer.storage.models.entry import Entry, Mark
from trainer.storage.models.learner import Learner
from trainer.storage.models.web_session import WebSession

__all__ = ["Attempt", "Base", "Draft", "Entry", "Evidence", "Learner", "Mark", "WebSession"]
