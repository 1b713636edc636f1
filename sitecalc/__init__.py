"""Engineering of a small-wind installation: pure functions and tables.

No Django, no database, no clock, no random state. Each part has a folder; its ``CALCULATIONS``
are what ``python -m sitecalc`` lists. Start with checks.py (what a verdict is) and inputs.py (what
an input is).
"""
