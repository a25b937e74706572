"""How well the ear hears, beside other recognisers on the same sound: `python -m tests.benchmark hearing`."""
