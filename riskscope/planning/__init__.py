"""The outage plan: what fits into the hours and crews there are. Returns data, writes nothing."""
