"""The curve for tonight: rules, rounding for the controller, and the temperature at any time."""
