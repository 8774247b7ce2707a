"""The drawing as a picture or as PDF, for what cannot show SVG; needs the extra `png`."""

import struct
import zlib

_DOTS = 300.0  # an inch of paper
_INCH = 0.0254  # m


class PictureError(Exception):
    """No picture can be made."""


def png(svg: str) -> bytes:
    """Return a drawing as a PNG picture, 300 dots an inch, which the file says itself.

    Args:
        svg: What `draw` returned.

    Raises:
        PictureError: The library that makes pictures is not installed.
    """
    return _with_dots(_made(svg, "svg2png", dpi=_DOTS, scale=1.0))


def _with_dots(made: bytes) -> bytes:
    """Return a PNG with its dots a metre, so that it prints at its size.

    Source:
        PNG (Third Edition), 11.3.4.3: the chunk pHYs, after IHDR, which is 13 bytes in 25.
    """
    dots = round(_DOTS / _INCH)
    chunk = b"pHYs" + struct.pack(">IIB", dots, dots, 1)
    told = struct.pack(">I", len(chunk) - 4) + chunk + struct.pack(">I", zlib.crc32(chunk))
    after = len(b"\x89PNG\r\n\x1a\n") + 25
    return made[:after] + told + made[after:]


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
