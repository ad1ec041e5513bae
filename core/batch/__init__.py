"""From raw materials to a batch: materials, weigh-out, what it gives and what it gives off."""
