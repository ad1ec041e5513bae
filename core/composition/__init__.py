"""What a glass is made of: oxides, analyses in wt% and mol%, and how they are read from text."""
