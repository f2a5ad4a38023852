"""Pictures of a comparison, drawn with numpy alone."""
