"""The glance page: what a job looks like now, served to browsers, with a few words to touch."""
