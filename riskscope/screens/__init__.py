"""The app's pages: they show what the jobs return and compute nothing of their own."""
