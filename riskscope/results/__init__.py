"""What an assessment says: lists in their orders, sentences, the story of a connection."""
