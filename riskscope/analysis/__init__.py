"""Analysis: checked tables in, codes and quantities out. `assess` is the list of its steps."""
