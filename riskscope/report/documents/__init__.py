"""What each report, sheet and card says, as blocks."""
