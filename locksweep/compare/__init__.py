"""Two states of a job held against each other: which parts change, by how much and why, and if old ones still serve."""
