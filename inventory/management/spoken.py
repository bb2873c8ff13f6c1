"""What all commands of the house are made on: their words are said in the language that is active."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandParser


class SpokenCommand(BaseCommand):
    """A command whose `help` may be a lazy translation, and whose arguments say theirs through gettext.

    A class is made before any language is active, so `help` must be lazy; argparse wants plain text, so it becomes
    text when the parser is made. `add_arguments` runs at that moment too: there `gettext` is right.
    """

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        """Django's parser, with the purpose of the command in words of the language now active."""
        self.help = str(self.help)
        return super().create_parser(prog_name, subcommand, **kwargs)
