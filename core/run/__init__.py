"""What the lehr did: readings, loggers' files, and the comparison with the plan."""
