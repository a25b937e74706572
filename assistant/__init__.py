"""A hands-free workshop assistant: it speaks the next step, hears readings, reckons and records."""

__version__ = "0.1.0"
