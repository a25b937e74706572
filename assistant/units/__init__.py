"""Units: the one registry, measures as they were spoken, conversion and rounding for speech.

Takes decimal strings with a spoken unit name; gives `Measure` values and pint quantities. Torque is
kept apart from energy by its kind, US from imperial by name; a bare quart, pint, gallon or fluid
ounce, and a bare degree, cannot be converted until somebody has settled which one is meant.
"""
