"""Version of the program, kept with every plan it makes."""

VERSION = "0.1.0"
