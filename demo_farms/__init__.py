"""Invented farms of an invented valley; see `generate.py` for how their synthetic scores are made."""
