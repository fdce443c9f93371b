"""The command line: a command parses, calls one job, prints."""
