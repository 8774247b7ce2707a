"""Reviews designs of frameless glass shower enclosures against books of trade rules.

rules = load_rules()
job = load_job(Path("job.yaml"), rules)
print(review(job, rules).release)
"""

from .books import Rules, load_rules
from .finding import Asked, Assumed, Finding, Release, Review, Waiver
from .hooks import hook
from .job import Job, load_job, load_job_text
from .kit import Kit, load_kit
from .review import review, review_kit
from .verdict import Verdict, judge

__all__ = [
    "Asked",
    "Assumed",
    "Finding",
    "Job",
    "Kit",
    "Release",
    "Review",
    "Rules",
    "Verdict",
    "Waiver",
    "hook",
    "judge",
    "load_job",
    "load_job_text",
    "load_kit",
    "load_rules",
    "review",
    "review_kit",
]
