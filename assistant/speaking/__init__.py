"""Speaking: text to sound to the loudspeaker, and the short tones.

Takes text that holds words only (numbers are already words) and gives `Sound` values: 16-bit mono samples
at a stated rate. The speech library lives alone in a child process, because it hangs at times and can
then be killed; what it could not say is reported, so that the caller prints it. Without a loudspeaker the
job goes on in print.
"""
