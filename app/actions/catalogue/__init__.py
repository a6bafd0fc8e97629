"""What can be sold: balloon types, supplies and designs."""
