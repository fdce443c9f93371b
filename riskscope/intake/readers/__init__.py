"""Bytes to grids of text cells, by kind of file."""
