"""Pictures of many kinds, made from seeds: what they show is known, how they look varies."""
