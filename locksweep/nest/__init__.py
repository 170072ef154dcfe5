"""All flat parts of a build laid out on stock sheets, with their quantities."""
