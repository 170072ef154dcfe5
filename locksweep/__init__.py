"""From a measured strut-type front end to quotable parts for more steering lock: commands and documents."""

__version__ = "0.1.0"
