"""Changes of the database's shape. ``python -m migrations upgrade`` brings a database up to date."""
