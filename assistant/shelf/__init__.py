"""The shelf: knows where everything lies, and reads what people write by hand.

Gives paths (`places`) and checked values; what is wrong with a file is told with its line and cure.
"""
