"""Reviews designs of frameless glass shower enclosures against books of trade rules.

rules = load_rules()
job = load_job(Path("job.yaml"), rules)
print(review(job, rules).release)

Each name below is loaded when it is first used, so that the import itself costs next to nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .arrangements import load_arrangement as load_arrangement
    from .blank import blank_job as blank_job
    from .blank import blank_kit as blank_kit
    from .books import Rules as Rules
    from .books import load_rules as load_rules
    from .changes import Since as Since
    from .changes import since as since
    from .day import on_day as on_day
    from .drawing import PictureError as PictureError
    from .drawing import draw as draw
    from .drawing import pdf as pdf
    from .drawing import png as png
    from .finding import Asked as Asked
    from .finding import Assumed as Assumed
    from .finding import Finding as Finding
    from .finding import Release as Release
    from .finding import Review as Review
    from .finding import Waiver as Waiver
    from .hooks import hook as hook
    from .job import Job as Job
    from .job import load_job as load_job
    from .job import load_job_data as load_job_data
    from .job import load_job_text as load_job_text
    from .job_sheet import PdfError as PdfError
    from .job_sheet import sheet_html as sheet_html
    from .job_sheet import sheet_pdf as sheet_pdf
    from .kit import Kit as Kit
    from .kit import load_kit as load_kit
    from .pane_drawing import PaneError as PaneError
    from .pane_drawing import draw_pane_page as draw_pane_page
    from .pane_drawing import notes_of as notes_of
    from .pane_drawing import pane_dxf as pane_dxf
    from .pane_drawing import shape_of as shape_of
    from .proposals.find import Proposals as Proposals
    from .proposals.find import propose as propose
    from .proposals.wishes import Survey as Survey
    from .proposals.wishes import read_survey as read_survey
    from .proving import prove_arrangement as prove_arrangement
    from .proving import prove_rules as prove_rules
    from .remedy import Remedies as Remedies
    from .remedy import remedies as remedies
    from .remedy import with_remedies as with_remedies
    from .remedy import write_remedy as write_remedy
    from .report.brief import brief_text as brief_text
    from .report.data import review_data as review_data
    from .report.junit import junit_text as junit_text
    from .report.lines import review_lines as review_lines
    from .report.output_schemas import output_schema as output_schema
    from .report.page import clause_list as clause_list
    from .report.page import clause_page as clause_page
    from .report.propose_text import propose_json as propose_json
    from .report.propose_text import propose_text as propose_text
    from .report.sarif import sarif_text as sarif_text
    from .report.several import several_csv as several_csv
    from .report.several import several_json as several_json
    from .report.several import several_text as several_text
    from .report.takeoff_data import setting_out_data as setting_out_data
    from .report.takeoff_data import takeoff_data as takeoff_data
    from .report.text import review_text as review_text
    from .reviewing import review as review
    from .reviewing import review_kit as review_kit
    from .reviewing import review_verdict as review_verdict
    from .schemas import schema as schema
    from .settingout import SettingOut as SettingOut
    from .settingout import setting_out as setting_out
    from .several.gathering import Gathered as Gathered
    from .several.gathering import gather as gather
    from .take_off import Takeoff as Takeoff
    from .take_off import style_in as style_in
    from .take_off import takeoff as takeoff
    from .verdict import Verdict as Verdict
    from .verdict import judge as judge

_FROM = {
    "arrangements": ("load_arrangement",),
    "blank": ("blank_job", "blank_kit"),
    "books": ("Rules", "load_rules"),
    "changes": ("Since", "since"),
    "day": ("on_day",),
    "drawing": ("PictureError", "draw", "pdf", "png"),
    "finding": ("Asked", "Assumed", "Finding", "Release", "Review", "Waiver"),
    "hooks": ("hook",),
    "job": ("Job", "load_job", "load_job_data", "load_job_text"),
    "job_sheet": ("PdfError", "sheet_html", "sheet_pdf"),
    "kit": ("Kit", "load_kit"),
    "pane_drawing": ("PaneError", "draw_pane_page", "pane_dxf", "notes_of", "shape_of"),
    "proving": ("prove_arrangement", "prove_rules"),
    "remedy": ("Remedies", "remedies", "with_remedies", "write_remedy"),
    "report.brief": ("brief_text",),
    "report.data": ("review_data",),
    "report.junit": ("junit_text",),
    "report.lines": ("review_lines",),
    "report.output_schemas": ("output_schema",),
    "report.page": ("clause_list", "clause_page"),
    "proposals.find": ("Proposals", "propose"),
    "proposals.wishes": ("Survey", "read_survey"),
    "report.propose_text": ("propose_json", "propose_text"),
    "report.sarif": ("sarif_text",),
    "report.takeoff_data": ("setting_out_data", "takeoff_data"),
    "report.text": ("review_text",),
    "reviewing": ("review", "review_kit", "review_verdict"),
    "schemas": ("schema",),
    "settingout": ("SettingOut", "setting_out"),
    "several.gathering": ("Gathered", "gather"),
    "report.several": ("several_csv", "several_json", "several_text"),
    "take_off": ("Takeoff", "style_in", "takeoff"),
    "verdict": ("Verdict", "judge"),
}
_WHERE = {name: module for module, names in _FROM.items() for name in names}
__all__ = sorted(_WHERE)  # noqa: PLE0605  # the table above is the one list


def __getattr__(name: str) -> object:
    """Return a public name, loaded when it is first used."""
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found: object = getattr(import_module(f".{_WHERE[name]}", __name__), name)
    globals()[name] = found
    return found
