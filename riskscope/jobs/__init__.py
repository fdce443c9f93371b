"""Jobs: the only thing a command or a page calls. Paths, settings and a day in; a result out."""
