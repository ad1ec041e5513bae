"""One file a schema version, numbered upwards; never changed once it has been shipped."""
