"""The drawing as a picture or as PDF, for what cannot show SVG; needs the extra `png`."""

_DOTS = 150.0  # an inch of paper


class PictureError(Exception):
    """No picture can be made."""


def png(svg: str) -> bytes:
    """Return a drawing as a PNG picture, 150 dots an inch.

    Args:
        svg: What `draw` returned.

    Raises:
        PictureError: The library that makes pictures is not installed.
    """
    return _made(svg, "svg2png", dpi=_DOTS, scale=1.0)


def pdf(svg: str) -> bytes:
    """Return a drawing as a PDF of one page, true to its size.

    Args:
        svg: What `draw` returned.

    Raises:
        PictureError: The library that makes it is not installed.
    """
    return _made(svg, "svg2pdf")


def _made(svg: str, how: str, **options: float) -> bytes:
    try:
        import cairosvg  # noqa: PLC0415  # an extra that only pictures need
    except (ImportError, OSError) as error:  # OSError: the package is there, the cairo library not
        raise PictureError(
            "A picture needs the library CairoSVG, which is not installed or does not find cairo; "
            'install it with `python -m pip install "paneproof[png]"`, or use the SVG.'
        ) from error
    made = getattr(cairosvg, how)(bytestring=svg.encode("ascii"), **options)
    if not isinstance(made, bytes):
        raise PictureError("CairoSVG made no picture; use the SVG.")
    return made
