"""One function a verb, for terminal, page and scripts alike; returns frozen values, prints nothing.

A survey of many or large pictures measures them in spawned worker processes; a script that calls
it needs the usual ``if __name__ == "__main__":`` guard.
"""

from typing import TYPE_CHECKING

from primecoat.colour.defaults import DEFAULT_TO
from primecoat.on_demand import load_on_demand

if TYPE_CHECKING:
    from primecoat.workflow.card import read_card, write_card
    from primecoat.workflow.changing import apply, bake_share, plan, recover, undo
    from primecoat.workflow.colours import gains, swatch, views
    from primecoat.workflow.comparing import compare
    from primecoat.workflow.configs import Look, check_config, read_config, write_config
    from primecoat.workflow.corrections import corrections
    from primecoat.workflow.deciding import decide_all, passed_over, take_back
    from primecoat.workflow.handing_over import handover
    from primecoat.workflow.listing import list_images, pick_images
    from primecoat.workflow.matching import match, match_by_hand, save_match, take_look_away
    from primecoat.workflow.overview import overview
    from primecoat.workflow.passing import Gate, gate
    from primecoat.workflow.proof import proof, save_proof, size_named
    from primecoat.workflow.seen_colours import seen_colours
    from primecoat.workflow.showing import demo, report, sheet
    from primecoat.workflow.shown import chromaticity_of, histogram_of, probed, shown
    from primecoat.workflow.surveying import (
        decide,
        judge_again,
        measure_share,
        scenes_using,
        survey,
        why,
    )
    from primecoat.workflow.switching import switch_effects
    from primecoat.workflow.two_renders import (
        render_picture,
        render_pixel,
        render_scopes,
        seen_together,
    )

__all__ = [
    "DEFAULT_TO",
    "Gate",
    "Look",
    "apply",
    "bake_share",
    "check_config",
    "chromaticity_of",
    "compare",
    "corrections",
    "decide",
    "decide_all",
    "demo",
    "gains",
    "gate",
    "handover",
    "histogram_of",
    "judge_again",
    "list_images",
    "match",
    "match_by_hand",
    "measure_share",
    "overview",
    "passed_over",
    "pick_images",
    "plan",
    "probed",
    "proof",
    "read_card",
    "read_config",
    "recover",
    "render_picture",
    "render_pixel",
    "render_scopes",
    "report",
    "save_match",
    "save_proof",
    "scenes_using",
    "seen_colours",
    "seen_together",
    "sheet",
    "shown",
    "size_named",
    "survey",
    "swatch",
    "switch_effects",
    "take_back",
    "take_look_away",
    "undo",
    "views",
    "why",
    "write_card",
    "write_config",
]

_MODULES = {
    "card": ("read_card", "write_card"),
    "changing": ("apply", "bake_share", "plan", "recover", "undo"),
    "colours": ("gains", "swatch", "views"),
    "comparing": ("compare",),
    "configs": ("Look", "check_config", "read_config", "write_config"),
    "corrections": ("corrections",),
    "deciding": ("decide_all", "passed_over", "take_back"),
    "handing_over": ("handover",),
    "listing": ("list_images", "pick_images"),
    "matching": ("match", "match_by_hand", "save_match", "take_look_away"),
    "overview": ("overview",),
    "passing": ("Gate", "gate"),
    "proof": ("proof", "save_proof", "size_named"),
    "seen_colours": ("seen_colours",),
    "showing": ("demo", "report", "sheet"),
    "shown": ("chromaticity_of", "histogram_of", "probed", "shown"),
    "surveying": ("decide", "judge_again", "measure_share", "scenes_using", "survey", "why"),
    "switching": ("switch_effects",),
    "two_renders": ("render_picture", "render_pixel", "render_scopes", "seen_together"),
}
"""The modules, and the names that each holds."""

load_on_demand(
    __name__,
    {name: f"{__name__}.{module}" for module, names in _MODULES.items() for name in names},
)
