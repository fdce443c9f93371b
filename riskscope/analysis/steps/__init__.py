"""One file a step; `riskscope.analysis.assess` is their list."""
