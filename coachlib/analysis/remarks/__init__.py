"""What the athlete wrote: words that need a physician first, health, questions."""
