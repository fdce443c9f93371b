"""Published tables as data: one printed row a line, with its source and how sure we are of it."""
