"""How the tables of a book came to be, step by step, so that an older book is brought up to date with its entries."""
