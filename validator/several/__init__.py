"""Several jobs at once: one order list, one delivery, and one cut list over the shop's offcuts."""
