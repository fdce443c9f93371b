"""Codes and quantities become sentences, for a choice of units. No code is shown to a person bare."""
