"""How the sheet looks: black on white, in lengths of print, for paper first and screen second."""

from ..drawing.drafting import PageSize
from .markup import css_string

SMALLEST = 9.0
"""Smallest letters on the sheet, points."""


def style_sheet(paper: PageSize, *, job: str, release: str, day: str) -> str:
    """Return the style sheet.

    Args:
        paper: The sheet to print on.
        job: What stands at the head of every page, left; any text.
        release: What stands there on the right.
        day: What stands at the foot, left.
    """
    # A margin box is cut where it would push the other off the page.
    margins = {"top-left": job[:60], "top-right": release, "bottom-left": day}
    boxes = "".join(
        f"@{where} {{ content: {css_string(said)}; {_BOX} }}\n" for where, said in margins.items()
    )
    size = f"{paper.width}mm {paper.height}mm"
    drawing = f"width: {paper.width}mm; height: {paper.height - 0.2}mm"
    return f"""
@page {{ size: {size}; margin: 15mm 14mm 14mm;
{boxes}@bottom-right {{ content: "Page " counter(page) " of " counter(pages); {_BOX} }} }}
@page drawing {{ size: {size}; margin: 0;
{"".join(f"@{where} {{ content: none }} " for where in (*margins, "bottom-right"))} }}
{_SHEET}
@media print {{ .drawing svg {{ {drawing} }} }}
"""


_BOX = f"font: {SMALLEST}pt Arial, Helvetica, 'Liberation Sans', sans-serif; color: #000"

_SHEET = """
* { box-sizing: border-box; }
html { font: 10pt/1.35 Arial, Helvetica, 'Liberation Sans', sans-serif; color: #000;
  background: #fff; }
body { margin: 0; overflow-wrap: break-word; }
main { display: block; }
h1, h2, h3 { line-height: 1.15; break-after: avoid; margin: 0; }
h1 { font-size: 20pt; }
h2 { font-size: 14pt; margin: 8mm 0 2mm; padding-bottom: 1mm; border-bottom: 0.6mm solid #000; }
h3 { font-size: 11pt; margin: 4mm 0 1mm; }
p { margin: 0 0 1.5mm; orphans: 3; widows: 3; }
ul, ol { margin: 0; padding-left: 5mm; }
dl, dt, dd { margin: 0; }
bdi { overflow-wrap: anywhere; }
.title { font-size: 13pt; margin: 1mm 0 3mm; }
.fine { font-size: 9pt; font-weight: normal; }
.name { overflow-wrap: anywhere; }
.note { font-style: italic; }
.keep { break-inside: avoid; }
.together { break-inside: avoid; break-after: avoid; }

.job { border-top: 0.3mm solid #000; padding-top: 2mm; }
.job > div, .findings dl > div { position: relative; padding-left: 30mm; margin-bottom: 0.8mm; }
.job dt, .findings dt { position: absolute; left: 0; font-weight: bold; }
.release { border: 0.9mm solid #000; padding: 3mm 4mm; margin-top: 4mm; break-inside: avoid; }
.release h2 { font-size: 16pt; margin: 0 0 1.5mm; padding: 0; border: 0; }
.release p:last-child { margin: 0; }

.findings { list-style: none; padding: 0; }
.findings > li { position: relative; padding: 2.5mm 0 1.5mm 11mm; break-inside: avoid;
  border-top: 0.2mm solid #000; }
.findings .mark { position: absolute; left: 0; top: 2mm; width: 7.5mm; height: 7.5mm; }
.findings .says { font-size: 11pt; font-weight: bold; }
.findings dl > div { padding-left: 17mm; }
.findings dl ul { list-style: none; padding: 0; }

table { width: calc(100% - 0.5mm); border-collapse: collapse; margin: 0 0 3mm; }
caption { text-align: left; font-weight: bold; padding: 2mm 0 1mm; break-after: avoid; }
caption h3 { margin: 1mm 0 0; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { text-align: left; vertical-align: top; padding: 1mm 1.5mm; border: 0.2mm solid #000; }
thead th { border-bottom-width: 0.5mm; font-weight: bold; }
tbody th { font-weight: normal; }
td p { margin: 1mm 0 0; }
td ul { margin-top: 1mm; padding-left: 4mm; }
.few { width: auto; min-width: 60%; max-width: calc(100% - 0.5mm); }
.part { width: 16mm; }
.grid td, .few td { white-space: nowrap; }
.grid td.lacks, .few td.lacks { white-space: normal; }
.mark { width: 15mm; }
.waits { width: 30mm; }
.write { width: 30mm; }
.sign { width: 26mm; }
.shows { width: 28mm; }
.tick, .after { width: 14mm; }
.tick { text-align: center; }
.signatures thead th { width: auto; }
.short { display: flex; flex-wrap: wrap; column-gap: 6mm; padding-top: 1mm; }
.short > div { padding-left: 0; }
.short dt { position: static; display: inline; }
.short dt::after { content: ": "; }
.short dd { display: inline; }
.client h1, .glass h1, .site h1 { font-size: 14pt; }
.client h2 { margin-top: 2mm; font-size: 12pt; }
.client { font-size: 9pt; }
.client caption h3 { font-size: 9.5pt; margin: 0; }
.client th, .client td, .glass th, .glass td { padding: 0.4mm 1.2mm; }
.survey { font-size: 9pt; line-height: 1.15; }
.survey .small-drawing svg { width: 82%; margin: 0 auto; }
.survey h1 { font-size: 14pt; }
.survey h2 { font-size: 12pt; margin-top: 1mm; }
.survey h3 { font-size: 9.5pt; margin: 1mm 0 0.3mm; }
.ask { display: flex; gap: 2mm; margin: 0; min-height: 7.2mm; break-inside: avoid; }
.ask > span:first-child { flex: 1 1 auto; }
.blank { flex: 0 0 24mm; border: 0.3mm solid #000; margin-bottom: 0.5mm; }
.beside { display: flex; column-gap: 4mm; }
.beside > div { flex: 3 1 26%; }
.beside > div:last-child { flex: 4 1 40%; }
.client td br { display: none; }
.beside .few { min-width: 0; width: 100%; }
.beside .few td { white-space: normal; }
.client p, .glass p { margin-bottom: 0.8mm; }
.glass { font-size: 9pt; line-height: 1.25; }
.client h1 { font-size: 12pt; }
.office .grid td, .office .grid th, .office .few td, .office .few th, .office .block td,
.office .block th { padding: 0.4mm 1.2mm; line-height: 1.2; }
.laid { columns: 2; column-gap: 6mm; }
.laid .grid, .laid .few { min-width: 0; width: 100%; max-width: 100%; }
.laid .part, .beside .part { display: none; }
.small-drawing svg { width: 100%; display: block; }
.standing { font-weight: bold; font-size: 12pt; margin: 2mm 0; }
.signs td { height: 11mm; width: 33%; }
.box { width: 5.5mm; height: 5.5mm; }
.measure td { height: 10mm; }
.holds td { height: 7mm; }
.holds { font-size: 9pt; line-height: 1.15; table-layout: fixed; }
.holds .mark { width: 22mm; }
.holds .shows { width: 36mm; }
.holds .write { width: 27mm; }
.holds .sign { width: 22mm; }
.holds th, .holds td { padding: 0.4mm 1mm; }
.holds td p { margin: 0; }
.site .whose { display: none; }
.steps { columns: 2; column-gap: 6mm; list-style: none; padding: 0; font-size: 9pt;
  line-height: 1.14; }
.steps > li { border-top: 0.2mm solid #000; padding: 0.5mm 0; break-inside: avoid; }
.steps p { margin: 0; }
.keep ul { columns: 2; column-gap: 6mm; font-size: 9pt; }
.steps .box { width: 4.5mm; height: 4.5mm; margin-right: 2mm; vertical-align: -0.8mm; }
.site { font-size: 9pt; line-height: 1.2; }
.site p { margin-bottom: 0.6mm; }
.site h2 { margin-top: 4mm; font-size: 12pt; }
.site .part, .site .grid { width: auto; }
.site .few td, .site .few th, .site .grid td, .site .grid th { padding: 0.2mm 1mm;
  line-height: 1.12; }
.write p { min-height: 5mm; }
.signatures td { height: 15mm; }
.signatures th { width: 56mm; }
.signatures td:nth-child(2) { width: 32mm; }

.drawing { page: drawing; break-before: page; break-after: page; }
.drawing + section h2 { margin-top: 0; }
.drawing svg { display: block; max-width: 100%; height: auto; margin: 0 auto; }

@media print {
  .aside { position: absolute; width: 1px; height: 1px; margin: 0; padding: 0; border: 0;
    overflow: hidden; clip: rect(0 0 0 0); }
  main > section:first-of-type { break-before: auto; }
}
@media screen {
  main { max-width: 190mm; margin: 0 auto; padding: 8mm 5mm 20mm; }
  section { overflow-x: auto; }
}
@media screen and (max-width: 600px) {
  html { font-size: 16px; }
  main { padding: 4mm 3mm 15mm; }
  .fine, .steps, .holds, .client, .glass, .site, .survey, .keep ul { font-size: 14px; }
  .steps, .laid, .keep ul { columns: 1; }
  .beside { display: block; }
  .holds { table-layout: auto; }
  .grid td, .few td { white-space: normal; }
  table { width: 100%; }
  th, td { overflow-wrap: anywhere; min-width: 3.2em; }
  .write, .sign, .shows, .signatures th { width: auto; }
  .drawing svg, .small-drawing svg { min-width: 170mm; max-width: none; }
  .drawing, .small-drawing { overflow: auto; touch-action: pan-x pan-y pinch-zoom; }
}
"""
