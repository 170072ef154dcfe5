"""Pictures of the parts as PNG files, drawn in a process of their own."""
