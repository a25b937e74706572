"""Microphone and loudspeaker as one stream of one card, the echo of the one taken out of the other."""
