"""An in-line slider worked out a second time, by somebody who has not read the books' formulas.

Doors are drawn as rectangles, turned and slid between leaning, bowed walls; the bar is solved by a
stiffness matrix; areas and second moments are integrals. Only `names` knows what the tool calls
anything, and there each difference that is known stands with its reason.
"""

from . import names
from .draw import draw
from .said import fact_values, model_of
from .work import work

__all__ = ["draw", "fact_values", "model_of", "names", "work"]
