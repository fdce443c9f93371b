"""The store: imports, their rows, assessments and jobs, in SQLite or PostgreSQL."""
