"""Formulas: text in, one typed tree out, and the readings of that tree."""
