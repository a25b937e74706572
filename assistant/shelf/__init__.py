"""shelf."""
