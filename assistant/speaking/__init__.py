"""speaking."""
