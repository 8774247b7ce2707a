"""The printable job sheet: one HTML file, and the PDF made of it."""

from .page import READERS, digest_of, sheet_html
from .pdf import PdfError, sheet_pdf

__all__ = ["READERS", "PdfError", "digest_of", "sheet_html", "sheet_pdf"]
