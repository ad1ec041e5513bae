"""The running night recorded from a live source and watched: sources, alarms, their sound."""
