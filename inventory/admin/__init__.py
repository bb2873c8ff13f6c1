"""The back office: every aggregate, saved through actions."""

from . import people, records, rows, words  # noqa: F401  each registers its pages
