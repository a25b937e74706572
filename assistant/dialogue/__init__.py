"""The dialogue: what an utterance means now.

Takes the state, what was heard and an instant; gives events and replies without wording. Reads no
clock and keeps no memory of its own: what was asked is in the state.
"""
