"""Pictures: header facts, pixel statistics; the only door to OpenImageIO."""
