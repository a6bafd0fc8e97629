"""Health: what was checked of the database, and when. It answers also when the database is gone."""
