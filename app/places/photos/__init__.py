"""Photos: where any page finds their pixels."""
