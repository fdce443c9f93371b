"""A site over three years: how rises have gone, what work has done, what is due. The demo site, all invented."""

import riskscope
from riskscope.demo import folder

site = riskscope.rank(folder(), on="2026-06-01")


def show(title: str, table: str, columns: str, rows: int = 6) -> None:
    frame = site.table(table)
    print(title)
    print(frame[columns.split()].head(rows).to_string(index=False, float_format="{:.1f}".format))
    print(f"  {max(0, len(frame) - rows)} more\n")


show(
    "Rises since the last work, at the load of the latest reading; a slope needs four surveys:",
    "trend",
    "connection_id surveys last_rise_k change_k change_low_k change_high_k slope_k_per_year",
)
show("What work has done:", "work_done", "connection_id work_date what before_severity after_severity effect")
show("What is due, what must not wait first:", "due", "equipment connection_id due last_seen due_on")
