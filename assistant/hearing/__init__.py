"""hearing."""
