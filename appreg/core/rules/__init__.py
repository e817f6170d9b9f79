"""The rule books, the limits they give and the facts about an item that they go by."""
