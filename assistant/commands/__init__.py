"""The commands of the program, one module each, wired to the rooms."""
