"""The job sheet as PDF, for whoever has no browser at hand; needs the extra `pdf`."""


class PdfError(Exception):
    """No PDF can be made."""


def sheet_pdf(html: str) -> bytes:
    """Return a job sheet as PDF, tagged for screen readers.

    Args:
        html: What `sheet_html` returned; nothing that it may name outside is fetched.

    Raises:
        PdfError: The library that makes PDF is not installed.
    """
    try:
        from weasyprint import HTML, URLFetcher  # noqa: PLC0415  # an extra that only PDF needs
    except (ImportError, OSError) as error:  # OSError: the package is there, the pango library not
        raise PdfError(
            "A PDF needs the library WeasyPrint, which is not installed or does not find pango; "
            'install it with `python -m pip install "paneproof[pdf]"`, or print the HTML from a '
            "browser."
        ) from error
    nothing = URLFetcher(allowed_protocols=())
    made = HTML(string=html, url_fetcher=nothing).write_pdf(pdf_tags=True)
    if not isinstance(made, bytes):
        raise PdfError("WeasyPrint made no PDF; print the HTML from a browser.")
    return made
