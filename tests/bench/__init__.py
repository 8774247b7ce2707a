"""Measurements against other ways of doing the same; not tests, and never run by them."""
