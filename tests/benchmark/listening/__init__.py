"""How well what the assistant says is understood: every sentence rendered, two recognisers listen.

They stand in for a mechanic's ears, at one and a half times the speed and beside an idling engine: what
neither of them understands is worded badly.
"""
