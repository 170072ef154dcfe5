"""One module per part family: its dimensions, limits and closed-form volume, and the rule that sizes it."""
