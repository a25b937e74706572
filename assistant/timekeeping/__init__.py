"""timekeeping."""
