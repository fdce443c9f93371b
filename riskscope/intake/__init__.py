"""Files as people keep them become checked tables; nothing is lost and nothing is guessed."""
