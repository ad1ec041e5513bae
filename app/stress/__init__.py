"""What a night does to the glass: core and skin, stress through the night and the thickness."""
