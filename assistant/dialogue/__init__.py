"""dialogue."""
