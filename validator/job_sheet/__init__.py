"""The printable job sheet: one HTML file, and the PDF made of it."""

from .page import sheet_html
from .pdf import PdfError, sheet_pdf

__all__ = ["PdfError", "sheet_html", "sheet_pdf"]
