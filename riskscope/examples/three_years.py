"""A site over three years: how rises have gone, what work has cured, what is due. The demo site, all invented."""

import riskscope
from riskscope.demo import folder

site = riskscope.rank(folder(), on="2026-06-01")
for name in ("trend", "work_done", "due"):
    rows = site.table(name)
    print(f"{name}: {len(rows)} rows")
    print(rows.iloc[:5, :6].to_string(index=False), end="\n\n")
