"""What the user's own findings teach: posteriors by state of record, and a model where it earns its place."""
