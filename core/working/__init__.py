"""How a glass works at the furnace: gathering, blowing, setting, and the time there is for it."""
