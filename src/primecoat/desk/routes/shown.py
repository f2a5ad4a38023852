"""A picture to look at, as the desk gives it out: PNG, and what is said of it in headers."""

from __future__ import annotations

from starlette.responses import Response

from primecoat.report.shown.picture import ShownPicture


def png_response(made: ShownPicture) -> Response:
    r"""Return a picture with its label, its words and how exact it is.

    Examples
    --------
    >>> facts = dict(width=1, height=1, box=(0, 0, 4, 4), exact=True, block=4.0, not_finite=0)
    >>> made = ShownPicture(png=b"", display=None, label="none", words=("Mean of 4 × 4.",), **facts)
    >>> headers = png_response(made).headers
    >>> headers["X-Block"], headers["X-Words"]
    ('4.000', 'Mean of 4 \\xd7 4.')
    """
    words = " ".join(made.words).encode("ascii", "backslashreplace").decode("ascii")
    headers = {
        "X-Exact": str(int(made.exact)),
        "X-Block": f"{made.block:.3f}",
        "X-Not-Finite": str(made.not_finite),
        "X-Label": made.label,
        "X-Words": words,
    }
    if made.scale is not None:
        headers["X-Scale"] = f"{made.scale.low:g},{made.scale.high:g}"
    return Response(made.png, media_type="image/png", headers=headers)
