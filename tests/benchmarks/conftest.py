"""Full-sized benchmarks run only when their folder is named: pytest tests/benchmarks -s."""

from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Skip the slow ones in a run of everything; their small twins stay and assert equality only."""
    if any("benchmarks" in argument for argument in config.args):
        return
    for item in items:
        if HERE in item.path.parents and item.get_closest_marker("slow"):
            item.add_marker(pytest.mark.skip(reason="full size: name tests/benchmarks to run it"))
