"""What reading, checking and compiling the books takes, in a fresh process; prints JSON, ms.

Run by itself by the start-up measurement, so that nothing is warm: times hold the first use of
every cache. They are processor time, which a busy machine changes least. Proofs are left unread,
as in a review.
"""

import json
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

took: dict[str, float] = {}


@contextmanager
def phase(name: str) -> Iterator[None]:
    """Time a phase."""
    start = time.process_time()
    yield
    took[name] = (time.process_time() - start) * 1000.0


with phase("import what a review needs"):
    from ruleset import assemble
    from ruleset.book_reader import read_book
    from ruleset.hands import shapes
    from ruleset.plan import plan
    from ruleset.program import compile_plan
    from ruleset.reader import read_file
    from ruleset.turns import HAND
    from validator import Rules, load_job, review
    from validator.arrangements import FOLDER as ARRANGEMENTS
    from validator.books import read_layers
    from validator.functions import FUNCTIONS
    from validator.plugins import load_plugins
    from validator.shipped import shipped_books, shipped_rules
    from validator.verdict import judge, shape_of


def main(job_file: str) -> None:
    """Do what a review does, step by step.

    Args:
        job_file: The job.
    """
    skip = ("proofs",)
    with phase("find plugins"):
        plugins = load_plugins()
    with phase("read YAML of the books"):
        nodes = [read_file(file, skip=skip) for file in shipped_books()]
    with phase("make books of it, parse formulas"):
        books = [read_book(node) for node in nodes]
    with phase("check all books together"):
        library = assemble(books, FUNCTIONS)
    with phase("read the code sets"):
        codes = read_layers((shipped_rules() / "codes",), skip=skip)
    folders = (shipped_rules() / ARRANGEMENTS,)
    rules = Rules(library=library, codes=codes, plugins=plugins, folders=folders)
    with phase("read the job and its kit"):
        job = load_job(Path(job_file), rules)
    with phase("lay its code sets over the books"):
        named = [rules.codes[name] for name, _ in job.codes]
        rules.under(named)
    with phase("bind its arrangement to them"):
        bound = rules.bound(job.arrangement, named)
    with phase("write the rules out for its shape"):
        hand = job.values[HAND].text
        (shape,) = shapes(bound, shape_of(job, bound), hand)
        made = plan(bound, shape)
    with phase("generate and compile the program"):
        compile_plan(bound, made)
    judge(job, rules)
    with phase("its verdict, all compiled"):
        judge(job, rules)
    with phase("its whole review, all compiled"):
        review(job, rules)
    read = f"{len(library.clauses)} clauses, {len(library.workings)} workings"
    json.dump({"took": took, "read": read}, sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1])
