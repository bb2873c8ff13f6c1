"""One function per verb: permission, change, version and history, in one transaction.

Views, the admin, commands and the API call these; nothing else writes to the record.
"""

from .editorial import merge, release, return_to_draft, submit_for_review, withdraw
from .errors import ActionError, Clash, NotAllowed, StaleRecord, WrongState
from .records import change_record, create_record

__all__ = [
    "ActionError",
    "Clash",
    "NotAllowed",
    "StaleRecord",
    "WrongState",
    "change_record",
    "create_record",
    "merge",
    "release",
    "return_to_draft",
    "submit_for_review",
    "withdraw",
]
