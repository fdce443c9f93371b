"""Changes of the rules on purpose: each must turn a test red. ``python -m tests.long.mutants --help``."""
