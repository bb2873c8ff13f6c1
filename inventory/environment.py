"""Reads settings from the environment and refuses bad values, saying what to write instead."""

from __future__ import annotations

import os
import secrets
import tempfile
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

YES, NO = {"1", "true", "yes", "on"}, {"0", "false", "no", "off", ""}
SHORTEST_KEY = 50


def env_bool(name: str, default: bool) -> bool:
    """A yes or no from the environment."""
    value = os.environ.get(name)
    if value is None:
        return default
    if value.lower() in YES:
        return True
    if value.lower() in NO:
        return False
    raise ImproperlyConfigured(f"{name} is {value!r}; write yes or no.")


def env_int(name: str, default: int, *, lowest: int, highest: int) -> int:
    """A whole number from the environment, within stated bounds."""
    value = os.environ.get(name)
    if value is None:
        return default
    try:
        number = int(value)
    except ValueError:
        raise ImproperlyConfigured(f"{name} is {value!r}; write a whole number such as {default}.") from None
    if not lowest <= number <= highest:
        raise ImproperlyConfigured(f"{name} is {number}; write a number from {lowest} to {highest}.")
    return number


def env_choice(name: str, default: str, allowed: tuple[str, ...]) -> str:
    """One of a few words from the environment."""
    value = os.environ.get(name) or default
    if value not in allowed:
        raise ImproperlyConfigured(f"{name} is {value!r}; write one of {', '.join(allowed)}.")
    return value


def env_path(name: str, default: Path) -> Path:
    """A folder from the environment, made if it is not there."""
    path = Path(os.environ.get(name) or default).expanduser()
    if path.exists() and not path.is_dir():
        raise ImproperlyConfigured(f"{name} is {path}, which is a file; name a folder.")
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ImproperlyConfigured(
            f"{name} is {path}, which cannot be made ({error.strerror}); name a folder you may write to."
        ) from None
    return path.resolve()


def env_list(name: str, default: list[str]) -> list[str]:
    """Names separated by commas."""
    value = os.environ.get(name)
    if value is None:
        return default
    names = [part.strip() for part in value.split(",") if part.strip()]
    if "*" in names:
        raise ImproperlyConfigured(f"{name} holds *; name the hosts this server answers to.")
    return names


def secret_key(folder: Path) -> str:
    """The secret key: from SECRET_KEY, or made once in the data folder, readable by its owner only.

    Two processes that start together agree: the key is written whole to a file of its
    own and then linked to its name, which only one of them can do.
    """
    given = os.environ.get("SECRET_KEY")
    if given is not None:
        if len(given) < SHORTEST_KEY or given.startswith("django-insecure-"):
            raise ImproperlyConfigured(
                f"SECRET_KEY has {len(given)} characters; give at least {SHORTEST_KEY} random ones, "
                "or leave it out and one is made in the data folder."
            )
        return given
    path = folder / "secret_key"
    if not path.exists():
        handle, name = tempfile.mkstemp(dir=folder, prefix=".secret_key-")
        try:
            with os.fdopen(handle, "w", encoding="ascii") as file:
                file.write(secrets.token_urlsafe(64))
                file.flush()
                os.fsync(file.fileno())
            try:
                os.link(name, path)
            except FileExistsError:
                pass  # another process was first: its key counts
        finally:
            os.unlink(name)
    key = path.read_text(encoding="ascii").strip()
    if len(key) < SHORTEST_KEY:
        raise ImproperlyConfigured(f"{path} holds {len(key)} characters; delete it and a new key is made.")
    return key
