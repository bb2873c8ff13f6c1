"""Values as bytes and back: for workers, and for what is kept beside the data."""

from __future__ import annotations

import hashlib
import pickle
import zlib
from typing import Any


def pack(value: object) -> bytes:
    """A value as bytes; the same value may have several forms, different values never have one."""
    return pickle.dumps(value, pickle.HIGHEST_PROTOCOL)


def pack_small(value: object) -> bytes:
    """A value as few bytes."""
    return zlib.compress(pack(value), 1)


def unpack(packed: bytes) -> Any:
    """A packed value. Only for bytes of our own program: from the same export, or the data folder of the database."""
    return pickle.loads(packed)  # noqa: S301


def unpack_small(packed: bytes) -> Any:
    """A value packed small."""
    return unpack(zlib.decompress(packed))


def digest_of(content: bytes) -> bytes:
    """Eight bytes that tell one part from another."""
    return hashlib.sha256(content).digest()[:8]
