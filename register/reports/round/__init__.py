"""A round as a page to fill in, as a sheet, and the labels by which its positions are found."""
