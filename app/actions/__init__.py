"""What people do, as verbs. Everything is passed in: session, who, data, now. None of them commits."""
