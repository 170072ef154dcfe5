"""Another tyre on a job that is solved: what it changes, before anything is built."""
