"""What several pages show."""
