"""The running job on a terminal: the same facts as on the page, as a live view or as plain lines."""
