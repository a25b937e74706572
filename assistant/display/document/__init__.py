"""The report of a job to be looked at and handed over: HTML in one file, PDF, CSV, JSON with a schema."""
