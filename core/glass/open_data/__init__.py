"""Open measurements on glasses that the property models are fitted to; not needed to run."""
