"""The places of the shop. A place never imports another."""
