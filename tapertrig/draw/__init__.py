"""Pictures of the trade: one scene a file, drawn once and then only moved."""
