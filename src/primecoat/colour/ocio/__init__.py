"""The door to OpenColorIO: configs, spaces, exact conversions and views; arrays in and out.

All maths here runs unoptimised (``OPTIMIZATION_NONE``), so that stored and compared numbers
do not depend on the library's shortcuts (which move an sRGB decode by up to 2.4e-5).
"""

from primecoat.colour.defaults import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.colour.ocio.configs import (
    config_name,
    is_built_in,
    library_version,
    load_config,
)
from primecoat.colour.ocio.convert import conversion_id, convert, convert_rows
from primecoat.colour.ocio.kept import kept_by_config
from primecoat.colour.ocio.processors import Floats
from primecoat.colour.ocio.spaces import (
    has_space,
    match_space,
    space_by_name,
    space_in_config,
    spaces_by_transform,
)
from primecoat.colour.ocio.views import (
    against_view,
    check_view,
    default_view_transform,
    display_reading,
    display_xyz,
    through_view,
    view_id,
)

__all__ = [
    "DEFAULT_CONFIG",
    "DEFAULT_DISPLAY",
    "DEFAULT_VIEW",
    "Floats",
    "against_view",
    "check_view",
    "config_name",
    "conversion_id",
    "convert",
    "convert_rows",
    "default_view_transform",
    "display_reading",
    "display_xyz",
    "has_space",
    "is_built_in",
    "kept_by_config",
    "library_version",
    "load_config",
    "match_space",
    "space_by_name",
    "space_in_config",
    "spaces_by_transform",
    "through_view",
    "view_id",
]
