"""How right the readings are, measured on pictures whose answers are known."""
