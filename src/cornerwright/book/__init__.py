"""The book: everything that happened to one car, in order, never changed; all else is derived from it."""
