"""Staff: who works at this screen, so that the history can say who did what."""
