"""English: what a reply sounds like, numbers and units as words."""
