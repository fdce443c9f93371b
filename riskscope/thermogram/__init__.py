"""A thermogram: read, its regions measured, drawn."""
