"""An hour of other people: talk, telephone, radio and noise into the whole ear while a job runs."""
