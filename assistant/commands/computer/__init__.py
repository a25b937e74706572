"""What this computer is checked for, part by part: places, model, voice, loudspeaker, microphone.

Each check measures the real part and returns `Finding` values; none raises for a part that is missing.
"""
