"""Staff: who is at this screen, so that the history can say who did what."""
