"""Settings refuse bad values with the remedy; the secret key is made once."""

import os
import stat
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from inventory.environment import env_bool, env_int, env_list, env_path, secret_key

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("text, meant", [("yes", True), ("TRUE", True), ("0", False), ("", False)])
def test_a_yes_or_no_is_read(monkeypatch, text, meant):
    monkeypatch.setenv("X", text)
    assert env_bool("X", not meant) is meant


def test_values_that_cannot_be_meant_are_refused_with_the_remedy(monkeypatch, tmp_path):
    monkeypatch.setenv("X", "perhaps")
    with pytest.raises(ImproperlyConfigured, match="'perhaps'; write yes or no"):
        env_bool("X", True)
    with pytest.raises(ImproperlyConfigured, match="whole number such as 20"):
        env_int("X", 20, lowest=1, highest=600)
    monkeypatch.setenv("X", "601")
    with pytest.raises(ImproperlyConfigured, match="from 1 to 600"):
        env_int("X", 20, lowest=1, highest=600)
    monkeypatch.setenv("X", "example.org, *")
    with pytest.raises(ImproperlyConfigured, match="name the hosts"):
        env_list("X", [])
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("X", str(tmp_path / "file"))
    with pytest.raises(ImproperlyConfigured, match="name a folder"):
        env_path("X", tmp_path)


def test_the_secret_key_is_made_once_and_readable_by_its_owner_only(tmp_path, monkeypatch):
    monkeypatch.delenv("SECRET_KEY", raising=False)
    first = secret_key(tmp_path)
    assert secret_key(tmp_path) == first and len(first) >= 50
    assert stat.S_IMODE((tmp_path / "secret_key").stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir()] == ["secret_key"]


def test_processes_that_start_together_agree_on_the_key(tmp_path):
    code = (
        "import sys; from pathlib import Path; from inventory.environment import secret_key; "
        "print(secret_key(Path(sys.argv[1])))"
    )
    environment = {key: value for key, value in os.environ.items() if key != "SECRET_KEY"}

    def start(_number: int) -> str:
        return subprocess.run(
            [sys.executable, "-c", code, str(tmp_path)],
            cwd=ROOT,
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        ).stdout

    with ThreadPoolExecutor(6) as pool:
        assert len(set(pool.map(start, range(6)))) == 1


@pytest.mark.parametrize("key", ["short", "django-insecure-" + "x" * 60])
def test_a_weak_secret_key_is_refused(tmp_path, monkeypatch, key):
    monkeypatch.setenv("SECRET_KEY", key)
    with pytest.raises(ImproperlyConfigured, match="at least 50"):
        secret_key(tmp_path)


@pytest.mark.parametrize(
    "url, said", [("mysql://u@h/d", "only sqlite and postgres"), ("nonsense", "postgres://")]
)
def test_a_database_that_is_not_supported_is_refused(url, said, tmp_path):
    environment = {**os.environ, "DATABASE_URL": url, "UPPERBOARD_DATA": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "manage.py", "check"], cwd=ROOT, env=environment, capture_output=True, text=True
    )
    assert done.returncode != 0 and said in done.stderr
