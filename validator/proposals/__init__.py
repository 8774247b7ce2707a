"""Whole designs found for a survey: the shop's usual one, moved as little as makes it hold."""
