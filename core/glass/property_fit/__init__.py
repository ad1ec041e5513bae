"""Our own property model: fitted to open measurements, honest about its error."""
