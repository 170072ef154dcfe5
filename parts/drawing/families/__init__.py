"""What is drawn of each part family; a family without a file of its own gets the sheet of `any_part`."""
