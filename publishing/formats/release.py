"""What a published state of the data calls itself."""

from __future__ import annotations

from dataclasses import dataclass

from .addresses import Address


@dataclass(frozen=True)
class Release:
    """Title, version and day of the data, who publishes them, under what licence."""

    publisher: str
    licence: str
    version: str
    """The edition's number; empty between editions, when the data's own hash takes its place."""
    day: str
    """As YYYY-MM-DD; empty between editions, when the last release of a record takes its place."""
    edition: str = ""
    """The edition's name; empty for the state between editions."""
    address: Address | None = None
    """Where the site will stand, if that was said."""

    @property
    def title(self) -> str:
        """As a citation begins."""
        named = f", edition {self.version}" if self.edition else ""
        return f"{self.publisher}: an inventory of pipe organs and of the pipes their stops share{named}"

    @property
    def about(self) -> str:
        """In a sentence or two."""
        state = (
            f"Frozen data of edition {self.version}, “{self.edition}”."
            if self.edition
            else "The state of the records between editions; cite an edition where figures must not move."
        )
        return (
            "Instruments, their makers, places, history and sources, and for each the scheme of what its stops ask of "
            "which pipes, as tables with a data dictionary. " + state
        )
