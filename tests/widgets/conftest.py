import asyncio

import pytest


@pytest.fixture(autouse=True)
def at_once(monkeypatch):
    """Draw pictures at once, as where no loop runs.

    A browser that another test keeps open runs one in this very thread, in which
    nothing that is put off would be done before the test ends.
    """

    def none():
        raise RuntimeError("no running event loop")

    monkeypatch.setattr(asyncio, "get_running_loop", none)
