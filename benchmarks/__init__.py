"""How fast and how large: `python -m benchmarks` prints one table. Nothing here is a test."""
