"""What a build says in words and numbers: the record for programs, summary and caution note for people."""
