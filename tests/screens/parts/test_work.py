"""Long work as a page sees it."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from streamlit.testing.v1 import AppTest

from riskscope.jobs import background

STATES = {1: "failed", 2: "done", 3: "done"}


def script() -> None:
    from types import SimpleNamespace
    from typing import Any

    import streamlit as st

    from riskscope.screens.parts import work

    here: Any = SimpleNamespace(store=None, actor=None)
    if "begun" not in st.session_state:
        st.session_state["begun"] = True
        for number in (1, 2, 3):
            task: Any = SimpleNamespace(id=number)
            work.follow(task)
    work.watch(here)
    st.write(work.done())


def test_of_several_jobs_each_is_told_of_once_the_one_that_failed_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def state(store: object, actor: object, number: int) -> SimpleNamespace:
        return SimpleNamespace(id=number, state=STATES[number], result=f"job {number}")

    monkeypatch.setattr(background, "state", state)
    app = AppTest.from_function(script).run()
    assert [error.value for error in app.error] == ["It did not work: job 1"]
    assert app.markdown[0].value == "job 2; job 3"
    app.run()
    assert not app.error
    assert app.markdown[0].value == ""
