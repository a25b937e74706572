"""reckoning."""
