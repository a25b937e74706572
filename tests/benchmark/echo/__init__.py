"""A loudspeaker beside the microphone: what of our own voice comes back, and what is heard through it."""
