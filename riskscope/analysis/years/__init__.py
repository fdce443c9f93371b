"""What several years say: slopes, effects of work, recalls, what is due."""
