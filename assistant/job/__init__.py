"""The job: what happened (events), what that makes true (state), and what may happen next (decide).

Takes commands with a given instant, gives events; the state is a fold over the events and nothing
else is stored. Reads no clock, file or random number.
"""
