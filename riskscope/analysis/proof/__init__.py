"""From work to proof: what was done since a finding, and what later readings say of it."""
