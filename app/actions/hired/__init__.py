"""What is hired out and comes back, and the visits that fetch it."""
