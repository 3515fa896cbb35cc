"""Development: allowance, blank, formed part, and the one map between them."""
