"""What is seen of a solid: hidden-line removal, sections, and the curves of a picture in its plane."""
