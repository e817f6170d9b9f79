"""The scan box: a label that is scanned, or a tag or words that are typed, lead to the item."""
