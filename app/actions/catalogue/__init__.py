"""What may be sold: balloon types, supplies and designs."""
