"""Files of other formats: readers that gather problems, writers that guard their cells."""
