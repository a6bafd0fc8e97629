"""What people do, as verbs. Everything is passed in: a context with session, who and now, and the data. No action
commits."""
