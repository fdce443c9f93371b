"""rank: read the files and assess them, or take the assessment a store has kept."""

from __future__ import annotations

from riskscope.analysis.assessment import Assessment
from riskscope.errors import UnusableInput, WrongUsage
from riskscope.intake.files import folder_of, sources
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_files
from riskscope.jobs.request import Progress, Request, Terms, assess_tables, terms
from riskscope.schema.tables import Tables
from riskscope.store.stamp import Actor, Stamp

__all__ = ["Actor", "Assessment", "Progress", "ReadOptions", "Request", "Stamp", "rank", "read", "terms"]


def rank(request: Request, progress: Progress = lambda text: None) -> Assessment:
    """The assessment of what a request names: made of its files, or the one its store has kept of its rows.

    Raises
    ------
    RiskscopeError
        With one sentence, where the input cannot be used.
    """
    if request.is_from_store:
        from riskscope.jobs.assessed import of_store

        return of_store(request, progress)
    made = terms(request)
    progress("reading files")
    return assess_tables(read(request, made), request, made, progress)


def read(request: Request, made: Terms) -> Tables:
    """The tables of the files a request names."""
    folders = [folder_of(request.folder)] if request.folder is not None else []
    plan = sources(folders, request.read_options, request.files)
    if not plan.files and not folders:
        raise WrongUsage("nothing to read: give a folder, files such as --survey FILE, or a store (--store).")
    if not plan.files:
        raise UnusableInput("holds no CSV, TSV or XLSX file.", file=str(request.folder))
    gap = made.settings.survey_gap_days
    return read_files(plan.files, on=request.on, limits=made.limits, gap_days=gap, notes=plan.notes)
