"""What holds where nobody says otherwise: the config, the display and view, the working space."""

from __future__ import annotations

DEFAULT_CONFIG = "studio-config-v4.0.0_aces-v2.0_ocio-v2.5"
"""The pinned built-in config; loads in OpenColorIO 2.5 and later."""

DEFAULT_DISPLAY = "sRGB - Display"
DEFAULT_VIEW = "ACES 2.0 - SDR 100 nits (Rec.709)"

DEFAULT_TO = "lin_ap1_scene"
"""Color Interop ID of the working space a scene moves to, if nothing else is said."""
