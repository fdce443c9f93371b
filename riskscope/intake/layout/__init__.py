"""Where on a sheet the table stands and which it is."""
