"""Labels and documents on paper: laid out first, drawn second."""
