"""What is there: every image with its measures and uses; measured once, then cached."""

from primecoat.inventory.model import ImageRecord, Inventory, Measure, SceneUse
from primecoat.inventory.take import measure_share, take_inventory

__all__ = ["ImageRecord", "Inventory", "Measure", "SceneUse", "measure_share", "take_inventory"]
