"""phrasing."""
