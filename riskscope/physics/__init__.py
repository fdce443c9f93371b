"""Physics of a heated joint: arrays in, arrays out, the unit on every line."""
