"""The errors of the pure core: each names the value, what is allowed, and what to do."""

from inventory.organ.sentences import join_sentences


class OrganError(ValueError):
    """Root of every error the pure core raises on purpose."""

    @property
    def message(self) -> str:
        """What is told, as a sentence that other languages can say anew."""
        return self.args[0] if self.args and isinstance(self.args[0], str) else str(self)


class SchemeError(OrganError):
    """A scheme cannot be read; `place` says where (such as ``segments[2].keys``)."""

    def __init__(self, message: str, place: str = "") -> None:
        super().__init__(join_sentences([place, message], ": ") if place else message)
        self.place = place


class NoteError(OrganError):
    """A note, compass or key cannot be read."""


class PitchError(OrganError):
    """A footage, frequency, temperature or length is out of its range."""


class UnitError(OrganError):
    """A pressure or a length with its unit cannot be read, or its unit is not stated."""


class ScaleError(OrganError):
    """A pipe's size cannot be put on a scale."""
