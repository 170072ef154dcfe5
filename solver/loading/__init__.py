"""From the ground to every member of the front end: load cases, statics over the whole sweep, the worst of each."""
