"""What leaves the tool: the result tables."""
