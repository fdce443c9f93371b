"""The glossary: every table a user brings (`TABLES`) and every result (`results`)."""

from __future__ import annotations

from riskscope.schema import (
    boxes,
    connections,
    deferrals,
    equipment,
    findings,
    inspections,
    installs,
    notices,
    outages,
    renamings,
    survey,
    surveys,
    thermograms,
    tools,
)
from riskscope.schema.model import Column, Table

TABLES: dict[str, Table] = {
    module.TABLE.name: module.TABLE
    for module in (
        survey,
        surveys,
        inspections,
        installs,
        tools,
        connections,
        findings,
        deferrals,
        notices,
        renamings,
        equipment,
        outages,
        boxes,
        thermograms,
    )
}

__all__ = ["TABLES", "Column", "Table"]
