"""display."""
