"""Settings of what a report looks like and whose it is."""

from __future__ import annotations

from dataclasses import dataclass

from riskscope.errors import WrongUsage
from riskscope.settings.core import setting

PAPERS = ("A4", "Letter")


@dataclass(frozen=True)
class Layout:
    """Organisation, report number, signatures, paper."""

    organisation: str = setting("", "Name of the organisation on reports.")
    logo: str = setting("", "Picture file shown on reports, from the folder at hand.")
    report_number: str = setting("", "Number printed on reports.")
    signatures: str = setting("Thermographer; Responsible person", "Signature lines of reports, with ; between.")
    paper: str = setting("A4", "Paper of PDF reports: A4 or Letter.")

    def __post_init__(self) -> None:
        if self.paper not in PAPERS:
            raise WrongUsage(f"setting paper must be {' or '.join(PAPERS)}; got {self.paper!r}.")

    @property
    def signature_lines(self) -> list[str]:
        return [line.strip() for line in self.signatures.split(";") if line.strip()]
