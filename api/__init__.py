"""Fairlead's web side: the trade's rules, the data, the use cases and the HTTP surface."""
