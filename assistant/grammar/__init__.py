"""grammar."""
