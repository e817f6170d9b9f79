"""Labels: their stock, content and layout, then their drawing."""
