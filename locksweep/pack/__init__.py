"""What is sent to each kind of shop: files, list and request text, in one archive."""
