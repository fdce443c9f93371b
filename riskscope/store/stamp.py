"""Who works, what they may do and on which sites; who writes, and when."""

from __future__ import annotations

from dataclasses import dataclass

from riskscope.errors import WrongUsage

ROLES = {
    "viewer": "sees",
    "surveyor": "also brings in files and pictures",
    "planner": "also plans, and enters findings, deferrals and notices",
    "keeper": "also corrects, renames, undoes, copies and restores",
}


@dataclass(frozen=True)
class Actor:
    """Who works, what they may do, and the sites they see.

    Attributes
    ----------
    who : str
        The name that is written beside what they write.
    role : str
        One of `ROLES`; each may do what those before it may. On one machine everybody is keeper.
    sites : frozenset of str or None
        None: all.
    """

    who: str
    role: str = "keeper"
    sites: frozenset[str] | None = None

    def needs(self, role: str, *, all_sites: bool = True) -> None:
        """Refuses an actor of a lesser role, or who does not see all sites where the work is on all of them.

        Raises
        ------
        WrongUsage
        """
        if list(ROLES).index(self.role) < list(ROLES).index(role):
            raise WrongUsage(f"{self.who} is {self.role} here: a {role} {ROLES[role]}.")
        if all_sites and self.sites is not None:
            raise WrongUsage(f"{self.who} sees {', '.join(sorted(self.sites))} only: this is about all sites.")


@dataclass(frozen=True)
class Stamp:
    """Who writes, and when: an instant in UTC, ISO 8601."""

    actor: Actor
    at: str

    @property
    def who(self) -> str:
        return self.actor.who
