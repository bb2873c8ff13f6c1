"""The tables of the exported demo behind the desk's pages, and people who look at them."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pandas as pd
import pytest
from django.test import Client

from publishing.desk import statistics_views, study_views
from publishing.desk.figures import Figures
from publishing.statistics import figures
from publishing.statistics.choosing import View
from publishing.statistics.frames import Frames
from publishing.statistics.rows import NAMES


@pytest.fixture(scope="session")
def demo_tables(demo_site) -> Frames:
    """The tables of the demo as they are downloaded from the catalogue."""
    folder = demo_site / "statistics"
    return Frames(View(), **{name: pd.read_parquet(folder / f"as-found-{name}.parquet") for name in NAMES})


@pytest.fixture
def show_tables(monkeypatch):
    """Lets the desk's pages show given tables, whatever the database holds."""

    def show(read) -> None:
        for place in (statistics_views, study_views):
            monkeypatch.setattr(place, "read_figures", read)
        monkeypatch.setattr("publishing.desk.api.read_figures", read)

    monkeypatch.setattr(figures, "RESAMPLES", 100)  # how often is not what is looked at here
    return show


@pytest.fixture
def demo(demo_tables, show_tables, people, settings, tmp_path):
    """Clients by role, over the demo's tables."""
    makers = dict(zip(demo_tables.counted["maker"], demo_tables.counted["maker_name"], strict=True))
    makers.pop("", None)
    show_tables(lambda view: Figures(replace(demo_tables, view=view), {}, makers))
    settings.DATA_DIR = tmp_path
    clients = {}
    for role in ("reader", "surveyor", "curator", "editor"):
        clients[role] = Client()
        clients[role].force_login(getattr(people, role))
    return SimpleNamespace(**clients)
