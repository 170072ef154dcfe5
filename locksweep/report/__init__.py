"""The report that a build leaves: one page that shows the front end steering, with its data apart from its code."""
